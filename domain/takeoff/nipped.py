"""Panels as they are once their corners are cut off where slots cross their grooves."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

from domain.parts import Point, Side, Vector
from domain.planning.fit import mouth
from domain.planning.footprint import SlotCut, crossings
from domain.planning.plans import JointPlan
from domain.space.bodies import Seam
from domain.space.body import Body, End, Sides, dot, moved
from domain.takeoff.takeoff import AssemblyTakeoff

CLOSE = 1e-3


@dataclass(frozen=True, slots=True)
class Nip:
    """A corner that a panel loses: where it is, and how far (mm) its cut runs along each of two ways from there.

    ``square``: a notch is cut out of it; else it is cut off straight.
    """

    corner: Vector
    legs: tuple[tuple[Vector, float], tuple[Vector, float]]
    square: bool


def nips(joint: JointPlan, seam: Seam) -> Iterator[Nip]:
    """The corners that a joint's slots take of panels, where its seam lies."""
    plan, face = joint.plan, joint.joint.face
    if plan is None or not plan.crossing:
        return
    tip = plan.cutter.tip_diameter
    cut = SlotCut(tip, mouth(plan.section, tip, plan.projection), plan.projection)
    square = face.angle == 90.0
    depths = [(edge, plan.from_edge(edge).depth) for edge in face.edges(plan.entry)]
    for entry, crossed in crossings(face, depths, plan.centres, cut):
        if not crossed.across:
            continue
        void = crossed.void
        edge, run = seam.mouth(void.x0 / face.sine, Side(entry.value))
        corner = moved(edge, run, (void.v0 + void.v1) / 2)
        across, along = crossed.nip
        if square:
            # as deep in the second piece as its groove is, which is as deep as the first one's
            corner = moved(corner, seam.into, void.x0 - face.region.width)
            yield Nip(corner, ((seam.along, across), (seam.into, along)), square)
        else:
            # either piece's inner edge leans away from the joint line by the mitre's angle
            ways = [
                moved(moved((0.0, 0.0, 0.0), seam.along, face.cosine), seam.into, sign * face.sine)
                for sign in (1.0, -1.0)
            ]
            yield Nip(corner, ((ways[0], across), (ways[1], along)), square)


def nipped(placed: Sequence[Body], takeoff: AssemblyTakeoff, seams: Sequence[Seam]) -> tuple[Body, ...]:
    """The bodies of one copy with the corners of panels cut off where its joints say so."""
    plans = {joint.joint.mark: joint for joint in takeoff.joints}
    found = [nip for seam in seams for nip in nips(plans[seam.meeting.joint], seam)]
    return tuple(_cut(body, found) if body.is_panel else body for body in placed)


def _cut(panel: Body, found: Sequence[Nip]) -> Body:
    """A board pushed along its thickness instead, its outline without those corners."""
    length, width = panel.length, panel.width
    whole = ((0.0, 0.0), (length, 0.0), (length, width), (0.0, width))
    here = {at: nip for nip in found if (at := _corner_of(panel, whole, nip)) is not None}
    if not here:
        return panel
    outline: list[Point] = []
    for before, at, after in zip((whole[-1], *whole), whole, (*whole[1:], whole[0]), strict=False):
        outline += _left(panel, here[at], before, at, after) if at in here else [at]
    along, across, through = panel.ways
    return replace(
        panel,
        ways=(through, along, across),
        section=tuple(outline),
        ends=(End(0.0), End(panel.thickness)),
        sides=Sides(panel.sides.faces, panel.sides.ends, panel.sides.edges),
    )


def _corner_of(panel: Body, whole: Sequence[Point], nip: Nip) -> Point | None:
    """The corner of a panel that it is, None: none of them."""
    off = moved(nip.corner, panel.origin, -1.0)
    along, across, through = (dot(off, way) for way in panel.ways)
    if not -CLOSE < through < panel.thickness + CLOSE:
        return None
    return next((at for at in whole if abs(at[0] - along) < CLOSE and abs(at[1] - across) < CLOSE), None)


def _left(panel: Body, nip: Nip, before: Point, at: Point, after: Point) -> list[Point]:
    """The outline at a corner, on from the one before it."""

    def off(other: Point) -> Point:
        """From the corner towards another one, as far as the cut goes."""
        axis = 0 if other[0] != at[0] else 1
        leg = max(nip.legs, key=lambda leg: abs(dot(leg[0], panel.ways[axis])))[1]
        way = leg if other[axis] > at[axis] else -leg
        return (way, 0.0) if axis == 0 else (0.0, way)

    (x, y), (dx, dy) = off(before), off(after)
    inner = [(at[0] + x + dx, at[1] + y + dy)] if nip.square else []
    return [(at[0] + x, at[1] + y), *inner, (at[0] + dx, at[1] + dy)]
