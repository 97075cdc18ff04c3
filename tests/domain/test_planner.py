"""The planner on KEY, whose slot is 12 wide and 2 deep, with a wall and a web of 2 and a skin of 1.5.

On a square face ``width`` across, centres may lie from 8 to width − 8 (half the slot and the wall), and
neighbours stand 14 apart (slot and web).
"""

from __future__ import annotations

import pytest

from domain.faces.face import Backing, Behind
from domain.faces.region import Region, Void
from domain.notes import NoteCode
from domain.parts import Joint, JointKind
from domain.planning.planner import plan_joint
from domain.spec.choices import Entry
from tests.domain.builders import LARGE, SMALL, butt_joint, codes, figures, made, planned, rules, section

EDGE = JointKind.EDGE_BUTT


def test_a_plain_joint_takes_two_keys_at_the_quarter_points() -> None:
    found = planned(butt_joint(40, 20))
    plan = found.plan
    assert plan is not None
    # allowed 8…32, even places 40/4 = 10 and 30. Budget 20 − 1.5 = 18.5: 16 + 0.3 fits, 10 + 10 does not
    assert plan.centres == (10, 30)
    assert (plan.keys, plan.depth, plan.recess) == ((16,), 16.5, 0.5)
    assert (plan.reach, plan.hold) == (10, 0.8)
    assert (plan.snug_projection, plan.projection) == (pytest.approx(2), pytest.approx(2))
    assert plan.allowed == ((8, 32),)
    assert [(slot.entry, slot.centre, slot.depth, slot.keys, slot.recess) for slot in found.slots] == [
        (Entry.BACK, 10, 16.5, (16,), 0.5),
        (Entry.BACK, 30, 16.5, (16,), 0.5),
    ]
    assert found.notes == ()


def test_the_starting_projection_is_snug_and_the_preload() -> None:
    plan = made(butt_joint(40, 20), under=rules(preload=0.15))
    # (12 − 8)/2 = 2, and 0.15; the slot's bottom stays 12 wide
    assert (plan.snug_projection, plan.projection) == (pytest.approx(2), pytest.approx(2.15))
    assert plan.extent == pytest.approx((-6, 6))


@pytest.mark.parametrize(
    ("preload", "note"),
    [(0.25, []), (0.3, [NoteCode.OVER_TIGHT])],  # at 45° the squeeze on a flank is the preload itself
)
def test_a_preload_past_the_shops_limit_is_called_over_tight(preload: float, note: list[NoteCode]) -> None:
    assert codes(planned(butt_joint(40, 20), under=rules(preload=preload)).notes) == note


def test_a_key_deeper_than_its_slot_is_said_to_hold_the_faces_apart() -> None:
    # tip 11: snug at 1.5, but each half of the key is 2: apart by 2·(2 − 1.5)
    notes = planned(butt_joint(40, 20), section(tip_diameter=11)).notes
    assert figures(notes, NoteCode.HELD_APART) == {"gap": 1}


# --- how many ------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("width", "centres", "notes"),
    [
        (16, (8,), [NoteCode.ONE_KEY]),  # just room for one: 2 + 12 + 2
        (26, (13,), [NoteCode.ONE_KEY]),  # 8…18 is 10 long, two need 14
        (29.9, (14.95,), [NoteCode.ONE_KEY]),
        (30, (8, 22), []),  # exactly 14
        (160, (40, 120), []),  # two reach 40
        (161, (161 / 6, 80.5, 805 / 6), []),  # two would reach 40.25
    ],
)
def test_a_frame_joint_has_two_keys_where_two_fit_and_as_many_as_the_reach_asks(
    width: float, centres: tuple[float, ...], notes: list[NoteCode]
) -> None:
    found = planned(butt_joint(width, 20))
    assert found.plan is not None
    assert found.plan.centres == pytest.approx(centres)
    assert codes(found.notes) == notes


def test_an_edge_has_one_row() -> None:
    found = planned(butt_joint(40, 20, kind=EDGE))
    assert found.plan is not None
    assert (found.plan.centres, found.notes) == ((20,), ())


@pytest.mark.parametrize(
    ("count", "centres"),
    [
        (1, (30,)),
        (3, (10, 30, 50)),
        (4, (8, 22.5, 37.5, 52)),  # even would be 7.5 and 52.5: too near the edges
    ],
)
def test_a_pinned_count_is_kept(count: int, centres: tuple[float, ...]) -> None:
    found = planned(butt_joint(60, 20, count=count))
    assert found.plan is not None
    assert found.plan.centres == pytest.approx(centres, abs=1e-6)
    assert NoteCode.ONE_KEY not in codes(found.notes)


def test_more_keys_than_fit_are_refused_with_the_number_that_does() -> None:
    # 8…52 is 44 long: 8, 22, 36, 50 and no fifth
    notes = planned(butt_joint(60, 20, count=5)).notes
    assert figures(notes, NoteCode.TOO_MANY_KEYS) == {"asked_n": 5, "most_n": 4}


def test_centres_move_to_the_setting_step_where_they_may() -> None:
    # even places in 41: 10.25 and 30.75. Each to the step below or above; the pair stays as even as it was
    plan = made(butt_joint(41, 20), under=rules(setting_step=0.5))
    assert plan.centres in {(10, 31), (10.5, 30.5)}
    assert made(butt_joint(41, 20)).centres == (10.25, 30.75)


# --- how deep ------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("run", "keys", "depth", "recess"),
    [
        (11.8, (10,), 10.3, 0.3),  # 11.8 − 1.5 = 10.3 is the least a 10 key needs
        (12, (10,), 10.5, 0.5),
        (17.7, (10,), 10.5, 0.5),  # 16.2: a 16 needs 16.3
        (17.8, (16,), 16.3, 0.3),
        (17.9, (16,), 16.4, 0.4),
        (18, (16,), 16.5, 0.5),
        (21.8, (10, 10), 20.3, 0.3),
        (27.8, (16, 10), 26.3, 0.3),
        (31.8, (30,), 30.3, 0.3),  # 30 in one piece, not 10 + 10 + 10
        (34, (16, 16), 32.5, 0.5),
        (38, (16, 10, 10), 36.5, 0.5),  # 36; 38 would have to be made of 10, 16, 30 and is not
        (42, (30, 10), 40.5, 0.5),  # two pieces, not four of 10
    ],
)
def test_the_slot_is_filled_best_with_stock_lengths(
    run: float, keys: tuple[float, ...], depth: float, recess: float
) -> None:
    plan = made(butt_joint(40, run))
    assert (plan.keys, plan.depth, plan.recess) == (keys, pytest.approx(depth), pytest.approx(recess))


@pytest.mark.parametrize(("run", "noted"), [(17.8, {"recess": 0.3}), (17.9, {"recess": 0.4})])
def test_a_shallow_recess_is_mentioned(run: float, noted: dict[str, float]) -> None:
    assert figures(planned(butt_joint(40, run)).notes, NoteCode.SHALLOW_RECESS) == noted


def test_the_stroke_bounds_the_slot() -> None:
    # run 100, but the machine mills 30: 16 + 10 + 0.3 fits, 30 + 0.3 does not
    plan = made(butt_joint(40, 100), under=rules(stroke=30))
    assert (plan.keys, plan.depth) == ((16, 10), 26.5)


@pytest.mark.parametrize(
    ("recess", "keys", "depth"),
    [
        (0, (16,), 16),
        (1, (16,), 17),
        (2.5, (16,), 18.5),  # 18.5 is all there is
        (2.6, (10,), 12.6),  # a pinned recess is not bargained with
    ],
)
def test_a_pinned_recess_is_kept_exactly(recess: float, keys: tuple[float, ...], depth: float) -> None:
    plan = made(butt_joint(40, 20, recess=recess))
    assert (plan.keys, plan.depth, plan.recess) == (keys, pytest.approx(depth), pytest.approx(recess))


@pytest.mark.parametrize(
    ("height", "keys", "recess"),
    [
        (3, (16,), 2.5),  # 3 less 0.5 proud: 16 + 2.5 fills 18.5
        (3.1, (10,), 2.6),
        (0.6, (16,), 0.3),  # 0.1 would be less than the least recess
    ],
)
def test_a_plug_sinks_the_key_by_its_height_less_what_stands_proud(
    height: float, keys: tuple[float, ...], recess: float
) -> None:
    plan = made(butt_joint(40, 20, plug={"material": "oak", "height": height}))
    assert (plan.keys, plan.recess) == (keys, pytest.approx(recess))


def test_a_key_never_comes_through_the_show_face() -> None:
    # a step down to 14 over the right half: a 16 key would come out there
    low = Region(40, 20, ceiling=((0, 20), (20, 20), (20, 14), (40, 14)))
    plan = made(butt_joint(40, 20, region=low))
    # two keys only fit where both stand under the lower part's 14 − 1.5 = 12.5
    assert (plan.keys, plan.centres, plan.depth) == ((10,), (10, 30), 10.5)


# --- both ends -----------------------------------------------------------------------------------


def test_slots_from_both_ends_leave_the_wall_between_them() -> None:
    # (35 − 2)/2 = 16.5 each
    found = planned(butt_joint(40, 35, kind=EDGE, entries=(Entry.BOTH,)))
    assert found.plan is not None
    assert (found.plan.keys, found.plan.depth) == ((16,), 16.5)
    assert [(slot.entry, slot.centre) for slot in found.slots] == [(Entry.BACK, 20), (Entry.FRONT, 20)]
    assert 35 - 2 * found.plan.depth == 2
    assert found.plan.hold == pytest.approx(32 / 35)
    # a hair less and the 16 goes in shallower, then from neither; but 20 from the one end and 10 from the other
    assert made(butt_joint(40, 34.6, kind=EDGE, entries=(Entry.BOTH,))).depth == pytest.approx(16.3)
    shorter = made(butt_joint(40, 34.5, kind=EDGE, entries=(Entry.BOTH,)))
    assert shorter.far is not None
    assert (shorter.keys, shorter.far.keys) == ((10, 10), (10,))
    assert (shorter.depth, shorter.far.depth) == (20.5, 10.5)
    assert shorter.hold == pytest.approx(30 / 34.5)


@pytest.mark.parametrize(
    ("run", "noted"),
    [
        # reach limit 40: a stretch of more than 80. Stroke 40: a 30 key, 30.5 deep from both ends
        (141, None),
        (141.1, {"stretch": 80.1, "fastenings_text": "a loose tenon or a screw"}),
        # 200 in three parts of 66.7, not in two of 100
        (261, {"stretch": 200, "fastenings_text": "2 loose tenons or screws"}),
    ],
)
def test_a_long_middle_without_a_key_is_mentioned(run: float, noted: dict[str, float | str] | None) -> None:
    joint = butt_joint(40, run, kind=EDGE, entries=(Entry.BOTH,))
    notes = planned(joint, under=rules(stroke=31)).notes
    if noted is None:
        assert NoteCode.MIDDLE_STRETCH not in codes(notes)
    else:
        assert figures(notes, NoteCode.MIDDLE_STRETCH) == noted


def test_a_long_edge_that_is_held_at_one_end_needs_a_fastening_near_the_other() -> None:
    # 230.5 − 30.5 = 200 without a key: two stand at 80 and 160 from it, 40 from the free end
    notes = planned(butt_joint(40, 230.5, kind=EDGE, entries=(Entry.BACK,)), under=rules(stroke=31)).notes
    assert figures(notes, NoteCode.MIDDLE_STRETCH) == {
        "stretch": 200,
        "fastenings_text": "2 loose tenons or screws",
    }


# --- entries -------------------------------------------------------------------------------------

CLOSED_ON_TOP = Region(20, 60, voids=(Void(0, 20, 50, 60),))
"""No wood in the last 10 of the run: nothing enters from the front edge."""


def test_where_one_edge_is_closed_keys_go_in_from_the_other() -> None:
    entries = (Entry.BOTH, Entry.BACK, Entry.FRONT)
    found = planned(butt_joint(20, 60, region=CLOSED_ON_TOP, kind=EDGE, entries=entries))
    assert found.plan is not None
    # wood for 50: 50 − 1.5 = 48.5 takes 30 + 16 = 46 but not 40 + 10
    assert (found.plan.entry, found.plan.keys, found.plan.depth) == (Entry.BACK, (16, 16, 16), 48.5)
    assert figures(found.notes, NoteCode.ENTRY_CHANGED) == {"entry_text": "back"}


def test_a_joint_that_may_only_be_entered_by_a_closed_edge_cannot_be_made() -> None:
    found = planned(butt_joint(20, 60, region=CLOSED_ON_TOP, kind=EDGE, entries=(Entry.FRONT,)))
    assert (found.plan, found.slots, found.depth_stop) == (None, (), None)
    assert figures(found.notes, NoteCode.NO_ROOM) == {"section_text": "12", "needed": 16, "available": 0}


def test_an_entry_asked_of_the_whole_project_is_passed_over_where_it_cannot_be() -> None:
    notes = planned(butt_joint(40, 20, entry="top")).notes
    assert figures(notes, NoteCode.ENTRY_NOT_HERE) == {"asked_text": "the top", "entry_text": "back"}


# --- reach over the limit ------------------------------------------------------------------------


def test_a_reach_of_just_the_limit_is_within_it() -> None:
    # 12.4 wide: from 8.2 to 60 − 8.2 = 51.8, and 60 − 51.8 is not quite 8.2 in binary
    found = planned(butt_joint(60, 20, count=4), section(tip_diameter=12.4, reach_limit=8.2))
    assert found.plan is not None
    assert found.plan.reach == pytest.approx(8.2)
    assert found.notes == ()


def stepped(edge: float) -> Joint:
    """60 across and 40 deep, but only 20 deep beyond ``edge``: short stacks may stand there, long ones not.

    36 of keys need 37.8: centres 8 … edge − 8. 16 of keys need 17.8: centres 8 … 52.
    """
    return butt_joint(60, 40, region=Region(60, 40, ceiling=((0, 40), (edge, 40), (edge, 20), (60, 20))))


def test_the_reach_limit_comes_before_the_length_of_the_stack() -> None:
    # edge 40: the long stack reaches 60 − 32 = 28. Within 30 that will do; within 10 only 16s at 10, 30, 50
    far = made(stepped(40), section(reach_limit=30))
    assert (far.keys, far.reach, far.count) == ((16, 10, 10), 28, 2)
    near = made(stepped(40), section(reach_limit=10))
    assert (near.keys, near.centres, near.reach) == ((16,), (10, 30, 50), 10)


@pytest.mark.parametrize(
    ("edge", "keys", "reach"),
    [
        # the limit of 5 is out of reach: 8 is the least possible, with the short stack
        (40, (16,), 8),  # 28 is far more than 8 + 2
        (57.9, (16,), 8),  # 49.9: the long stack would reach 10.1
        (58, (16, 10, 10), 10),  # 50: the long stack reaches 10, within 2 of the least
        (59, (16, 10, 10), 9),
    ],
)
def test_where_the_limit_is_out_of_reach_the_longest_stack_within_2_mm_of_the_least_is_taken(
    edge: float, keys: tuple[float, ...], reach: float
) -> None:
    found = planned(stepped(edge), section(reach_limit=5))
    assert found.plan is not None
    assert (found.plan.keys, found.plan.reach) == (keys, pytest.approx(reach, abs=1e-6))
    assert figures(found.notes, NoteCode.REACH_OVER) == {"reach": reach, "limit": 5}


# --- what cannot be made -------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("joint", "reason", "reason_figures"),
    [
        # 12 and two walls of 2
        (butt_joint(15, 20), NoteCode.NO_ROOM, {"needed": 16, "available": 15}),
        (butt_joint(13, 20), NoteCode.NO_ROOM, {"needed": 16, "available": 13}),
        # 10 + 0.3 + 1.5
        (butt_joint(40, 11), NoteCode.RUN_TOO_SHORT, {"needed": 11.8, "available": 11}),
        # twice 10.3 and the wall of 2
        (butt_joint(40, 22, kind=EDGE, entries=(Entry.BOTH,)), NoteCode.RUN_TOO_SHORT,
         {"needed": 22.6, "available": 22}),
        # 3.5 less the wall of 2, where the slot goes 2
        (butt_joint(40, 20, backings=(Backing(3.5, Behind.EDGE),)), NoteCode.TOO_DEEP_FOR_EDGE,
         {"projection": 2, "available": 1.5}),
        # 3 less the skin of 1.5
        (butt_joint(40, 20, backings=(Backing(3, Behind.SHOW_FACE),)), NoteCode.TOO_DEEP_FOR_FACE,
         {"projection": 2, "available": 1.5}),
        # 5 less the web of 2, shared by two: 1.5 each; the wood must grow for both
        (butt_joint(40, 20, backings=(Backing(5, Behind.OPPOSITE_SLOT),)), NoteCode.TOO_DEEP_OPPOSITE,
         {"projection": 2, "available": 1.5}),
    ],
)  # fmt: skip
def test_a_joint_that_cannot_be_made_says_why(
    joint: Joint, reason: NoteCode, reason_figures: dict[str, float]
) -> None:
    found = planned(joint)
    assert (found.plan, found.slots) == (None, ())
    assert codes(found.notes) == [reason]
    assert figures(found.notes, reason) == {"section_text": "12"} | reason_figures
    (alternative,) = found.alternatives
    assert not alternative.fits
    assert alternative.why_not == found.notes[0]


@pytest.mark.parametrize(
    "backings",
    [
        (Backing(4, Behind.EDGE),),
        (Backing(3.5, Behind.SHOW_FACE),),
        (Backing(6, Behind.OPPOSITE_SLOT),),
    ],
)
def test_exactly_enough_wood_behind_will_do(backings: tuple[Backing, ...]) -> None:
    assert planned(butt_joint(40, 20, backings=backings)).plan is not None


def test_as_much_wood_as_the_reason_names_will_do() -> None:
    assert planned(butt_joint(15, 20)).plan is None
    assert planned(butt_joint(16, 20)).plan is not None
    assert planned(butt_joint(15, 20), under=rules(wall=1.5)).plan is not None
    assert planned(butt_joint(40, 11.8)).plan is not None
    assert planned(butt_joint(40, 22.6, kind=EDGE, entries=(Entry.BOTH,))).plan is not None


def test_a_pinned_section_that_does_not_fit_says_why_and_which_one_would() -> None:
    found = planned(butt_joint(20, 20, section="18"), SMALL, section(), LARGE)
    assert found.plan is None
    assert codes(found.notes) == [NoteCode.NO_ROOM]
    assert figures(found.notes, NoteCode.NO_ROOM) == {"section_text": "18", "needed": 22, "available": 20}
    assert [one.section.name for one in found.alternatives if one.fits] == ["8", "12"]


def test_of_several_that_do_not_fit_the_nearest_miss_is_explained() -> None:
    # 11 across: 8 needs 12, 12 needs 16, 18 needs 22
    found = planned(butt_joint(11, 20), LARGE, section(), SMALL)
    assert figures(found.notes, NoteCode.NO_ROOM) == {"section_text": "8", "needed": 12, "available": 11}


def test_an_unknown_section_and_an_empty_catalogue_are_named() -> None:
    found = planned(butt_joint(40, 20, section="99"))
    assert figures(found.notes, NoteCode.UNKNOWN_SECTION) == {"section_text": "99"}
    assert [one.section.name for one in found.alternatives if one.fits] == ["12"]
    assert codes(plan_joint(butt_joint(40, 20), (), rules()).notes) == [NoteCode.NO_SECTIONS]
