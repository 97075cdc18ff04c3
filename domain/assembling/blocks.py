"""Bodies as convex blocks, and whether one is in another's way as it moves straight along.

A block moved along a direction without end sweeps a convex solid; two convex solids are apart where a plane
parts them, and it is enough to try the faces of both and the planes along an edge of each (the separating axis
theorem; the sweep adds its own direction to the edges). So the answer is exact, for convex blocks.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from itertools import combinations, product

from domain.parts import Vector
from domain.space.body import Body, End, dot, moved, oblong
from domain.space.solid import Cell, cells

TOUCH = 0.01
"""Solids that overlap by less than this (mm) only touch."""
SQUARE_ON = 1e-6
Interval = tuple[float, float]
AXES: tuple[Vector, ...] = ((1.0, 0.0, 0.0), (0.0, 1.0, 0.0), (0.0, 0.0, 1.0))


@dataclass(frozen=True, slots=True)
class Block:
    """A convex solid: its corners, the directions of its faces' normals and of its edges, and its extents, mm."""

    corners: tuple[Vector, ...]
    normals: tuple[Vector, ...]
    edges: tuple[Vector, ...]
    extents: tuple[Interval, Interval, Interval]
    square: bool
    """Whether all its faces are square to the axes, so that its extents are the block itself."""


def block(corners: Iterable[Vector], normals: Iterable[Vector], edges: Iterable[Vector]) -> Block:
    """A block of these corners; normals and edges need not be unit vectors, and are kept once each."""
    points, faces = tuple(corners), _directions(normals)
    low, high = (tuple(pick(point[axis] for point in points) for axis in range(3)) for pick in (min, max))
    extents = ((low[0], high[0]), (low[1], high[1]), (low[2], high[2]))
    return Block(points, faces, _directions(edges), extents, all(_is_axis(way) for way in faces))


def is_in_the_way(mover: Block, other: Block, way: Vector) -> bool:
    """Whether ``mover``, moved along ``way`` without end, would run into ``other``; to touch is no matter."""
    for (low, high), step, (below, above) in zip(mover.extents, way, other.extents, strict=True):
        # swept, an extent has no end on the side that it moves to
        if (step > -SQUARE_ON and above - low <= TOUCH) or (step < SQUARE_ON and high - below <= TOUCH):
            return False
    if mover.square and other.square and _is_axis(way):
        return True
    return not any(_parts(plane, mover, other, way) for plane in _planes(mover, other, way))


def _planes(mover: Block, other: Block, way: Vector) -> Iterator[Vector]:
    yield from mover.normals
    yield from other.normals
    # the same cross product comes again and again where members are square to one another
    tried: set[Vector] = set()
    for one, two in product((*mover.edges, way), (*other.edges, way)):
        for plane in _directions((_cross(one, two),)):
            if plane not in tried:
                tried.add(plane)
                yield plane


def _parts(plane: Vector, mover: Block, other: Block, way: Vector) -> bool:
    return not _overlap(_swept(_seen(mover, plane), dot(way, plane)), _seen(other, plane))


def _seen(one: Block, plane: Vector) -> Interval:
    seen = [dot(corner, plane) for corner in one.corners]
    return min(seen), max(seen)


def _swept(one: Interval, step: float) -> Interval:
    low, high = one
    return (low if step >= -SQUARE_ON else float("-inf"), high if step <= SQUARE_ON else float("inf"))


def _overlap(one: Interval, other: Interval) -> bool:
    return min(one[1], other[1]) - max(one[0], other[0]) > TOUCH


def _cross(one: Vector, two: Vector) -> Vector:
    return (
        one[1] * two[2] - one[2] * two[1],
        one[2] * two[0] - one[0] * two[2],
        one[0] * two[1] - one[1] * two[0],
    )


def _directions(ways: Iterable[Vector]) -> tuple[Vector, ...]:
    """Unit vectors, each once whichever way it points; what has no direction is left out."""
    found: dict[Vector, None] = {}
    for way in ways:
        long = dot(way, way) ** 0.5
        if long > SQUARE_ON:
            # 0.0 + …: a minus nought is a nought
            x, y, z = (0.0 + round(part / long, 9) for part in way)
            found[(x, y, z) if (x, y, z) > (0.0, 0.0, 0.0) else (0.0 - x, 0.0 - y, 0.0 - z)] = None
    return tuple(found)


def _is_axis(way: Vector) -> bool:
    return sum(abs(part) > SQUARE_ON for part in way) == 1


def blocks_of(body: Body) -> tuple[Block, ...]:
    """The body as blocks that fill it without overlapping, what its channels leave of it."""
    return tuple(_of_cell(cell) for cell in cells(body))


def hull_of(body: Body) -> Block:
    """The body with nothing cut out of it, as one block: a panel as it is, a member as a board of its size."""
    if all(_is_axis(way) for way in body.ways) and len(body.section) == 4 and not any(map(_leans, body.ends)):
        first, last = (body.point(end.at, across, through) for end, across, through in _opposite(body))
        low, high = (tuple(map(pick, first, last)) for pick in (min, max))
        extents = ((low[0], high[0]), (low[1], high[1]), (low[2], high[2]))
        return Block(tuple((x, y, z) for x, y, z in product(*extents)), AXES, AXES, extents, square=True)
    section = body.section if body.is_panel else oblong(body.width, body.thickness)
    rims = [[body.point(end.along(*point), *point) for point in section] for end in body.ends]
    round_it = [_around(rim) for rim in rims]
    sides = [_cross(edge, body.ways[0]) for edge in round_it[0]]
    ends = [_cross(rim[0], rim[1]) for rim in round_it]
    return block((*rims[0], *rims[1]), (*sides, *ends), (*round_it[0], *round_it[1], body.ways[0]))


def _leans(end: End) -> bool:
    return bool(end.by_width or end.by_thickness)


def _opposite(body: Body) -> tuple[tuple[End, float, float], tuple[End, float, float]]:
    return (body.ends[0], 0.0, 0.0), (body.ends[1], body.width, body.thickness)


def _around(rim: Sequence[Vector]) -> list[Vector]:
    return [moved(there, here, -1.0) for here, there in zip(rim, (*rim[1:], rim[0]), strict=True)]


def _of_cell(cell: Cell) -> Block:
    normals = [normal for normal, _ in cell.planes]
    on = [
        frozenset(
            index for index, (normal, reach) in enumerate(cell.planes) if abs(dot(normal, corner) - reach) < TOUCH
        )
        for corner in cell.corners
    ]
    # two corners that lie in the same two faces are the ends of an edge
    edges = [
        moved(cell.corners[one], cell.corners[two], -1.0)
        for one, two in combinations(range(len(cell.corners)), 2)
        if len(on[one] & on[two]) > 1
    ]
    return block(cell.corners, normals, edges)
