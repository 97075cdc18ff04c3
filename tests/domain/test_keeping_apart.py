"""Slots of different joints in one piece keep the web: moved, with another section, or refused on both sides."""

from __future__ import annotations

from math import hypot, sqrt
from typing import Any

import pytest

from domain.notes import NoteCode
from domain.parts import Point
from domain.planning.plans import JointPlan
from domain.takeoff.keeping_apart import kept_apart
from domain.takeoff.slots import Hollow, between_outlines, keep, wood_between
from tests.domain.builders import EXACT, SMALL, carcass, codes, figures, read, rules, section, taken_off

KEY = section()


def under_the_top(shelf: float, web: float, *shop: Any, **more: Any) -> dict[str, JointPlan]:
    """A shelf close under a top that is laid over the sides, by joint; planned with KEY alone unless told."""
    spec = carcass(corner="top_over", shelves=[shelf], **more)
    takeoff = taken_off(spec, shop=shop or (KEY,), rules=EXACT | {"web": web})
    (assembly,) = takeoff.assemblies
    return {joint.joint.mark: joint for joint in assembly.joints}


# In the side, x from its outer face and y from the floor: the top corner's slot, its centre at 9, is cut down from
# the end at 882 to 880 and ends at x = 9 + 6 = 15. The shelf's, centre 9 above the shelf's lower face, comes from
# x = 18 to 16 and reaches 9 + 6 = 15 above it. Their corners are 1 apart across and 880 − 15 − shelf along.


def test_slots_that_keep_the_web_stay_where_they_hold_best() -> None:
    joints = under_the_top(863, web=2)
    assert hypot(1, 880 - 15 - 863) >= 2
    assert joints["A-J3"].plan is not None
    assert joints["A-J3"].plan.centres == (9,)
    assert not any(note.code.startswith("slots_") for joint in joints.values() for note in joint.notes)


def test_slots_too_near_are_moved_within_the_wood() -> None:
    joints = under_the_top(863.5, web=2)
    plan = joints["A-J3"].plan
    assert plan is not None
    # √3 along and 1 across make 2; 1.5 is there
    assert plan.centres[0] == pytest.approx(9 - (sqrt(3) - 1.5), abs=1e-4)
    assert plan.reach == pytest.approx(18 - plan.centres[0])
    assert joints["A-J3"].slots[0].centre == plan.centres[0]
    assert figures(joints["A-J3"].notes, NoteCode.SLOTS_MOVED) == {
        "more": pytest.approx(0.232, abs=1e-3), "web": 2, "other_text": "A-J1", "piece_text": "A1",
    }  # fmt: skip
    assert joints["A-J3"].alternatives[0].plan == plan


def test_slots_are_moved_by_whole_steps_of_the_machine() -> None:
    spec = carcass(corner="top_over", shelves=[863.5])
    (assembly,) = taken_off(spec, rules=EXACT | {"setting_step": 0.5}).assemblies
    plan = assembly.joints[2].plan
    assert plan is not None
    assert plan.centres == (8.5,)


def test_a_section_that_keeps_clear_is_taken_and_the_other_named() -> None:
    # KEY would have to go 2.15 down and has 1: the shelf is 1.15 too near; SMALL keeps 1.5 and 3.1 to the corner
    joints = under_the_top(863.9, 3.4, SMALL, KEY)
    shelf = joints["A-J3"]
    assert shelf.plan is not None
    assert shelf.plan.section == SMALL
    said = {
        "piece_text": "A1", "section_text": "12", "gap": pytest.approx(hypot(1, 1.1), abs=1e-3),
        "other_text": "A-J1", "web": 3.4, "part_text": "A4", "more": 1.2, "way_text": "near",
    }  # fmt: skip
    assert figures(shelf.notes, NoteCode.SLOTS_NEAR) == said
    (refused,) = [one for one in shelf.alternatives if one.section == KEY]
    assert refused.why_not in shelf.notes
    assert joints["A-J1"].plan is not None
    assert joints["A-J1"].plan.section == KEY
    assert NoteCode.IN_THE_WAY not in codes(joints["A-J1"].notes)


def test_where_nothing_keeps_clear_both_joints_say_so() -> None:
    joints = under_the_top(863.9, web=4)
    corner, shelf = joints["A-J1"], joints["A-J3"]
    assert shelf.plan is None
    assert not shelf.slots
    assert corner.plan is not None
    # √15 along and 1 across make 4; 1.1 is there, so 2.773 are missing, 1 of them within the shelf
    said = {"piece_text": "A1", "gap": pytest.approx(hypot(1, 1.1), abs=1e-3), "web": 4, "part_text": "A4"}
    said |= {"more": 1.8, "way_text": "near"}
    assert figures(shelf.notes, NoteCode.SLOTS_NEAR) == said | {"section_text": "12", "other_text": "A-J1"}
    assert figures(corner.notes, NoteCode.IN_THE_WAY) == said | {"other_text": "A-J3"}
    assert shelf.notes[0].text() == (
        "In A1 the slots for the 12 key would come within 1.49 mm of those of A-J1, and the web is 4 mm:"
        " A4 is 1.8 mm too near."
    )


def test_moved_so_far_as_it_says_the_joint_is_made() -> None:
    assert under_the_top(863.9 - 1.8, web=4)["A-J3"].plan is not None
    assert under_the_top(863.9 - 1.7, web=4)["A-J3"].plan is None


def test_a_pinned_section_is_kept_to() -> None:
    joints = under_the_top(863.9, 3.4, SMALL, KEY, joints={"A-J3": {"section": "12"}})
    assert joints["A-J3"].plan is None
    assert joints["A-J3"].notes[0].code is NoteCode.SLOTS_NEAR


def test_slots_that_run_across_each_other_are_looked_at_too() -> None:
    """A plinth's slots come up from the floor, 1.5 short of the bottom's, whose slot begins 3 farther on."""
    spec = carcass(plinth=60)
    (within,) = taken_off(spec, rules=EXACT | {"web": 4.5}).assemblies
    (beyond,) = taken_off(spec, rules=EXACT | {"web": 25}).assemblies
    assert within.makeable
    (plinth,) = [joint for joint in beyond.joints if joint.joint.place == "plinth end"]
    assert plinth.plan is None
    assert plinth.notes[0].code is NoteCode.SLOTS_NEAR


def test_an_assembly_without_close_joints_is_left_as_it_is() -> None:
    project = read(carcass(shelves=[400]))
    (assembly,) = taken_off(carcass(shelves=[400])).assemblies
    joints = kept_apart(project.assemblies[0], assembly.expansion, assembly.joints, rules())
    assert joints is assembly.joints


def outline(*points: Point) -> tuple[Point, ...]:
    return points


SQUARE = outline((0, 0), (10, 0), (10, 10), (0, 10))


@pytest.mark.parametrize(
    ("other", "apart"),
    [
        (outline((13, 14), (20, 14), (20, 20), (13, 20)), 5.0),
        (outline((12, 2), (20, 2), (20, 8), (12, 8)), 2.0),
        (outline((12, 10), (20, 2), (20, 20)), 2.0),
        (outline((11, 11), (21, 1), (21, 21)), sqrt(2)),
        (outline((14, 10), (10, 14), (14, 14)), 4 / sqrt(2)),
        (outline((10, 0), (20, 0), (20, 10)), 0.0),
        (outline((2, 2), (3, 2), (3, 3)), 0.0),
        (outline((-5, 4), (15, 4), (15, 6), (-5, 6)), 0.0),
    ],
    ids=["corner", "side", "point", "slant", "corner to slant", "touching", "within", "across"],
)
def test_how_far_two_outlines_lie_apart(other: tuple[Point, ...], apart: float) -> None:
    assert between_outlines(SQUARE, other) == pytest.approx(apart, abs=1e-9)
    assert between_outlines(other, SQUARE) == pytest.approx(apart, abs=1e-9)


def test_the_wood_between_two_slots() -> None:
    one = Hollow(2, (0.0, 30.0), SQUARE)
    beside = Hollow(2, (10.0, 20.0), outline((13, 0), (20, 0), (20, 10), (13, 10)))
    beyond = Hollow(2, (34.0, 60.0), outline((13, 0), (20, 0), (20, 10), (13, 10)))
    across = Hollow(0, (13.0, 50.0), outline((0, 34), (10, 34), (10, 40), (0, 40)))
    assert wood_between(one, beside) == 3
    assert wood_between(one, beyond) == 5
    assert wood_between(one, across) == 5
    assert keep(one, beyond, 5)
    assert not keep(one, beyond, 5.001)
    assert wood_between(one, beyond.shifted((0.0, 0.0, -1.0), 4.0)) == 3
