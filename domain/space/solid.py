"""A body as a solid: cells that are convex and fill it without overlapping, its corners, its edges.

The section is cut into strips at each of its corners and at each wall of a channel, the length at each stop of
one. A cell is a strip's piece between two stops: an upright trapezoid pushed along the body.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from functools import lru_cache
from itertools import pairwise

from domain.parts import Point, Single, Vector
from domain.space.body import Body, Channel, End, dot, moved

CLOSE = 1e-7


@dataclass(frozen=True, slots=True)
class Trapezoid:
    """A part of a section between two upright lines; its lower and upper side run straight between them, mm."""

    left: float
    right: float
    low: tuple[float, float]
    high: tuple[float, float]

    @property
    def points(self) -> tuple[Point, Point, Point, Point]:
        """Its corners, against the clock; two of them coincide where it is a triangle."""
        return (
            (self.left, self.low[0]),
            (self.right, self.low[1]),
            (self.right, self.high[1]),
            (self.left, self.high[0]),
        )


Planes = tuple[tuple[Vector, float], ...]
"""Of each plane its normal and its reach: ``normal · point <= reach`` (mm) holds on its inner side."""


@dataclass(frozen=True, slots=True)
class Cell:
    """A convex part of a body: what lies on the inner side of every plane, and its corners in space."""

    planes: Planes
    corners: tuple[Vector, ...]


Edge = tuple[Vector, Vector]


def cells(body: Body) -> tuple[Cell, ...]:
    """The convex cells that fill a body; neighbours touch."""
    return tuple(
        Cell(_planes(body, part, start, end), _corners(body, part, start, end))
        for start, end, parts in _stretches(body)
        for part in parts
    )


def cell_planes(body: Body) -> Iterator[Planes]:
    """The planes of each cell, for those who ask for no corners."""
    for start, end, parts in _stretches(body):
        for part in parts:
            yield _planes(body, part, start, end)


def corners(body: Body) -> tuple[Vector, ...]:
    """The corners of a body before anything is cut out of it, at both of its ends."""
    return tuple(body.point(end.along(*point), *point) for end in body.ends for point in body.section)


def edges(body: Body) -> tuple[Edge, ...]:
    """The edges that one would feel on a body, each once."""
    return tuple(edge for edge, _ in arrises(body))


def arrises(body: Body) -> Iterator[tuple[Edge, bool]]:
    """The same, and of each whether it is one of the piece as it was before grooves and rabbets were cut."""
    for (start, end), whole in _arrises(replace(body, piece=NOBODY, origin=(0.0, 0.0, 0.0), ways=OWN, saw=None)):
        yield (body.point(*start), body.point(*end)), whole


NOBODY = Single("", 0)
OWN = ((1.0, 0.0, 0.0), (0.0, 1.0, 0.0), (0.0, 0.0, 1.0))


@lru_cache(maxsize=5000)
def _arrises(body: Body) -> tuple[tuple[Edge, bool], ...]:
    """Those of a body in its own ways: pieces alike are many, and drawn again and again."""
    if not body.channels:
        return tuple((edge, True) for edge in _edges(body))
    whole = _edges(replace(body, channels=()))
    return tuple((edge, any(_covers(outer, edge) for outer in whole)) for edge in _edges(body))


def _covers(whole: Edge, part: Edge) -> bool:
    """True where an edge is a stretch of another one."""
    way = moved(whole[1], whole[0], -1.0)
    long = dot(way, way)
    for point in part:
        off = moved(point, whole[0], -1.0)
        share = dot(off, way) / long
        rest = moved(off, way, -share)
        if not -CLOSE <= share <= 1 + CLOSE or dot(rest, rest) > CLOSE:
            return False
    return True


def _edges(body: Body) -> tuple[Edge, ...]:
    stretches = tuple(_stretches(body))
    found: list[Edge] = []
    lines: dict[Point, list[tuple[End, End]]] = defaultdict(list)
    for start, end, parts in stretches:
        for corner in _turns(_boundary(parts)):
            runs = lines[corner]
            if runs and runs[-1][1] == start:
                runs[-1] = (runs[-1][0], end)
            else:
                runs.append((start, end))
    for (across, through), runs in lines.items():
        for start, end in runs:
            found.append(_line(body, start, end, (across, through), (across, through)))
    (first, _, opening), (_, last, closing) = stretches[0], stretches[-1]
    for end, parts in ((first, opening), (last, closing)):
        found += [_line(body, end, end, *side) for side in _boundary(parts)]
    for (_, stop, before), (_, _, after) in pairwise(stretches):
        found += [_line(body, stop, stop, *side) for side in _steps(before, after)]
    return tuple(edge for edge in found if _long(edge) > CLOSE)


def _line(body: Body, start: End, end: End, one: Point, other: Point) -> Edge:
    return body.point(start.along(*one), *one), body.point(end.along(*other), *other)


def _long(edge: Edge) -> float:
    return max(abs(here - there) for here, there in zip(*edge, strict=True))


# --- a section, cut up


def trapezoids(body: Body, channels: Sequence[Channel]) -> tuple[Trapezoid, ...]:
    """The section with these channels taken out, in strips from the first edge on."""
    hollows = [body.hollow(channel) for channel in channels]
    cuts = {across for across, _ in body.section}
    cuts |= {min(max(side, 0.0), body.width) for (low, high), _ in hollows for side in (low, high)}
    found: list[Trapezoid] = []
    for left, right in pairwise(_distinct(cuts)):
        taken = [through for (low, high), through in hollows if low < (left + right) / 2 < high]
        for low_side, high_side in _strip(body.section, left, right):
            found += _less(Trapezoid(left, right, low_side, high_side), sorted(taken))
    return tuple(found)


def _distinct(cuts: Iterable[float]) -> list[float]:
    """In order; of those that are the same but for rounding the first, or a sliver would part its neighbours."""
    found: list[float] = []
    for cut in sorted(cuts):
        if not found or cut - found[-1] > CLOSE:
            found.append(cut)
    return found


def _strip(section: Sequence[Point], left: float, right: float) -> Iterator[tuple[Point, Point]]:
    """Lower and upper sides of the section between two upright lines none of its corners lies between."""
    crossing = []
    for (x0, y0), (x1, y1) in zip(section, (*section[1:], section[0]), strict=True):
        if min(x0, x1) <= left + CLOSE and max(x0, x1) >= right - CLOSE and abs(x1 - x0) > CLOSE:
            slope = (y1 - y0) / (x1 - x0)
            crossing.append((y0 + slope * (left - x0), y0 + slope * (right - x0)))
    crossing.sort(key=sum)
    yield from zip(crossing[::2], crossing[1::2], strict=True)


def _less(whole: Trapezoid, taken: Sequence[tuple[float, float]]) -> Iterator[Trapezoid]:
    """What is left of a trapezoid over and under level hollows, sorted from below."""
    low = whole.low
    for bottom, top in taken:
        if bottom > min(low) + CLOSE:
            yield Trapezoid(whole.left, whole.right, low, (bottom, bottom))
        low = (max(low[0], top), max(low[1], top))
    if whole.high[0] > low[0] + CLOSE or whole.high[1] > low[1] + CLOSE:
        yield Trapezoid(whole.left, whole.right, low, whole.high)


def _stretches(body: Body) -> Iterator[tuple[End, End, tuple[Trapezoid, ...]]]:
    """The body from stop to stop: where a stretch begins and ends, and its section there."""
    first, last = body.ends
    stops = {
        stop
        for channel in body.channels
        for stop in (channel.begins, channel.ends)
        if stop is not None and CLOSE < stop < last.at - CLOSE
    }
    ends = (first, *(End(stop) for stop in sorted(stops)), last)
    for start, end in pairwise(ends):
        middle = (start.at + end.at) / 2
        here = [channel for channel in body.channels if _reaches(channel, middle)]
        yield start, end, trapezoids(body, here)


def _reaches(channel: Channel, along: float) -> bool:
    begun = channel.begins is None or channel.begins < along
    return begun and (channel.ends is None or along < channel.ends)


# --- its outline

Side2 = tuple[Point, Point]


def _boundary(parts: Sequence[Trapezoid]) -> tuple[Side2, ...]:
    """The sides of a section: lower and upper ones, and upright ones where there is wood on one hand only."""
    found = [side for part in parts for side in _levels(part)]
    uprights: dict[float, tuple[list[Point], list[Point]]] = defaultdict(lambda: ([], []))
    for part in parts:
        uprights[part.right][0].append((part.low[1], part.high[1]))
        uprights[part.left][1].append((part.low[0], part.high[0]))
    for across, (left, right) in uprights.items():
        found += [((across, low), (across, high)) for low, high in _either(left, right)]
    return tuple(_joined(found))


def _levels(part: Trapezoid) -> Iterator[Side2]:
    yield (part.left, part.low[0]), (part.right, part.low[1])
    yield (part.left, part.high[0]), (part.right, part.high[1])


def _either(one: Sequence[Point], other: Sequence[Point]) -> Iterator[Point]:
    """Where one set of intervals covers and the other does not."""
    marks = sorted({end for low_high in (*one, *other) for end in low_high})
    for low, high in pairwise(marks):
        middle = (low + high) / 2
        covered = [any(start < middle < end for start, end in each) for each in (one, other)]
        if high - low > CLOSE and covered[0] != covered[1]:
            yield low, high


def _joined(sides: Sequence[Side2]) -> Iterator[Side2]:
    """Sides that go straight on, as one."""
    rest = list(sides)
    while rest:
        start, end = rest.pop()
        grown = True
        while grown:
            grown = False
            for other in rest:
                whole = _one_line((start, end), other)
                if whole is not None and _turns_at(sides, _shared((start, end), other)) == 2:
                    rest.remove(other)
                    start, end = whole
                    grown = True
                    break
        yield start, end


def _shared(one: Side2, other: Side2) -> Point:
    return next(point for point in one if any(_at(point, each) for each in other))


def _turns_at(sides: Sequence[Side2], point: Point) -> int:
    return sum(any(_at(point, end) for end in side) for side in sides)


def _one_line(one: Side2, other: Side2) -> Side2 | None:
    for start, middle in (one, one[::-1]):
        for joins, end in (other, other[::-1]):
            if _at(middle, joins):
                x, y = middle[0] - start[0], middle[1] - start[1]
                on_x, on_y = end[0] - middle[0], end[1] - middle[1]
                if abs(x * on_y - y * on_x) < 1e-6 and x * on_x + y * on_y > 0:
                    return start, end
    return None


def _at(one: Point, other: Point) -> bool:
    return abs(one[0] - other[0]) < CLOSE and abs(one[1] - other[1]) < CLOSE


def _turns(sides: Sequence[Side2]) -> set[Point]:
    """The corners of a section, to a millionth of a millimetre."""
    return {(round(x, 6), round(y, 6)) for side in sides for x, y in side}


def _steps(before: Sequence[Trapezoid], after: Sequence[Trapezoid]) -> tuple[Side2, ...]:
    """The outline of what one stretch has and its neighbour has not."""
    cuts = _distinct(side for part in (*before, *after) for side in (part.left, part.right))
    found = []
    for left, right in pairwise(cuts):
        pair = [[(low, high) for low, high in _between(parts, left, right)] for parts in (before, after)]
        marks = sorted({side for sides in pair for low_high in sides for side in low_high}, key=sum)
        for low, high in pairwise(marks):
            middle = (sum(low) + sum(high)) / 2
            covered = [any(sum(a) < middle < sum(b) for a, b in sides) for sides in pair]
            if covered[0] != covered[1]:
                found.append(Trapezoid(left, right, low, high))
    return _boundary(found)


def _between(parts: Sequence[Trapezoid], left: float, right: float) -> Iterator[tuple[Point, Point]]:
    for part in parts:
        if part.left < (left + right) / 2 < part.right:
            yield _cut(part, part.low, left, right), _cut(part, part.high, left, right)


def _cut(part: Trapezoid, side: tuple[float, float], left: float, right: float) -> Point:
    rise = (side[1] - side[0]) / (part.right - part.left)
    return side[0] + rise * (left - part.left), side[0] + rise * (right - part.left)


# --- a cell


def _corners(body: Body, part: Trapezoid, start: End, end: End) -> tuple[Vector, ...]:
    return tuple(body.point(plane.along(*point), *point) for plane in (start, end) for point in part.points)


def _planes(body: Body, part: Trapezoid, start: End, end: End) -> Planes:
    width = part.right - part.left
    rise = [(side[1] - side[0]) / width for side in (part.low, part.high)]
    own = (
        ((0.0, -1.0, 0.0), (0.0, part.left, 0.0)),
        ((0.0, 1.0, 0.0), (0.0, part.right, 0.0)),
        ((0.0, rise[0], -1.0), (0.0, part.left, part.low[0])),
        ((0.0, -rise[1], 1.0), (0.0, part.left, part.high[0])),
        ((-1.0, start.by_width, start.by_thickness), (start.at, 0.0, 0.0)),
        ((1.0, -end.by_width, -end.by_thickness), (end.at, 0.0, 0.0)),
    )
    return tuple(_plane(body, normal, through) for normal, through in own)


def _plane(body: Body, normal: Vector, through: Vector) -> tuple[Vector, float]:
    """A plane in a body's own ways, in space; its normal of length 1."""
    long = dot(normal, normal) ** 0.5
    a, b, c = (part / long for part in normal)
    one, two, three = body.ways
    turned = (
        a * one[0] + b * two[0] + c * three[0],
        a * one[1] + b * two[1] + c * three[1],
        a * one[2] + b * two[2] + c * three[2],
    )
    return turned, dot(turned, body.point(*through))
