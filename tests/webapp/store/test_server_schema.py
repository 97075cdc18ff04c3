"""The schema on a PostgreSQL server: what migrations make of it is what they make of a file, to the last guard."""

from __future__ import annotations

import re
import sqlite3
from collections.abc import Iterator, Mapping
from contextlib import closing, contextmanager
from pathlib import Path
from typing import LiteralString

import psycopg
import pytest
from sqlalchemy import Engine, create_engine

from tests.webapp.postgresql import Cluster, Sql
from webapp.store import Store, ledger, projects, revisions, schema, tokens, trials  # noqa: F401  all tables
from webapp.store.soundness import golden_schema
from webapp.store.tables import Row

EARLIER = {number: Path(__file__).with_name(f"version_{number}.sql") for number in range(1, schema.HEAD)}

COLUMNS: LiteralString = """
    SELECT table_name || '.' || column_name, format('%s %s %s', data_type, is_nullable, column_default)
    FROM information_schema.columns WHERE table_schema = 'public' AND table_name <> 'alembic_version'
"""
CONSTRAINTS: LiteralString = """
    SELECT conrelid::regclass || '.' || conname, pg_get_constraintdef(oid) FROM pg_constraint
    WHERE connamespace = 'public'::regnamespace AND conrelid::regclass::text <> 'alembic_version'
"""
INDEXES: LiteralString = """
    SELECT indexname, indexdef FROM pg_indexes WHERE schemaname = 'public' AND tablename <> 'alembic_version'
"""
TRIGGER = re.compile(
    r"CREATE TRIGGER (?P<name>\w+) BEFORE (?P<what>UPDATE|DELETE|INSERT) ON (?P<table>\w+) .*"
    r"RAISE\(ABORT, '(?P<why>[^']+)'\)",
    re.DOTALL,
)
GUARDS = {
    text: guard
    for (kind, _), text in sorted(golden_schema().items())
    if kind == "trigger" and (guard := TRIGGER.match(text))
}
"""The triggers of a file, each with its name, table, change and message."""
KEPT = sorted({guard["table"] for guard in GUARDS.values() if guard["what"] == "DELETE"})


@contextmanager
def engine_on(cluster: Cluster, name: str) -> Iterator[Engine]:
    engine = create_engine(cluster.url(name))
    try:
        yield engine
    finally:
        engine.dispose()


@pytest.fixture
def sql(cluster: Cluster) -> Iterator[Sql]:
    """A connection of one's own to a migrated database."""
    with cluster.copy("empty", lambda _session: None) as name, closing(cluster.connect(name)) as connection:
        yield connection


def made_of(connection: Sql, what: LiteralString) -> Mapping[object, object]:
    return {row[0]: row[1] for row in connection.execute(what)}


@pytest.mark.parametrize("what", [COLUMNS, CONSTRAINTS, INDEXES], ids=["columns", "constraints", "indexes"])
def test_migrations_make_on_a_server_what_the_tables_declare(
    cluster: Cluster, sql: Sql, what: LiteralString
) -> None:
    with cluster.empty() as name:
        with engine_on(cluster, name) as engine:
            Row.metadata.create_all(engine)
        with closing(cluster.connect(name)) as declared:
            assert made_of(sql, what) == made_of(declared, what)


def test_every_trigger_of_a_file_is_read_here() -> None:
    assert list(GUARDS) == [text for (kind, _), text in sorted(golden_schema().items()) if kind == "trigger"]


@pytest.mark.parametrize("guard", GUARDS.values(), ids=lambda guard: str(guard["name"]))
def test_a_server_has_every_guard_that_a_file_has(sql: Sql, guard: re.Match[str]) -> None:
    name, what, table, why = guard["name"], guard["what"], guard["table"], guard["why"]
    # those for a change of any row stand for both of a file's in one, and for TRUNCATE
    guards = sql.execute(
        "SELECT pg_get_functiondef(tgfoid) FROM pg_trigger WHERE tgrelid = %s::regclass AND NOT tgisinternal "
        "AND tgenabled = 'O' AND (tgtype & %s) <> 0 AND (tgtype & 2) <> 0",
        (table, {"INSERT": 4, "DELETE": 8, "UPDATE": 16}[what]),
    ).fetchall()
    assert any(why in str(made) for (made,) in guards), f"{name} is missing on a server"


@pytest.mark.parametrize("table", KEPT)
def test_a_server_refuses_to_change_what_is_kept(sql: Sql, table: str) -> None:
    column = next(iter(Row.metadata.tables[table].columns)).name
    for change in (
        f"UPDATE {table} SET {column} = {column}",
        f"DELETE FROM {table}",
        f"TRUNCATE {table} CASCADE",
    ):
        with pytest.raises(psycopg.errors.RaiseException, match="stays as it is"):
            sql.execute(change.encode())


def rows_of(connection: sqlite3.Connection) -> dict[str, list[tuple[object, ...]]]:
    """The rows of every table of a file, with their columns in the order of the alphabet."""
    tables = [name for (name,) in connection.execute("SELECT name FROM sqlite_schema WHERE type = 'table'")]
    found = {}
    for table in tables:
        if not table.startswith(("sqlite_", "alembic_")):
            columns = sorted(row[1] for row in connection.execute(f"PRAGMA table_info({table})"))
            listed = ", ".join(f'"{name}"' for name in columns)
            found[f"{table} ({listed})"] = sorted(connection.execute(f"SELECT {listed} FROM {table}"), key=repr)
    return found


def fill(connection: Sql, rows: Mapping[str, list[tuple[object, ...]]]) -> None:
    """Put rows into a server's tables as they are, as if it were its own copy: no guard looks at them."""
    connection.execute("SET session_replication_role = replica")
    for table, values in rows.items():
        connection.execute(f"DELETE FROM {table.split()[0]}".encode())
        for each in values:
            connection.execute(f"INSERT INTO {table} VALUES ({', '.join(['%s'] * len(each))})".encode(), each)
    connection.execute("RESET session_replication_role")


@pytest.mark.parametrize("version", EARLIER)
def test_an_earlier_shop_becomes_on_a_server_what_it_becomes_in_a_file(
    cluster: Cluster, tmp_path: Path, version: int
) -> None:
    file = tmp_path / "earlier.db"
    with closing(sqlite3.connect(file)) as connection:
        connection.executescript(EARLIER[version].read_text(encoding="utf-8"))
        before = rows_of(connection)
    Store.open(file).close()
    with closing(sqlite3.connect(file)) as connection:
        wanted = rows_of(connection)
    with cluster.empty() as name:
        with engine_on(cluster, name) as engine, engine.begin() as made:
            schema.upgrade(made, f"{version:04}")
        with closing(cluster.connect(name)) as connection:
            fill(connection, before)
            Store.open(cluster.url(name)).close()
            for table, values in wanted.items():
                columns = table.split(" ", 1)[1].strip("()")
                found = connection.execute(f"SELECT {columns} FROM {table.split()[0]}".encode()).fetchall()
                assert sorted(found, key=repr) == values, table
