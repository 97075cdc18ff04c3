"""A set-up: one combination of the six values that the machine is set to for a slot.

They are cutter, projection, fence kind and angle, fence reading, depth stop and clamp height.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from domain.lengths import Mm
from domain.parts import JointKind
from domain.planning.plans import CutterKind, JointPlan, SectionPlan
from domain.spec.starts import plain_wood


@dataclass(frozen=True, slots=True)
class SetUp:
    """What the machine is set to for a slot: lengths in mm, rounded to the micrometre."""

    section: str
    cutter: CutterKind
    tip_diameter: Mm
    projection: Mm
    mitred: bool
    angle: float
    fence_reading: Mm
    depth_stop: Mm
    clamp_height: Mm


@dataclass(frozen=True, slots=True)
class Tried:
    """What one test joint tries: a cutter at a projection in a wood, for the fit depends on nothing else.

    Fence reading and depth stop are checked without a key. ``wood`` is None where nobody said which.
    """

    section: str
    cutter: CutterKind
    tip_diameter: Mm
    projection: Mm
    wood: str | None


def tried_with(set_up: SetUp, wood: str | None) -> Tried:
    """What the test joint of this set-up tries in a wood, however people write the wood's name."""
    same = None if wood is None else plain_wood(wood)
    return Tried(set_up.section, set_up.cutter, set_up.tip_diameter, set_up.projection, same)


def set_ups(joint: JointPlan, plan: SectionPlan) -> Iterator[SetUp]:
    """The set-ups that a joint's slots are milled with: one for every centre."""
    face = joint.joint.face
    mitred = joint.joint.kind in {JointKind.MITRE, JointKind.EDGE_MITRE}
    for centre in plan.centres:
        yield SetUp(
            section=plan.section.name,
            cutter=plan.cutter.kind,
            tip_diameter=Mm(round(plan.cutter.tip_diameter, 3)),
            projection=Mm(round(plan.projection, 3)),
            mitred=mitred,
            angle=round(face.angle, 3),
            fence_reading=Mm(round(centre, 3)),
            depth_stop=Mm(round(joint.stop, 3)),
            clamp_height=Mm(round(clamp_height(joint), 3)),
        )


def clamp_height(joint: JointPlan) -> float:
    """Thickness of the stock under the clamp, in mm: along the slot on a frame, across it on an edge."""
    face = joint.joint.face
    return face.region.width if joint.joint.kind.on_edge else face.run
