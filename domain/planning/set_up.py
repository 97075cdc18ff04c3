"""A set-up: one combination of the six values that the machine is set to for a slot.

They are cutter, projection, fence kind and angle, fence reading, depth stop and clamp height.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from itertools import product

from domain.lengths import Mm
from domain.parts import JointKind
from domain.planning.plans import CutterKind, JointPlan, SectionPlan
from domain.spec.choices import Entry
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


@dataclass(frozen=True, slots=True)
class SlotSetUp:
    """A set-up that mills slots of a joint, and the edges that are down for them."""

    set_up: SetUp
    entries: tuple[Entry, ...]


def set_ups(joint: JointPlan, plan: SectionPlan) -> Iterator[SlotSetUp]:
    """The set-ups that a joint's slots are milled with: one for every centre and every setting of the stop."""
    face = joint.joint.face
    mitred = joint.joint.kind in {JointKind.MITRE, JointKind.EDGE_MITRE}
    stops: dict[Mm, tuple[Entry, ...]] = {}
    for entry in face.edges(plan.entry):
        stop = Mm(round(joint.stop_from(entry), 3))
        stops[stop] = (*stops.get(stop, ()), entry)
    for centre, (stop, entries) in product(plan.centres, stops.items()):
        set_up = SetUp(
            section=plan.section.name,
            cutter=plan.cutter.kind,
            tip_diameter=Mm(round(plan.cutter.tip_diameter, 3)),
            projection=Mm(round(plan.projection, 3)),
            mitred=mitred,
            angle=round(face.angle, 3),
            fence_reading=Mm(round(centre, 3)),
            depth_stop=stop,
            clamp_height=Mm(round(clamp_height(joint), 3)),
        )
        yield SlotSetUp(set_up, entries)


def clamp_height(joint: JointPlan) -> float:
    """Thickness of the stock under the clamp, in mm: along the slot on a frame, across it on an edge."""
    face = joint.joint.face
    return face.region.width if joint.joint.kind.on_edge else face.run
