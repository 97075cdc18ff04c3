"""A body where a plane cuts through it: the wood there as convex polygons, and its outline without their seams."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from math import hypot

from domain.intervals import gaps
from domain.parts import Point, Vector
from domain.space.body import Body, dot
from domain.space.solid import Planes, cell_planes, corners

CLOSE = 1e-7
ASIDE = 1e-3
"""A body that keeps farther (mm) off a plane is not looked at."""
FAR = 1e6
"""Farther (mm) than any assembly reaches."""


@dataclass(frozen=True, slots=True)
class Plane:
    """A plane ``through`` a point, the origin of what is seen in it; ``right`` and ``up`` are unit vectors."""

    through: Vector
    right: Vector
    up: Vector

    @property
    def normal(self) -> Vector:
        """Out of the plane, towards whoever looks at it."""
        (a, b, c), (d, e, f) = self.right, self.up
        return (b * f - c * e, c * d - a * f, a * e - b * d)

    def seen(self, point: Vector) -> Point:
        """Where a point is seen, looked at square to the plane, mm."""
        off = (point[0] - self.through[0], point[1] - self.through[1], point[2] - self.through[2])
        return dot(off, self.right), dot(off, self.up)


def cut(body: Body, plane: Plane, to: float = FAR) -> tuple[tuple[Point, ...], ...]:
    """The body's wood in the plane as convex polygons that do not overlap; none where the plane misses it.

    What is seen farther right than ``to`` (mm) is left away. A plane that lies in one of the body's own faces has
    no wood of its own on either hand: keep off them.
    """
    if _misses(body, plane, to):
        return ()
    found = (_cell(planes, plane, to) for planes in cell_planes(body))
    return tuple(polygon for polygon in found if len(polygon) > 2)


def _misses(body: Body, plane: Plane, to: float) -> bool:
    """True where the whole body lies on one hand of the plane, or farther right than ``to``: most do."""
    points = corners(body)
    normal = plane.normal
    off = dot(normal, plane.through)
    offs = [dot(normal, point) - off for point in points]
    if min(offs) > ASIDE or max(offs) < -ASIDE:
        return True
    return (
        to < FAR
        and min(dot(plane.right, point) for point in points) - dot(plane.right, plane.through) > to + ASIDE
    )


def _cell(planes: Planes, plane: Plane, to: float) -> tuple[Point, ...]:
    polygon: Sequence[Point] = ((-FAR, -FAR), (to, -FAR), (to, FAR), (-FAR, FAR))
    for normal, reach in planes:
        across, along = dot(normal, plane.right), dot(normal, plane.up)
        polygon = _within(polygon, across, along, reach - dot(normal, plane.through))
        if not polygon:
            return ()
    return _without_doubles(polygon)


def _within(polygon: Sequence[Point], across: float, along: float, reach: float) -> Sequence[Point]:
    """What of a convex polygon lies where ``across·x + along·y <= reach``."""
    insides = [reach - across * x - along * y for x, y in polygon]
    if min(insides) >= -CLOSE:
        return polygon
    kept: list[Point] = []
    for place, (start, here) in enumerate(zip(polygon, insides, strict=True)):
        if here >= -CLOSE:
            kept.append(start)
        there = insides[place + 1 - len(polygon)]
        if (here > CLOSE and there < -CLOSE) or (here < -CLOSE and there > CLOSE):
            end = polygon[place + 1 - len(polygon)]
            share = here / (here - there)
            kept.append((start[0] + share * (end[0] - start[0]), start[1] + share * (end[1] - start[1])))
    return kept


def _without_doubles(polygon: Sequence[Point]) -> tuple[Point, ...]:
    kept: list[Point] = []
    for point in polygon:
        if not kept or _apart(kept[-1], point):
            kept.append(point)
    if len(kept) > 1 and not _apart(kept[0], kept[-1]):
        kept.pop()
    area = sum(a[0] * b[1] - b[0] * a[1] for a, b in zip(kept, (*kept[1:], *kept[:1]), strict=True))
    return tuple(kept) if abs(area) > CLOSE else ()


def _apart(one: Point, other: Point) -> bool:
    return hypot(one[0] - other[0], one[1] - other[1]) > 1e-6


def outline(polygons: Sequence[Sequence[Point]]) -> Iterator[tuple[Point, Point]]:
    """The edges of what the polygons are together: where two of them touch, there is none."""
    sides = [
        (place, side)
        for place, points in enumerate(polygons)
        for side in zip(points, (*points[1:], *points[:1]), strict=True)
    ]
    for place, ((x0, y0), (x1, y1)) in sides:
        long = hypot(x1 - x0, y1 - y0)
        way = ((x1 - x0) / long, (y1 - y0) / long)
        shared = []
        for other, side in sides:
            if other == place:
                continue
            offs = [(x - x0, y - y0) for x, y in side]
            if all(abs(x * way[1] - y * way[0]) < 1e-6 for x, y in offs):
                ends = sorted(x * way[0] + y * way[1] for x, y in offs)
                shared.append((ends[0], ends[1]))
        for start, end in gaps(0.0, long, shared):
            if end - start > 1e-6:
                yield (x0 + start * way[0], y0 + start * way[1]), (x0 + end * way[0], y0 + end * way[1])
