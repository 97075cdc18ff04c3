"""A file in place of the shop's data: looked through first, on a copy, and only a sound one is ever put there.

What is there before is backed up, so a restore is undone by restoring that backup. Other devices stay as they are.
"""

from __future__ import annotations

import hashlib
import json
import os
import shutil
import sqlite3
import time
from collections.abc import Iterator, Mapping
from contextlib import closing, contextmanager, suppress
from dataclasses import dataclass
from datetime import UTC, datetime
from enum import Enum
from pathlib import Path
from tempfile import TemporaryDirectory

from webapp.store import schema
from webapp.store.backup import NO_ROOM, Backup, CannotKeep, make_backup, put_in_place, sum_of, sync
from webapp.store.columns import moment_in
from webapp.store.devices_stay import keep_devices
from webapp.store.engine import Store, hold
from webapp.store.errors import (
    CannotOpen,
    Damaged,
    DiskFull,
    ForeignDatabase,
    NewerDatabase,
    StoreError,
    in_our_words,
)
from webapp.store.keeping import BackupName, Why
from webapp.store.soundness import Findings, differences, examine, looking_at
from webapp.store.sqlite import APPLICATION_ID, BESIDE, LOGS

_ROOM = ".look-"
_LEFT = 3_600.0
"""Seconds after which no look at a file lasts any more."""


class Flaw(Enum):
    """Why a file of ours is not put in place of the data."""

    UNFINISHED = "is open in another program, or was copied while it was"
    CHANGED = "is not the file any more that its name tells of"
    DAMAGED = "is damaged"
    ALTERED = "was altered by another program"
    REFERENCES = "does not hold together"
    DOCUMENTS = "holds a paper that is not what was issued"


class Refused(StoreError):
    """A file that is no sound database of ours; ``detail`` names the first thing that is wrong with it."""

    def __init__(self, where: str, flaw: Flaw, detail: str) -> None:
        self.where, self.flaw, self.detail = where, flaw, detail
        super().__init__(f"{where} {flaw.value}: {detail}. Nothing was changed; choose another backup.")


class DataDamaged(StoreError):
    """The data that is to be replaced is damaged, so no backup of it can be made while the program runs."""

    def __init__(self, where: str) -> None:
        self.where = where
        super().__init__(
            f"The data is damaged, so it cannot be backed up first. Stop the program, then run `dovetally restore "
            f'"{where}" --yes`: it sets the damaged file aside and puts this backup in its place.'
        )


class OnServer(StoreError):
    """The data is on a database server."""

    def __init__(self) -> None:
        super().__init__(
            "This data is on a database server: its own tools, pg_dump and pg_restore, make and restore backups. "
            "`dovetally archive FILE` writes the whole shop as one open archive, and `dovetally move` moves "
            "it into a file."
        )


def file_of(store: Store) -> Path:
    """The store's file. Raises OnServer where it has none."""
    if store.path is None:
        raise OnServer
    return store.path


@dataclass(frozen=True, slots=True)
class Held:
    """What a sound file holds: the version it is of, the rows of each table by this version's names, its bytes."""

    version: int
    counts: Mapping[str, int]
    changed: datetime | None
    size: int


@dataclass(frozen=True, slots=True)
class Restored:
    """What was put in place, and where what was there before is: a backup, or a damaged file set aside."""

    held: Held
    before: Backup | None
    aside: Path | None = None


def held_by(file: Path, database: Path) -> Held:
    """What ``file`` holds. Raises as ``restore`` does; changes nothing."""
    with _looked_through(file, database) as (_, held):
        return held


def held_here(store: Store) -> Held:
    """What the store holds now. Raises OnServer."""
    path = file_of(store)
    with store.reading() as session:
        connection = session.connection().connection.driver_connection
        assert isinstance(connection, sqlite3.Connection)
        return _held(connection, schema.HEAD, path.stat().st_size)


def counts_in(database: Path) -> Mapping[str, int]:
    """The rows of each table of data that may be in use, damaged, older or missing: what can be counted."""
    counts: dict[str, int] = {}
    try:
        with closing(sqlite3.connect(f"{database.absolute().as_uri()}?mode=ro", uri=True)) as connection:
            for table in _tables():
                with suppress(sqlite3.OperationalError):
                    counts[table] = connection.execute(f"SELECT count(*) FROM {table}").fetchone()[0]
    except sqlite3.Error:
        pass
    return counts


def restore(store: Store, file: Path) -> Restored:
    """Put what ``file`` holds in place of the open store's data, which is backed up first.

    Raises CannotOpen, ForeignDatabase, NewerDatabase or Refused for the file, DataDamaged, or what a backup
    raises: then nothing was changed.
    """
    path = file_of(store)
    with _looked_through(file, path) as (sound, held), store.replacing() as put:
        try:
            before = make_backup(path, store.moment(), Why.BEFORE_RESTORE)
        except Damaged:
            raise DataDamaged(str(file)) from None
        keep_devices(sound, path)
        put(sound)
        return Restored(held, before)


def restore_stopped(database: Path, file: Path, moment: datetime) -> Restored:
    """The same while no program has the data open; a damaged file is set aside. Raises InUse where one has."""
    database.parent.mkdir(parents=True, exist_ok=True)
    lock = hold(database)
    try:
        with _looked_through(file, database) as (sound, held):
            if not database.exists():
                keep_devices(sound, None)
                move_in(sound, database)
                return Restored(held, None)
            try:
                before = make_backup(database, moment, Why.BEFORE_RESTORE)
            except (Damaged, sqlite3.Error):
                keep_devices(sound, None)
                return Restored(held, None, _set_aside(database, sound, moment))
            keep_devices(sound, database)
            put_in_place(sound, database)
            return Restored(held, before)
    finally:
        lock.release()


def _set_aside(database: Path, sound: Path, moment: datetime) -> Path:
    """Keep the damaged file, and what belongs to it, under another name; then move ``sound`` in."""
    aside = database.with_name(f"{database.name}.damaged-{moment.astimezone(UTC):%Y-%m-%dT%H%M%SZ}")
    shutil.copyfile(database, aside)
    sync(aside)
    for ending in BESIDE:
        beside = database.with_name(database.name + ending)
        if beside.exists():
            # it would be taken for a part of the new file
            os.replace(beside, aside.with_name(aside.name + ending))
    move_in(sound, database)
    return aside


def move_in(sound: Path, database: Path) -> None:
    """Put a sound file where there is no database, on the disk for good."""
    part = database.with_name(f".{database.name}.part")
    shutil.copyfile(sound, part)
    sync(part)
    os.replace(part, database)
    sync(database.parent)


@contextmanager
def _looked_through(file: Path, database: Path) -> Iterator[tuple[Path, Held]]:
    """A copy of ``file``, sound and of this version, for the length of the block, and what it holds."""
    _refuse_what_is_no_backup(file, database)
    with room_for(database.parent) as name:
        copy = Path(name) / "copy.db"
        try:
            shutil.copyfile(file, copy)
        except OSError as error:
            if error.errno in NO_ROOM:
                raise DiskFull from None
            raise CannotOpen(str(file), (error.strerror or str(error)).lower()) from None
        said = BackupName.read(file.name)
        if said is not None and said.bytes_sum != sum_of(copy):
            raise Refused(str(file), Flaw.CHANGED, "its bytes have another sum")
        yield copy, judged(copy, file)


def judged(copy: Path, file: Path) -> Held:
    """What a copy of ``file`` holds, once it was found sound and brought up to date. Raises as ``restore``."""
    version = _judge(copy, file)
    if version < schema.HEAD:
        with in_our_words():
            schema.migrate(copy)
        _judge(copy, file)
    with looking_at(copy) as connection:
        try:
            return _held(connection, version, copy.stat().st_size)
        except Damaged as error:
            raise Refused(str(file), Flaw.DAMAGED, error.found) from None


def room_for(folder: Path | None) -> TemporaryDirectory[str]:
    """A folder for a copy, on the data's own disk where there is one; what a killed program left there goes."""
    try:
        if folder is None or not folder.is_dir():
            return TemporaryDirectory(prefix=_ROOM)
        for left in folder.glob(f"{_ROOM}*"):
            if time.time() - left.stat().st_mtime > _LEFT:
                shutil.rmtree(left, ignore_errors=True)
        return TemporaryDirectory(prefix=_ROOM, dir=folder, ignore_cleanup_errors=True)
    except OSError as error:
        raise CannotKeep(str(folder), (error.strerror or str(error)).lower()) from error


def _refuse_what_is_no_backup(file: Path, database: Path) -> None:
    if not file.is_file():
        why = "it is a folder; name a file in it" if file.is_dir() else "there is no such file"
        raise CannotOpen(str(file), why)
    if database.exists() and file.samefile(database):
        raise CannotOpen(str(file), "it is the data itself; name a backup of it")
    for ending in LOGS:
        beside = file.with_name(file.name + ending)
        if beside.exists() and beside.stat().st_size:
            raise Refused(str(file), Flaw.UNFINISHED, f"{beside.name} stands beside it")


def _judge(copy: Path, file: Path) -> int:
    """The version of the copy of ``file``. Raises where it is not sound, or not ours."""
    where = str(file)
    if not _is_ours(copy):
        raise ForeignDatabase(where)
    with looking_at(copy) as connection:
        findings = examine(connection)
        if findings.version > schema.HEAD:
            raise NewerDatabase(where, str(findings.version), str(schema.HEAD))
        _refuse_unsound(where, findings)
        _refuse_unreadable(where, connection, findings)
    return findings.version


def _is_ours(copy: Path) -> bool:
    """Whether the file's first bytes say so: of one that was cut SQLite itself reads not even these.

    Where they stand: SQLite documentation, "Database File Format", the database header.
    """
    with copy.open("rb") as opened:
        header = opened.read(100)
    return header[:16] == b"SQLite format 3\0" and header[68:72] == APPLICATION_ID.to_bytes(4)


def _refuse_unsound(where: str, findings: Findings) -> None:
    if findings.integrity:
        raise Refused(where, Flaw.DAMAGED, findings.integrity[0])
    if findings.version < 1:
        raise Refused(where, Flaw.ALTERED, f"there is no version {findings.version}")
    odd = differences(findings.schema, schema.schema_of_version(findings.version))
    if odd:
        raise Refused(where, Flaw.ALTERED, str(odd[0]))
    if findings.references:
        raise Refused(where, Flaw.REFERENCES, str(findings.references[0]))


def _refuse_unreadable(where: str, connection: sqlite3.Connection, findings: Findings) -> None:
    """Read every row: text that is none, JSON that is none, papers that are not what was issued."""
    for table in findings.counts:
        rows = connection.execute(f'SELECT * FROM "{table}"')
        columns = [each[0] for each in rows.description]
        try:
            for row in rows:
                _refuse_row(where, table, dict(zip(columns, row, strict=True)))
        except (sqlite3.DatabaseError, UnicodeDecodeError):
            raise Refused(where, Flaw.DAMAGED, f"a text in {table} cannot be read") from None


def _refuse_row(where: str, table: str, row: Mapping[str, object]) -> None:
    for column, value in row.items():
        if column.endswith("_json") and value is not None:
            try:
                json.loads(str(value))
            except ValueError:
                raise Refused(where, Flaw.DAMAGED, f"the {column} of a row of {table} is no JSON") from None
    for body, told in (("body", "sha256"), ("snapshot", "snapshot_sha256")):
        if told in row and body in row and _sha256(row[body]) != row[told]:
            raise Refused(where, Flaw.DOCUMENTS, f"the {body} of a row of {table} has another sum")


def _sha256(value: object) -> str:
    return hashlib.sha256(value if isinstance(value, bytes) else str(value).encode()).hexdigest()


def _held(connection: sqlite3.Connection, version: int, size: int) -> Held:
    latest = connection.execute(_LAST_CHANGE).fetchone()[0]
    changed = None if latest is None else moment_in(latest)
    counts = {name: connection.execute(f"SELECT count(*) FROM {name}").fetchone()[0] for name in _tables()}
    return Held(version, counts, changed, size)


def _tables() -> list[str]:
    tables = [name for kind, name in schema.schema_of_version(schema.HEAD) if kind == "table"]
    return sorted(name for name in tables if not name.startswith(("sqlite_", "alembic_")))


_LAST_CHANGE = """
    SELECT max(at) FROM (
        SELECT max(updated) AS at FROM project UNION ALL SELECT max(issued_at) FROM revision
        UNION ALL SELECT max(at) FROM movement UNION ALL SELECT max(placed_at) FROM placed_order
        UNION ALL SELECT max(at) FROM trial UNION ALL SELECT max(at) FROM calibration
        UNION ALL SELECT max(ticked_at) FROM tick UNION ALL SELECT max(issued_at) FROM quote
    )
"""
