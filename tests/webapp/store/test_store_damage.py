"""Damaged files: looked over at the start, opened to look at, and never written."""

from __future__ import annotations

import random
import shutil
import sqlite3
import time
from collections import Counter
from collections.abc import Callable, Iterable
from contextlib import closing
from pathlib import Path

import pytest
from sqlmodel import Session

from tests.torture import LONG, Tally
from tests.webapp.databases import Databases
from tests.webapp.store.store_samples import joint, project
from webapp.store import Store, health, items, ledger, projects, shop
from webapp.store.errors import Damaged, ForeignDatabase, NewerDatabase, NothingWritten, StoreError
from webapp.usecases.demo import load_demo_in

FLIPS = 4


def write(store: Store) -> None:
    with store.writing() as session:
        projects.create_project(session, project(joint(), name="Written"))


WRONG = {
    "a foreign trigger": (
        "CREATE TRIGGER evil AFTER INSERT ON project BEGIN UPDATE shop SET name = 'taken'; END",
        "the trigger evil does not belong there",
    ),
    "a guard that is gone": ("DROP TRIGGER movement_no_delete", "the trigger movement_no_delete is missing"),
    "a view in a table's place": (
        "CREATE VIEW leak AS SELECT * FROM shop",
        "the view leak does not belong there",
    ),
    "an index that is gone": ("DROP INDEX {index}", "the index {index} is missing"),
    "a table that is gone": ("DROP TABLE moulding", "the table moulding is missing"),
    "a row that refers to nothing": (
        "INSERT INTO section_length VALUES (4711, 16000000, 12)",
        "refers to a row of section that is not there",
    ),
    "another program's mark": ("PRAGMA application_id=0", None),
}


@pytest.mark.parametrize("wrong", WRONG)
def test_what_is_not_as_it_was_made_is_opened_only_to_look_at(store: Store, file: Path, wrong: str) -> None:
    write(store)
    store.close()
    statement, told = WRONG[wrong]
    with closing(sqlite3.connect(file, isolation_level=None)) as connection:
        index: str = connection.execute(
            "SELECT name FROM sqlite_schema WHERE type = 'index' AND sql IS NOT NULL"
        ).fetchone()[0]
        connection.execute(statement.format(index=index))
    before = file.read_bytes()
    if told is None:
        with pytest.raises(ForeignDatabase):
            Store.open(file)
    else:
        opened = Store.open(file)
        assert isinstance(opened.trouble, Damaged)
        assert told.format(index=index) in str(opened.trouble)
        with pytest.raises(NothingWritten, match="restore the last backup"):
            write(opened)
        with opened.reading() as session:
            assert [head.name for head in projects.list_projects(session)] == ["Written"]
        opened.close()
    assert file.read_bytes() == before


LOOKS: tuple[Callable[[Session], Iterable[object]], ...] = (
    projects.list_projects,
    lambda session: [projects.load_project(session, head.id) for head in projects.list_projects(session)],
    items.list_items,
    ledger.list_movements,
    lambda session: [shop.load_shop(session)],
)


def look(store: Store) -> list[StoreError]:
    """Read what there is, each list by itself; what was told of those that are damaged."""
    told = []
    for each in LOOKS:
        try:
            with store.reading() as session:
                list(each(session))
        except StoreError as error:
            told.append(error)
    return told


@pytest.mark.parametrize(
    "place",
    [("project", "stage"), ("project", "units"), ("shop", "units"), ("item", "kind"), ("movement", "kind")],
    ids=".".join,
)
def test_a_choice_that_is_none_is_told(whole: Path, tmp_path: Path, place: tuple[str, str]) -> None:
    table, column = place
    file = tmp_path / "shop.db"
    shutil.copyfile(whole, file)
    with closing(sqlite3.connect(file, isolation_level=None)) as connection:
        guards = connection.execute("SELECT name FROM sqlite_schema WHERE type = 'trigger'").fetchall()
        for (guard,) in guards:
            connection.execute(f"DROP TRIGGER {guard}")
        connection.execute("PRAGMA ignore_check_constraints=1")
        connection.execute(f"UPDATE {table} SET {column} = 'plqnned'")
    with closing(Store.open(file)) as store:
        told = look(store)
        assert told
        assert all("'plqnned' stands where one of " in str(error) for error in told)


@pytest.fixture(scope="module")
def whole(databases: Databases, tmp_path_factory: pytest.TempPathFactory) -> Path:
    file = tmp_path_factory.mktemp("whole") / "shop.db"
    with databases.opened("demo", load_demo_in, file) as store, store.writing() as session:
        projects.create_project(session, project(joint()))
    return file


def flipped(whole: Path, copy: Path, seed: int) -> None:
    """The file with four of its bits flipped, anywhere."""
    chance = random.Random(seed)
    body = bytearray(whole.read_bytes())
    for _ in range(FLIPS):
        body[chance.randrange(len(body))] ^= 1 << chance.randrange(8)
    copy.write_bytes(body)


def complaints(file: Path) -> list[str]:
    """What SQLite alone has against a file; the outside check of what was let in."""
    try:
        with closing(sqlite3.connect(f"{file.as_uri()}?mode=ro&immutable=1", uri=True)) as connection:
            connection.execute("PRAGMA cell_size_check=1")
            found = [str(line) for (line,) in connection.execute("PRAGMA integrity_check") if line != "ok"]
            return found + [str(row) for row in connection.execute("PRAGMA foreign_key_check")]
    except (sqlite3.Error, UnicodeDecodeError) as error:
        return [repr(error)]


@pytest.mark.parametrize("files", [30, pytest.param(200, marks=LONG)])
def test_damaged_files_are_never_written(whole: Path, tmp_path: Path, files: int, tally: Tally) -> None:
    """Of the files that SQLite has something against none is written, and none ends in a traceback."""
    tally("S9 damaged files: never written", files)
    outcomes: Counter[str] = Counter()
    for seed in range(files):
        file = tmp_path / str(seed) / "shop.db"
        file.parent.mkdir()
        flipped(whole, file, seed)
        before, against = file.read_bytes(), complaints(file)
        outcome = tried(file)
        outcomes[outcome] += 1
        if against:
            assert outcome in {"refused", "to look at"}, f"seed {seed} was written though {against[0]}"
        if outcome != "written":
            assert file.read_bytes() == before, seed
        shutil.rmtree(file.parent)
    assert outcomes["to look at"] + outcomes["refused"] > files // 10, outcomes


def tried(file: Path) -> str:
    """What comes of a start on the file, a look and a write."""
    try:
        store = Store.open(file)
    except StoreError:
        return "refused"
    with closing(store):
        look(store)
        try:
            write(store)
        except NothingWritten:
            return "to look at"
        except StoreError:
            return "to look at" if store.trouble else "written"
        return "written"


def test_a_large_file_is_looked_over_beside_the_work(
    store: Store, file: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    store.close()
    with closing(sqlite3.connect(file)) as connection:
        connection.execute("DROP TRIGGER tick_no_update")
    monkeypatch.setattr("webapp.store.engine.AT_ONCE", 0)
    opened = Store.open(file)
    for _ in range(500):
        if opened.checkup is not None:
            break
        time.sleep(0.01)
    assert "tick_no_update is missing" in str(opened.trouble)
    with pytest.raises(NothingWritten):
        write(opened)
    opened.close()


def test_what_was_brought_up_to_date_wrongly_is_taken_back(
    store: Store, file: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    store.close()
    with closing(sqlite3.connect(file)) as connection:
        connection.execute("PRAGMA user_version=5")
    before = complaints(file), file.read_bytes()
    monkeypatch.setattr(
        "webapp.store.schema.upgrade", lambda connection: connection.exec_driver_sql("DROP TRIGGER tick_no_update")
    )
    with pytest.raises(Damaged, match="tick_no_update is missing"):
        Store.open(file)
    assert (complaints(file), file.read_bytes()) == before


def test_a_file_is_looked_over_as_it_is(store: Store, file: Path) -> None:
    write(store)
    found = health.look_over_file(file, store._clock())
    assert found.faults == ()
    assert found.rows["project"] == 1
    store.close()
    with closing(sqlite3.connect(file)) as connection:
        connection.execute("PRAGMA user_version=99")
    with pytest.raises(NewerDatabase):
        health.look_over_file(file, store._clock())


def test_a_moment_that_is_none_is_damage(store: Store) -> None:
    write(store)
    with store.writing() as session:
        session.connection().exec_driver_sql("UPDATE project SET updated = replace(updated, '-', '!')")
    with pytest.raises(Damaged, match="stands where a day or a moment should"), store.reading() as session:
        projects.list_projects(session)
    with pytest.raises(NothingWritten):
        write(store)
