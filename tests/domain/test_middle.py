"""The bare middle of a long edge: what was chosen for it stands evenly, clear of the slots, and is counted."""

from __future__ import annotations

from dataclasses import replace
from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from domain.faces.face import Backing, Behind, MatingFace
from domain.faces.region import Region, Void
from domain.notes import NoteCode
from domain.parts import JointKind
from domain.planning.middle import CLEAR, Stretch, fastening_places, tenon_room
from domain.spec.choices import Entry, Middle
from domain.takeoff.comparison import compare_takeoffs
from domain.takeoff.document import takeoff_document
from domain.takeoff.takeoff import FasteningCount
from tests.domain.builders import KEY, Json, butt_joint, carcass, codes, figures, planned, rules, taken_off

EDGE = JointKind.EDGE_BUTT
STROKE = rules(stroke=31)
"""A 30 key and no more, 30.5 deep; reach limit 40, so a stretch of more than 80 is bare."""


def test_where_nothing_was_chosen_nothing_is_counted() -> None:
    found = planned(butt_joint(40, 261, kind=EDGE, entries=(Entry.BOTH,)), under=STROKE)
    assert found.plan is not None
    assert found.plan.fastenings == ()
    assert NoteCode.MIDDLE_STRETCH in codes(found.notes)


def test_tenons_between_keys_at_both_ends_stand_evenly() -> None:
    found = planned(butt_joint(40, 261, kind=EDGE, entries=(Entry.BOTH,), middle="tenons"), under=STROKE)
    assert found.plan is not None
    # 200 from 30.5 to 230.5: two, in three parts of 66.67
    assert found.plan.fastenings == pytest.approx((97.1667, 163.8333), abs=1e-4)
    assert figures(found.notes, NoteCode.MIDDLE_HELD) == {
        "stretch": 200,
        "first": 97.167,
        "last": 163.833,
        "fastenings_text": "2 loose tenons",
        "edge_text": "back",
    }
    assert NoteCode.TENON_SIZE in codes(found.notes)
    assert NoteCode.MIDDLE_STRETCH not in codes(found.notes)


def test_at_a_free_end_the_last_one_stands_half_a_pitch_from_it() -> None:
    found = planned(butt_joint(40, 230.5, kind=EDGE, middle="screws"), under=STROKE)
    assert found.plan is not None
    # 200 from 30.5: two at 80 each, 40 left
    assert found.plan.fastenings == pytest.approx((110.5, 190.5))
    assert NoteCode.SCREWS_SHOW in codes(found.notes)


def test_one_is_said_without_a_pitch() -> None:
    found = planned(butt_joint(40, 141.1, kind=EDGE, entries=(Entry.BOTH,), middle="tenons"), under=STROKE)
    assert figures(found.notes, NoteCode.MIDDLE_HELD_ONCE) == {
        "stretch": pytest.approx(80.1),
        "first": pytest.approx(70.55),
        "fastening_text": "a loose tenon",
        "edge_text": "back",
    }


def test_a_short_edge_needs_none_whatever_was_chosen() -> None:
    found = planned(butt_joint(40, 141, kind=EDGE, entries=(Entry.BOTH,), middle="tenons"), under=STROKE)
    assert found.plan is not None
    assert found.plan.fastenings == ()
    assert not {NoteCode.MIDDLE_HELD, NoteCode.MIDDLE_HELD_ONCE, NoteCode.TENON_SIZE} & set(codes(found.notes))


def test_they_keep_out_of_a_groove_near_the_far_edge() -> None:
    # evenly at 110.5 and 190.5: the second one would come into the groove
    groove = Region(40, 230.5, voids=(Void(28, 40, 184, 190),))
    found = planned(butt_joint(40, 230.5, kind=EDGE, region=groove, middle="tenons"), under=STROKE)
    assert found.plan is not None
    assert len(found.plan.fastenings) >= 2
    assert all(not 174 < place < 200 for place in found.plan.fastenings)


def test_a_groove_near_the_keys_leaves_the_rest_of_the_stretch_to_be_held() -> None:
    groove = Region(40, 260.5, voids=(Void(28, 40, 60, 66),))
    found = planned(butt_joint(40, 260.5, kind=EDGE, region=groove, middle="tenons"), under=STROKE)
    assert found.plan is not None
    held = [30.5, *found.plan.fastenings]
    assert all(after - before <= 80 + 1e-5 for before, after in pairwise(held))
    assert 260.5 - held[-1] <= 40 + 1e-5


def test_between_keys_from_both_edges_they_keep_out_of_a_groove_too() -> None:
    groove = Region(40, 261, voids=(Void(28, 40, 92, 102),))
    joint = butt_joint(40, 261, kind=EDGE, entries=(Entry.BOTH,), region=groove, middle="tenons")
    found = planned(joint, under=STROKE)
    assert found.plan is not None
    assert found.plan.fastenings
    assert all(not 82 < place < 112 for place in found.plan.fastenings)


@given(
    st.floats(0, 300),
    st.floats(1, 2000),
    st.sampled_from([1, 2]),
    st.floats(60, 200),
    st.lists(st.tuples(st.floats(0, 1), st.floats(2, 12)), max_size=2),
)
def test_no_stretch_between_neighbours_is_longer_than_keys_would_leave(
    start: float, length: float, ends_held: int, spacing: float, grooves: list[tuple[float, float]]
) -> None:
    cut = tuple((start + share * length, start + share * length + width) for share, width in grooves)
    stretch = Stretch(start, length, ends_held, cut)
    places = fastening_places(stretch, spacing)
    assert bool(places) == (length > spacing)
    if not places:
        return
    held = [start, *places, *([stretch.end] if ends_held == 2 else [])]
    # what a groove and the room beside it take may be left over
    over = 2 * (12 + 2 * CLEAR) if cut else 0
    assert all(after - before <= spacing + over + 1e-5 for before, after in pairwise(held))
    if ends_held == 1:
        assert stretch.end - held[-1] <= spacing / 2 + over + 1e-5
    if len(cut) == 1:
        ((low, high),) = cut
        walled = [at for at in (low - CLEAR, high + CLEAR) if start < at < stretch.end]
        assert not walled or all(not low - CLEAR + 1e-6 < place < high + CLEAR - 1e-6 for place in places)
    if not cut:
        # and no fewer would do: common practice (no source) is the fewest
        fewer = len(places) - 1
        reach = fewer + 1 if ends_held == 2 else fewer + 0.5
        assert fewer == 0 or length > reach * spacing - 1e-3


def test_a_place_close_to_the_slot_s_end_is_none() -> None:
    # the groove's room reaches over the end of the keys' slots at 30.5, where a tenon would open them
    groove = Region(40, 231, voids=(Void(28, 40, 44, 50),))
    joint = butt_joint(40, 231, kind=EDGE, region=groove, middle="tenons")
    found = planned(joint, under=STROKE)
    assert found.plan is not None
    assert min(found.plan.fastenings) >= 30.5 + CLEAR


def test_two_that_a_groove_moves_to_one_side_are_one() -> None:
    places = fastening_places(Stretch(0, 300, 2, ((100, 200),)), 30)
    assert all(after - before >= 2 * CLEAR - 1e-6 for before, after in pairwise(places))
    assert not any(90 < place < 210 for place in places)


@pytest.mark.parametrize(
    ("face", "thick", "deep"),
    [
        # boards of 18: a third of it, and two thirds of what lies behind the face
        (butt_joint(18, 300, kind=EDGE).face, 6, 18),
        (replace(butt_joint(18, 300, kind=EDGE).face, backings=(Backing(18, Behind.SHOW_FACE),)), 6, 12),
        # slots, and so tenons, come from the other side too
        (replace(butt_joint(18, 300, kind=EDGE).face, backings=(Backing(18, Behind.OPPOSITE_SLOT),)), 6, 6),
        (replace(butt_joint(18, 300, kind=EDGE).face, backings=(Backing(12, Behind.SHOW_FACE),)), 4, 8),
        # a mitre at 45°: 18·√2 broad, so 12.728 − 3 from the tip to the tenon, and as far square to the joint
        (MatingFace(Region(18, 300), 45.0, (Entry.BACK, Entry.FRONT)), 6, (9 * 2**0.5 - 3) * 2 / 3),
    ],
)
def test_the_largest_tenon_leaves_wood_all_round(face: MatingFace, thick: float, deep: float) -> None:
    room = tenon_room(face)
    assert (room.thick, room.deep) == pytest.approx((thick, deep))
    assert room.wide < 2 * CLEAR


def documented(*assemblies: Json) -> Json:
    return takeoff_document(taken_off(*assemblies, sections=[KEY], rules={"stroke": 31}))


CABINET = carcass(keys={"middle": "tenons"})


def test_a_project_counts_them_and_spares() -> None:
    takeoff = taken_off(CABINET, sections=[KEY], rules={"stroke": 31, "spare": 0.1})
    joints = takeoff.assemblies[0].joints
    by_hand = sum(joint.joint.quantity * len(joint.plan.fastenings) for joint in joints if joint.plan)
    assert by_hand > 0
    (counted,) = takeoff.totals.fastenings
    assert (counted.sort, counted.used) == (Middle.TENONS, by_hand)
    assert counted.total == by_hand + -(-by_hand // 10)


def test_sorts_are_counted_apart() -> None:
    both = taken_off(CABINET, carcass(mark="B", keys={"middle": "screws"}), sections=[KEY], rules={"stroke": 31})
    assert [each.sort for each in both.totals.fastenings] == [Middle.SCREWS, Middle.TENONS]
    assert FasteningCount(Middle.SCREWS, 3, 1).total == 4


def test_the_document_says_what_and_where() -> None:
    document = documented(CABINET)
    (counted,) = document["fastenings"]
    assert counted["sort"] == "tenons"
    assert counted["total"] == counted["used"] + counted["spare"]
    joints = document["assemblies"][0]["joints"]
    assert sum(joint["quantity"] * len(joint["middle"]["places"]) for joint in joints) == counted["used"]
    assert {joint["middle"]["sort"] for joint in joints} == {"tenons"}
    # counted from one of the edges that keys come from, in the middle of the 18
    assert all(joint["middle"]["from"] in {slot["entry"] for slot in joint["slots"]} for joint in joints)
    assert {joint["middle"]["centre"] for joint in joints} == {9}
    assert "fastenings" not in documented(carcass())


def test_a_comparison_tells_when_they_changed() -> None:
    without, tenons = (documented(each) for each in (carcass(), CABINET))
    found = compare_takeoffs(without, tenons)
    (change,) = found.fastenings
    assert (change.item, change.before) == ("loose tenons", 0)
    assert change.after == tenons["fastenings"][0]["total"]
    names = {field.name for field in found.assemblies[0].joints[0].fields}
    assert {"middle", "middle held at"} <= names
    assert compare_takeoffs(tenons, tenons).same
