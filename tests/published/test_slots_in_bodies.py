"""Every planned slot milled into the bodies of random assemblies, as solids of ``manifold3d``.

The bit is swept here from the plan's own figures (cutter, projection, depth) where the seam lays the slot; it may
take wood of the two pieces that meet and nothing but wood: no slot comes out at a side, an end or a groove. Slots
from the two ends of a run leave the wall between them, whatever the depth of each.
"""

from __future__ import annotations

from math import radians, tan

import numpy as np
import pytest
from manifold3d import Manifold

from domain.space.bodies import bodies, seams
from domain.spec.rules import Rules
from domain.takeoff.build import take_off_assembly
from tests.published.assorted import assorted
from tests.published.test_bodies_in_solids import ASSEMBLY, cut
from tests.webapp.drawings.drawing_samples import sections
from webapp.drawings.driven import Driven, driven_keys

SEGMENTS = 64
BESIDE = Rules().model_copy(update={"cross_grooves": False})


def swept(driven: Driven, depth: float, sign: float) -> Manifold:
    """What the bit mills out of the first piece (sign 1) or the second (−1), from the entry edge on."""
    plan = driven.joint.plan
    assert plan is not None
    tip, out = plan.cutter.tip_diameter / 2, float(plan.projection)
    mouth = tip - out * tan(radians(plan.section.flank))
    bit = Manifold.cylinder(out, mouth, tip, SEGMENTS)
    whole = Manifold.batch_hull([bit.translate((0, -3 * tip, 0)), bit.translate((0, depth - tip, 0))])
    whole = whole.trim_by_plane((0, 1, 0), 0)
    inwards = np.array(driven.keys[0].ways[0])
    into = np.array(driven.seam.into) * sign
    # the bit's own x lies along the joint line, y runs in, z goes into the wood
    rows = np.column_stack([np.array(driven.seam.along), inwards, into, np.array(driven.middle)])
    return whole.transform(rows.tolist())


def off(driven: Driven) -> float:
    """How far along the joint line the slot lies, mm."""
    return float(np.dot(np.subtract(driven.middle, driven.seam.start), driven.seam.along))


def depth_of(driven: Driven) -> float:
    """How deep the slot is, mm."""
    (depth,) = {
        float(slot.depth)
        for slot in driven.joint.slots
        if slot.entry is driven.entry and abs(slot.centre - off(driven)) < 1e-6
    }
    return depth


@pytest.mark.parametrize("seed", range(60))
def test_every_slot_takes_wood_and_nothing_but_wood(seed: int) -> None:
    spec = ASSEMBLY.validate_python(assorted(seed))
    takeoff = take_off_assembly(spec, sections(), BESIDE)
    placed = bodies(spec, takeoff.expansion)
    solids = {body.piece: cut(body) for body in placed}
    bits: dict[tuple[int, float], list[Manifold]] = {}
    for driven in driven_keys(takeoff, seams(takeoff.expansion, placed)):
        for spot, sign in ((driven.seam.meeting.first, 1.0), (driven.seam.meeting.second, -1.0)):
            bit = swept(driven, depth_of(driven), sign)
            assert (bit - solids[spot.piece]).volume() < 1e-4 * bit.volume(), (driven.joint.joint.mark, spot)
            if sign > 0:
                bits.setdefault((id(driven.seam), round(off(driven), 6)), []).append(bit)
    wall = BESIDE.wall.mm
    for one, other in (pair for pair in bits.values() if len(pair) > 1):
        assert one.min_gap(other, 2 * wall) >= wall - 1e-3


@pytest.mark.parametrize("material", ["ash", "birch plywood", "MDF"])
@pytest.mark.parametrize("seed", range(40))
def test_the_wall_beside_a_slot_is_as_thick_as_its_grain_asks(seed: int, material: str) -> None:
    """A slot moved aside by the wall still lies in wood, and moved by that of short grain, before the piece's end.

    Along the grain lies a piece's end: what is left before it is short grain.
    """
    spec = ASSEMBLY.validate_python(assorted(seed) | {"material": material})
    takeoff = take_off_assembly(spec, sections(), BESIDE)
    placed = bodies(spec, takeoff.expansion)
    solids = {body.piece: cut(body) for body in placed}
    grains = {body.piece: np.array(body.ways[0]) for body in placed}
    for driven in driven_keys(takeoff, seams(takeoff.expansion, placed)):
        if driven.joint.joint.face.angle != 90:
            continue
        along = np.array(driven.seam.along)
        for spot, sign in ((driven.seam.meeting.first, 1.0), (driven.seam.meeting.second, -1.0)):
            bit, solid = swept(driven, depth_of(driven), sign), solids[spot.piece]
            asked = [(2.0 if material == "ash" else 2.3, solid)]
            if material == "ash" and abs(float(along @ grains[spot.piece])) > 0.999:
                asked.append((2.5, solid.hull()))
            for wall, wood in asked:
                for way in (-1, 1):
                    moved = bit.translate((way * (wall - 1e-4) * along).tolist())
                    broken = (moved - wood).volume()
                    assert broken < 1e-4 * bit.volume(), (driven.joint.joint.mark, spot, way, wall)


def test_some_of_them_have_a_depth_at_each_end_of_a_run() -> None:
    rules, apart = Rules(), 0
    for seed in range(60):
        takeoff = take_off_assembly(ASSEMBLY.validate_python(assorted(seed)), sections(), rules)
        for joint in takeoff.joints:
            if joint.plan is not None and joint.plan.far is not None:
                depths = {slot.entry: slot.depth for slot in joint.slots}
                assert len(set(depths.values())) == len(depths) == 2
                assert sum(depths.values()) <= joint.joint.face.run - rules.wall.mm + 1e-5
                apart += 1
    assert apart >= 5
