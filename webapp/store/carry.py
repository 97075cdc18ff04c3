"""Every row of a shop from a file to a server or from a server to a file, read back and held to what it was.

It knows no table by name: a new one is carried without a line. Both sides are of this version.
"""

from __future__ import annotations

import hashlib
import sqlite3
from collections.abc import Iterable, Iterator, Mapping, Sequence, Set
from contextlib import closing, contextmanager
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, cast

from sqlmodel import Session

from webapp.store import schema
from webapp.store.errors import StoreError, Unreachable, named
from webapp.store.file_tables import (
    OF_THE_PROGRAM,
    SEQUENCE,
    columns_of,
    keys_of,
    last_numbers,
    rows_of,
    tables_of,
)
from webapp.store.soundness import looking_at

if TYPE_CHECKING:
    from psycopg import Connection

Row = Sequence[object]
_AT_ONCE = 200
"""Rows that are fetched from a server at once; some hold a whole paper."""


class NotCarried(StoreError):
    """A table that came out otherwise than it went in, or has a value that the other side cannot keep."""

    def __init__(self, table: str, why: str) -> None:
        self.table, self.why = table, why
        super().__init__(f"The table {table} cannot be moved: {why}. Nothing was moved.")


@dataclass(frozen=True, slots=True)
class Content:
    """What a table holds: how many rows, the last number it gave, and a sum that any other row would change.

    The sum is over the SHA-256 of every row, whole papers among them, whatever the order of the rows.
    """

    rows: int
    last: int
    sum: str


Contents = Mapping[str, Content]
"""The contents of a shop, by table."""


def driver_of(session: Session) -> Connection[Row]:
    """The server's own connection that a session goes through, in the session's transaction."""
    return cast("Connection[Row]", session.connection().connection.driver_connection)


def to_server(file: Path, connection: Connection[Row], but: Set[str] = frozenset()) -> Contents:
    """Put what a sound file holds in place of what the tables of an empty shop hold; what was carried.

    ``but`` names tables that stay as they are. All is done in the connection's transaction. Raises NotCarried.
    """
    with _named(), looking_at(file) as source:
        tables = [table for table in tables_of(source) if table not in but]
        for table in reversed(tables):
            if _holds(connection, table):
                _run(connection, f'DELETE FROM "{table}"')
        last = last_numbers(source)
        for table in tables:
            _copy_in(connection, table, list(columns_of(source, table)), rows_of(source, table))
            _go_on_after(connection, table, last.get(table, 0))
        wanted = {table: _content(rows_of(source, table), last.get(table, 0)) for table in tables}
        found = {
            table: _content(
                _rows_on(connection, table, list(columns_of(source, table))), _last_on(connection, table)
            )
            for table in tables
        }
    _refuse_differences(wanted, found)
    return wanted


def to_file(connection: Connection[Row], file: Path) -> Contents:
    """Make ``file`` a database of what the server holds, as ``connection`` sees it; what was carried.

    Raises NotCarried.
    """
    schema.make_version(file, schema.HEAD)
    with _named(), closing(sqlite3.connect(file, isolation_level=None)) as target:
        target.execute("PRAGMA synchronous=OFF")  # it is brought to the disk when it is put in place
        target.execute("PRAGMA foreign_keys=ON")
        target.execute("BEGIN")
        tables = tables_of(target)
        for table in reversed(tables):
            target.execute(f'DELETE FROM "{table}"')
        last = {table: _last_on(connection, table) for table in tables}
        wanted = {}
        for table in tables:
            columns, keys = list(columns_of(target, table)), keys_of(target, table)
            taking = _Taking(_rows_on(connection, table, columns, keys))
            places = ", ".join("?" * len(columns))
            try:
                target.executemany(f'INSERT INTO "{table}" ({_listed(columns)}) VALUES ({places})', taking)
            except (sqlite3.Error, OverflowError) as error:
                raise NotCarried(table, str(error)) from None
            wanted[table] = taking.content(last[table])
        target.execute(f"DELETE FROM {SEQUENCE}")
        numbered = sorted((table, number) for table, number in last.items() if number)
        target.executemany(f"INSERT INTO {SEQUENCE} VALUES (?, ?)", numbered)
        target.execute("COMMIT")
    _refuse_differences(wanted, contents_of_file(file))
    return wanted


def contents_of_file(file: Path) -> Contents:
    """What a file holds that nobody has open."""
    with looking_at(file) as source:
        last = last_numbers(source)
        return {table: _content(rows_of(source, table), last.get(table, 0)) for table in tables_of(source)}


def first_with_rows(connection: Connection[Row], but: Set[str]) -> str | None:
    """A table on the server with rows in it, but for some; None where there is none."""
    listed = "SELECT tablename FROM pg_tables WHERE schemaname = current_schema() ORDER BY tablename"
    names = [str(name) for (name,) in connection.execute(listed)]
    wanted = (name for name in names if name not in but | OF_THE_PROGRAM)
    return next((name for name in wanted if _holds(connection, name)), None)


def begin_life(connection: Connection[Row]) -> None:
    """Make the table of the version anew: by its number every station knows that other data is here now."""
    _run(connection, "ALTER TABLE alembic_version RENAME TO version_before")
    _run(connection, "CREATE TABLE alembic_version (LIKE version_before)")
    _run(connection, "INSERT INTO alembic_version SELECT * FROM version_before")
    _run(connection, "DROP TABLE version_before")
    _run(connection, "ALTER TABLE alembic_version ADD CONSTRAINT alembic_version_pkc PRIMARY KEY (version_num)")


@contextmanager
def _named() -> Iterator[None]:
    """What the server's driver raises in the block, in our words."""
    from psycopg import Error, OperationalError

    try:
        yield
    except Error as error:
        ours = named(error) or (Unreachable() if isinstance(error, OperationalError) else None)
        raise (ours or error) from error


class _Taking:
    """Rows on their way, added up as they pass."""

    def __init__(self, rows: Iterable[Row]) -> None:
        self._rows = rows
        self._sums: list[bytes] = []

    def __iter__(self) -> Iterator[Row]:
        for row in self._rows:
            self._sums.append(_sum(row))
            yield row

    def content(self, last: int) -> Content:
        return Content(len(self._sums), last, hashlib.sha256(b"".join(sorted(self._sums))).hexdigest())


def _content(rows: Iterable[Row], last: int) -> Content:
    taking = _Taking(rows)
    for _ in taking:
        pass
    return taking.content(last)


def _sum(row: Row) -> bytes:
    told = [hashlib.sha256(value).digest() if isinstance(value, bytes) else value for value in row]
    return hashlib.sha256(repr(told).encode("utf-8", "surrogatepass")).digest()


def _refuse_differences(wanted: Contents, found: Contents) -> None:
    for table, content in wanted.items():
        if found.get(table) != content:
            raise NotCarried(table, "it does not read back as it was")


def _copy_in(connection: Connection[Row], table: str, columns: Sequence[str], rows: Iterable[Row]) -> None:
    from psycopg import DataError, IntegrityError

    try:
        with (
            connection.cursor() as cursor,
            cursor.copy(f'COPY "{table}" ({_listed(columns)}) FROM STDIN'.encode()) as copy,
        ):
            for row in rows:
                copy.write_row(row)
    except (DataError, IntegrityError) as error:
        raise NotCarried(table, str(error).splitlines()[0]) from None


def _rows_on(
    connection: Connection[Row], table: str, columns: Sequence[str], keys: Sequence[str] = ()
) -> Iterator[Row]:
    by = f" ORDER BY {_listed(keys)}" if keys else ""
    with connection.cursor(name="carried") as cursor:
        cursor.itersize = _AT_ONCE
        yield from cursor.execute(f'SELECT {_listed(columns)} FROM "{table}"{by}'.encode())


def _listed(columns: Sequence[str]) -> str:
    return ", ".join(f'"{name}"' for name in columns)


def _holds(connection: Connection[Row], table: str) -> bool:
    return connection.execute(f'SELECT 1 FROM "{table}" LIMIT 1'.encode()).fetchone() is not None


def _run(connection: Connection[Row], statement: str) -> None:
    connection.execute(statement.encode())


def _sequence(connection: Connection[Row], table: str) -> str | None:
    """What hands the table's numbers out; None where they are not handed out."""
    numbered = connection.execute(
        "SELECT pg_get_serial_sequence(%s, column_name) FROM information_schema.columns "
        "WHERE table_schema = current_schema() AND table_name = %s AND column_default LIKE 'nextval(%%'",
        (f'"{table}"', table),
    ).fetchone()
    return None if numbered is None or numbered[0] is None else str(numbered[0])


def _last_on(connection: Connection[Row], table: str) -> int:
    """The last number that the table has handed out; 0 before the first."""
    sequence = _sequence(connection, table)
    if sequence is None:
        return 0
    found = connection.execute(f"SELECT last_value, is_called FROM {sequence}".encode()).fetchone()
    assert found is not None
    value, called = found
    return int(str(value)) - (0 if called else 1)


def _go_on_after(connection: Connection[Row], table: str, last: int) -> None:
    sequence = _sequence(connection, table)
    if sequence is not None:
        # unlike setval this is undone with the transaction
        _run(connection, f"ALTER SEQUENCE {sequence} RESTART WITH {last + 1}")
