"""Whether a SQLite file is whole, and ours to the last trigger: looked at, never changed.

``examine`` gathers what there is, ``golden_schema`` is what this version makes, ``differences`` lays the two
side by side. What to do about it is the caller's.
"""

from __future__ import annotations

import re
import sqlite3
from collections.abc import Iterator, Mapping
from contextlib import closing, contextmanager
from dataclasses import dataclass, field
from enum import Enum
from functools import cache
from pathlib import Path

from webapp.store.errors import Damaged, named

MOST = 10
"""Of faults of one sort, as many are told."""

Schema = Mapping[tuple[str, str], str]
"""The text of everything that a database is made of, by kind and name: ("trigger", "tick_no_update")."""

_GOLDEN = Path(__file__).with_name("golden_schema.sql")
_BETWEEN = "\n;\n"
_MADE = re.compile(r"CREATE (?:UNIQUE )?(TABLE|INDEX|TRIGGER|VIEW) \"?(\w+)")
# what SQLite keeps of its own accord, where another program had it count
_COUNTED = "sqlite_stat"


class How(Enum):
    """How something of a schema differs from what it should be."""

    MISSING = "is missing"
    FOREIGN = "does not belong there"
    CHANGED = "is not as it should be"


@dataclass(frozen=True, slots=True)
class Difference:
    """One table, index, trigger or view that is not as it should be."""

    kind: str
    name: str
    how: How

    def __str__(self) -> str:
        return f"the {self.kind} {self.name} {self.how.value}"


@dataclass(frozen=True, slots=True)
class BrokenReference:
    """A row that refers to one that is not there."""

    table: str
    row: int | None
    refers_to: str

    def __str__(self) -> str:
        which = "a row" if self.row is None else f"row {self.row}"
        return f"{which} of {self.table} refers to a row of {self.refers_to} that is not there"


@dataclass(slots=True)
class Findings:
    """What was found in a database.

    ``integrity`` holds SQLite's own complaints, none where the file is whole; ``counts`` the rows of each
    table, where they can be counted. With a complaint, what follows may be missing.
    """

    application: int = 0
    version: int = 0
    schema: Schema = field(default_factory=dict)
    integrity: tuple[str, ...] = ()
    references: tuple[BrokenReference, ...] = ()
    counts: Mapping[str, int] = field(default_factory=dict)


@contextmanager
def looking_at(path: Path) -> Iterator[sqlite3.Connection]:
    """A connection to a file that nobody has open, which changes nothing, neither in it nor beside it."""
    address = f"{path.absolute().as_uri()}?mode=ro&immutable=1"
    with closing(sqlite3.connect(address, uri=True, isolation_level=None)) as connection:
        for wary in ("trusted_schema=0", "cell_size_check=1", "mmap_size=0", "query_only=1"):
            connection.execute(f"PRAGMA {wary}")
        yield connection


def examine(connection: sqlite3.Connection, *, thorough: bool = True) -> Findings:
    """Look at everything: marks, schema, whether the file is whole, references, rows.

    ``thorough`` also holds indexes against their tables, which takes longer. Raises Busy, DiskFull or ReadOnly
    where the file could not be read for now; what is wrong with it is a finding, never an exception.
    """
    findings = Findings()
    reader = connection.text_factory
    # damaged text is to be told, not to end in a traceback
    connection.text_factory = lambda text: text.decode("utf-8", "replace")
    try:
        _fill(findings, connection, "integrity_check" if thorough else "quick_check")
    except UnicodeDecodeError:
        # sqlite3 reads SQLite's own complaint as UTF-8, and that quotes what is damaged
        findings.integrity += ("what names a table cannot be read",)
    except sqlite3.DatabaseError as error:
        ours = named(error)
        if ours is not None and not isinstance(ours, Damaged):
            raise ours from error
        findings.integrity += (str(error),)
    finally:
        connection.text_factory = reader
    return findings


def _fill(findings: Findings, connection: sqlite3.Connection, check: str) -> None:
    findings.application = connection.execute("PRAGMA application_id").fetchone()[0]
    findings.version = connection.execute("PRAGMA user_version").fetchone()[0]
    findings.schema = schema_of(connection)
    told = connection.execute(f"PRAGMA {check}({MOST})").fetchall()
    findings.integrity = tuple(str(line) for (line,) in told if line != "ok")
    broken = connection.execute("PRAGMA foreign_key_check").fetchmany(MOST)
    findings.references = tuple(BrokenReference(table, row, parent) for table, row, parent, _ in broken)
    tables = [name for kind, name in findings.schema if kind == "table" and not name.startswith("sqlite_")]
    findings.counts = {table: _count(connection, table) for table in sorted(tables)}


def _count(connection: sqlite3.Connection, table: str) -> int:
    quoted = table.replace('"', '""')
    count: int = connection.execute(f'SELECT count(*) FROM "{quoted}"').fetchone()[0]
    return count


def schema_of(connection: sqlite3.Connection) -> Schema:
    """Everything that the database is made of; what SQLite makes by itself left out."""
    made = connection.execute("SELECT type, name, sql FROM sqlite_schema WHERE sql IS NOT NULL").fetchall()
    return {(kind, name): _plain(sql) for kind, name, sql in made if not name.startswith(_COUNTED)}


def schema_text(schema: Schema) -> str:
    """A schema as the golden copy is written: every statement, in the order of the alphabet."""
    return _BETWEEN.join(sorted(schema.values()))


@cache
def golden_schema() -> Schema:
    """What this version of the program makes of an empty file."""
    statements = _GOLDEN.read_text(encoding="utf-8").strip().split(_BETWEEN)
    return {_called(statement): statement for statement in statements}


def differences(found: Schema, wanted: Schema) -> tuple[Difference, ...]:
    """Where ``found`` is not ``wanted``, by kind and name; nothing where they are the same."""
    ways = (
        (wanted.keys() - found.keys(), How.MISSING),
        (found.keys() - wanted.keys(), How.FOREIGN),
        ({each for each in found.keys() & wanted.keys() if found[each] != wanted[each]}, How.CHANGED),
    )
    return tuple(Difference(kind, name, how) for names, how in ways for kind, name in sorted(names))


def _plain(sql: str) -> str:
    """A statement as it was written, but for spaces at the ends of its lines."""
    return "\n".join(line.rstrip() for line in sql.splitlines()).strip()


def _called(statement: str) -> tuple[str, str]:
    made = _MADE.match(statement)
    assert made, statement
    return made[1].lower(), made[2]
