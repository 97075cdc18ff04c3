"""SQLite, set up so that what was committed stays and what reads cannot write.

Two engines on one file. The writing engine begins every transaction with BEGIN IMMEDIATE: a
transaction that reads and then writes would otherwise fail, unrepeatably, as soon as anybody
committed in between. The reading engine is query_only: that a GET changes nothing is held by the
database itself.
"""

from __future__ import annotations

import sqlite3
from enum import Enum
from pathlib import Path
from typing import Any

from sqlalchemy import Connection, Engine, create_engine, event
from sqlalchemy.engine import URL
from sqlalchemy.pool import NullPool

from webapp.store.errors import StoreError

# The server's thread pool has 40 threads; fewer connections than threads is the classic stall.
THREADS = 40
WAIT_MS = 5_000
APPLICATION_ID = int.from_bytes(b"Dvtl")
LOGS = ("-journal", "-wal")
"""Endings of files beside a database that may hold what is not in it yet."""
BESIDE = (*LOGS, "-shm")
"""Endings of every file that SQLite keeps beside a database."""


class Journal(Enum):
    """How SQLite keeps a commit safe: its journal mode and the syncing that mode needs."""

    WAL = ("wal", "FULL")
    ROLLBACK = ("delete", "EXTRA")


def journal_for(version: tuple[int, int, int]) -> Journal:
    """The write-ahead log only where the race that could damage it is mended.

    With two connections writing and checkpointing at once, SQLite before 3.51.3 could damage a
    database in WAL mode; the cure went back into 3.50.7 and 3.44.6, and 3.52.0 was withdrawn.
    """
    mended = (
        version >= (3, 51, 3) or (3, 50, 7) <= version < (3, 51, 0) or (3, 44, 6) <= version < (3, 45, 0)
    ) and version != (3, 52, 0)
    return Journal.WAL if mended else Journal.ROLLBACK


_SYNCHRONOUS = {"FULL": 2, "EXTRA": 3}


def pragmas(journal: Journal, *, query_only: bool = False, foreign_keys: bool = True) -> dict[str, int | str]:
    """Every pragma of a connection with the value that it must read back as."""
    mode, syncing = journal.value
    return {
        "busy_timeout": WAIT_MS,  # first, so that a change of journal mode waits its turn too
        "journal_mode": mode,
        "synchronous": _SYNCHRONOUS[syncing],
        "foreign_keys": int(foreign_keys),
        "recursive_triggers": 1,
        "trusted_schema": 0,
        "cell_size_check": 1,
        "fullfsync": 1,  # the last two act on macOS only
        "checkpoint_fullfsync": 1,
        "query_only": int(query_only),
    }


class PragmaRefused(StoreError):
    """SQLite did not take a setting that the safety of the data rests on."""

    def __init__(self, pragma: str, wanted: int | str, found: object) -> None:
        self.pragma, self.wanted, self.found = pragma, wanted, found
        super().__init__(
            f"SQLite {sqlite3.sqlite_version} kept {pragma} at {found} where {wanted} is needed; "
            "keep the data on a local disk and use an unaltered SQLite."
        )


def set_up(connection: sqlite3.Connection, wanted: dict[str, int | str]) -> None:
    """Set every pragma and read each back. Raises PragmaRefused where one did not hold."""
    connection.isolation_level = None  # no BEGIN of sqlite3's own guessing
    for pragma, value in wanted.items():
        connection.execute(f"PRAGMA {pragma}={value}")
    for pragma, value in wanted.items():
        found = connection.execute(f"PRAGMA {pragma}").fetchone()[0]
        if found != value:
            raise PragmaRefused(pragma, value, found)


def writing_engine(path: Path) -> Engine:
    """The engine for everything that changes data."""
    return _engine(path, "BEGIN IMMEDIATE", pragmas(journal_here()), pool_size=THREADS, max_overflow=0)


def reading_engine(path: Path) -> Engine:
    """The engine for everything that only looks."""
    return _engine(path, "BEGIN", pragmas(journal_here(), query_only=True), pool_size=THREADS, max_overflow=0)


def engine_through(connection: sqlite3.Connection) -> Engine:
    """An engine to look at a file through the one connection that still has it; others wait for that."""
    wanted = pragmas(journal_here(), query_only=True)
    return _engine(Path(), "BEGIN", wanted, creator=lambda: connection, pool_size=1, max_overflow=0)


def migrating_engine(path: Path) -> Engine:
    """The engine for a change of schema.

    Foreign keys are off, and that before BEGIN, where the pragma still acts: rebuilding a table
    would otherwise delete what refers to it.
    """
    wanted = pragmas(journal_here(), foreign_keys=False)
    return _engine(path, "BEGIN IMMEDIATE", wanted, creator=lambda: connect(path, "rwc"), poolclass=NullPool)


def journal_here() -> Journal:
    """How this computer's SQLite keeps a commit."""
    return journal_for(sqlite3.sqlite_version_info[:3])


def connect(path: Path, access: str = "rw") -> sqlite3.Connection:
    """A connection to a file that is there: only with "rwc" is one made. It may be used by any thread.

    Without this, a connection to a file that was deleted meanwhile would make an empty one in its place.
    """
    address = f"{path.absolute().as_uri()}?mode={access}"
    return sqlite3.connect(address, uri=True, timeout=WAIT_MS / 1_000, check_same_thread=False)


def _engine(path: Path, begin: str, wanted: dict[str, int | str], **options: Any) -> Engine:
    # the address only tells SQLAlchemy that it is a file, of which a pool of connections is kept
    url = URL.create("sqlite", database=str(path))
    engine = create_engine(url, **{"creator": lambda: connect(path), **options})

    @event.listens_for(engine, "connect")
    def _connected(connection: sqlite3.Connection, _record: object) -> None:
        set_up(connection, wanted)

    @event.listens_for(engine, "begin")
    def _begun(connection: Connection) -> None:
        connection.exec_driver_sql(begin)

    return engine
