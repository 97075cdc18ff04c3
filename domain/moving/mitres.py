"""How far a mitre wants to open as its wood shrinks or swells.

A mitre is cut at φ to the outer edge over a width W, so tan φ = W / a, a the length along the grain that the cut
runs over. Along the grain nothing moves, across it W becomes W + Δ: the inner end of the cut moves by Δ, square to
the outer edge. In the plane of the frame the joint line lies at φ to that edge, so that end comes Δ·cos φ nearer
to the line or farther off. Both pieces do so, from either side: with the tips still touching, the inner ends stand
Δ₁·cos φ + Δ₂·cos φ apart where the wood has shrunk. Where it has swollen the inner ends meet and the tips stand
apart by as much. The cut itself turns to atan((W + Δ)/a), in both pieces. A square frame of one wood opens by
√2·Δ. Keys hold the joint against it; this is what they and the glue have to hold.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from math import atan, cos, degrees, radians, tan

from domain.lengths import Mm
from domain.moving.parts import PartMovement
from domain.parts import Expansion, Joint, JointKind


@dataclass(frozen=True, slots=True)
class MitreOpening:
    """A mitre at one moisture: the gap (mm) at its inside or outside, and how many degrees the corner is off."""

    joint: str
    place: str
    members: tuple[str, str]
    across: Mm
    moisture: float
    gap: Mm
    angle: float
    inside: bool


def gap_of(angle: float, first: float, second: float) -> float:
    """How far a mitre at ``angle`` (degrees to the outer edge) opens for these changes of width, mm.

    >>> round(gap_of(45, -1.0, -1.0), 4), round(gap_of(45, 1.0, 1.0), 4)
    (1.4142, 1.4142)
    """
    return abs((first + second) * cos(radians(angle)))


def turn_of(angle: float, width: float, change: float) -> float:
    """By how many degrees the cut of one piece turns; below nothing where it grows sharper."""
    return degrees(atan(tan(radians(angle)) * (width + change) / width)) - angle


def mitre_openings(expansion: Expansion, moving: Mapping[str, PartMovement]) -> tuple[MitreOpening, ...]:
    """Every mitre whose two pieces are of solid wood, in every place that the work comes to.

    A frame is mitred over its stock's width; a box or carcass over the thickness of its boards.
    """
    return tuple(
        opening
        for joint in expansion.joints
        if joint.kind in {JointKind.MITRE, JointKind.EDGE_MITRE} and all(mark in moving for mark in joint.members)
        for opening in _openings(joint, [moving[mark] for mark in joint.members])
    )


def _openings(joint: Joint, parts: list[PartMovement]) -> Iterator[MitreOpening]:
    flat = joint.kind is JointKind.EDGE_MITRE
    if not flat and any(part.turned for part in parts):
        return
    angle = joint.face.angle
    width = parts[0].thickness if flat else parts[0].across
    for seasons in zip(*(part.seasons for part in parts), strict=True):
        first, second = ((each.thickness if flat else each.across).most for each in seasons)
        yield MitreOpening(
            joint=joint.mark,
            place=joint.place,
            members=joint.members,
            across=width,
            moisture=seasons[0].moisture,
            gap=Mm(gap_of(angle, first, second)),
            angle=abs(turn_of(angle, width, first) + turn_of(angle, width, second)),
            inside=first + second < 0,
        )
