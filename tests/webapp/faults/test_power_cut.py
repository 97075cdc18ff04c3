"""The power goes at any moment: what was said to be saved, kept or restored is there when it comes back.

A cut leaves of what was not synced nothing, or any part (``power.py``), and the shop is opened on what is left.
"""

from __future__ import annotations

import random
import shutil
import sqlite3
import sys
from collections.abc import Iterator
from contextlib import closing
from dataclasses import dataclass, replace
from pathlib import Path

import pytest
from sqlalchemy.exc import DatabaseError

from tests.torture import Tally, tried
from tests.webapp.faults.living import FORGETFUL
from tests.webapp.faults.power import Disk, Left, can_trace, traced
from tests.webapp.store.sound import sound_projects
from webapp.store import Store, sqlite
from webapp.store.backup import folder_of, list_backups, sum_of
from webapp.store.errors import StoreError
from webapp.store.sqlite import Journal

ROOT = Path(__file__).parents[3]
FILE = "shop.db"


@dataclass(frozen=True)
class Told:
    """What the shop has said so far: what is saved, what the backup holds, and whether it is being restored."""

    saved: frozenset[str] = frozenset()
    backup: str | None = None
    held: frozenset[str] = frozenset()
    restoring: bool = False

    def and_then(self, said: str) -> Told:
        word, _, about = said.strip().partition(" ")
        match word:
            case "saved":
                return replace(self, saved=self.saved | {about})
            case "kept":
                return replace(self, backup=about, held=self.saved)
            case "restoring":
                return replace(self, restoring=True)
            case "restored":
                return replace(self, saved=self.held, restoring=False)
        return self

    def allows(self, names: frozenset[str]) -> bool:
        """Whether these may be there: all that is saved, and at most the one that was about to be said."""
        brought_back = self.restoring and names == self.held
        return brought_back or (self.saved <= names and len(names - self.saved) <= 1)


def lived(folder: Path, journal: Journal, bookings: int, manner: str = "") -> tuple[Disk, list[str]]:
    """The disk as a new shop left it, and every call of its life after that."""
    folder.mkdir()
    Store.open(folder / FILE).close()
    disk = Disk(folder)
    program = (sys.executable, "-m", "tests.webapp.faults.living", str(folder / FILE), journal.name, str(bookings))
    return disk, traced((*program, manner), ROOT, folder.with_suffix(".calls"))


def cuts(
    disk: Disk, calls: list[str], chance: random.Random, often: int, to: Path
) -> Iterator[tuple[Told, str, Path]]:
    """What was told, after which call, and what is found, where the power goes after each word and in between."""
    told = Told()
    between = set(chance.sample(range(len(calls)), min(often, len(calls))))
    for place, call in enumerate(calls):
        said = disk.hear(call)
        told = told if said is None else told.and_then(said)
        if said is None and place not in between:
            continue
        for left in Left:
            disk.after_a_cut(left, chance, to)
            yield told, f"cut after call {place}, {said or call[:60]!r}, {left.value} of the rest is there", to
            shutil.rmtree(to)


def names_in(file: Path) -> frozenset[str]:
    return frozenset(head.name for head in sound_projects(file))


def backups_are_whole(database: Path, told: Told) -> None:
    """Whatever has a backup's name is the backup that the name tells of; the one that was told is there."""
    found = list_backups(database, folder_of(database))
    for backup in found:
        assert sum_of(backup.path) == backup.name.bytes_sum
    if told.backup is not None:
        assert told.backup in {backup.path.name for backup in found}
        with closing(sqlite3.connect(folder_of(database) / told.backup)) as connection:
            assert {name for (name,) in connection.execute("SELECT name FROM project")} == told.held


@pytest.fixture(params=Journal, ids=lambda journal: str(journal.name).lower())
def journal(request: pytest.FixtureRequest, monkeypatch: pytest.MonkeyPatch) -> Journal:
    """Both ways of keeping a commit, here as in the process that is watched."""
    if not can_trace():
        pytest.skip("strace notes the calls; it is not here, or may not trace")
    chosen: Journal = request.param
    monkeypatch.setattr(sqlite, "journal_for", lambda _version: chosen)
    return chosen


@tried(10, 150)
def test_a_power_cut_takes_nothing_that_was_said(
    journal: Journal, tmp_path: Path, tally: Tally, times: int
) -> None:
    disk, calls = lived(tmp_path / "shop", journal, times // 3)
    tries = 0
    for told, where, folder in cuts(disk, calls, random.Random(times), times, tmp_path / "left"):
        names = names_in(folder / FILE)
        assert told.allows(names), f"{where}: {sorted(names ^ told.saved)}"
        backups_are_whole(folder / FILE, told)
        tries += 1
    assert told.saved == told.held | {"After the restore"}  # the whole of its life was seen
    tally("S2 power cuts: all that was said is there", tries)


def test_a_shop_that_syncs_nothing_is_caught(journal: Journal, tmp_path: Path) -> None:
    disk, calls = lived(tmp_path / "shop", journal, 3, FORGETFUL)
    lost = 0
    for told, _, folder in cuts(disk, calls, random.Random(1), 0, tmp_path / "left"):
        try:
            lost += not told.allows(names_in(folder / FILE))
        except (StoreError, DatabaseError, AssertionError):
            lost += 1
    assert lost > 3
