"""Looking a database over: what is wrong with it, in words, and what it holds."""

from __future__ import annotations

import sqlite3
from collections.abc import Mapping
from contextlib import closing
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path

from sqlmodel import Session

from webapp.store import schema, server_soundness, sqlite
from webapp.store.errors import CannotOpen, Damaged, DamagedOnServer, named
from webapp.store.soundness import MOST, Findings, differences, examine, golden_schema
from webapp.store.sqlite import APPLICATION_ID
from webapp.wording.health import Keeping

AT_ONCE = 64_000_000
"""Bytes of a file that is looked over before anything else is done with it; in a larger one beside the work."""


@dataclass(frozen=True, slots=True)
class Checkup:
    """What was found when a database was looked over, and when; ``faults`` are sentences, none where it is sound.

    ``rows`` are those of each table, as far as they can be counted; of a server's data they are left to it.
    """

    at: datetime
    version: int
    faults: tuple[str, ...]
    rows: Mapping[str, int]
    on_server: bool = False

    @property
    def damage(self) -> Damaged | None:
        """The error that the faults come to, or None."""
        if not self.faults:
            return None
        more = len(self.faults) - 1
        named = DamagedOnServer if self.on_server else Damaged
        return named(self.faults[0] + (f", and {more} more fault{'' if more == 1 else 's'}" if more else ""))


def look_over(connection: sqlite3.Connection, at: datetime) -> Checkup:
    """Look over an open database. Raises Busy, DiskFull or ReadOnly where it cannot be read for now."""
    findings = examine(connection)
    return Checkup(at, findings.version, faults(findings), findings.counts)


def look_over_server(session: Session, at: datetime) -> Checkup:
    """Look over what a server keeps: whether it is ours to the last guard."""
    return Checkup(at, schema.HEAD, server_soundness.faults(session.connection()), {}, on_server=True)


def look_over_file(path: Path, at: datetime) -> Checkup:
    """Look over the database at ``path`` as it is, whether or not somebody has it open.

    Raises CannotOpen where there is none, ForeignDatabase, NewerDatabase, or Damaged where nothing can be read.
    """
    if not path.exists():
        raise CannotOpen(str(path), "there is no data yet")
    schema.version_of(path)
    try:
        with closing(sqlite.connect(path)) as connection:
            connection.execute("PRAGMA query_only=1")
            connection.execute("PRAGMA trusted_schema=0")
            return look_over(connection, at)
    except sqlite3.Error as error:
        raise (named(error) or error) from error


def faults(findings: Findings) -> tuple[str, ...]:
    """What is wrong, in sentences' parts such as "the trigger tick_no_update is missing"."""
    found: list[str] = []
    if not findings.integrity and findings.application != APPLICATION_ID:
        found.append("the file is not marked as Dovetally's")
    if not findings.integrity and findings.version == schema.HEAD:
        found += [str(each) for each in differences(findings.schema, golden_schema())]
    found += findings.integrity
    found += [str(each) for each in findings.references]
    return tuple(" ".join(each.split()) for each in found[:MOST])


def keeping(session: Session) -> Keeping:
    """What keeps the data that the session reads."""
    if session.get_bind().dialect.name == "sqlite":
        version = _one(session, "PRAGMA user_version")
        return Keeping("sqlite", sqlite3.sqlite_version, _one(session, "PRAGMA journal_mode"), int(version))
    version = _one(session, "SELECT version_num FROM alembic_version")
    # a server always writes its log ahead
    return Keeping("postgresql", _one(session, "SHOW server_version").split()[0], "wal", int(version))


def keeping_of_file(path: Path) -> Keeping:
    """The same of a file, as it is."""
    with closing(sqlite.connect(path)) as connection:
        journal = connection.execute("PRAGMA journal_mode").fetchone()[0]
    return Keeping("sqlite", sqlite3.sqlite_version, journal, schema.version_of(path))


def count_rows(session: Session, *tables: str) -> dict[str, int]:
    """How many rows these tables have."""
    return {table: int(_one(session, f"SELECT count(*) FROM {table}")) for table in tables}


def _one(session: Session, statement: str) -> str:
    return str(session.connection().exec_driver_sql(statement).scalar_one())
