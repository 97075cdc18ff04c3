"""What a SQLite file's tables are, as the file itself says: their order, their columns, their keys."""

from __future__ import annotations

import sqlite3
from collections.abc import Iterator, Mapping, Set
from graphlib import TopologicalSorter

OF_THE_PROGRAM = {"alembic_version", "sqlite_sequence"}
"""Tables that hold nothing of the shop's: the version of the form, and the last numbers that were handed out."""
SEQUENCE = "sqlite_sequence"


def tables_of(connection: sqlite3.Connection, but: Set[str] = frozenset(OF_THE_PROGRAM)) -> list[str]:
    """The tables, those that others refer to first, but for some."""
    found = connection.execute("SELECT name FROM sqlite_schema WHERE type = 'table' ORDER BY name").fetchall()
    names = [name for (name,) in found if name not in but and not name.startswith("sqlite_")]
    parents: Mapping[str, list[str]] = {
        name: sorted({row[2] for row in connection.execute(f'PRAGMA foreign_key_list("{name}")')} - {name})
        for name in names
    }
    return [name for name in TopologicalSorter(parents).static_order() if name in parents]


def columns_of(connection: sqlite3.Connection, table: str) -> dict[str, str]:
    """The table's columns, each with its type."""
    return {row[1]: row[2] for row in connection.execute(f'PRAGMA table_info("{table}")')}


def keys_of(connection: sqlite3.Connection, table: str) -> list[str]:
    """The columns of its primary key, in their order."""
    keys = [(row[5], row[1]) for row in connection.execute(f'PRAGMA table_info("{table}")') if row[5]]
    return [name for _, name in sorted(keys)]


def rows_of(connection: sqlite3.Connection, table: str) -> Iterator[tuple[object, ...]]:
    """The table's rows, each with its columns in their order.

    They come by their keys: where those are numbers, as they were written, and always the same for the same rows.
    """
    by = ", ".join(f'"{name}"' for name in keys_of(connection, table))
    return connection.execute(f'SELECT * FROM "{table}" ORDER BY {by}')


def last_numbers(connection: sqlite3.Connection) -> dict[str, int]:
    """The last number that each table has handed out, where it has handed out any."""
    return {name: last for name, last in connection.execute(f"SELECT name, seq FROM {SEQUENCE}") if last}
