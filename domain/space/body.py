"""A piece or panel where it stands in one copy of its assembly: its section, its ends, what is cut out of it.

A body is its section pushed along its length and trimmed at both ends, less its channels. It is written in ways
of its own: along its length, across its width, through its thickness, counted in mm from its origin, the corner
where its first end, first edge and first face meet. Mirrored pieces have one section and mirrored ways.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

from domain.parts import Point, Side, Single, Vector
from domain.spec.assemblies import Fit

CLOSE = 1e-7
"""Two lengths in mm, or two unit vectors, that differ by less are the same."""


@dataclass(frozen=True, slots=True)
class Sides:
    """What the sides of a body are called, the one at its origin first: ends, edges, faces."""

    ends: tuple[Side, Side]
    edges: tuple[Side, Side]
    faces: tuple[Side, Side]


@dataclass(frozen=True, slots=True)
class Channel:
    """A groove or rabbet, all in mm: in which edge or face, how far from which side, how wide and deep.

    It begins and ends so far from the piece's first end, None: it runs out at that end.
    """

    fit: Fit
    surface: Side
    edge: Side
    offset: float
    width: float
    depth: float
    begins: float | None = None
    ends: float | None = None


@dataclass(frozen=True, slots=True)
class End:
    """A plane that trims a body: ``at`` mm along its length, and that much more for every mm across or through."""

    at: float
    by_width: float = 0.0
    by_thickness: float = 0.0

    def along(self, across: float, through: float) -> float:
        """How far along the body the plane lies there, mm."""
        return self.at + self.by_width * across + self.by_thickness * through


@dataclass(frozen=True, slots=True)
class Body:
    """A piece or panel in its assembly's space; ``section`` is (across, through), mm, without the channels.

    ``saw`` is what a saw takes out across the width once everything is glued up, from the first edge.
    """

    piece: Single
    origin: Vector
    ways: tuple[Vector, Vector, Vector]
    """Unit vectors along its length, across its width, through its thickness: square to one another."""
    section: tuple[Point, ...]
    ends: tuple[End, End]
    sides: Sides
    channels: tuple[Channel, ...] = ()
    saw: tuple[float, float] | None = None
    is_panel: bool = False

    @property
    def length(self) -> float:
        """From end to end where it is longest, mm."""
        first, last = self.ends
        return max(last.along(*point) - first.along(*point) for point in self.section)

    @property
    def width(self) -> float:
        """Across, mm."""
        return max(across for across, _ in self.section)

    @property
    def thickness(self) -> float:
        """Through, where it is thickest, mm."""
        return max(through for _, through in self.section)

    def point(self, along: float, across: float, through: float) -> Vector:
        """A point of the body in the assembly's space."""
        x, y, z = self.origin
        one, two, three = self.ways
        return (
            x + along * one[0] + across * two[0] + through * three[0],
            y + along * one[1] + across * two[1] + through * three[1],
            z + along * one[2] + across * two[2] + through * three[2],
        )

    def shifted(self, way: Vector, by: float = 1.0) -> Body:
        """The same body ``by`` times ``way`` farther."""
        return replace(self, origin=moved(self.origin, way, by))

    def outward(self, side: Side) -> Vector:
        """The unit vector out of the body at one of its sides, called by its name or by where it looks.

        KeyError where it has none such.
        """
        for way, names in zip(self.ways, (self.sides.ends, self.sides.edges, self.sides.faces), strict=True):
            if side in names:
                sign = 1.0 if side is names[1] else -1.0
                return (sign * way[0], sign * way[1], sign * way[2])
        if any(abs(dot(side.way, way)) > 1 - CLOSE for way in self.ways):
            return side.way
        raise KeyError(side)

    def hollow(self, channel: Channel) -> tuple[tuple[float, float], tuple[float, float]]:
        """What a channel takes out of the section: from and to across the body, from and to through it, mm."""
        in_edge = channel.surface in self.sides.edges
        room = (self.width, self.thickness) if in_edge else (self.thickness, self.width)
        surfaces, edges = (self.sides.edges, self.sides.faces) if in_edge else (self.sides.faces, self.sides.edges)
        deep = _from(channel.surface is surfaces[0], room[0], 0.0, channel.depth)
        wide = _from(channel.edge is edges[0], room[1], channel.offset, channel.width)
        return (deep, wide) if in_edge else (wide, deep)


def _from(first: bool, whole: float, offset: float, size: float) -> tuple[float, float]:
    return (offset, offset + size) if first else (whole - offset - size, whole - offset)


def oblong(width: float, thickness: float) -> tuple[Point, ...]:
    """The section of a board."""
    return ((0.0, 0.0), (width, 0.0), (width, thickness), (0.0, thickness))


def dot(one: Vector, other: Vector) -> float:
    """Scalar product."""
    return one[0] * other[0] + one[1] * other[1] + one[2] * other[2]


def moved(point: Vector, way: Vector, by: float = 1.0) -> Vector:
    """A point ``by`` times ``way`` farther."""
    return (point[0] + by * way[0], point[1] + by * way[1], point[2] + by * way[2])


def unit(way: Vector) -> Vector:
    """The unit vector that points there. ZeroDivisionError for none."""
    long = dot(way, way) ** 0.5
    return (way[0] / long, way[1] / long, way[2] / long)
