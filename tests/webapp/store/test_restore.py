"""A file in place of the data: what is refused, what is put there, and that a kill leaves one or the other."""

from __future__ import annotations

import random
import shutil
import sqlite3
import subprocess
import sys
import time
from collections.abc import Callable, Mapping
from contextlib import closing
from pathlib import Path

import pytest

from tests.torture import Tally, tried
from tests.webapp.store.filled import fill
from tests.webapp.store.store_samples import Clock, joint, project
from webapp.store import Store, projects, schema
from webapp.store.backup import folder_of, list_backups, make_backup
from webapp.store.engine import Life, life_of
from webapp.store.errors import CannotOpen, ForeignDatabase, InUse, NewerDatabase, StoreError
from webapp.store.keeping import Why
from webapp.store.restore import (
    DataDamaged,
    Flaw,
    Refused,
    counts_in,
    held_by,
    held_here,
    restore,
    restore_stopped,
)
from webapp.store.soundness import differences, examine, golden_schema, looking_at
from webapp.store.sqlite import Journal

EARLIER = {number: Path(__file__).with_name(f"version_{number}.sql") for number in range(1, schema.HEAD)}


@pytest.fixture(scope="module")
def whole(tmp_path_factory: pytest.TempPathFactory) -> Path:
    file = tmp_path_factory.mktemp("whole") / "other.db"
    fill(file)
    return file


def but_devices(counts: Mapping[str, int]) -> dict[str, int]:
    """What a restore brings back: which devices may come in stays as it is."""
    return {name: count for name, count in counts.items() if name != "device"}


def named(store: Store) -> set[str]:
    with store.reading() as session:
        return {head.name for head in projects.list_projects(session)}


def add(store: Store, name: str) -> None:
    with store.writing() as session:
        projects.create_project(session, project(joint("A"), joint("B"), name=name))


Damage = Callable[[Path], object]


def sql(*statements: str) -> Damage:
    def change(file: Path) -> None:
        with closing(sqlite3.connect(file, isolation_level=None)) as connection:
            connection.execute("PRAGMA foreign_keys=OFF")
            for statement in statements:
                connection.execute(statement)

    return change


def written(place: float, put: bytes) -> Damage:
    """Bytes put over the file's, at a share of its length."""

    def change(file: Path) -> None:
        raw = bytearray(file.read_bytes())
        at = int(len(raw) * place)
        raw[at : at + len(put)] = put
        file.write_bytes(raw)

    return change


def cut(share: float) -> Damage:
    return lambda file: file.write_bytes(file.read_bytes()[: int(file.stat().st_size * share)])


def beside(ending: str) -> Damage:
    return lambda file: file.with_name(file.name + ending).write_bytes(b"not written back yet")


def no_longer(trigger: str, table: str, instead: str) -> Damage:
    return sql(
        f"DROP TRIGGER {trigger}", f"CREATE TRIGGER {trigger} BEFORE DELETE ON {table} BEGIN {instead}; END"
    )


LOCKED = "revision_document_no_update"
LOCK = golden_schema()["trigger", LOCKED]
REFUSED: dict[str, tuple[Damage, type[StoreError], Flaw | None]] = {
    "a text": (lambda file: file.write_text("shopping"), ForeignDatabase, None),
    "nothing": (lambda file: file.write_bytes(b""), ForeignDatabase, None),
    "a picture": (lambda file: file.write_bytes(b"\x89PNG\r\n" * 999), ForeignDatabase, None),
    "another program's": (sql("PRAGMA application_id=7"), ForeignDatabase, None),
    "nobody's": (sql("PRAGMA application_id=0"), ForeignDatabase, None),
    "newer": (sql(f"PRAGMA user_version={schema.HEAD + 1}"), NewerDatabase, None),
    "much newer": (sql("PRAGMA user_version=9999"), NewerDatabase, None),
    "of no version": (sql("PRAGMA user_version=0"), Refused, Flaw.ALTERED),
    "of version -3": (sql("PRAGMA user_version=-3"), Refused, Flaw.ALTERED),
    "said to be older": (sql("PRAGMA user_version=2"), Refused, Flaw.ALTERED),
    "half": (cut(0.5), Refused, Flaw.DAMAGED),
    "nearly all": (cut(0.98), Refused, Flaw.DAMAGED),
    "two pages": (cut(0.03), Refused, Flaw.DAMAGED),
    "overwritten in the middle": (written(0.5, b"\xff" * 9_000), Refused, Flaw.DAMAGED),
    "overwritten by zeros": (written(0.2, bytes(9_000)), Refused, Flaw.DAMAGED),
    "an extra trigger": (
        sql("CREATE TRIGGER evil AFTER INSERT ON project BEGIN UPDATE shop SET name='pwned'; END"),
        Refused,
        Flaw.ALTERED,
    ),
    "a trigger less": (sql("DROP TRIGGER movement_no_delete"), Refused, Flaw.ALTERED),
    "a trigger that does nothing": (no_longer("tick_no_delete", "tick", "SELECT 1"), Refused, Flaw.ALTERED),
    "an extra table": (sql("CREATE TABLE recipe (id INTEGER)"), Refused, Flaw.ALTERED),
    "an extra view": (sql("CREATE VIEW tally AS SELECT 1"), Refused, Flaw.ALTERED),
    "a table less": (sql("DROP TABLE tick"), Refused, Flaw.ALTERED),
    "an extra column": (sql("ALTER TABLE project ADD COLUMN colour TEXT"), Refused, Flaw.ALTERED),
    "an index less": (sql("DROP INDEX ix_movement_sums"), Refused, Flaw.ALTERED),
    "a row that refers to none": (sql("DELETE FROM section"), Refused, Flaw.REFERENCES),
    "an assembly of no project": (sql("UPDATE assembly SET project_id = 99"), Refused, Flaw.REFERENCES),
    "text that is none": (sql("UPDATE project SET name = CAST(x'fffe41' AS TEXT)"), Refused, Flaw.DAMAGED),
    "a moment that is none": (sql("UPDATE project SET updated = 'x' || updated"), Refused, Flaw.DAMAGED),
    "a spec that is none": (sql("UPDATE assembly SET spec_json = '{\"kind\":'"), Refused, Flaw.DAMAGED),
    "another paper": (
        sql(f"DROP TRIGGER {LOCKED}", "UPDATE revision_document SET body = x'2550444600'", LOCK),
        Refused,
        Flaw.DOCUMENTS,
    ),
    "open elsewhere": (beside("-journal"), Refused, Flaw.UNFINISHED),
    "copied while it was written": (beside("-wal"), Refused, Flaw.UNFINISHED),
}


@pytest.mark.parametrize("what", REFUSED)
def test_a_file_that_is_not_sound_is_refused_and_the_data_untouched(
    whole: Path, store: Store, file: Path, tmp_path: Path, what: str
) -> None:
    damage, refusal, flaw = REFUSED[what]
    add(store, "mine")
    offered = tmp_path / "offered.db"
    shutil.copy(whole, offered)
    damage(offered)
    given, before = offered.read_bytes(), file.read_bytes()
    for act in (
        lambda: held_by(offered, file),
        lambda: restore(store, offered),
        lambda: restore_stopped(file, offered, store.moment()),
    ):
        with pytest.raises(refusal) as caught:
            act()
        assert getattr(caught.value, "flaw", None) is flaw
        assert str(offered) in str(caught.value)
        assert str(caught.value).count("\n") == 0
    assert (offered.read_bytes(), file.read_bytes()) == (given, before)
    assert list_backups(file, folder_of(file)) == ()
    assert [path.name for path in tmp_path.iterdir() if path.name.startswith(".")] == []
    assert named(store) == {"mine"}


@tried(20, 200)
def test_of_damaged_backups_not_one_is_accepted(store: Store, file: Path, times: int, tally: Tally) -> None:
    """Four bits anywhere in the file: what SQLite does not see, the sum in the name tells."""
    tally("S9 damaged backups: not one is accepted", times)
    add(store, "mine")
    made, chance = make_backup(file, store.moment(), Why.DAILY), random.Random(11)
    raw, live = made.path.read_bytes(), file.read_bytes()
    for _ in range(times):
        damaged = bytearray(raw)
        for _ in range(4):
            damaged[chance.randrange(len(raw))] ^= 1 << chance.randrange(8)
        made.path.write_bytes(damaged)
        with pytest.raises(Refused) as caught:
            held_by(made.path, file)
        assert caught.value.flaw is Flaw.CHANGED
    assert file.read_bytes() == live


@pytest.mark.parametrize("what", ["missing.db", "", "shop.db"])
def test_what_is_no_file_to_restore_is_told(store: Store, file: Path, what: str) -> None:
    with pytest.raises(CannotOpen, match=r"no such file|is a folder|is the data itself"):
        restore(store, file.parent / what)


def test_a_restore_is_undone_by_the_backup_made_before_it(
    store: Store, file: Path, clock: Clock, journal: Journal
) -> None:
    add(store, "first")
    earlier = make_backup(file, clock(), Why.BY_HAND)
    add(store, "second")
    with store.reading() as session:
        before = projects.list_projects(session)
    clock.forward(minutes=1)
    done = restore(store, earlier.path)
    assert named(store) == {"first"}
    assert done.before is not None
    assert done.before.name.why is Why.BEFORE_RESTORE
    assert done.held.counts["project"] == 1
    clock.forward(minutes=1)
    restore(store, done.before.path)
    with store.reading() as session:
        assert projects.list_projects(session) == before
    add(store, "third")
    assert named(store) == {"first", "second", "third"}


def test_what_is_kept_of_the_data_is_kept_for_one_life(store: Store, file: Path) -> None:
    """The same numbers come again after a restore and mean something else."""

    def life() -> Life:
        with store.reading() as session:
            return life_of(session)

    add(store, "first")
    made, before = make_backup(file, store.moment(), Why.BY_HAND), life()
    assert life() is before
    restore(store, made.path)
    assert life() is not before


def test_readers_beside_a_restore_see_the_old_data_or_the_new(store: Store, file: Path, whole: Path) -> None:
    add(store, "first")
    with store.reading() as session:
        assert len(projects.list_projects(session)) == 1
    restore(store, whole)
    assert "Window seat" in named(store)
    assert but_devices(held_here(store).counts) == but_devices(held_by(whole, file).counts)


@pytest.mark.parametrize("version", EARLIER)
def test_a_backup_of_an_earlier_version_is_brought_up_to_date(
    store: Store, file: Path, tmp_path: Path, version: int
) -> None:
    offered = tmp_path / "earlier.db"
    with closing(sqlite3.connect(offered)) as connection:
        connection.executescript(EARLIER[version].read_text(encoding="utf-8"))
    given = offered.read_bytes()
    done = restore(store, offered)
    assert done.held.version == version
    assert "Window seat" in named(store)
    assert offered.read_bytes() == given
    with closing(sqlite3.connect(file)) as connection:
        findings = examine(connection)
    assert (findings.version, findings.integrity, findings.references) == (schema.HEAD, (), ())
    assert differences(findings.schema, golden_schema()) == ()


def test_nothing_is_put_into_data_that_a_program_has_open(file: Path, whole: Path, clock: Clock) -> None:
    with closing(Store.open(file, lock=True)) as serving:
        add(serving, "mine")
        before = file.read_bytes()
        with pytest.raises(InUse):
            restore_stopped(file, whole, clock())
        assert file.read_bytes() == before


def test_damaged_data_is_set_aside_with_the_program_stopped(
    store: Store, file: Path, whole: Path, clock: Clock
) -> None:
    store.close()
    damaged = b"\x00" * 4096 + file.read_bytes()[4096:]
    file.write_bytes(damaged)
    with pytest.raises(DataDamaged, match="Stop the program"):
        restore(store, whole)
    assert file.read_bytes() == damaged
    done = restore_stopped(file, whole, clock())
    assert done.aside is not None
    assert done.aside.read_bytes() == damaged
    with closing(Store.open(file)) as opened:
        assert "Window seat" in named(opened)


def test_where_there_is_no_data_the_backup_becomes_it(tmp_path: Path, whole: Path, clock: Clock) -> None:
    file = tmp_path / "new" / "shop.db"
    assert counts_in(file) == {}
    done = restore_stopped(file, whole, clock())
    assert (done.before, done.aside) == (None, None)
    assert but_devices(counts_in(file)) == but_devices(done.held.counts)
    assert counts_in(file)["device"] == 0


RESTORER = """
import sys
from datetime import UTC, datetime
from pathlib import Path
from webapp.store.restore import restore_stopped

one, other = Path(sys.argv[2]), Path(sys.argv[3])
print("begun", flush=True)
while True:
    restore_stopped(Path(sys.argv[1]), one, datetime.now(UTC))
    print("done", flush=True)
    one, other = other, one
"""


def shop_of(file: Path, names: int) -> Path:
    """A shop with so many projects, and padding that takes a while to copy."""
    with closing(Store.open(file)) as made:
        for number in range(names):
            add(made, f"{names}.{number}")
    with closing(sqlite3.connect(file)) as connection:
        connection.executemany(
            "INSERT INTO form_token (token, outcome, at) VALUES (?, ?, '2026-03-02T08:30:00.000000Z')",
            [(f"token-{number:012}", "x" * 900) for number in range(1_000 * names)],
        )
        connection.commit()
    return file


@tried(6, 100)
def test_a_restore_killed_at_any_moment_leaves_the_old_data_or_the_new(
    file: Path, tmp_path: Path, times: int, tally: Tally
) -> None:
    tally("S9 restores killed: the old data or the new", times)
    shops = [shop_of(tmp_path / f"{names}.db", names) for names in (1, 3)]
    shutil.copy(shops[0], file)
    chance, seen = random.Random(5), set[int]()
    for turn in range(times):
        with subprocess.Popen(
            [sys.executable, "-c", RESTORER, file, *(shops if turn % 2 else shops[::-1])],
            cwd=Path(__file__).parents[3],
            stdout=subprocess.PIPE,
            text=True,
        ) as process:
            assert process.stdout is not None
            assert process.stdout.readline() == "begun\n"
            time.sleep(chance.uniform(0, 0.6))
            process.kill()
        with closing(Store.open(file)) as opened:
            seen.add(len(named(opened)))
            assert {len({name.split(".")[0] for name in named(opened)})} == {1}
        with closing(sqlite3.connect(file)) as connection:
            findings = examine(connection)
        assert (findings.integrity, findings.references) == ((), ())
        for made in list_backups(file, folder_of(file))[2:]:
            made.path.unlink()
    assert seen <= {1, 3}


def test_a_backup_holds_what_it_says(whole: Path, file: Path) -> None:
    held = held_by(whole, file)
    with looking_at(whole) as connection:
        counted = examine(connection).counts
    assert held.counts == {name: count for name, count in counted.items() if name != "alembic_version"}
    assert (held.version, held.size) == (schema.HEAD, whole.stat().st_size)
    assert held.changed is not None
    assert not folder_of(file).exists()
