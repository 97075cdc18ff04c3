"""Check values of the trade. Every one is marked with its source: common practice, where there is none."""

from __future__ import annotations

from math import radians, tan
from typing import Any

import pytest

from domain.assemblies.expand import expand
from domain.lengths import Length
from domain.notes import NoteCode
from domain.planning.fit import FitRegime, key_fit, snug_projection
from domain.planning.planner import depth_stop, plan_joint
from domain.planning.plans import CutterKind, JointPlan
from domain.spec.assemblies import Box, MitredFrame, SingleJoint
from domain.spec.choices import Entry
from domain.spec.rules import Rules
from domain.takeoff.build import take_off_assembly
from tests.published import trade

RULES = Rules()


def single(run: float, section: Any = trade.MIDDLE, breadth: float = 60, **rules: Any) -> JointPlan:
    """A square joint in stock ``run`` mm thick, planned with one section."""
    fields = {"mark": "L", "breadth": breadth, "run": run, "angle": 90, "behind": [60, 60]}
    (joint,) = expand(SingleJoint.model_validate(fields)).joints
    return plan_joint(joint, (section,), Rules.model_validate(rules))


def codes(joint: JointPlan) -> set[NoteCode]:
    return {note.code for note in joint.notes}


def test_eighteen_millimetre_stock_takes_a_sixteen_key_in_a_slot_half_a_millimetre_deeper() -> None:
    plan = single(18).plan
    assert plan is not None
    # common practice (no source): 18 mm stock, 16 mm key, slot 16.5 mm deep
    assert (plan.keys, plan.depth, plan.recess) == ((16.0,), 16.5, 0.5)


def test_a_deep_slot_takes_a_long_and_a_short_key_behind_one_another() -> None:
    joint = single(83.8)
    plan = joint.plan
    assert plan is not None
    # common practice (no source): an 82.3 mm slot, milled with the free-fit cutter, takes 60 + 22
    assert plan.cutter.kind is CutterKind.FREE
    assert plan.depth == pytest.approx(82.3)
    assert plan.keys == (60.0, 22.0)
    assert NoteCode.FREE_CUTTER in codes(joint)


def test_nothing_is_driven_past_the_close_fit_cutters_limit() -> None:
    joint = single(76.5, trade.section("14", 11.2, 6, (14, 90), free_tip_diameter=None))
    plan = joint.plan
    assert plan is not None
    # common practice (no source): room for 75 mm, drive limit 60 mm, so one 60 key goes in
    assert plan.keys == (60.0,)
    (note,) = [note for note in joint.notes if note.code is NoteCode.DRIVE_LIMIT]
    assert "60 mm" in note.text()
    assert "close-fit cutter" in note.text()


@pytest.mark.parametrize(
    ("scale", "offset"),
    [
        # common practice (no source): a cutter 4 mm smaller than the scale's is set 2 mm deeper,
        (4.0, 2.0),
        # a larger one is set shallower by half the difference,
        (-3.0, -1.5),
        # and the scale's own cutter reads the depth
        (0.0, 0.0),
    ],
)
def test_depth_stop_for_other_cutters(scale: float, offset: float) -> None:
    tip = trade.MIDDLE.tip_diameter.mm
    rules = {"scale_tip_diameter": round(tip + scale, 3)}
    joint = single(20, **rules)
    assert joint.plan is not None
    assert joint.depth_stop == pytest.approx(joint.plan.depth + offset)
    assert depth_stop(joint.joint.face, joint.plan, RULES, joint.plan.entry) == joint.plan.depth


SECTION = trade.section("14", 11.2, 6, (14, 40), tip_diameter=14)
SNUG = (14 - 11.2) / 2 / tan(radians(12))
LIMIT = Length.from_mm(0.25)


@pytest.mark.parametrize(
    ("projection", "regime", "amount"),
    [
        # plane trigonometry on key and slot; that it is so at the bench: common practice (no source)
        (5.0, FitRegime.HELD_APART, 2 * (6 - 5.0)),
        (5.9, FitRegime.HELD_APART, 2 * (6 - 5.9)),
        (6.0, FitRegime.LOOSE, 2 * (SNUG - 6.0)),
        (6.5, FitRegime.LOOSE, 2 * (SNUG - 6.5)),
        (SNUG, FitRegime.CLAMPED, 0.0),
        (SNUG + 0.1, FitRegime.CLAMPED, 0.1 * tan(radians(12))),
        (SNUG + 1.17, FitRegime.CLAMPED, 1.17 * tan(radians(12))),
        (SNUG + 1.19, FitRegime.OVER_TIGHT, 1.19 * tan(radians(12))),
        (SNUG + 3.0, FitRegime.OVER_TIGHT, 3.0 * tan(radians(12))),
    ],
)
def test_how_a_key_sits(projection: float, regime: FitRegime, amount: float) -> None:
    fit = key_fit(SECTION, 14, projection, LIMIT)
    assert fit.regime is regime
    assert fit.amount == pytest.approx(amount, abs=1e-9)


def test_at_the_snug_projection_slot_and_key_are_equally_wide_everywhere() -> None:
    """The definition itself: no flank of the key stands off the slot's, at the joint line or below."""
    snug = snug_projection(SECTION, 14)
    for depth in (0.0, 2.0, 4.0, 6.0):
        key = 11.2 + 2 * depth * tan(radians(12))
        slot = 14 - 2 * (snug - depth) * tan(radians(12))
        assert slot == pytest.approx(key, abs=1e-9)


def frame_joint(width: float) -> JointPlan:
    spec = MitredFrame.model_validate(
        {
            "mark": "F",
            "measure": "outside",
            "width": 500,
            "height": 400,
            "stock": {"width": width, "thickness": 20},
            "keys": {"section": "14"},
        }
    )
    (joint,) = take_off_assembly(spec, trade.SECTIONS, trade.EXACT).joints
    return joint


def test_a_wide_rail_takes_two_keys() -> None:
    joint = frame_joint(60)
    # common practice (no source): two keys on a frame joint, a quarter of its breadth from either end
    assert joint.plan is not None
    breadth = 60 * 2**0.5
    assert joint.plan.centres == pytest.approx((breadth / 4, 3 * breadth / 4))
    assert NoteCode.ONE_KEY not in codes(joint)


def test_a_narrow_rail_takes_one_in_the_middle() -> None:
    # square ends: a mitre's slot leans to the tip, so its one key need not sit in the middle
    joint = single(20, breadth=24, setting_step=0)
    # common practice (no source): one key, in the middle, and the joint is held true while it dries
    assert joint.plan is not None
    assert joint.plan.centres == pytest.approx((12.0,))
    assert NoteCode.ONE_KEY in codes(joint)


def sawn_box(**lid: float) -> tuple[Box, dict[str, JointPlan]]:
    spec = Box.model_validate(
        {
            "mark": "B",
            "measure": "outside",
            "length": 280,
            "width": 180,
            "height": 110,
            "wall": 18,
            "corner": "mitre",
            "bottom": {"fit": "groove", "thickness": 5, "depth": 5, "up": 6},
            "top": {"material": "glass", "thickness": 3, "depth": 4, "down": 4},
            "lid": {"height": 40, "kerf": 2, "lip": 6, "clearance": 0.1} | lid,
        }
    )
    takeoff = take_off_assembly(spec, trade.SECTIONS, RULES)
    return spec, {joint.joint.place: joint for joint in takeoff.joints}


@pytest.mark.parametrize("lip", [0, 3, 6])
def test_no_key_crosses_a_lids_saw_line(lip: float) -> None:
    _, joints = sawn_box(lip=lip)
    body, lid = joints["body corner"], joints["lid corner"]
    # common practice (no source): the body is keyed from below and the lid from above,
    assert [slot.entry for slot in body.slots] == [Entry.BOTTOM]
    assert [slot.entry for slot in lid.slots] == [Entry.TOP]
    made = 110 + lip + 2
    saw = (110 - 40 + lip, 110 - 40 + lip + 2)
    # and none crosses the saw line or runs into the lip on either side of it
    assert max(slot.depth for slot in body.slots) + RULES.skin.mm <= saw[0] - lip + 1e-9
    assert made - max(slot.depth for slot in lid.slots) - RULES.skin.mm >= saw[1] + lip - 1e-9
