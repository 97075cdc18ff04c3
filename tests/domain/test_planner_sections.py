"""Which section and which cutter the planner takes, on KEY and a smaller and a larger key beside it."""

from __future__ import annotations

import pytest

from domain.notes import NoteCode
from domain.parts import JointKind
from domain.planning.plans import CutterKind
from tests.domain.builders import LARGE, SMALL, butt_joint, codes, figures, made, planned, rules, section

EDGE = JointKind.EDGE_BUTT


@pytest.mark.parametrize(
    ("width", "run", "chosen"),
    [
        (40, 12, "12"),  # 8 and 12 are both recommended for 12: the larger
        (60, 9.9, None),  # no key is so short
        (60, 20, "18"),  # 12 and 18 both: 18 has room for two, 8…: 11 and 49 apart by 38 ≥ 20
        (40, 20, "12"),  # 18: centres 11…29, one key only; 12 takes two
        (21, 20, "12"),  # 18 needs 22 across
    ],
)
def test_the_section_recommended_for_the_smaller_side_is_taken(
    width: float, run: float, chosen: str | None
) -> None:
    found = planned(butt_joint(width, run), SMALL, section(), LARGE)
    assert (found.plan.section.name if found.plan else None) == chosen
    assert [one.section.name for one in found.alternatives] == ["8", "12", "18"]


def test_the_order_of_the_catalogue_does_not_matter() -> None:
    names = {
        made(butt_joint(60, 20), *order).section.name
        for order in ((SMALL, section(), LARGE), (LARGE, section(), SMALL), (section(), LARGE, SMALL))
    }
    assert names == {"18"}


def test_where_none_is_recommended_the_largest_that_fits_is_taken_and_said_so() -> None:
    # 70 thick and 90 wide: beyond every range
    found = planned(butt_joint(90, 70), SMALL, section(stock_to=39), LARGE)
    assert found.plan is not None
    assert found.plan.section.name == "18"
    assert figures(found.notes, NoteCode.NOT_RECOMMENDED) == {"side": 70, "section_text": "18"}


def test_where_the_recommended_one_does_not_fit_the_largest_that_does_is_taken() -> None:
    # 20 thick asks for 18 alone here, but 17 across holds neither it (22) nor more than one 12 (16)
    found = planned(
        butt_joint(17, 20, kind=EDGE),
        SMALL,
        section(stock_from=10, stock_to=16),
        section(name="18", waist=14, tip_diameter=18, stock_from=17, stock_to=40),
    )
    assert found.plan is not None
    assert found.plan.section.name == "12"
    assert figures(found.notes, NoteCode.NOT_RECOMMENDED) == {"side": 17, "section_text": "12"}
    assert [one.fits for one in found.alternatives] == [True, True, False]


def test_a_pinned_section_is_taken_whatever_is_recommended() -> None:
    found = planned(butt_joint(60, 20, section="8"), SMALL, section(), LARGE)
    assert found.plan is not None
    assert found.plan.section.name == "8"
    assert NoteCode.NOT_RECOMMENDED not in codes(found.notes)


# --- cutters -------------------------------------------------------------------------------------


def test_the_free_cutter_is_used_where_the_drive_limit_leaves_too_little_hold() -> None:
    # run 40, driven 16 at most: hold 0.4. Free-fit: 38.5 takes 36, hold 0.9
    wide = section(drive_limit=16, free_tip_diameter=12.4)
    found = planned(butt_joint(40, 40), wide)
    plan = found.plan
    assert plan is not None
    assert (plan.cutter.kind, plan.cutter.tip_diameter) == (CutterKind.FREE, 12.4)
    assert (plan.keys, plan.hold) == ((16, 10, 10), pytest.approx(0.9))
    assert plan.snug_projection == pytest.approx(2.2)  # (12.4 − 8)/2
    assert figures(found.notes, NoteCode.FREE_CUTTER) == {
        "held_bare": 36,
        "run": 40,
        "now_n": 0.9,
        "limit": 16,
        "less": 16,
        "hold_n": 0.4,
    }


def test_the_close_fit_cutter_is_kept_where_the_hold_is_enough() -> None:
    # run 45, driven 36 at most: the target of 0.8 exactly, though free-fit would take 16 + 16 + 10 = 42
    plan = made(butt_joint(40, 45), section(drive_limit=36, free_tip_diameter=12.4))
    assert (plan.cutter.kind, plan.keys) == (CutterKind.CLOSE, (16, 10, 10))
    # a shop that asks for more gets it
    more = made(butt_joint(40, 45), section(drive_limit=36, free_tip_diameter=12.4), under=rules(hold_target=0.81))
    assert (more.cutter.kind, more.keys) == (CutterKind.FREE, (16, 16, 10))


def test_the_free_cutter_may_not_cost_the_reach_limit() -> None:
    # four close-fit slots from 8 to 52 reach 8; four of 12.4 begin at 8.2
    tight = section(drive_limit=16, free_tip_diameter=12.4, reach_limit=8)
    plan = made(butt_joint(60, 40), tight)
    assert (plan.cutter.kind, plan.count, plan.reach) == (CutterKind.CLOSE, 4, pytest.approx(8, abs=1e-6))
    roomy = section(drive_limit=16, free_tip_diameter=12.4, reach_limit=8.2)
    assert made(butt_joint(60, 40), roomy).cutter.kind is CutterKind.FREE


def test_without_a_free_cutter_nothing_is_driven_past_the_limit() -> None:
    found = planned(butt_joint(40, 40), section(drive_limit=16))
    assert found.plan is not None
    assert (found.plan.keys, found.plan.depth) == ((16,), 16.5)
    assert figures(found.notes, NoteCode.DRIVE_LIMIT) == {"possible": 36, "limit": 16}
    assert figures(found.notes, NoteCode.LOW_HOLD) == {
        "held_bare": 16,
        "run": 40,
        "hold_n": 0.4,
        "target_n": 0.8,
    }


def test_the_free_cutter_may_not_cost_a_frame_joint_its_second_key() -> None:
    # 30 across takes two close-fit slots exactly (8 and 22); two of 12.4 would need 8.2 + 14.4 + 8.2
    plan = made(butt_joint(30, 40), section(drive_limit=16, free_tip_diameter=12.4))
    assert (plan.cutter.kind, plan.centres, plan.keys) == (CutterKind.CLOSE, (8, 22), (16,))
    # on an edge one row is all there is, so there it may
    edge = made(butt_joint(30, 40, kind=EDGE), section(drive_limit=16, free_tip_diameter=12.4))
    assert (edge.cutter.kind, edge.centres) == (CutterKind.FREE, (15,))


@pytest.mark.parametrize(
    ("scale", "reading"),
    [
        (None, 16.5),  # zeroed for the cutter: the depth itself
        (12, 16.5),
        (14, 17.5),  # 16.5 + (14 − 12)/2: a smaller cutter is set deeper
        (9, 15),  # a larger one shallower
    ],
)
def test_the_depth_stop_allows_for_the_cutter_its_scale_was_set_with(scale: float | None, reading: float) -> None:
    assert planned(butt_joint(40, 20), under=rules(scale_tip_diameter=scale)).depth_stop == reading


def test_two_keys_that_are_not_recommended_come_before_one_that_pivots() -> None:
    # 40 × 20: of 18 there is room for one key; 12 takes two, and is meant for thinner stock here
    found = planned(butt_joint(40, 20), section(stock_to=16), LARGE)
    assert found.plan is not None
    assert (found.plan.section.name, found.plan.count) == ("12", 2)
    assert figures(found.notes, NoteCode.TWO_KEYS) == {"side": 20, "section_text": "12"}


def test_where_the_target_is_missed_the_section_that_holds_most_is_taken() -> None:
    # run 60: 18 has lengths of 30 alone and is driven 30 deep, hold 0.5; 12 makes 16 + 16 of 32, hold 0.53
    large = LARGE.model_copy(update={"lengths": section(lengths=[30]).lengths})
    found = planned(
        butt_joint(60, 60, kind=EDGE),
        section(lengths=[16], drive_limit=40),
        section(**large.model_dump(mode="json") | {"drive_limit": 30, "stock_to": 70}),
    )
    assert found.plan is not None
    assert (found.plan.section.name, found.plan.hold) == ("12", pytest.approx(32 / 60))


def test_the_free_fit_cutter_is_not_changed_to_for_a_little() -> None:
    # run 200: 60 driven close-fit, hold 0.3; free-fit 70 with the stroke of 71, hold 0.35: both miss the target
    few, many = (
        made(
            butt_joint(40, 200, kind=EDGE),
            section(lengths=[10], free_tip_diameter=12.5),
            under=rules(stroke=stroke),
        )
        for stroke in (71, 90)
    )
    assert (few.cutter.kind, few.hold) == (CutterKind.CLOSE, pytest.approx(0.3))
    # a stroke of 90 takes 80, a tenth more
    assert (many.cutter.kind, many.hold) == (CutterKind.FREE, pytest.approx(0.4))
