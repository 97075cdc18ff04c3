"""A mating face's wood as trapezoids and as its outline, in (x, v) mm.

Between neighbouring x at which anything bends, starts or crosses, the wood is a few trapezoids; the
outline is their upper and lower edges, and upright edges where one side has wood and the other not.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from itertools import pairwise

from domain.faces.region import Profile, Region
from domain.intervals import TOUCH, Intervals, gaps, intersection
from webapp.drawings.model import Point

Segment = tuple[Point, Point]
NUDGE = 1e-6
"""How far (mm) inside a slab its edges are read, so that a step belongs to one side of it."""


@dataclass(frozen=True, slots=True)
class Trapezoid:
    """Wood from ``x0`` to ``x1`` between two straight edges, each given by its v at both ends."""

    x0: float
    x1: float
    low: tuple[float, float]
    high: tuple[float, float]

    @property
    def points(self) -> tuple[Point, ...]:
        """Its corners, anticlockwise."""
        return (
            (self.x0, self.low[0]),
            (self.x1, self.low[1]),
            (self.x1, self.high[1]),
            (self.x0, self.high[0]),
        )


def trapezoids(region: Region) -> tuple[tuple[Trapezoid, ...], ...]:
    """The wood, slab by slab from x = 0."""
    return tuple(tuple(_slab(region, x0, x1)) for x0, x1 in pairwise(_bends(region)) if x1 - x0 > TOUCH)


def outline(region: Region) -> Iterator[Segment]:
    """Every edge of the wood: its outside, and the sides of grooves and rabbets."""
    before: Intervals = ()
    x_end = 0.0
    for slab in trapezoids(region):
        for piece in slab:
            yield (piece.x0, piece.low[0]), (piece.x1, piece.low[1])
            yield (piece.x0, piece.high[0]), (piece.x1, piece.high[1])
        yield from _upright(slab[0].x0 if slab else x_end, before, tuple((p.low[0], p.high[0]) for p in slab))
        before = tuple((p.low[1], p.high[1]) for p in slab)
        x_end = slab[0].x1 if slab else x_end
    yield from _upright(region.width, before, ())


def _upright(x: float, left: Intervals, right: Intervals) -> Iterator[Segment]:
    """Edges at x where just one side is wood."""
    for one, other in ((left, right), (right, left)):
        for low, high in one:
            for start, end in gaps(low, high, other):
                if end - start > 10 * NUDGE:
                    yield (x, start), (x, end)


def _bends(region: Region) -> list[float]:
    marks = {0.0, region.width}
    marks.update(x for void in region.voids for x in (void.x0, void.x1) if 0 < x < region.width)
    for profile in (region.ceiling, region.floor):
        if profile is not None:
            marks.update(x for x, _ in profile)
            marks.update(_crossings(profile, {v for void in region.voids for v in (void.v0, void.v1)}))
    return sorted(marks)


def _crossings(profile: Profile, levels: set[float]) -> Iterator[float]:
    for (x0, v0), (x1, v1) in pairwise(profile):
        for level in levels:
            if (v0 - level) * (v1 - level) < 0:
                yield x0 + (level - v0) / (v1 - v0) * (x1 - x0)


def _slab(region: Region, x0: float, x1: float) -> Iterator[Trapezoid]:
    """The wood of one slab, from below."""
    floor = _edge(region.floor, x0, x1, 0.0)
    ceiling = _edge(region.ceiling, x0, x1, region.run)
    middle = (x0 + x1) / 2
    blocked = [(void.v0, void.v1) for void in region.voids if void.x0 < middle < void.x1]
    bottom, top = sum(floor) / 2, sum(ceiling) / 2
    for low, high in intersection(gaps(0.0, region.run, blocked), ((bottom, top),)):
        if high - low > TOUCH:
            yield Trapezoid(
                x0,
                x1,
                floor if low == bottom else (low, low),
                ceiling if high == top else (high, high),
            )


def _edge(profile: Profile | None, x0: float, x1: float, flat: float) -> tuple[float, float]:
    if profile is None:
        return (flat, flat)
    return _height(profile, x0 + NUDGE * (x1 - x0)), _height(profile, x1 - NUDGE * (x1 - x0))


def _height(profile: Profile, x: float) -> float:
    for (x0, v0), (x1, v1) in pairwise(profile):
        if x0 <= x <= x1 and x1 > x0:
            return v0 + (v1 - v0) * (x - x0) / (x1 - x0)
    return profile[-1][1]
