"""Runs entered from both ends, on KEY: a wall of 2 between the slots, keys of 10, 16 and 30, recess 0.3 to 0.5."""

from __future__ import annotations

import pytest

from domain.faces.region import Region, Void
from domain.notes import NoteCode
from domain.parts import Joint, JointKind
from domain.spec.choices import Entry
from domain.takeoff.comparison import compare_takeoffs
from domain.takeoff.document import takeoff_document
from domain.takeoff.takeoff import Takeoff
from tests.domain.builders import (
    EXACT,
    butt_joint,
    figures,
    frame,
    made,
    planned,
    section,
    taken_off,
)

EDGE = JointKind.EDGE_BUTT
GROOVED = Region(20, 200, voids=(Void(0, 20, 20, 26),))
"""A groove across the whole breadth, 20 from the back: so 18.5 of slot from there, 172.5 from the front."""


def both(run: float, region: Region | None = None, entries: tuple[Entry, ...] = (Entry.BOTH,)) -> Joint:
    return butt_joint(20, run, region=region, kind=EDGE, entries=entries)


def test_an_end_with_a_groove_before_it_does_not_keep_the_other_one_short() -> None:
    found = planned(both(200, GROOVED))
    plan = found.plan
    assert plan is not None
    assert plan.far is not None
    # 16 + 0.5 from the back; from the front the drive limit of 60
    assert (plan.keys, plan.depth, plan.recess) == ((16,), 16.5, 0.5)
    assert (plan.far.entry, plan.far.keys, plan.far.depth, plan.far.recess) == (Entry.FRONT, (30, 30), 60.5, 0.5)
    assert plan.hold == pytest.approx((16 + 60) / 200)
    assert plan.row == (16, 30, 30)
    assert [(slot.entry, slot.depth, slot.keys) for slot in found.slots] == [
        (Entry.BACK, 16.5, (16,)),
        (Entry.FRONT, 60.5, (30, 30)),
    ]
    assert (found.stop_from(Entry.BACK), found.stop_from(Entry.FRONT)) == (16.5, 60.5)
    # 200 − 16.5 − 60.5 lies between them
    assert figures(found.notes, NoteCode.MIDDLE_STRETCH)["stretch"] == 123


def test_it_is_compared_with_the_single_edges_by_what_both_ends_hold() -> None:
    entries = (Entry.BACK, Entry.BOTH, Entry.FRONT)
    found = planned(both(200, GROOVED, entries))
    assert found.plan is not None
    assert found.plan.entry is Entry.BOTH
    assert figures(found.notes, NoteCode.ENTRY_HOLDS_MORE) == {
        "entry_text": "both edges",
        "held_bare": 76,
        "run": 200,
        "hold_n": 0.38,
        "other_text": "the back",
        "other_n": 0.08,
    }


@pytest.mark.parametrize(
    ("run", "keys", "far"),
    [
        (35, (16,), None),  # 2·(16 + 0.3) + 2 = 34.6: nothing holds more than 32
        (34.5, (10, 10), (10,)),  # 30 + 0.6 + 2 = 32.6; 32 is too much for it
        (42, (10, 10), (16,)),  # 36 of 39.4: 20 and 16 are more alike than 26 and 10, with as few keys
        (48.6, (30,), (16,)),  # 46 + 0.6 + 2: one key from each end before the same length in more
        (62.6, (30,), None),  # 2·30.3 + 2
    ],
)
def test_of_a_short_run_the_ends_share_what_there_is(
    run: float, keys: tuple[int, ...], far: tuple[int, ...] | None
) -> None:
    plan = made(both(run))
    assert plan.keys == keys
    assert (plan.far and plan.far.keys) == far
    depths = plan.depth + (plan.far or plan).depth
    assert depths <= run - 2 + 1e-6


def test_what_is_short_is_taken_from_the_recess_of_both() -> None:
    # 20 and 16 with 0.5 each want 37 of 36.7: each gives 0.15
    found = planned(both(38.7))
    plan = found.plan
    assert plan is not None
    assert plan.far is not None
    assert (plan.depth, plan.far.depth) == pytest.approx((20.35, 16.35))
    assert (plan.recess, plan.far.recess) == pytest.approx((0.35, 0.35))
    assert figures(found.notes, NoteCode.SHALLOW_RECESS)["recess"] == pytest.approx(0.35)


def test_one_edge_is_enough_where_both_hold_no_more() -> None:
    # from both 20 and 10; from one 30
    plan = made(both(33, entries=(Entry.BOTH, Entry.BACK)))
    assert (plan.entry, plan.keys, plan.far) == (Entry.BACK, (30,), None)


def test_an_end_that_only_the_drive_limit_keeps_short_says_so() -> None:
    notes = planned(both(200, GROOVED), section(drive_limit=30)).notes
    # the stroke of 90 leaves room for 88 = 3 · 16 + 4 · 10
    assert figures(notes, NoteCode.DRIVE_LIMIT) == {"possible": 88, "limit": 30}


def test_the_free_fit_cutter_is_told_with_what_the_close_fit_one_would_hold() -> None:
    # driven no deeper than 30: 16 and 30 of 200; with the stroke of 90, 16 and 88
    notes = planned(both(200, GROOVED), section(drive_limit=30, free_tip_diameter=12.4)).notes
    told = figures(notes, NoteCode.FREE_CUTTER)
    assert told == {
        "held_bare": pytest.approx(104),
        "run": 200,
        "now_n": pytest.approx(104 / 200),
        "limit": 30,
        "less": 46,
        "hold_n": pytest.approx(46 / 200),
    }


def both_ends(thickness: float) -> Takeoff:
    one = frame(stock={"width": 45, "thickness": thickness}, keys={"entry": "both"})
    return taken_off(one, rules=EXACT | {"spare": 0, "test_joints": 0})


def test_every_key_of_both_ends_is_counted() -> None:
    takeoff = both_ends(48.6)
    # 4 corners, 2 rows in each
    assert {key.length: key.used for key in takeoff.totals.keys} == {30: 8, 16: 8}


def test_the_open_json_has_the_other_end_s_stop_where_there_is_one() -> None:
    apart, alike = (both_ends(thickness) for thickness in (48.6, 62.6))
    before, after = (takeoff_document(each) for each in (alike, apart))
    (joint,), (same,) = (each["assemblies"][0]["joints"] for each in (after, before))
    assert (joint["depth_stop"], joint["other_depth_stop"]) == (30.3, 16.3)
    assert [(slot["entry"], slot["keys"], slot["depth"]) for slot in joint["slots"]] == [
        ("back", [30], 30.3), ("back", [30], 30.3), ("front", [16], 16.3), ("front", [16], 16.3),
    ]  # fmt: skip
    assert "other_depth_stop" not in same
    (difference,) = compare_takeoffs(before, after).assemblies[0].joints
    changed = {field.name: (field.before, field.after) for field in difference.fields}
    assert changed["other depth stop"] == (None, 16.3)
    assert changed["keys in each slot"] == ("30", "30; 16")
    assert changed["depth"] == ((30.3,), (30.3, 30.3, 16.3, 16.3))
