"""Every slot cut out of a solid member: wall, skin and web measured in three dimensions.

Outside reference: ``manifold3d``, a general-purpose library of exact solid booleans. Members come from
what was typed in (``stock.py``), slots from the sweep of a dovetail bit (``solids.py``).
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from itertools import pairwise
from math import radians, tan
from random import Random

import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st
from manifold3d import Manifold
from shapely.geometry.base import BaseGeometry

from domain.assemblies.expand import expand
from domain.parts import Expansion, JointKind
from domain.planning.planner import plan_joint
from domain.planning.plans import Filled, JointPlan, SectionPlan
from domain.spec.assemblies import Assembly, RailedFrame
from domain.spec.choices import Entry
from domain.spec.rules import Rules
from tests.published import solids, trade
from tests.published.solids import Bit, Corner
from tests.published.stock import Wood, wood_at
from tests.torture import torture

CLOSE = 0.01
NOTHING = 1e-9
"""Shared volume (mm³) below which two solids only touch."""

MAKERS: dict[str, Callable[[Random], Assembly]] = {
    "frame": trade.random_frame,
    "box": trade.random_box,
    "carcass": trade.random_carcass,
    "railed": trade.random_railed_frame,
    "loose": trade.random_single_joint,
}


def planned(spec: Assembly, rules: Rules) -> Iterator[tuple[Wood, JointPlan]]:
    expansion: Expansion = expand(spec)
    for joint in expansion.joints:
        yield wood_at(spec, expansion, joint, rules), plan_joint(joint, trade.SECTIONS, rules)


def views(wood: Wood, plan: SectionPlan, ends: tuple[Entry, Entry]) -> list[tuple[BaseGeometry, Filled]]:
    """The section from every edge that keys enter by, with what slots from there take."""
    seen = {ends[0]: wood.section, ends[1]: wood.turned()}
    entries = ends if plan.entry is Entry.BOTH else (plan.entry,)
    return [(seen[entry], plan.from_edge(entry)) for entry in entries]


def bit_of(plan: SectionPlan) -> Bit:
    return Bit(plan.cutter.tip_diameter, plan.section.flank, plan.projection)


def before_the_end(joint: JointPlan, rules: Rules) -> float:
    """The least wood between slot and x = 0: a butt joint lies at the second member's end, in short grain."""
    # of a single joint nobody says where its pieces end
    at_an_end = joint.joint.kind in {JointKind.BUTT, JointKind.EDGE_BUTT} and joint.joint.place != "joint"
    return max(rules.wall.mm, rules.short_grain_wall.mm) if at_an_end else rules.wall.mm


def check_joint(wood: Wood, joint: JointPlan, rules: Rules, mirrored: bool) -> int:
    """Cut every plan that the joint has; returns how many were cut."""
    plans = [alternative.plan for alternative in joint.alternatives if alternative.plan is not None]
    for plan in plans:
        check_plan(wood, joint, plan, rules, Corner(wood.angle, mirrored))
    return len(plans)


def check_plan(wood: Wood, joint: JointPlan, plan: SectionPlan, rules: Rules, corner: Corner) -> None:
    bit = bit_of(plan)
    wall, skin = rules.wall.mm - CLOSE, rules.skin.mm - CLOSE
    cut = []
    for section, end in views(wood, plan, joint.joint.face.ends):
        slots = [solids.slot(bit, corner, centre, end.depth) for centre in plan.centres]
        cut.append(slots)
        assert solids.extent_across(slots[0], corner)[0] >= before_the_end(joint, rules) - CLOSE
        air = solids.air_around(section, corner, wood.run, 10.0)
        for slot in slots:
            # across the stock and beyond the end, as the rule asks
            assert solids.overlap(solids.grown(slot, corner, wall, skin), air) < NOTHING
            # and as the crow flies: a slope may not come nearer at a slant
            assert slot.min_gap(air, min(wall, skin) + 0.1) >= min(wall, skin)
            assert solids.top_of(slot) == pytest.approx(end.depth, abs=1e-4)
        for before, after in pairwise(slots):
            assert before.min_gap(after, rules.web.mm + 0.1) >= rules.web.mm - CLOSE
    if len(cut) > 1:
        # the slot from the far edge, seen in the same coordinates
        (near, *_), (beyond, *_) = cut
        far = beyond.mirror((0, 0, 1)).translate((0, 0, wood.run))
        assert near.min_gap(far, rules.wall.mm + 0.1) >= rules.wall.mm - CLOSE
    if wood.deepest is not None:
        assert plan.projection <= wood.deepest + CLOSE
    check_keys_fit(plan)


def check_keys_fit(plan: SectionPlan) -> None:
    """The stack goes into the slot with its recess, and nothing is driven past the cutter's limit."""
    for end in (plan.from_edge(plan.entry), *([plan.far] if plan.far else ())):
        assert sum(end.keys) + end.recess == pytest.approx(end.depth, abs=1e-6)
        assert end.recess > 0
        assert list(end.keys) == sorted(end.keys, reverse=True)


def check_ends(wood: Wood, joint: JointPlan, plan: SectionPlan, rules: Rules, corner: Corner) -> int:
    """At both ends of every allowed interval the wall is exactly the rule; returns the ends measured.

    Measured on the slot with square corners, since the rule keeps the wall beside them too.
    """
    bit, ends = bit_of(plan), 0
    airs = [
        (solids.air_around(section, corner, wood.run, 10.0), end.depth)
        for section, end in views(wood, plan, joint.joint.face.ends)
    ]

    def keeps(centre: float, depth: float, air: Manifold) -> bool:
        slot = solids.slot(bit, corner, centre, depth, square_end=True)
        # the depth is a whole number of nanometres: give its rounding 1e-5 beyond the end
        return solids.overlap(solids.grown(slot, corner, rules.wall.mm, rules.skin.mm - 1e-5), air) < NOTHING

    def clear(centre: float) -> bool:
        across = solids.slot(bit, corner, centre, airs[0][1], square_end=True)
        if solids.extent_across(across, corner)[0] < before_the_end(joint, rules) - CLOSE / 2:
            return False
        return all(keeps(centre, depth, air) for air, depth in airs)

    for low, high in plan.allowed:
        assert clear(low + min(CLOSE, (high - low) / 2))
        assert clear(high - min(CLOSE, (high - low) / 2))
        assert not clear(low - CLOSE)
        assert not clear(high + CLOSE)
        ends += 2
    return ends


def cut_and_measure(rng: Random, make: Callable[[Random], Assembly], plans: int) -> int:
    """Cut that many plans of random assemblies under random rules; returns how many ends were measured."""
    cut = ends = 0
    while cut < plans:
        rules = trade.random_rules(rng)
        for wood, joint in planned(make(rng), rules):
            mirrored = rng.random() < 0.5
            cut += check_joint(wood, joint, rules, mirrored)
            if joint.plan is not None:
                ends += check_ends(wood, joint, joint.plan, rules, Corner(wood.angle, mirrored))
    return ends


@pytest.mark.parametrize("kind", MAKERS)
def test_random_plans_keep_wall_skin_and_web(kind: str) -> None:
    assert cut_and_measure(Random(f"solid {kind}"), MAKERS[kind], 200) > 50


@torture
@pytest.mark.parametrize("kind", MAKERS)
def test_many_more_random_plans(kind: str) -> None:
    cut_and_measure(Random(f"torture {kind}"), MAKERS[kind], 4_000)


@pytest.mark.parametrize("mirrored", [False, True], ids=["left hand", "right hand"])
@pytest.mark.parametrize("sides", range(3, 13))
def test_every_mitre_angle(sides: int, mirrored: bool) -> None:
    rng = Random(sides)
    done = 0
    while done < 2:
        ((wood, joint),) = planned(trade.random_frame(rng, sides), trade.EXACT)
        if joint.plan is not None:
            corner = Corner(wood.angle, mirrored)
            check_plan(wood, joint, joint.plan, trade.EXACT, corner)
            assert check_ends(wood, joint, joint.plan, trade.EXACT, corner) >= 2
            done += 1


@settings(max_examples=50, deadline=None, derandomize=True)
@given(
    seed=st.integers(0, 10**9),
    kind=st.sampled_from(sorted(MAKERS)),
    mirrored=st.booleans(),
)
def test_any_joint_keeps_its_wood(seed: int, kind: str, mirrored: bool) -> None:
    rng = Random(seed)
    rules = trade.random_rules(rng)
    for wood, joint in planned(MAKERS[kind](rng), rules):
        check_joint(wood, joint, rules, mirrored)


def test_the_two_members_of_a_mitre_make_one_straight_socket() -> None:
    """Closed, the slots of left and right meet mouth to mouth: the key is a butterfly across the joint."""
    bit = Bit(13.815, 12, 6.25)
    left, right = Corner(45), Corner(45, mirrored=True)
    one, other = (solids.slot(bit, corner, 18.0, 16.5) for corner in (left, right))
    assert solids.overlap(one, other) < NOTHING
    assert one.min_gap(other, 10) == pytest.approx(0, abs=1e-6)
    assert one.volume() == pytest.approx(other.volume(), rel=1e-9)
    wood = shapely.box(0, 0, 45, 20)
    assert solids.overlap(solids.member(wood, left), solids.member(wood, right)) < NOTHING
    for slot, corner in ((one, left), (other, right)):
        # inside the stock, all of the slot is cut from its own member
        inside = slot ^ Manifold.cube((1000, 1000, 100)).translate((-500, -500, 0))
        assert solids.overlap(inside, solids.member(wood, corner)) == pytest.approx(inside.volume(), rel=1e-6)


def test_the_solids_themselves_are_right() -> None:
    """The reference is checked against schoolbook volumes before anything is checked against it."""
    bit = Bit(14.0, 10, 6.0)
    mouth = 14.0 - 2 * 6.0 * tan(radians(10))
    # frustum by Heron's formula, trapezoid prism; the polygon has less area than the circle
    circle = solids.SEGMENTS / 2 * Manifold.cylinder(1, 1, 1, solids.SEGMENTS).volume() / (solids.SEGMENTS / 2)
    frustum = circle * 6.0 / 3 * (7.0**2 + 7.0 * mouth / 2 + (mouth / 2) ** 2)
    assert bit.stance().volume() == pytest.approx(frustum, rel=1e-9)
    slot = solids.slot(bit, Corner(90), 30.0, 50.0)
    length = 50.0 - 7.0 + 14.0
    assert slot.volume() == pytest.approx(frustum + (14.0 + mouth) / 2 * 6.0 * length, rel=1e-9)
    assert solids.extent_across(slot, Corner(90)) == pytest.approx((23.0, 37.0), abs=1e-4)
    assert solids.top_of(slot) == pytest.approx(50.0, abs=1e-4)


def test_a_groove_behind_the_slot_counts() -> None:
    """The next row's panel is let into the mid rail's far edge: there the wall must be left before the groove."""
    spec = RailedFrame.model_validate(
        {
            "mark": "R",
            "width": 700,
            "height": 900,
            "thickness": 20,
            "stile": 50,
            "top_rail": 50,
            "bottom_rail": 50,
            "mid_rail": 16,
            "mid_stile": 60,
            "rows": [{"opening": 180, "columns": [180, "rest"]}, {"opening": "rest"}],
            "panel": {"fit": "groove", "depth": 7.9, "width": 6, "thickness": 6},
        }
    )
    expansion = expand(spec)
    names = {member.mark: member.name for member in expansion.members}
    joint = next(joint for joint in expansion.joints if names[joint.members[1]] == "mid rail")
    plans = [one.plan for one in plan_joint(joint, trade.SECTIONS, Rules()).alternatives if one.plan is not None]
    assert plans
    for plan in plans:
        into_the_rail = solids.slot(bit_of(plan), Corner(90), 30.0, plan.depth).bounding_box()[3]
        assert 16 - 7.9 - into_the_rail >= Rules().wall.mm - CLOSE


@pytest.mark.parametrize("sides", [3, 4, 6, 12])
def test_the_fat_end_leans_to_the_tip(sides: int) -> None:
    """On a mitre the slot breaks out at the tip first: measured, not derived."""
    corner = Corner(90 - 180 / sides)
    slot = solids.slot(Bit(13.815, 12, 6.25), corner, 40.0, 16.5)
    low, high = solids.extent_across(slot, corner)
    middle = 40.0 * corner.along[1]
    assert middle - low > high - middle
