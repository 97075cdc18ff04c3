"""The open archive as a file: a zip of JSON and PDFs with a manifest, the same bytes for the same data.

Entries are stored uncompressed, in the order of their names, without a moment: nothing of when or where it was
written is in it. Whatever is read was looked through first: names, sizes, the manifest, every sum.
"""

from __future__ import annotations

import hashlib
import json
import re
import struct
import zipfile
from collections.abc import Callable, Iterator, Mapping
from contextlib import ExitStack, contextmanager
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from webapp.store.errors import CannotOpen, NewerDatabase, StoreError
from webapp.wording.archive import ABOUT

FORMAT = "dovetally-archive"
VERSION = 1
MANIFEST = "manifest.json"
README = "README.txt"
MOST_ENTRIES = 1_000_000
MOST_JSON = 1_000_000_000
"""Bytes of one table; a shop's years of work are a hundredth of it."""
_NAMES = re.compile(r"README\.txt|manifest\.json|tables/[a-z][a-z0-9_]*\.json|papers/[A-Za-z0-9_-]+\.[a-z]+")
_DAWN = (1980, 1, 1, 0, 0, 0)
"""The earliest moment that a zip can tell, and the only one that these do."""
_UNIX, _A_FILE = 3, 0o100644 << 16
_PIECE = 1 << 20


class NoArchive(StoreError):
    """A file that is no whole archive of ours; ``why`` says the first thing that is wrong with it."""

    def __init__(self, where: str, why: str) -> None:
        self.where, self.why = where, why
        super().__init__(f"{where} is not taken in: {why}. Nothing was changed; choose another archive.")


def table_entry(table: str) -> str:
    """The entry of a table."""
    return f"tables/{table}.json"


@dataclass(frozen=True, slots=True)
class Manifest:
    """What an archive says of itself: the schema's number, rows and last numbers by table."""

    schema: int
    rows: Mapping[str, int]
    last_numbers: Mapping[str, int]


Bodies = Mapping[str, Callable[[], bytes]]
"""What is in each entry, made when it is needed: twice, for its sum and for the file."""


def write_archive(file: Path, manifest: Manifest, bodies: Bodies) -> None:
    """Write the archive. Raises OSError where the disk takes no more."""
    entries = {README: ABOUT.encode, **bodies}
    sums = {name: hashlib.sha256(body()).hexdigest() for name, body in entries.items()}
    told = {
        "format": FORMAT,
        "version": VERSION,
        "schema": manifest.schema,
        "rows": dict(manifest.rows),
        "last_numbers": dict(manifest.last_numbers),
        "files": sums,
    }
    text = json.dumps(told, indent=1, sort_keys=True, ensure_ascii=False) + "\n"
    entries[MANIFEST] = text.encode
    with zipfile.ZipFile(file, "w", zipfile.ZIP_STORED) as archive:
        for name in sorted(entries):
            entry = zipfile.ZipInfo(name, _DAWN)
            entry.create_system, entry.external_attr = _UNIX, _A_FILE
            archive.writestr(entry, entries[name]())


class Archive:
    """An archive that was looked through: its manifest, and its entries to be read."""

    def __init__(self, where: str, archive: zipfile.ZipFile, manifest: Manifest) -> None:
        self.where, self.manifest, self._archive = where, manifest, archive

    def read(self, name: str) -> bytes:
        """An entry's bytes. Raises NoArchive where there is none of that name."""
        try:
            return self._archive.read(name)
        except KeyError:
            raise NoArchive(self.where, f"it has no {name}") from None

    def refused(self, why: str) -> NoArchive:
        """The refusal of this archive."""
        return NoArchive(self.where, why)

    @property
    def tables(self) -> frozenset[str]:
        """The names of the tables' entries."""
        return frozenset(name for name in self._archive.namelist() if name.startswith("tables/"))

    @property
    def papers(self) -> frozenset[str]:
        """The names of the papers in it."""
        return frozenset(name for name in self._archive.namelist() if name.startswith("papers/"))


@contextmanager
def opened_archive(file: Path, where: str, newest: int) -> Iterator[Archive]:
    """The archive, looked through from end to end; ``newest`` is the newest schema that is known.

    Raises CannotOpen, NoArchive or NewerDatabase. Nothing is unpacked, so no name in it can lead anywhere.
    """
    with ExitStack() as held:
        try:
            archive = held.enter_context(zipfile.ZipFile(file))
            _refuse_entries(where, archive.infolist(), file.stat().st_size)
            manifest, sums = _manifest(where, archive, newest)
            _refuse_sums(where, archive, sums)
        except (zipfile.BadZipFile, NotImplementedError, EOFError, RuntimeError, ValueError, struct.error):
            raise NoArchive(where, "it is no zip file, or a damaged one") from None
        except OSError as error:
            raise CannotOpen(where, (error.strerror or str(error)).lower()) from None
        yield Archive(where, archive, manifest)


def _refuse_entries(where: str, entries: list[zipfile.ZipInfo], size: int) -> None:
    names = {entry.filename for entry in entries}
    odd = next((entry.filename for entry in entries if not _NAMES.fullmatch(entry.orig_filename)), None)
    if odd is not None:
        raise NoArchive(where, f"{odd[:80]!r} is no name that an archive has")
    if len(names) != len(entries) or len(entries) > MOST_ENTRIES:
        raise NoArchive(where, "a name stands in it twice, or there are too many")
    packed = any(entry.compress_type != zipfile.ZIP_STORED or entry.flag_bits & 1 for entry in entries)
    if packed or any(entry.file_size != entry.compress_size for entry in entries):
        raise NoArchive(where, "what is in it was compressed or encrypted by another program")
    # entries that lie over one another would come to more than the file
    if sum(entry.file_size for entry in entries) > size:
        raise NoArchive(where, "what is in it would be more than the file itself")
    if any(entry.file_size > MOST_JSON for entry in entries):
        raise NoArchive(where, "a file in it is too large")


def _manifest(where: str, archive: zipfile.ZipFile, newest: int) -> tuple[Manifest, dict[str, str]]:
    if MANIFEST not in archive.namelist():
        raise NoArchive(where, f"it has no {MANIFEST}, so it is another program's")
    told = json_of(where, MANIFEST, archive.read(MANIFEST))
    if not isinstance(told, dict) or told.get("format") != FORMAT:
        raise NoArchive(where, f"its {MANIFEST} does not say {FORMAT}, so it is another program's")
    version, schema = (_number(where, told, name) for name in ("version", "schema"))
    if version > VERSION:
        raise NewerDatabase(where, str(version), str(VERSION))
    if schema > newest:
        raise NewerDatabase(where, str(schema), str(newest))
    rows, last, sums = (told.get(name) for name in ("rows", "last_numbers", "files"))
    if not (_named(rows, int) and _named(last, int) and _named(sums, str)):
        raise NoArchive(where, f"its {MANIFEST} is not as it should be")
    return Manifest(schema, rows, last), sums  # type: ignore[arg-type,return-value]


def _number(where: str, told: Mapping[str, Any], name: str) -> int:
    value = told.get(name)
    if type(value) is not int or value < 1:
        raise NoArchive(where, f"the {name} in its {MANIFEST} is none")
    return value


def _named(value: object, kind: type) -> bool:
    return isinstance(value, dict) and all(type(each) is kind for each in value.values())


def _refuse_sums(where: str, archive: zipfile.ZipFile, sums: Mapping[str, str]) -> None:
    names = set(archive.namelist()) - {MANIFEST}
    if names != set(sums):
        odd = sorted(names ^ set(sums))[0]
        raise NoArchive(where, f"{odd} is missing, or not in its {MANIFEST}")
    for name, told in sums.items():
        summed = hashlib.sha256()
        with archive.open(name) as entry:
            while piece := entry.read(_PIECE):
                summed.update(piece)
        if summed.hexdigest() != told:
            raise NoArchive(where, f"{name} is not what was written: it has another sum")


def json_of(where: str, name: str, body: bytes) -> Any:
    """An entry's JSON. Raises NoArchive."""
    try:
        return json.loads(body.decode("utf-8"), parse_constant=_no_number, object_pairs_hook=_each_once)
    except (ValueError, RecursionError):
        raise NoArchive(where, f"{name} is no JSON that an archive has") from None


def _no_number(text: str) -> None:
    raise ValueError(text)


def _each_once(pairs: list[tuple[str, Any]]) -> dict[str, Any]:
    found = dict(pairs)
    if len(found) != len(pairs):
        raise ValueError("a name stands twice")
    return found
