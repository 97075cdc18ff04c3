"""What is found in a database that was damaged, altered, or is another's; and that looking changes nothing."""

from __future__ import annotations

import random
import shutil
import sqlite3
from collections.abc import Callable
from contextlib import closing
from pathlib import Path

import pytest

from tests.torture import tried
from tests.webapp.store.filled import fill
from webapp.store import Store, schema
from webapp.store.errors import Busy
from webapp.store.soundness import Difference, How, differences, examine, golden_schema, looking_at
from webapp.store.sqlite import APPLICATION_ID


@pytest.fixture(scope="module")
def whole(tmp_path_factory: pytest.TempPathFactory) -> Path:
    file = tmp_path_factory.mktemp("whole") / "shop.db"
    fill(file)
    return file


@pytest.fixture
def copy(whole: Path, file: Path) -> Path:
    shutil.copy(whole, file)
    return file


def change(file: Path, *statements: str) -> None:
    with closing(sqlite3.connect(file, isolation_level=None)) as connection:
        for statement in statements:
            connection.execute(statement)


def test_nothing_is_found_in_a_whole_database(whole: Path) -> None:
    with looking_at(whole) as connection:
        findings = examine(connection)
    assert (findings.application, findings.version) == (APPLICATION_ID, schema.HEAD)
    assert (findings.integrity, findings.references) == ((), ())
    assert differences(findings.schema, golden_schema()) == ()
    assert findings.counts.keys() == {name for kind, name in golden_schema() if kind == "table"} - {
        "sqlite_sequence"
    }
    assert all(findings.counts.values())


def test_looking_changes_nothing_and_leaves_nothing_beside(copy: Path) -> None:
    change(copy, "PRAGMA journal_mode=WAL")
    before = copy.read_bytes()
    with looking_at(copy) as connection:
        assert not examine(connection).integrity
        with pytest.raises(sqlite3.OperationalError, match="readonly"):
            connection.execute("DELETE FROM project")
    assert [path.name for path in copy.parent.iterdir()] == [copy.name]
    assert copy.read_bytes() == before


ALTERED = {
    "CREATE TRIGGER evil AFTER INSERT ON project BEGIN UPDATE shop SET name='pwned'; END": (
        Difference("trigger", "evil", How.FOREIGN)
    ),
    "DROP TRIGGER movement_no_delete": Difference("trigger", "movement_no_delete", How.MISSING),
    "CREATE TABLE recipe (id INTEGER)": Difference("table", "recipe", How.FOREIGN),
    "CREATE VIEW tally AS SELECT 1": Difference("view", "tally", How.FOREIGN),
    "DROP INDEX ix_movement_sums": Difference("index", "ix_movement_sums", How.MISSING),
    "ALTER TABLE project ADD COLUMN colour TEXT": Difference("table", "project", How.CHANGED),
}


@pytest.mark.parametrize("statement", ALTERED)
def test_whatever_is_not_of_the_golden_schema_is_named(copy: Path, statement: str) -> None:
    change(copy, statement)
    with looking_at(copy) as connection:
        found = differences(examine(connection).schema, golden_schema())
    assert found == (ALTERED[statement],)
    assert ALTERED[statement].name in str(found[0])


def test_a_table_under_anothers_name_is_named(copy: Path) -> None:
    change(
        copy,
        "DROP TRIGGER tick_no_delete",
        "CREATE TRIGGER tick_no_delete BEFORE DELETE ON tick BEGIN SELECT 1; END",
    )
    with looking_at(copy) as connection:
        found = differences(examine(connection).schema, golden_schema())
    assert found == (Difference("trigger", "tick_no_delete", How.CHANGED),)


def test_a_row_that_refers_to_none_is_named(copy: Path) -> None:
    change(copy, "PRAGMA foreign_keys=OFF", "DELETE FROM section")
    with looking_at(copy) as connection:
        findings = examine(connection)
    assert {(each.table, each.refers_to) for each in findings.references} == {("section_length", "section")}
    assert str(findings.references[0]) == "row 1 of section_length refers to a row of section that is not there"


def test_what_is_held_by_another_is_busy_and_not_damaged(copy: Path) -> None:
    with closing(sqlite3.connect(copy, isolation_level=None)) as holder, closing(sqlite3.connect(copy)) as looker:
        holder.execute("BEGIN EXCLUSIVE")
        looker.execute("PRAGMA busy_timeout=0")
        with pytest.raises(Busy):
            examine(looker)


def text(raw: bytes, _chance: random.Random) -> bytes:
    return b"a shopping list\n" * (len(raw) // 16)


def cut(raw: bytes, chance: random.Random) -> bytes:
    return raw[: chance.randrange(200, len(raw) - 4096)]


def flipped(raw: bytes, chance: random.Random) -> bytes:
    """Four bytes of the pages' own bookkeeping are not what they were."""
    damaged = bytearray(raw)
    for _ in range(4):
        page = chance.randrange(len(raw) // 4096)
        damaged[page * 4096 + chance.randrange(100 if page == 0 else 0, 108)] ^= 1 << chance.randrange(8)
    return bytes(damaged)


@tried(20, 200)
@pytest.mark.parametrize("damage", [text, cut, flipped])
def test_damage_is_found_and_never_ends_in_a_traceback(
    whole: Path, file: Path, damage: Callable[[bytes, random.Random], bytes], times: int
) -> None:
    raw, chance = whole.read_bytes(), random.Random(7)
    found = 0
    for _ in range(times):
        file.write_bytes(damage(raw, chance))
        with looking_at(file) as connection:
            findings = examine(connection)
        odd = findings.integrity or findings.references or differences(findings.schema, golden_schema())
        found += bool(odd)
    # a flipped bit of the free space between cells says nothing to anybody: a sum of the bytes tells it
    assert found == times if damage is not flipped else found > times // 3


def test_the_schema_of_a_store_in_use_is_the_golden_one(store: Store, file: Path) -> None:
    with closing(sqlite3.connect(file)) as connection:
        findings = examine(connection, thorough=False)
    assert differences(findings.schema, golden_schema()) == ()
