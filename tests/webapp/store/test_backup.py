"""Backups: whole, with everything that was saved before they began, and never half of one under its name."""

from __future__ import annotations

import os
import random
import shutil
import sqlite3
import subprocess
import sys
import threading
import time
from collections.abc import Iterator
from contextlib import closing, contextmanager
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest

from tests.torture import Tally, tried
from tests.webapp.store.filled import fill
from tests.webapp.store.store_samples import joint, project
from webapp.store import Store, backup, projects
from webapp.store.backup import Backup, CannotKeep, copy_to, folder_of, list_backups, make_backup, sum_of
from webapp.store.errors import Busy, Damaged
from webapp.store.keeping import Why
from webapp.store.soundness import examine, looking_at
from webapp.store.sqlite import Journal

MOMENT = datetime(2026, 3, 2, 8, 30, 15, 250_000, tzinfo=UTC)


def is_whole(made: Backup) -> bool:
    """Its bytes are those that its name tells, and SQLite finds nothing in them."""
    with looking_at(made.path) as connection:
        findings = examine(connection)
    return made.name.bytes_sum == sum_of(made.path) and not findings.integrity and not findings.references


def projects_in(file: Path) -> set[str]:
    with looking_at(file) as connection:
        return {name for (name,) in connection.execute("SELECT name FROM project")}


def test_a_backup_stands_beside_the_data_under_a_name_that_tells_all(store: Store, file: Path) -> None:
    made = make_backup(file, MOMENT, Why.BY_HAND)
    assert made.path.parent == folder_of(file) == file.with_name("backups")
    assert made.path.name.startswith("shop-2026-03-02T083015Z-hand-")
    assert is_whole(made)
    assert list_backups(file, folder_of(file)) == (made,)
    assert {path.name for path in made.path.parent.iterdir()} <= {made.path.name, ".lock"}


def test_a_backup_is_one_file_whatever_the_journal(journal: Journal, file: Path) -> None:
    with closing(Store.open(file)) as opened, opened.writing() as session:
        projects.create_project(session, project(joint()))
        made = make_backup(file, MOMENT, Why.DAILY)
    assert is_whole(made)
    with closing(sqlite3.connect(made.path)) as connection:
        assert connection.execute("PRAGMA journal_mode").fetchone() == ("delete",)


@contextmanager
def four_writers(store: Store) -> Iterator[set[str]]:
    """Four threads that save projects without end; the names of what they were told is saved."""
    saved, done = set[str](), threading.Event()

    def write(person: int) -> None:
        turn = 0
        while not done.is_set():
            name = f"{person}.{turn}"
            with store.writing() as session:
                projects.create_project(session, project(joint("A"), joint("B"), name=name))
            saved.add(name)
            turn += 1

    crowd = [threading.Thread(target=write, args=(person,)) for person in range(4)]
    for each in crowd:
        each.start()
    try:
        yield saved
    finally:
        done.set()
        for each in crowd:
            each.join()


@tried(10, 100)
def test_a_backup_under_four_writers_holds_all_that_was_saved_before_it(
    journal: Journal, file: Path, times: int, tally: Tally
) -> None:
    tally("S7 backups under four writers hold all that was saved", times)
    with closing(Store.open(file)) as opened, four_writers(opened) as saved:
        for number in range(times):
            time.sleep(0.02)
            before = set(saved)
            made = make_backup(file, MOMENT + timedelta(seconds=number), Why.BY_HAND)
            assert before <= projects_in(made.path)
            with looking_at(made.path) as connection:
                counted = (
                    "SELECT DISTINCT (SELECT count(*) FROM assembly WHERE project_id = project.id) FROM project"
                )
                assert set(connection.execute(counted)) <= {(2,)}
            assert is_whole(made)
            Store.open(shutil.copy(made.path, file.with_name("again.db"))).close()
    assert len(saved) > 10


@tried(5, 100)
def test_a_backup_killed_at_any_moment_leaves_whole_ones_alone(file: Path, times: int, tally: Tally) -> None:
    tally("S7 backups killed: the whole ones stay", times)
    fill(file)
    with closing(sqlite3.connect(file)) as connection:
        # large enough that a kill falls into the copying, the checking or the naming
        connection.executemany(
            "INSERT INTO form_token (token, outcome, at) VALUES (?, ?, '2026-03-02T08:30:00.000000Z')",
            [(f"token-{number:012}", "x" * 900) for number in range(2_000)],
        )
        connection.commit()
    chance, told = random.Random(3), set[str]()
    for _ in range(times):
        told |= killed_while_backing_up(file, chance)
        there = list_backups(file, folder_of(file))
        assert told <= {made.path.name for made in there}
        assert all(is_whole(made) for made in there)
        for made in there[3:]:
            made.path.unlink()
            told.discard(made.path.name)
    make_backup(file, MOMENT, Why.DAILY)
    assert [path.name for path in folder_of(file).iterdir() if path.name.endswith(".part")] == []


def killed_while_backing_up(file: Path, chance: random.Random) -> set[str]:
    with subprocess.Popen(
        [sys.executable, "-m", "tests.webapp.store.backup_maker", str(file)],
        cwd=Path(__file__).parents[3],
        stdout=subprocess.PIPE,
        text=True,
    ) as process:
        assert process.stdout is not None
        assert process.stdout.readline() == "begun\n"
        told = {process.stdout.readline().strip() for _ in range(chance.randint(0, 3))}
        time.sleep(chance.uniform(0, 0.08))
        process.kill()
        told |= {line.strip() for line in process.stdout if line.endswith("\n")}
    return told


def test_damaged_data_makes_no_backup_and_takes_none_away(store: Store, file: Path) -> None:
    with store.writing() as session:
        projects.create_project(session, project(*(joint(f"A{number}") for number in range(200))))
    store.close()
    earlier = make_backup(file, MOMENT, Why.DAILY)
    with file.open("r+b") as raw:
        raw.seek(file.stat().st_size // 2)
        raw.write(b"\xff" * 5_000)
    damaged = file.read_bytes()
    with pytest.raises(Damaged):
        make_backup(file, MOMENT + timedelta(days=1), Why.DAILY)
    assert list_backups(file, folder_of(file)) == (earlier,)
    assert is_whole(earlier)
    assert file.read_bytes() == damaged


def test_a_backup_gives_up_where_another_holds_the_data(
    store: Store, file: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(backup, "PATIENCE", 0.1)
    with closing(sqlite3.connect(file, isolation_level=None)) as holder:
        holder.execute("BEGIN EXCLUSIVE")
        with pytest.raises(Busy):
            make_backup(file, MOMENT, Why.DAILY)
    assert list_backups(file, folder_of(file)) == ()
    make_backup(file, MOMENT, Why.DAILY)


def test_no_backup_is_made_of_nothing(file: Path) -> None:
    with pytest.raises(CannotKeep, match="there is no data"):
        make_backup(file, MOMENT, Why.BY_HAND)
    assert not file.exists()


def test_backups_are_let_go_by_the_rule_here_and_in_the_second_folder(
    store: Store, file: Path, tmp_path: Path
) -> None:
    second = tmp_path / "drive"
    second.mkdir()
    foreign = second / "shop-2020-03-02T083015Z-hand-0123456789abcdef.db"
    foreign.write_bytes(b"another computer's, on the same drive")
    for hour in range(0, 24 * 12, 12):
        made = make_backup(file, MOMENT + timedelta(hours=hour), Why.DAILY, also_to=second)
    here = {each.path.name for each in list_backups(file, folder_of(file))}
    there = {path.name for path in second.iterdir()}
    assert there == here | {foreign.name}
    assert made.path.name in here
    assert len(here) == 8  # two of today, and one of each of the six days before


def test_a_drive_that_is_not_there_is_told_and_takes_nothing_from_the_backup_here(
    store: Store, file: Path, tmp_path: Path
) -> None:
    with pytest.raises(CannotKeep, match="plug the drive in"):
        make_backup(file, MOMENT, Why.DAILY, also_to=tmp_path / "unplugged")
    assert len(list_backups(file, folder_of(file))) == 1
    assert not (tmp_path / "unplugged").exists()


def test_a_copy_on_another_drive_is_the_same_bytes(store: Store, file: Path, tmp_path: Path) -> None:
    (tmp_path / "drive").mkdir()
    made = make_backup(file, MOMENT, Why.DAILY)
    copied = copy_to(made.path, tmp_path / "drive")
    assert copied.read_bytes() == made.path.read_bytes()


@pytest.mark.skipif(os.name != "posix" or os.geteuid() == 0, reason="root may write anywhere")
def test_a_folder_that_may_not_be_written_is_told(store: Store, file: Path) -> None:
    folder_of(file).mkdir()
    folder_of(file).chmod(0o500)
    with pytest.raises(CannotKeep, match="permission denied"):
        make_backup(file, MOMENT, Why.DAILY)
