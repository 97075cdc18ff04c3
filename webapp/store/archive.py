"""The whole shop out as one open archive, and in again: every row of every table, and the issued papers.

It knows no table by name but those that are nobody's work. Whatever version wrote an archive, it is taken in by
that version's tables, brought up to date as its data would be, judged as a backup is, and put in place at once.
"""

from __future__ import annotations

import json
import sqlite3
from collections.abc import Callable, Iterator, Sequence
from contextlib import closing, contextmanager
from datetime import datetime
from pathlib import Path
from typing import Any

from sqlmodel import Session

from webapp.store import carry, places, schema
from webapp.store.archive_file import (
    Archive,
    Manifest,
    json_of,
    opened_archive,
    table_entry,
    write_archive,
)
from webapp.store.backup import back_up, keeping_in, make_backup, put_in_place, sync
from webapp.store.devices_stay import keep_devices
from webapp.store.engine import Store, hold
from webapp.store.errors import StoreError, in_our_words, named
from webapp.store.file_tables import (
    OF_THE_PROGRAM,
    SEQUENCE,
    columns_of,
    keys_of,
    last_numbers,
    rows_of,
    tables_of,
)
from webapp.store.keeping import Why
from webapp.store.restore import Restored, judged, move_in, room_for
from webapp.store.soundness import looking_at

NOBODYS_WORK = OF_THE_PROGRAM | {"device", "form_token"}
"""What the program keeps for itself: its version, forms that were sent, which other devices may come in.

Last numbers stand in the manifest.
"""
NEVER_EMPTY = {"shop"}
"""Tables whose row is there from the first."""

Row = dict[str, Any]


class ShopNotEmpty(StoreError):
    """An archive is taken in by an empty shop alone; ``has`` is a table with rows here."""

    def __init__(self, has: str) -> None:
        self.has = has
        super().__init__(
            "This shop is not empty, so no archive is taken in: nothing here is ever replaced by one. Back it up, "
            "stop the program, start it with DOVETALLY_DATA naming an empty folder, and take the archive in there."
        )


def archive_open(store: Store, file: Path) -> None:
    """Write the open store's archive to ``file``. Raises Busy, Damaged, DiskFull, CannotKeep or NotCarried."""
    if store.path is not None:
        archive(store.path, file)
        return
    with room_for(None) as room, store.reading() as session:
        copy = Path(room) / "copy.db"
        carry.to_file(carry.driver_of(session), copy)
        _write_of(copy, file)


def archive(database: Path, file: Path) -> None:
    """Write the archive of a database, which others may be using, to ``file``; it replaces what is there."""
    with room_for(database.parent) as room:
        copy = Path(room) / "copy.db"
        back_up(database, copy)
        if schema.version_of(copy) < schema.HEAD:
            with in_our_words():
                schema.migrate(copy)
        _write_of(copy, file)


def _write_of(copy: Path, file: Path) -> None:
    part = file.with_name(f".{file.name}.part")
    with keeping_in(file.parent):
        try:
            with looking_at(copy) as connection:
                _write(connection, part)
            sync(part)
            part.replace(file)
        finally:
            part.unlink(missing_ok=True)


def _write(connection: sqlite3.Connection, file: Path) -> None:
    tables, papers = _tables(connection), dict(_papers(connection))
    bodies: dict[str, Callable[[], bytes]] = {table_entry(table): _body_of(connection, table) for table in tables}
    rows = {table: connection.execute(f'SELECT count(*) FROM "{table}"').fetchone()[0] for table in tables}
    last = last_numbers(connection)
    manifest = Manifest(schema.HEAD, rows, {table: last[table] for table in tables if table in last})
    write_archive(file, manifest, bodies | papers)


def _body_of(connection: sqlite3.Connection, table: str) -> Callable[[], bytes]:
    def body() -> bytes:
        keys = keys_of(connection, table)
        lines = []
        for row in _rows(connection, table):
            said = {
                name: {"file": _paper(table, keys, row, name, value)} if isinstance(value, bytes) else value
                for name, value in row.items()
            }
            lines.append(json.dumps(said, sort_keys=True, ensure_ascii=False, allow_nan=False))
        return ("[\n" + ",\n".join(lines) + "\n]\n" if lines else "[]\n").encode()

    return body


def _papers(connection: sqlite3.Connection) -> Iterator[tuple[str, Callable[[], bytes]]]:
    """The entries of what is bytes: read one by one, for a shop's papers are more than memory should hold."""
    for table in _tables(connection):
        blobs = [name for name, kind in columns_of(connection, table).items() if kind == "BLOB"]
        keys = keys_of(connection, table)
        for blob in blobs:
            chosen = ", ".join(f'"{name}"' for name in keys)
            beginning = f'SELECT {chosen}, substr("{blob}", 1, 5) FROM "{table}"'
            for *found, start in connection.execute(beginning).fetchall():
                key = dict(zip(keys, found, strict=True))
                yield _paper(table, keys, key, blob, start), _one(connection, table, key, blob)


def _one(connection: sqlite3.Connection, table: str, key: Row, blob: str) -> Callable[[], bytes]:
    where = " AND ".join(f'"{name}" = ?' for name in key)

    def body() -> bytes:
        found: bytes = connection.execute(
            f'SELECT "{blob}" FROM "{table}" WHERE {where}', tuple(key.values())
        ).fetchone()[0]
        return found

    return body


def _paper(table: str, keys: Sequence[str], row: Row, blob: str, start: bytes) -> str:
    ending = "pdf" if start.startswith(b"%PDF") else "bin"
    return f"papers/{'-'.join([table, *(str(row[name]) for name in keys), blob])}.{ending}"


def take_in(store: Store, file: Path, where: str) -> Restored:
    """Take an archive into the open, empty store; ``where`` is what a person calls the file.

    Raises CannotOpen, NoArchive, NewerDatabase, Refused or ShopNotEmpty, and what a backup raises: then nothing
    was changed.
    """
    with store.reading() as session:  # before the file is read through, which may take long
        _refuse_unless_empty(session)
    path = store.path
    if path is None:
        with _made_of(file, where, None) as (sound, held), store.writing() as session:
            _refuse_unless_empty(session)
            connection = carry.driver_of(session)
            carry.to_server(sound, connection, frozenset(NOBODYS_WORK))
            carry.begin_life(connection)
            return Restored(held, None)
    with _made_of(file, where, path.parent) as (sound, held), store.replacing() as put:
        with store.reading() as session:
            _refuse_unless_empty(session)
        before = make_backup(path, store.moment(), Why.BEFORE_RESTORE)
        keep_devices(sound, path)
        put(sound)
        return Restored(held, before)


def take_in_stopped(database: Path, file: Path, moment: datetime) -> Restored:
    """The same while no program has the data open, or where there is none yet. Raises InUse where one has."""
    database.parent.mkdir(parents=True, exist_ok=True)
    lock = hold(database)
    try:
        with _made_of(file, str(file), database.parent) as (sound, held):
            if schema.version_of(database) == 0:
                move_in(sound, database)
                places.mark(database)
                return Restored(held, None)
            with closing(sqlite3.connect(f"{database.absolute().as_uri()}?mode=ro", uri=True)) as connection:
                has = first_with_rows(connection)
            if has is not None:
                raise ShopNotEmpty(has)
            before = make_backup(database, moment, Why.BEFORE_RESTORE)
            keep_devices(sound, database)
            put_in_place(sound, database)
            return Restored(held, before)
    finally:
        lock.release()


def is_empty(store: Store) -> bool:
    """Whether the store may take an archive in."""
    with store.reading() as session:
        return _first_in(session) is None


def _refuse_unless_empty(session: Session) -> None:
    has = _first_in(session)
    if has is not None:
        raise ShopNotEmpty(has)


def _first_in(session: Session) -> str | None:
    connection = session.connection().connection.driver_connection
    if isinstance(connection, sqlite3.Connection):
        return first_with_rows(connection)
    return carry.first_with_rows(carry.driver_of(session), NOBODYS_WORK | NEVER_EMPTY)


def first_with_rows(connection: sqlite3.Connection) -> str | None:
    """A table with rows in it that are somebody's work; None in an empty shop."""
    try:
        for table in _tables(connection):
            if table not in NEVER_EMPTY and connection.execute(f'SELECT 1 FROM "{table}" LIMIT 1').fetchone():
                return table
    except sqlite3.Error as error:
        raise (named(error) or error) from error
    return None


@contextmanager
def _made_of(file: Path, where: str, folder: Path | None) -> Iterator[tuple[Path, Any]]:
    """A sound database of this version, made of the archive, for the length of the block, and what it holds."""
    with (
        keeping_in(folder or file.parent),
        room_for(folder) as room,
        opened_archive(file, where, schema.HEAD) as opened,
    ):
        made = Path(room) / "made.db"
        with in_our_words():
            schema.make_version(made, opened.manifest.schema)
        with closing(sqlite3.connect(made, isolation_level=None)) as connection:
            connection.execute("PRAGMA synchronous=OFF")  # it is brought to the disk when it is put in place
            _fill(connection, opened)
        yield made, judged(made, Path(where))


def _fill(connection: sqlite3.Connection, opened: Archive) -> None:
    """Every row of the archive into the new database, the tables that others refer to first."""
    tables = _tables(connection)
    if set(opened.manifest.rows) != set(tables):
        odd = sorted(set(opened.manifest.rows) ^ set(tables))[0]
        raise opened.refused(f"the table {odd} is missing, or unknown in its version")
    if opened.tables != {table_entry(table) for table in tables}:
        odd = sorted(opened.tables ^ {table_entry(table) for table in tables})[0]
        raise opened.refused(f"{odd} is missing, or of no table")
    connection.execute("BEGIN")
    for table in NEVER_EMPTY:
        connection.execute(f'DELETE FROM "{table}"')
    unnamed = set(opened.manifest.last_numbers) - set(tables)
    if unnamed:
        raise opened.refused(f"there is no table {sorted(unnamed)[0]} to have a last number")
    unused = set(opened.papers)
    for table in tables:
        unused -= _fill_table(connection, opened, table)
    if unused:
        raise opened.refused(f"no row has the paper {sorted(unused)[0]}")
    connection.execute(f"DELETE FROM {SEQUENCE}")
    connection.executemany(f"INSERT INTO {SEQUENCE} VALUES (?, ?)", sorted(opened.manifest.last_numbers.items()))
    connection.execute("COMMIT")


def _fill_table(connection: sqlite3.Connection, opened: Archive, table: str) -> set[str]:
    """The table's rows; the papers that they have."""
    entry, columns = table_entry(table), list(columns_of(connection, table))
    rows = json_of(opened.where, entry, opened.read(entry))
    if not isinstance(rows, list) or len(rows) != opened.manifest.rows[table]:
        raise opened.refused(f"{entry} has not as many rows as the manifest says")
    places_for, used = ", ".join("?" * len(columns)), set[str]()
    statement = f'INSERT INTO "{table}" ({", ".join(columns)}) VALUES ({places_for})'
    for number, row in enumerate(rows, 1):
        if not isinstance(row, dict) or set(row) != set(columns):
            raise opened.refused(f"row {number} of {entry} has not the columns of its table")
        values = [_value(opened, entry, number, row[name], used) for name in columns]
        try:
            connection.execute(statement, values)
        except (sqlite3.IntegrityError, sqlite3.DataError, OverflowError, UnicodeEncodeError) as error:
            raise opened.refused(f"row {number} of {entry}: {error}") from None
    return used


def _value(opened: Archive, entry: str, number: int, value: object, used: set[str]) -> object:
    if isinstance(value, dict) and set(value) == {"file"} and value["file"] in opened.papers:
        used.add(value["file"])
        return opened.read(value["file"])
    if isinstance(value, bool | dict | list):
        raise opened.refused(f"row {number} of {entry} has a value that no column takes")
    return value


def _tables(connection: sqlite3.Connection) -> list[str]:
    """The tables that are somebody's work, those that others refer to first."""
    return tables_of(connection, NOBODYS_WORK)


def _rows(connection: sqlite3.Connection, table: str) -> Iterator[Row]:
    columns = list(columns_of(connection, table))
    for row in rows_of(connection, table):
        yield dict(zip(columns, row, strict=True))
