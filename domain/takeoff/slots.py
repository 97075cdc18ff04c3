"""A joint's slots where they lie in each of its two pieces, and how much wood is left between two of them.

A slot counts with square corners at its round end, as the wall rule counts it: a prism that is as deep into the
wood as the cutter stands out, as wide there as the cutter's tip, narrower at its mouth.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import pairwise
from math import hypot

from domain.intervals import Interval
from domain.parts import Point, Side, Vector
from domain.planning.fit import mouth
from domain.planning.plans import SectionPlan
from domain.space.bodies import Seam
from domain.space.body import moved
from domain.spec.choices import Entry

TOUCH = 1e-9


@dataclass(frozen=True, slots=True)
class Hollow:
    """A slot in a piece: it runs along ``axis`` (0 x, 1 y, 2 z) over ``span``, with ``outline`` across it, mm.

    The outline, against the clock or with it, is convex and written in the two other axes of the assembly's space.
    """

    axis: int
    span: Interval
    outline: tuple[Point, ...]

    @property
    def room(self) -> tuple[Interval, Interval, Interval]:
        """The box about it, axis by axis."""
        across = [(min(axis), max(axis)) for axis in zip(*self.outline, strict=True)]
        across.insert(self.axis, self.span)
        return across[0], across[1], across[2]

    def shifted(self, way: Vector, by: float) -> Hollow:
        """The same ``by`` mm farther."""
        x, y = (way[axis] * by for axis in range(3) if axis != self.axis)
        low, high = (end + way[self.axis] * by for end in self.span)
        return Hollow(self.axis, (low, high), tuple((one + x, other + y) for one, other in self.outline))


def hollows(seam: Seam, plan: SectionPlan, ends: tuple[Entry, Entry], index: int) -> Iterator[Hollow]:
    """The slots of a joint so planned in its first (0) or second (1) piece."""
    sign = -1.0 if index else 1.0
    into: Vector = (sign * seam.into[0], sign * seam.into[1], sign * seam.into[2])
    tip, out = plan.cutter.tip_diameter / 2, plan.projection
    opening = mouth(plan.section, plan.cutter.tip_diameter, out) / 2
    axis = max(range(3), key=lambda which: abs(seam.run[which]))
    first, second = (which for which in range(3) if which != axis)
    for entry in ends if plan.entry is Entry.BOTH else (plan.entry,):
        depth = plan.from_edge(entry).depth
        for centre in plan.centres:
            middle, inwards = seam.mouth(centre, Side(entry.value))
            bottom = moved(middle, into, out)
            corners = (
                moved(middle, seam.along, -opening),
                moved(middle, seam.along, opening),
                moved(bottom, seam.along, tip),
                moved(bottom, seam.along, -tip),
            )
            begins, stops = middle[axis], middle[axis] + inwards[axis] * depth
            outline = tuple((corner[first], corner[second]) for corner in corners)
            yield Hollow(axis, (min(begins, stops), max(begins, stops)), outline)


def wood_between(one: Hollow, other: Hollow) -> float:
    """The least wood between two slots in mm, 0 where they meet.

    Exact where they run the same way; where they cross, that between the boxes about them, which is no more.
    """
    if one.axis != other.axis:
        return hypot(*_gaps(one, other))
    return hypot(_gap(one.span, other.span), between_outlines(one.outline, other.outline))


def keep(one: Hollow, other: Hollow, wood: float) -> bool:
    """True where so much wood (mm) is left between two slots."""
    return max(_gaps(one, other)) >= wood or wood_between(one, other) >= wood


def _gaps(one: Hollow, other: Hollow) -> list[float]:
    return [_gap(here, there) for here, there in zip(one.room, other.room, strict=True)]


def _gap(one: Interval, other: Interval) -> float:
    return max(0.0, other[0] - one[1], one[0] - other[1])


def between_outlines(one: Sequence[Point], other: Sequence[Point]) -> float:
    """The distance of two convex outlines, 0 where they meet: their nearest points lie on a corner of one."""
    if not (_parted(one, other) or _parted(other, one)):
        return 0.0
    return min(
        _from_side(point, *side)
        for points, sides in ((one, _sides(other)), (other, _sides(one)))
        for side in sides
        for point in points
    )


def _sides(outline: Sequence[Point]) -> list[tuple[Point, Point]]:
    return list(pairwise((*outline, outline[0])))


def _parted(one: Sequence[Point], other: Sequence[Point]) -> bool:
    """True where a line along one of the first one's sides has the other beyond it."""
    for start, end in _sides(one):
        x, y = start[1] - end[1], end[0] - start[0]
        here = [x * point[0] + y * point[1] for point in one]
        there = [x * point[0] + y * point[1] for point in other]
        if max(here) < min(there) - TOUCH or max(there) < min(here) - TOUCH:
            return True
    return False


def _from_side(point: Point, start: Point, end: Point) -> float:
    """How far a point lies from a stretch of line."""
    along = (end[0] - start[0], end[1] - start[1])
    off = (point[0] - start[0], point[1] - start[1])
    share = (off[0] * along[0] + off[1] * along[1]) / (along[0] ** 2 + along[1] ** 2)
    share = min(1.0, max(0.0, share))
    return hypot(off[0] - share * along[0], off[1] - share * along[1])
