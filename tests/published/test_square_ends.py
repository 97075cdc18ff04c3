"""Keys with a square leading end, laid into the slots that are planned for them.

Outside reference: ``manifold3d``, a general-purpose library of solid booleans. The key is its own solid, made of
nothing but its caliper sizes; the slot is what the bit sweeps (``solids.py``). That the least distance lies where
the closed form says is checked against corners felt along the flank, in plane trigonometry.
"""

from __future__ import annotations

from math import hypot, radians, tan
from random import Random

import pytest
from manifold3d import CrossSection, Manifold

from domain.assemblies.expand import expand
from domain.planning.fit import mouth, room_past_end, snug_projection
from domain.planning.planner import plan_joint
from domain.planning.plans import SectionPlan
from domain.spec.catalogue import KeyEnd, Section
from domain.spec.choices import Entry
from tests.published import solids, trade
from tests.published.solids import Bit, Corner

NOTHING = 1e-5
"""Of a key's hundreds of mm³, what two touching flanks share where both are reckoned in floats."""
SQUARE = tuple(one.model_copy(update={"end": KeyEnd.SQUARE}) for one in trade.SECTIONS)
BUTT = Corner(90)


def half_key(section: Section, start: float, end: float, corner: Corner, centre: float) -> Manifold:
    """The half of a square-ended key that goes into one member, from ``start`` to ``end`` along the slot."""
    waist, depth = section.waist.mm / 2, section.half_depth.mm
    wide = waist + depth * tan(radians(section.flank))
    shape = CrossSection([[(-waist, 0), (waist, 0), (wide, depth), (-wide, depth)]]).extrude(end - start)
    # (across, depth, along) into the frame that the slot is swept in: (across, along, depth)
    shape = shape.transform([[1, 0, 0, 0], [0, 0, 1, start], [0, 1, 0, 0]])
    along, into = corner.along, corner.into
    rows = [[along[i], float(i == 2), into[i], centre * along[i]] for i in range(3)]
    # the frame's handedness turns with it: a mirror image is no other key, it is symmetrical
    return corner.placed(shape.transform(rows))


def test_a_square_key_fits_to_where_the_formula_says_and_no_farther() -> None:
    rng = Random("square ends")
    for _ in range(40):
        section = rng.choice(SQUARE)
        tip = section.tip_diameter.mm
        # from loose to clamping: as deep as the key at least, a tenth past snug at most
        snug = snug_projection(section, tip)
        projection = rng.uniform(section.half_depth.mm, snug)
        opening = mouth(section, tip, projection)
        past_end = room_past_end(KeyEnd.SQUARE, section.waist.mm, tip, opening)
        depth = rng.uniform(30, 60)
        slot = solids.slot(Bit(tip, section.flank, projection), BUTT, 40, depth)
        end = depth - past_end
        # round ends are polygons of 96 corners inside the circle: chords, which a corner meets at a slant
        here = half_key(section, 1, end - 0.12, BUTT, 40)
        assert (here - slot).volume() < NOTHING
        beyond = half_key(section, 1, end + 0.25, BUTT, 40)
        assert (beyond - slot).volume() > 10 * NOTHING


@pytest.mark.parametrize("section", SQUARE, ids=lambda one: one.name)
def test_at_the_snug_projection_the_end_stops_where_the_slot_stops_being_straight(section: Section) -> None:
    tip = section.tip_diameter.mm
    snug = snug_projection(section, tip)
    past_end = room_past_end(KeyEnd.SQUARE, section.waist.mm, tip, mouth(section, tip, snug))
    assert past_end == pytest.approx(tip / 2, abs=1e-6)
    slot = solids.slot(Bit(tip, section.flank, snug), BUTT, 40, 30)
    fits = half_key(section, 1, 30 - past_end - 1e-6, BUTT, 40)
    assert (fits - slot).volume() < NOTHING
    tight = half_key(section, 1, 30 - past_end + 0.5, BUTT, 40)
    assert (tight - slot).volume() > 1e-3


def test_the_closed_form_is_the_least_distance_along_the_flank_to_a_nanometre() -> None:
    rng = Random("corners")
    for _ in range(500):
        waist, half_depth, flank = rng.uniform(4, 18), rng.uniform(2, 12), rng.uniform(4, 30)
        slope = tan(radians(flank))
        opening = waist + rng.uniform(0, 0.6)
        tip = opening + 2 * (half_depth + rng.uniform(0, 0.4)) * slope
        inside = tip / 2 - room_past_end(KeyEnd.SQUARE, waist, tip, opening)
        levels = [half_depth * step / 200 for step in range(201)]
        spare = [opening / 2 + w * slope - hypot(waist / 2 + w * slope, inside) for w in levels]
        assert min(spare) == pytest.approx(0, abs=1e-9)
        # a millionth farther and a corner is in the wood
        past = [opening / 2 + w * slope - hypot(waist / 2 + w * slope, inside + 1e-6) for w in levels]
        assert min(past) < 0 or inside < 1e-3


def test_a_round_end_reaches_the_top_of_the_slot() -> None:
    assert room_past_end(KeyEnd.ROUND, 8, 12, 8) == 0


def keys_in(plan: SectionPlan, centre: float, corner: Corner) -> Manifold:
    start = plan.recess
    return half_key(plan.section, start, start + sum(plan.keys), corner, centre)


def test_planned_square_keys_lie_in_their_slots() -> None:
    rng = Random("planned square")
    seen = 0
    for _ in range(60):
        spec = rng.choice((trade.random_frame, trade.random_box, trade.random_single_joint))(rng)
        for joint in expand(spec).joints:
            result = plan_joint(joint, SQUARE, trade.EXACT)
            plan = result.plan
            if plan is None or plan.entry is Entry.BOTH:
                continue
            seen += 1
            corner = Corner(joint.face.angle)
            # a preloaded key squeezes the wood: compared at the snug projection, where nothing is squeezed
            bit = Bit(plan.cutter.tip_diameter, plan.section.flank, plan.snug_projection)
            for centre in plan.centres:
                slot = solids.slot(bit, corner, centre, plan.depth)
                key = keys_in(plan, centre, corner)
                assert (key - slot).volume() < NOTHING
                deeper = key.translate((0, 0, 0.5))
                assert (deeper - slot).volume() > 1e-4
    assert seen > 30
