"""Members and slots as solids, cut with ``manifold3d`` (a general-purpose library, Apache-2.0).

Nothing here knows the planner's closed forms. A member is its cross-section pushed along its length
and trimmed at the mitre; a slot is what a dovetail bit sweeps. Coordinates are (s, x, v) in mm: s along
the member from the joint's tip, x across the stock, v along the slot from the entry edge.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import cos, radians, sin, tan

import shapely
from manifold3d import CrossSection, FillRule, Manifold
from shapely.geometry.base import BaseGeometry

SEGMENTS = 96
"""Round ends as polygons: vertices at the quarters, so extremes across and along are exact."""
LONG = 400.0
Vector = tuple[float, float, float]


@dataclass(frozen=True, slots=True)
class Bit:
    """A dovetail bit standing ``projection`` out of the fence: tip diameter mm, flank angle degrees."""

    tip_diameter: float
    flank: float
    projection: float

    def stance(self) -> Manifold:
        """The bit's cutting part where it stands: its axis on z, the mating face at z = 0, the tip above."""
        tip = self.tip_diameter / 2
        mouth = tip - self.projection * tan(radians(self.flank))
        return Manifold.cylinder(self.projection, mouth, tip, SEGMENTS)


@dataclass(frozen=True, slots=True)
class Corner:
    """A member's end at a joint: φ in degrees, and which of the two members (the other is the mirror)."""

    angle: float
    mirrored: bool = False

    @property
    def along(self) -> Vector:
        """Unit vector of the joint line, from the tip or reference edge inwards."""
        return (cos(radians(self.angle)), sin(radians(self.angle)), 0.0)

    @property
    def into(self) -> Vector:
        """Unit vector into the first member's wood, square to the mating face."""
        return (sin(radians(self.angle)), -cos(radians(self.angle)), 0.0)

    def across(self, distance: float) -> Vector:
        """``distance`` across this member's stock, away from its outer edge."""
        if not self.mirrored:
            return (0.0, distance, 0.0)
        # the mirror image of the x axis in the mating face
        dot = self.into[1] * distance
        return (-2 * dot * self.into[0], distance - 2 * dot * self.into[1], 0.0)

    def placed(self, solid: Manifold) -> Manifold:
        """A solid built for the first member, brought to this one."""
        return solid.mirror(self.into) if self.mirrored else solid


def prism(section: BaseGeometry, start: float, end: float) -> Manifold:
    """A cross-section in (x, v) pushed along s from ``start`` to ``end``."""
    parts = shapely.get_parts(section)
    rings = [list(ring.coords)[:-1] for part in parts for ring in (part.exterior, *part.interiors)]
    standing = CrossSection(rings, FillRule.EvenOdd).extrude(end - start)
    # (x, v, height) -> (height, x, v)
    return standing.transform([[0, 0, 1, start], [1, 0, 0, 0], [0, 1, 0, 0]])


def member(section: BaseGeometry, corner: Corner) -> Manifold:
    """The end of a member: its stock trimmed at the mating face."""
    whole = prism(section, -LONG, LONG)
    return corner.placed(whole.trim_by_plane(corner.into, 0.0))


def air_around(section: BaseGeometry, corner: Corner, height: float, beside: float) -> Manifold:
    """What is not wood beside and beyond the stock, on the far side of the entry edge (v > 0).

    ``height`` is the stock's extent along v, ``beside`` how far the air is worth looking at.
    """
    low, _, high, top = section.bounds
    about = shapely.box(low - beside, 0.0, high + beside, max(top, height) + beside)
    return corner.placed(prism(about.difference(section), -LONG, LONG))


def slot(bit: Bit, corner: Corner, centre: float, depth: float, *, square_end: bool = False) -> Manifold:
    """The slot that the bit mills: swept from before the entry edge until its round end tops out at ``depth``.

    ``square_end`` fills the corners beside the round end, as the wall rule does.
    """
    radius = bit.tip_diameter / 2
    start, stop = -2 * radius, depth - radius
    here, there = bit.stance().translate((0, start, 0)), bit.stance().translate((0, stop, 0))
    swept = Manifold.batch_hull([here, there])
    if square_end:
        there = bit.stance().translate((0, depth + radius, 0))
        swept = Manifold.batch_hull([here, there]).trim_by_plane((0, -1, 0), -depth)
    along, into = corner.along, corner.into
    rows = [[along[i], float(i == 2), into[i], centre * along[i]] for i in range(3)]
    return corner.placed(swept.transform(rows))


def grown(solid: Manifold, corner: Corner, beside: float, beyond: float) -> Manifold:
    """The solid with ``beside`` more on both sides across the stock and ``beyond`` more along v."""
    ends = [solid.translate(corner.across(beside)), solid.translate(corner.across(-beside))]
    return Manifold.batch_hull([*ends, *(end.translate((0, 0, beyond)) for end in ends)])


def overlap(first: Manifold, second: Manifold) -> float:
    """Volume in mm³ that the two share."""
    return float((first ^ second).volume())


def extent_across(solid: Manifold, corner: Corner) -> tuple[float, float]:
    """Least and most x of the solid, across its own member's stock."""
    own = corner.placed(solid)
    _, low, _, _, high, _ = own.bounding_box()
    return low, high


def top_of(solid: Manifold) -> float:
    """How far the solid goes along v."""
    return float(solid.bounding_box()[5])
