"""A revision that an earlier version issued: kept as it was, read in the words of today."""

from __future__ import annotations

import hashlib
import sqlite3
from collections.abc import Iterator
from contextlib import closing
from pathlib import Path

import pytest

from domain.spec.catalogue import CutterKind
from domain.trials.calibration import FENCE, Figure, Scale
from webapp.papers.kinds import DocumentKind, Paper
from webapp.store import Store
from webapp.usecases import copies, revisions
from webapp.usecases.scales import figures_of
from webapp.usecases.snapshots import read_snapshot

VERSION_4 = Path(__file__).parent / "store" / "version_4.sql"
STAND = 4
"""The project's number in that file; its one revision was issued as it still stands there."""


@pytest.fixture
def file(tmp_path: Path) -> Path:
    made = tmp_path / "shop.db"
    with closing(sqlite3.connect(made)) as connection:
        connection.executescript(VERSION_4.read_text(encoding="utf-8"))
    return made


@pytest.fixture
def store(file: Path) -> Iterator[Store]:
    opened = Store.open(file)
    yield opened
    opened.close()


def test_its_snapshot_stays_byte_for_byte(store: Store) -> None:
    kept = revisions.load_revision(store, STAND, 1).snapshot
    script = VERSION_4.read_text(encoding="utf-8")
    assert kept.replace("'", "''") in script
    assert hashlib.sha256(kept.encode()).hexdigest() in script
    assert '"oversize_tip_diameter":14.2' in kept
    assert revisions.reprint(store, STAND, 1, DocumentKind.SET_UPS, Paper.A4) == b"%PDF-1.7 setups 1\x00\xff"


def test_a_repeat_order_of_it_has_its_sections_and_starts(store: Store) -> None:
    copy = copies.copy_of_revision(store, STAND, 1)
    assert [(each.name, each.free_tip_diameter.mm) for each in copy.sections or () if each.free_tip_diameter] == [
        ("14", 14.2),
        ("10", 10.5),
    ]
    assert [start.cutter for start in copy.starts or ()] == [CutterKind.CLOSE, CutterKind.FREE]
    assert (copy.assemblies[0].kind, copy.assemblies[0].name) == ("single_joint", "loose_joint")
    assert copy.assemblies[0].material == 'standard "oversize" oak'


def test_other_words_are_no_change(store: Store) -> None:
    compared = revisions.compare_with_now(store, STAND, 1)
    assert compared is not None
    found = compared.comparison
    assert (found.head, found.sections, found.rules, found.prices) == ((), (), (), ())
    changed = {field.name for each in found.takeoff.assemblies for joint in each.joints for field in joint.fields}
    assert not changed & {"section", "cutter", "kind"}
    notes = read_snapshot(revisions.load_revision(store, STAND, 1).snapshot)["takeoff"]["assemblies"][1]["joints"][
        0
    ]["notes"]
    assert notes[0].startswith("Cut with the free-fit cutter: the close-fit one's drive limit of 22 mm")


def test_the_scales_that_its_set_up_sheet_uses_are_known(store: Store) -> None:
    found = figures_of(read_snapshot(revisions.load_revision(store, STAND, 1).snapshot))
    depths = [("14", CutterKind.CLOSE), ("10", CutterKind.FREE)]
    assert found == (FENCE, *(Figure(Scale.DEPTH, *each) for each in depths))
