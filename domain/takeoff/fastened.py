"""What holds the bare middle of a joint, where it stands between its two pieces."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from domain.parts import Side, Vector
from domain.planning.middle import TenonRoom, tenon_room
from domain.planning.plans import JointPlan
from domain.space.bodies import Seam
from domain.space.body import moved
from domain.spec.choices import Middle


@dataclass(frozen=True, slots=True)
class Fastening:
    """A loose tenon or screw: the ``middle`` of it on the mating face, and the largest tenon that fits there.

    ``run`` is the way along the slots, from the edge that its place is measured from.
    """

    seam: Seam
    sort: Middle
    middle: Vector
    run: Vector
    room: TenonRoom


def fastenings(joint: JointPlan, seam: Seam) -> Iterator[Fastening]:
    """The fastenings of a joint where its seam lies, the nearest to the edge that they are measured from first."""
    plan, sort = joint.plan, joint.joint.choices.middle
    if plan is None or sort is None:
        return
    face = joint.joint.face
    edge, run = seam.mouth(face.breadth / 2, Side(joint.counted_from.value))
    room = tenon_room(face)
    for place in plan.fastenings:
        yield Fastening(seam, sort, moved(edge, run, place), run, room)
