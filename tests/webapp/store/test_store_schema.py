"""The schema: what migrations make, what they refuse, what the tables themselves refuse."""

from __future__ import annotations

import shutil
import sqlite3
from collections.abc import Iterator
from concurrent.futures import ThreadPoolExecutor
from contextlib import closing
from pathlib import Path
from typing import Any

import pytest
from sqlalchemy import Engine, create_engine, event
from sqlalchemy.dialects import sqlite as sqlite_dialect
from sqlalchemy.exc import StatementError

from domain.spec.job import Stage
from tests.webapp.store.filled import fill
from tests.webapp.store.store_samples import joint, make_up_a_version, project
from webapp.store import (  # noqa: F401  all tables
    Store,
    catalogue,
    ledger,
    projects,
    quotes,
    revisions,
    schema,
    tokens,
    trials,
)
from webapp.store.backup import back_up
from webapp.store.errors import Damaged, ForeignDatabase, NewerDatabase
from webapp.store.migrations import versions
from webapp.store.soundness import golden_schema, schema_text
from webapp.store.sqlite import APPLICATION_ID, migrating_engine
from webapp.store.tables import PlugRow, Row

GOLDEN = schema_text(golden_schema())
EARLIER = {number: Path(__file__).with_name(f"version_{number}.sql") for number in range(1, schema.HEAD)}
NEWEST = schema.HEAD


def schema_of(file: Path, *, but: str = "") -> list[str]:
    with closing(sqlite3.connect(file)) as connection:
        found = connection.execute("SELECT sql FROM sqlite_schema WHERE sql IS NOT NULL AND tbl_name <> ?", (but,))
        return sorted("\n".join(line.rstrip() for line in sql.splitlines()).strip() for (sql,) in found)


def test_migrations_make_the_golden_schema(store: Store, file: Path) -> None:
    # After a new revision: read the difference, then write this text anew by hand.
    assert "\n;\n".join(schema_of(file)) == GOLDEN


def test_migrations_make_what_the_tables_declare(store: Store, file: Path, tmp_path: Path) -> None:
    declared = tmp_path / "declared.db"
    engine = create_engine(f"sqlite:///{declared.as_posix()}")
    Row.metadata.create_all(engine)
    engine.dispose()
    made = [sql for sql in schema_of(file, but="alembic_version") if not sql.startswith("CREATE TRIGGER")]
    # triggers are the migrations' own; the golden schema holds them. A column that was added stands in the
    # line of the one before it.
    assert [sql.split() for sql in made] == [sql.split() for sql in schema_of(declared)]


def test_the_newest_revision_is_the_one_that_the_program_asks_for(store: Store, file: Path) -> None:
    numbers = [int(name.stem[1:5]) for name in Path(versions.__path__[0]).glob("v*.py")]
    assert max(numbers) == schema.HEAD
    with closing(sqlite3.connect(file)) as connection:
        assert connection.execute("SELECT version_num FROM alembic_version").fetchall() == [(f"{schema.HEAD:04}",)]
        assert connection.execute("PRAGMA user_version").fetchone() == (schema.HEAD,)
        assert connection.execute("PRAGMA application_id").fetchone() == (APPLICATION_ID,)


def test_opening_at_once_migrates_once(file: Path) -> None:
    with ThreadPoolExecutor(8) as pool:
        for store in pool.map(lambda _: Store.open(file), range(8)):
            with store.reading() as session:
                assert projects.list_projects(session) == ()
            store.close()


def test_a_newer_database_is_refused_and_left_alone(store: Store, file: Path) -> None:
    store.close()
    with closing(sqlite3.connect(file)) as connection:
        connection.execute(f"PRAGMA user_version={schema.HEAD + 1}")
    before = file.read_bytes()
    with pytest.raises(NewerDatabase, match=r"is of version \d+.*install the newer Dovetally"):
        Store.open(file)
    assert file.read_bytes() == before


def test_another_programs_database_is_refused_and_left_alone(file: Path) -> None:
    with closing(sqlite3.connect(file)) as connection:
        connection.execute("CREATE TABLE recipe (id INTEGER)")
    before = file.read_bytes()
    with pytest.raises(ForeignDatabase, match="not a Dovetally database"):
        Store.open(file)
    assert file.read_bytes() == before


def test_an_empty_file_becomes_a_database(file: Path) -> None:
    file.touch()
    Store.open(file).close()
    assert len(schema_of(file)) > 5


def older(file: Path) -> None:
    """Make the schema look one version older, so that opening has something to migrate."""
    with closing(sqlite3.connect(file)) as connection:
        connection.execute(f"PRAGMA user_version={NEWEST}")


@pytest.fixture
def next_version(monkeypatch: pytest.MonkeyPatch) -> None:
    make_up_a_version(monkeypatch)


def add_a_column(connection: object) -> None:
    connection.exec_driver_sql("ALTER TABLE project ADD COLUMN colour TEXT")  # type: ignore[attr-defined]


@pytest.mark.usefixtures("next_version")
def test_an_older_database_is_backed_up_before_it_is_changed(
    store: Store, file: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    with store.writing() as session:
        projects.create_project(session, project(joint()))
    store.close()
    older(file)
    before = schema_of(file)
    monkeypatch.setattr(schema, "upgrade", add_a_column)
    with closing(Store.open(file)) as opened, opened.reading() as session:
        assert len(projects.list_projects(session)) == 1
    copy = file.with_name(f"shop.db.before-version-{NEWEST + 1}")
    assert schema_of(copy) == before != schema_of(file)
    with closing(sqlite3.connect(copy)) as connection:
        assert connection.execute("SELECT name FROM project").fetchall() == [("Window seat",)]
        assert connection.execute("PRAGMA user_version").fetchone() == (NEWEST,)
    assert not copy.with_name(copy.name + ".part").exists()


@pytest.mark.usefixtures("next_version")
@pytest.mark.parametrize("fault", ["raise", "orphan"])
def test_a_migration_that_fails_leaves_the_older_database(
    store: Store, file: Path, monkeypatch: pytest.MonkeyPatch, fault: str
) -> None:
    with store.writing() as session:
        projects.create_project(session, project(joint()))
    store.close()
    older(file)
    before = schema_of(file)

    def half_way(connection: object) -> None:
        add_a_column(connection)
        if fault == "raise":
            raise ZeroDivisionError
        connection.exec_driver_sql("DELETE FROM project")  # type: ignore[attr-defined] # its assembly stays

    monkeypatch.setattr(schema, "upgrade", half_way)
    with pytest.raises(ZeroDivisionError if fault == "raise" else Damaged):
        Store.open(file)
    assert schema_of(file) == before
    with closing(sqlite3.connect(file)) as connection:
        assert connection.execute("SELECT count(*) FROM project").fetchone() == (1,)


@pytest.mark.usefixtures("next_version")
def test_rebuilding_a_table_does_not_delete_what_refers_to_it(
    store: Store, file: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    with store.writing() as session:
        projects.create_project(session, project(joint("A"), joint("B")))
    store.close()
    older(file)

    def rebuild(connection: object) -> None:
        run = connection.exec_driver_sql  # type: ignore[attr-defined]
        run("CREATE TABLE rebuilt AS SELECT * FROM project")
        run("DROP TABLE project")  # with foreign keys on, this would take the assemblies along
        run("CREATE TABLE project AS SELECT * FROM rebuilt")
        run("CREATE UNIQUE INDEX project_id ON project (id)")
        run("DROP TABLE rebuilt")

    monkeypatch.setattr(schema, "upgrade", rebuild)
    Store.open(file).close()
    with closing(sqlite3.connect(file)) as connection:
        assert connection.execute("SELECT count(*) FROM assembly").fetchone() == (2,)


Rows = dict[str, tuple[list[str], list[tuple[object, ...]]]]


def rows_of(file: Path, like: Rows | None = None) -> Rows:
    """Every table, row by row, with the names of its columns; or those tables and columns that ``like`` has."""
    with closing(sqlite3.connect(file)) as connection:
        found = connection.execute("SELECT name FROM sqlite_schema WHERE type = 'table'").fetchall()
        tables = like if like is not None else [name for (name,) in found if name != "alembic_version"]
        rows: Rows = {}
        for table in tables:
            columns = [name for (name,) in connection.execute("SELECT name FROM pragma_table_info(?)", (table,))]
            if like is not None:
                columns = [name for name in columns if name in like[table][0]]
            listed = ", ".join(columns)
            rows[table] = columns, connection.execute(f"SELECT {listed} FROM {table} ORDER BY {listed}").fetchall()
        return rows


@pytest.fixture(params=list(EARLIER))
def earlier(request: pytest.FixtureRequest, file: Path) -> Path:
    """A database as an earlier released schema kept it, with rows in every table."""
    with closing(sqlite3.connect(file)) as connection:
        connection.executescript(EARLIER[request.param].read_text(encoding="utf-8"))
        assert connection.execute("PRAGMA user_version").fetchone() == (request.param,)
    return file


TABLES = {"issue": "revision", "issued_document": "revision_document"}
COLUMNS = {"oversize_tip_diameter": "free_tip_diameter", "issue_id": "revision_id"}
CUTTERS = {"standard": "close", "oversize": "free"}
KIND = {'{"kind":"loose_joint",': '{"kind":"single_joint",'}
IN_TEXT = {
    "rules_json": {"{}": '{"stroke":85}'},
    "sections_json": {'"oversize_tip_diameter":': '"free_tip_diameter":'},
    "starts_json": {f'"cutter":"{old}"': f'"cutter":"{new}"' for old, new in CUTTERS.items()},
    "spec_json": {f'"cutter":"{old}"': f'"cutter":"{new}"' for old, new in CUTTERS.items()} | KIND,
}


def in_todays_words(rows: Rows) -> Rows:
    """Rows as an earlier version kept them, under the names that this one has for the same."""
    columns = {"shop": {"revision": "edition"}}
    return {
        TABLES.get(table, table): (
            [columns.get(table, COLUMNS).get(name, name) for name in names],
            [_line_in_todays_words(names, line) for line in lines],
        )
        for table, (names, lines) in rows.items()
    }


def _line_in_todays_words(names: list[str], line: tuple[object, ...]) -> tuple[object, ...]:
    def value(name: str, old: object) -> object:
        if name == "cutter":
            return CUTTERS.get(str(old), old)
        if name == "kind" and old == "loose_joint":
            return "single_joint"
        if name == "name" and old in TABLES:
            return TABLES[str(old)]  # where SQLite keeps the last number of each table
        for was, now in IN_TEXT.get(name, {}).items():
            old = old.replace(was, now) if isinstance(old, str) else old
        return old

    return tuple(map(value, names, line))


def in_order(rows: Rows) -> Rows:
    """The same rows, in an order that goes by what is in them alone."""
    return {table: (names, sorted(lines, key=repr)) for table, (names, lines) in rows.items()}


def test_an_earlier_database_is_brought_up_to_date_without_losing_a_row(earlier: Path) -> None:
    before = rows_of(earlier)
    assert all(rows for _, rows in before.values())
    with closing(Store.open(earlier)) as opened, opened.reading() as session:
        heads = {head.name: head for head in projects.list_projects(session)}
        counts = {name: len(projects.load_project(session, head.id).assemblies) for name, head in heads.items()}
        newer = {"Bandsaw stand": 2} if "trial" in before else {}
        assert counts == {"Window seat": 2, "Everything": 5} | newer
        gone = {"Everything"} if newer else set()
        assert {name for name, head in heads.items() if head.stage is not Stage.PLANNED} == gone
        kept = sum(len(before[name][1]) for name in ("issue", "revision") if name in before)
        assert len(revisions.list_revisions(session)) == kept
    expected = in_todays_words(before)
    after = rows_of(earlier, expected)
    after["sqlite_sequence"][1][:] = [row for row in after["sqlite_sequence"][1] if row[0] in expected]
    assert in_order(after) == in_order(expected)
    assert "\n;\n".join(schema_of(earlier)) == GOLDEN
    copy = earlier.with_name(f"shop.db.before-version-{NEWEST}")
    assert rows_of(copy) == before


CUT_AT = {
    1: [
        "issue",
        "revision_document",
        "TRIGGER issue_no_update",
        "TRIGGER issue_in_turn",
        "project ADD COLUMN stage",
        "item",
        "movement",
        "TRIGGER movement_no_delete",
        "TRIGGER movement_order_line",
        "project ADD COLUMN starts_json TEXT",
        "trial",
        "TRIGGER tick_no_delete",
    ],
    4: [
        "section",
        "INSERT INTO section SELECT",
        "DROP TABLE trial",
        "INDEX ix_trial_section_cutter",
        "TRIGGER calibration_no_delete",
        "shop",
        "INSERT INTO revision SELECT",
        "TRIGGER revision_in_turn",
        "DROP TABLE issued_document",
        "TRIGGER revision_document_no_delete",
        "UPDATE assembly SET kind",
        "UPDATE assembly SET spec_json",
        "UPDATE moulding SET",
        "section ADD COLUMN \"end\" TEXT DEFAULT 'round' NOT NULL CONSTRAINT ck_section_end CHECK",
    ],
    10: ["project ADD COLUMN quote_json", "quote", "TRIGGER quote_document_no_delete", "TRIGGER quote_in_turn"],
    8: ["aside", "DROP TABLE item", "item", "INSERT INTO item", "DROP TABLE aside", "INSERT INTO sqlite_sequence"],
    11: ["aside", "DROP TABLE project", "project", "INSERT INTO project", "DROP TABLE aside", "photograph"],
}


@pytest.mark.parametrize(
    ("earlier", "step"),
    [(version, step) for version, steps in CUT_AT.items() for step in steps],
    indirect=["earlier"],
)
def test_a_migration_cut_anywhere_leaves_the_older_version(
    earlier: Path, monkeypatch: pytest.MonkeyPatch, step: str
) -> None:
    """The disk fails at one statement of the migration; the next start finds the old database and succeeds."""
    before, old_schema = rows_of(earlier), schema_of(earlier)

    def failing(path: Path) -> Engine:
        engine = migrating_engine(path)

        @event.listens_for(engine, "before_cursor_execute")
        def _cut(_connection: object, _cursor: object, statement: str, *_rest: object) -> None:
            starts = statement.split("(")[0].strip().endswith(step)
            named = f"CREATE {step} " in statement or f"TABLE {step} " in statement
            if starts or named or statement.startswith(step):
                raise OSError(step)

        return engine

    monkeypatch.setattr(schema, "migrating_engine", failing)
    with pytest.raises(OSError, match=step):
        Store.open(earlier)
    monkeypatch.undo()
    assert (rows_of(earlier), schema_of(earlier)) == (before, old_schema)
    Store.open(earlier).close()
    del before["sqlite_sequence"]
    expected = in_todays_words(before)
    assert in_order(rows_of(earlier, expected)) == in_order(expected)


def test_a_backup_that_was_cut_short_is_replaced(store: Store, file: Path, tmp_path: Path) -> None:
    copy = tmp_path / "copy.db"
    (tmp_path / "copy.db.part").write_bytes(b"half a backup")
    back_up(file, copy)
    assert schema_of(copy) == schema_of(file)
    shutil.copy(copy, tmp_path / "moved.db")
    Store.open(tmp_path / "moved.db").close()


def every_column() -> Iterator[tuple[str, str, str, bool]]:
    for table in Row.metadata.sorted_tables:
        for column in table.columns:
            kind = column.type.compile(sqlite_dialect.dialect())
            yield table.name, column.name, kind, bool(column.nullable)


@pytest.fixture(scope="module")
def filled(tmp_path_factory: pytest.TempPathFactory) -> Iterator[sqlite3.Connection]:
    """A database with at least one row in every table, opened by SQLite alone."""
    file = tmp_path_factory.mktemp("filled") / "shop.db"
    fill(file)
    with closing(sqlite3.connect(file, isolation_level=None)) as connection:
        for (trigger,) in connection.execute("SELECT name FROM sqlite_schema WHERE type = 'trigger'").fetchall():
            connection.execute(f"DROP TRIGGER {trigger}")  # they would refuse before the column is asked
        yield connection


WRONG: dict[str, list[object]] = {
    # A whole number put into a TEXT column becomes its digits, and digits in quotes a number: no loss.
    "TEXT": [b"\x00\xff"],
    "INTEGER": ["abc", 1.5, b"\x01", "12 mm", float("inf")],
    "BLOB": ["abc", 1, 1.5],
}


@pytest.mark.parametrize(("table", "column", "kind", "nullable"), list(every_column()))
def test_sqlite_itself_refuses_the_wrong_type(
    filled: sqlite3.Connection, table: str, column: str, kind: str, nullable: bool
) -> None:
    wrong = [*WRONG[kind]]
    if not nullable:
        wrong.append(None)
    for value in wrong:
        with pytest.raises(sqlite3.IntegrityError):
            filled.execute(f"UPDATE {table} SET {column} = ?", (value,))


OUT_OF_RANGE = [
    ("project", "name = ''"),
    ("project", "units = 'cm'"),
    ("project", "currency = 'EURO'"),
    ("project", "version = 0"),
    ("assembly", "position = -1"),
    ("assembly", "mark = ''"),
    ("assembly", "mark = 'A234567890123'"),
    ("assembly", "version = 0"),
    ("assembly", "project_id = 99"),
    ("section", "name = ''"),
    ("section", "waist = 0"),
    ("section", "half_depth = 0"),
    ("section", "flank = 0"),
    ("section", "flank = 45000001"),
    ("section", "tip_diameter = waist"),
    ("section", "free_tip_diameter = tip_diameter"),
    ("section", "drive_limit = 0"),
    ("section", "stock_from = 0"),
    ("section", "stock_to = stock_from - 1"),
    ("section", "reach_limit = 0"),
    ("section", "position = -1"),
    ("section", "version = 0"),
    ("section_length", "length = 0"),
    ("section_length", "price_minor = -1"),
    ("section_length", "section_id = 99"),
    ("plug", "material = ''"),
    ("plug", "height = 0"),
    ("plug", "price_minor = -1"),
    ("plug", "version = 0"),
    ("shop", "id = 2"),
    ("shop", "units = ''"),
    ("shop", "currency = ''"),
    ("shop", "version = 0"),
    ("shop", "edition = 0"),
    ("form_token", "token = ''"),
    ("form_token", "fingerprint = 'abc'"),
    ("device", "name = ''"),
    ("device", "role = 'owner'"),
    ("device", "secret_sha256 = 'abc'"),
    ("revision", "project_id = 0"),
    ("revision", "number = 0"),
    ("revision", "project_name = ''"),
    ("revision", "program = ''"),
    ("revision", "templates = 'abc'"),
    ("revision", "snapshot_sha256 = ''"),
    ("revision_document", "revision_id = 99"),
    ("revision_document", "kind = ''"),
    ("revision_document", "paper = ''"),
    ("revision_document", "sha256 = 'abc'"),
    ("revision_document", "body = x''"),
    ("quote", "number = 0"),
    ("quote", "project_id = 0"),
    ("quote", "project_name = ''"),
    ("quote", "currency = 'EURO'"),
    ("quote", "total_minor = -1"),
    ("quote", "valid_until = '2026-3-2'"),
    ("quote", "program = ''"),
    ("quote", "templates = 'abc'"),
    ("quote", "snapshot_sha256 = ''"),
    ("quote_document", "quote_id = 99"),
    ("quote_document", "kind = ''"),
    ("quote_document", "paper = ''"),
    ("quote_document", "sha256 = 'abc'"),
    ("quote_document", "body = x''"),
    ("project", "stage = 'begun'"),
    ("project", "due = '2026-3-2'"),
    ("project", "note = ''"),
    ("project", "stage = 'going_ahead', put_away_at = '2026-03-02T08:30:00.000000Z'"),
    ("photograph", "project_id = 99"),
    ("photograph", "mark = '" + "J" * 41 + "'"),
    ("photograph", "caption = '" + "c" * 201 + "'"),
    ("photograph", "width = 0"),
    ("photograph", "height = 0"),
    ("photograph", "sha256 = 'abc'"),
    ("photograph", "body = x''"),
    ("photograph", "body = zeroblob(4000001)"),
    ("photograph", "thumbnail = x''"),
    ("photograph", "thumbnail = zeroblob(200001)"),
    ("item", "kind = 'screw'"),
    ("item", "size = 0"),
    ("item", "size = NULL"),
    ("item", "kind = 'glue'"),
    ("item", "width = 45000000"),
    ("item", "thickness = 24000000"),
    ("item", "kind = 'bar', section = '', material = 'ash', width = 45000000"),
    ("item", "kind = 'bar', section = '', material = 'ash', thickness = 24000000"),
    ("item", "kind = 'bar', section = '', material = 'ash', width = 0, thickness = 24000000"),
    ("item", "kind = 'bar', section = '', material = 'ash', width = 45000000, thickness = 0"),
    ("item", "kind = 'bar', section = '', material = '', width = 45000000, thickness = 24000000"),
    ("item", "kind = 'sheet', material = 'birch plywood', width = 45000000, thickness = 24000000"),
    ("item", "kind = 'board', section = '', material = 'ash', thickness = 27000000"),
    ("item", "kind = 'strip', section = '', material = 'ash', size = NULL, thickness = 27000000"),
    ("item", "name = ''"),
    ("item", "minimum_stock = -1"),
    ("item", "version = 0"),
    ("supplier", "name = ''"),
    ("supplier", "currency = 'EURO'"),
    ("supplier", "shipping_minor = -1"),
    ("supplier", "minimum_order_minor = -1"),
    ("supplier", "version = 0"),
    ("offer", "item_id = 99"),
    ("offer", "supplier_id = 99"),
    ("offer", "size = 0"),
    ("offer", "lead_days = -1"),
    ("offer", "withdrawn = 2"),
    ("offer", "version = 0"),
    ("offer_price", "offer_id = 99"),
    ("offer_price", "from_day = '2026-3-2'"),
    ("offer_price", "price_minor = -1"),
    ("offer_price", "currency = ''"),
    ("placed_order", "supplier_id = 99"),
    ("placed_order", "number = 0"),
    ("placed_order", "supplier_name = ''"),
    ("placed_order", "currency = ''"),
    ("placed_order", "shipping_minor = -1"),
    ("order_line", "order_id = 99"),
    ("order_line", "item_id = 99"),
    ("order_line", "position = 0"),
    ("order_line", "size = 0"),
    ("order_line", "packs = 0"),
    ("order_line", "price_minor = -1"),
    ("order_line", "lead_days = -1"),
    ("order_line", "due = ''"),
    ("order_project", "order_id = 99"),
    ("order_project", "project_name = ''"),
    ("order_end", "order_id = 99"),
    ("movement", "item_id = 99"),
    ("movement", "order_line_id = 99"),
    ("movement", "kind = 'lost', order_line_id = NULL"),
    ("movement", "kind = 'adjusted'"),
    ("movement", "project_id = 0, kind = 'used', on_hand = -1, order_line_id = NULL"),
    ("movement", "project_id = 1"),
    ("movement", "kind = 'used', on_hand = -1, order_line_id = NULL"),
    ("movement", "counted = 100"),
    ("movement", "kind = 'counted', counted = -1, order_line_id = NULL"),
    ("movement", "on_hand = 0"),
    ("movement", "on_hand = -5"),
    ("movement", "reserved = 1"),
    ("movement", "needed = 1"),
    ("trial", "section = ''"),
    ("trial", "cutter = 'spare'"),
    ("trial", "tip_diameter = 0"),
    ("trial", "species = ''"),
    ("trial", "thickness = 0"),
    ("trial", "projection = 0"),
    ("trial", "depth = 0"),
    ("trial", "fence_reading = -1"),
    ("trial", "outcome = 'splendid', gap = NULL"),
    ("trial", "gap = NULL"),
    ("trial", "gap = 0"),
    ("trial", "outcome = 'snug'"),
    ("trial", "stopped_at = 1"),
    ("trial", "outcome = 'stopped', gap = NULL"),
    ("trial", "outcome = 'stopped', gap = NULL, stopped_at = depth"),
    ("trial", "outcome = 'stopped', gap = NULL, stopped_at = -1"),
    ("trial", "day = '2026-3-2'"),
    ("trial_withdrawn", "trial_id = 99"),
    ("accepted_start", "section = ''"),
    ("accepted_start", "cutter = ''"),
    ("accepted_start", "snug = 0"),
    ("accepted_start", "projection = snug - 1"),
    ("accepted_start", "tip_diameter = 0"),
    ("accepted_start", "day = ''"),
    ("start_trial", "start_id = 99"),
    ("start_trial", "trial_id = 99"),
    ("start_trial", "position = -1"),
    ("start_ended", "start_id = 99"),
    ("moulding", "name = ''"),
    ("moulding", "day = ''"),
    ("pattern", "name = ''"),
    ("pattern", "kind = 'joint'"),
    ("pattern", "document_json = ''"),
    ("pattern", "made_from = ''"),
    ("pattern", "version = 0"),
    ("calibration", "scale = 'clamp'"),
    ("calibration", "section = NULL"),
    ("calibration", "cutter = NULL"),
    ("calibration", "cutter = 'spare'"),
    ("calibration", "scale = 'fence'"),
    ("calibration", "reading = -1"),
    ("calibration", "measured = -1"),
    ("calibration", "day = ''"),
    ("tick", "uuid = 'abc'"),
    ("tick", "project_id = 0"),
    ("tick", "set_up = ''"),
    ("tick", "piece = ''"),
    ("tick", "count = 0"),
]


@pytest.mark.parametrize(("table", "change"), OUT_OF_RANGE)
def test_sqlite_itself_refuses_what_is_out_of_range(filled: sqlite3.Connection, table: str, change: str) -> None:
    filled.execute("PRAGMA foreign_keys=ON")
    with pytest.raises(sqlite3.IntegrityError, match=r"CHECK|FOREIGN KEY"):
        filled.execute(f"UPDATE {table} SET {change}")


def test_every_check_has_a_case_above() -> None:
    checks = sum("CHECK (" in line for line in GOLDEN.splitlines())
    assert len(OUT_OF_RANGE) >= checks


def test_a_length_is_never_bound_as_a_bare_number(store: Store) -> None:
    bare: dict[str, Any] = {"height": 3}
    with pytest.raises(StatementError), store.writing() as session:
        session.add(PlugRow(material="oak", **bare))
