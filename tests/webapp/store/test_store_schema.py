"""The schema: what migrations make, what they refuse, what the tables themselves refuse."""

from __future__ import annotations

import shutil
import sqlite3
from collections.abc import Iterator
from concurrent.futures import ThreadPoolExecutor
from contextlib import closing
from pathlib import Path

import pytest
from sqlalchemy import Engine, create_engine, event
from sqlalchemy.dialects import sqlite as sqlite_dialect
from sqlalchemy.exc import StatementError
from store_samples import issue_head, joint, project, section

from domain.lengths import Length
from domain.spec.catalogue import Plug
from webapp.store import Store, catalogue, issues, projects, schema, tokens
from webapp.store.errors import Damaged, ForeignDatabase, NewerDatabase
from webapp.store.migrations import versions
from webapp.store.sqlite import APPLICATION_ID, migrating_engine
from webapp.store.tables import PlugRow, Row

GOLDEN = Path(__file__).with_name("golden_schema.sql")
VERSION_1 = Path(__file__).with_name("version_1.sql")
NEWEST = schema.HEAD


def schema_of(file: Path, *, but: str = "") -> list[str]:
    with closing(sqlite3.connect(file)) as connection:
        found = connection.execute("SELECT sql FROM sqlite_schema WHERE sql IS NOT NULL AND tbl_name <> ?", (but,))
        return sorted("\n".join(line.rstrip() for line in sql.splitlines()).strip() for (sql,) in found)


def test_migrations_make_the_golden_schema(store: Store, file: Path) -> None:
    # After a new revision: read the difference, then write this text anew by hand.
    assert "\n;\n".join(schema_of(file)) == GOLDEN.read_text(encoding="utf-8").strip()


def test_migrations_make_what_the_tables_declare(store: Store, file: Path, tmp_path: Path) -> None:
    declared = tmp_path / "declared.db"
    engine = create_engine(f"sqlite:///{declared.as_posix()}")
    Row.metadata.create_all(engine)
    engine.dispose()
    made = [sql for sql in schema_of(file, but="alembic_version") if not sql.startswith("CREATE TRIGGER")]
    assert made == schema_of(declared)  # triggers are the migrations' own; the golden schema holds them


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
    monkeypatch.setattr(schema, "HEAD", NEWEST + 1)


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


def rows_of(file: Path) -> dict[str, list[tuple[object, ...]]]:
    """Every table of a database of version 1, row by row."""
    tables = ("project", "assembly", "section", "section_length", "plug", "shop", "form_token", "sqlite_sequence")
    with closing(sqlite3.connect(file)) as connection:
        return {table: connection.execute(f"SELECT * FROM {table} ORDER BY 1, 2").fetchall() for table in tables}


@pytest.fixture
def version_1(file: Path) -> Path:
    """A database as the first released schema kept it, with rows in every table."""
    with closing(sqlite3.connect(file)) as connection:
        connection.executescript(VERSION_1.read_text(encoding="utf-8"))
    return file


def test_a_database_of_version_1_is_brought_up_to_date_without_losing_a_row(version_1: Path) -> None:
    before = rows_of(version_1)
    assert all(before.values())
    with closing(Store.open(version_1)) as opened, opened.reading() as session:
        loaded = [projects.load_project(session, head.id) for head in projects.list_projects(session)]
        assert [len(each.assemblies) for each in loaded] == [2, 5]
        assert issues.list_issues(session) == ()
    assert rows_of(version_1) == before
    assert "\n;\n".join(schema_of(version_1)) == GOLDEN.read_text(encoding="utf-8").strip()
    copy = version_1.with_name(f"shop.db.before-version-{NEWEST}")
    assert rows_of(copy) == before


@pytest.mark.parametrize("step", ["issue", "issued_document", "TRIGGER issue_no_update", "TRIGGER issue_in_turn"])
def test_a_migration_cut_anywhere_leaves_version_1(
    version_1: Path, monkeypatch: pytest.MonkeyPatch, step: str
) -> None:
    """The disk fails at one statement of the migration; the next start finds the old database and succeeds."""
    before, old_schema = rows_of(version_1), schema_of(version_1)

    def failing(path: Path) -> Engine:
        engine = migrating_engine(path)

        @event.listens_for(engine, "before_cursor_execute")
        def _cut(_connection: object, _cursor: object, statement: str, *_rest: object) -> None:
            if statement.split("(")[0].strip().endswith(step) or f"CREATE {step} " in statement:
                raise OSError(step)

        return engine

    monkeypatch.setattr(schema, "migrating_engine", failing)
    with pytest.raises(OSError, match=step):
        Store.open(version_1)
    monkeypatch.undo()
    assert (rows_of(version_1), schema_of(version_1)) == (before, old_schema)
    Store.open(version_1).close()
    assert rows_of(version_1) == before


def test_a_backup_that_was_cut_short_is_replaced(store: Store, file: Path, tmp_path: Path) -> None:
    copy = tmp_path / "copy.db"
    (tmp_path / "copy.db.part").write_bytes(b"half a backup")
    schema.back_up(file, copy)
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
    store = Store.open(file)
    with store.writing() as session:
        projects.create_project(session, project(joint()))
        catalogue.create_section(session, section(), {Length.from_mm(16): 12})
        catalogue.create_plug(session, Plug(material="oak", height=3), 5)
        tokens.once(session, "a-form-token-0001", lambda: "/")
        issues.add_issue(session, issue_head(), "{}", {("schedule", "A4"): b"%PDF"})
    store.close()
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
    ("section", "oversize_tip_diameter = tip_diameter"),
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
    ("shop", "revision = 0"),
    ("form_token", "token = ''"),
    ("issue", "project_id = 0"),
    ("issue", "number = 0"),
    ("issue", "project_name = ''"),
    ("issue", "program = ''"),
    ("issue", "templates = 'abc'"),
    ("issue", "snapshot_sha256 = ''"),
    ("issued_document", "issue_id = 99"),
    ("issued_document", "kind = ''"),
    ("issued_document", "paper = ''"),
    ("issued_document", "sha256 = 'abc'"),
    ("issued_document", "body = x''"),
]


@pytest.mark.parametrize(("table", "change"), OUT_OF_RANGE)
def test_sqlite_itself_refuses_what_is_out_of_range(filled: sqlite3.Connection, table: str, change: str) -> None:
    filled.execute("PRAGMA foreign_keys=ON")
    with pytest.raises(sqlite3.IntegrityError, match=r"CHECK|FOREIGN KEY"):
        filled.execute(f"UPDATE {table} SET {change}")


def test_every_check_has_a_case_above() -> None:
    checks = sum("CHECK (" in line for line in GOLDEN.read_text(encoding="utf-8").splitlines())
    assert len(OUT_OF_RANGE) >= checks


def test_a_length_is_never_bound_as_a_bare_number(store: Store) -> None:
    with pytest.raises(StatementError), store.writing() as session:
        session.add(PlugRow(material="oak", height=3))
