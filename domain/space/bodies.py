"""Every piece and panel of one copy of an assembly where it stands, and every joint between them."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from domain.parts import Expansion, Meeting, Side, Single, Vector
from domain.space.body import Body, dot, moved, unit
from domain.space.box import box
from domain.space.carcass import carcass
from domain.space.frames import mitred_frame, railed_frame, single_joint
from domain.space.solid import corners
from domain.spec.assemblies import Assembly, Box, Carcass, MitredFrame, RailedFrame, SingleJoint


def bodies(spec: Assembly, expansion: Expansion) -> tuple[Body, ...]:
    """The bodies of one copy: x to the right, y up, z towards whoever stands before it, mm."""
    match spec:
        case MitredFrame():
            return tuple(mitred_frame(spec, expansion))
        case RailedFrame():
            return tuple(railed_frame(spec, expansion))
        case Box():
            return tuple(box(spec, expansion))
        case Carcass():
            return tuple(carcass(spec, expansion))
        case SingleJoint():
            return tuple(single_joint(spec, expansion))


@dataclass(frozen=True, slots=True)
class Seam:
    """A joint where it lies: ``start`` is where the joint line begins, at the first edge along ``run``.

    ``along`` is the joint line's direction, ``into`` the mating face's normal into the first piece, ``run`` the
    way that slots run in, from the back or from below; all of them unit vectors. The mating face is ``deep`` mm
    from its first to its last edge.
    """

    meeting: Meeting
    start: Vector
    along: Vector
    into: Vector
    run: Vector
    deep: float

    def mouth(self, centre: float, entry: Side) -> tuple[Vector, Vector]:
        """The middle of a slot's mouth, ``centre`` mm along the joint line, and the way that it runs in."""
        here = moved(self.start, self.along, centre)
        if dot(entry.way, self.run) < 0:
            return here, self.run
        back = (-self.run[0], -self.run[1], -self.run[2])
        return moved(here, self.run, self.deep), back


def seams(expansion: Expansion, placed: Sequence[Body]) -> tuple[Seam, ...]:
    """Every joint of one copy, in the order of its meetings."""
    by_piece = {body.piece: corners(body) for body in placed}
    return tuple(_seam(meeting, by_piece) for meeting in expansion.meetings)


def _seam(meeting: Meeting, placed: Mapping[Single, tuple[Vector, ...]]) -> Seam:
    first, second = placed[meeting.first.piece], placed[meeting.second.piece]
    along = unit(meeting.along)
    into = unit(moved(meeting.into, along, -dot(meeting.into, along)))
    if meeting.first.start is None:
        face = [point for point in first if any(_same(point, other) for other in second)]
    else:
        least = min(dot(point, into) for point in first)
        face = [point for point in first if dot(point, into) < least + 1e-6]
    normal = (
        into[1] * along[2] - into[2] * along[1],
        into[2] * along[0] - into[0] * along[2],
        into[0] * along[1] - into[1] * along[0],
    )
    run = normal if sum(normal) > 0 else (-normal[0], -normal[1], -normal[2])
    begins = min(dot(point, along) for point in face) + meeting.first.offset
    low, high = min(dot(point, run) for point in face), max(dot(point, run) for point in face)
    level = dot(face[0], into)
    start = moved(moved(moved((0.0, 0.0, 0.0), along, begins), into, level), run, low)
    return Seam(meeting, start, along, into, run, high - low)


def _same(one: Vector, other: Vector) -> bool:
    return all(abs(here - there) < 1e-6 for here, there in zip(one, other, strict=True))
