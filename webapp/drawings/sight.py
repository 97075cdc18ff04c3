"""What of a solid's edges is in sight: every edge cut where wood stands between it and the eye.

The picture is an orthogonal axonometric projection (ISO 5456-3), seen from the right and above. Its eye looks
along no mitre and no face of a square piece, so none of them shrinks to a line. Wood is convex cells; whether one
hides a point is whether the ray from there to the eye runs through it. Along an edge this is a convex region of
two variables, the place on the edge and on the ray, and its shadow on the edge is exact: pairs of planes, no grid.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from math import sqrt

from domain.parts import Point, Vector
from domain.space.body import dot
from domain.space.solid import Cell, Edge
from webapp.drawings.model import Role

EYE: Vector = (2 / 7, 3 / 7, 6 / 7)
"""The way to the eye: whole numbers, 2² + 3² + 6² = 7²."""
_LEVEL = sqrt(EYE[0] ** 2 + EYE[2] ** 2)
_RIGHT: Vector = (EYE[2] / _LEVEL, 0.0, -EYE[0] / _LEVEL)
_UP: Vector = (-EYE[0] * EYE[1] / _LEVEL, _LEVEL, -EYE[1] * EYE[2] / _LEVEL)
GRAZED = 1e-4
"""Wood that a ray runs through for less than this, mm, hides nothing: it is an edge that is grazed."""
SHORTEST = 1e-2
"""A stretch of an edge in sight is longer than this, mm."""
COLUMNS = 64
"""The paper in so many columns."""


def project(point: Vector) -> Point:
    """A point of space on the paper, mm.

    >>> x, y = project((0.0, 100.0, 0.0))
    >>> round(x, 6), round(y, 2)
    (0.0, 90.35)
    """
    return dot(point, _RIGHT), dot(point, _UP)


@dataclass(frozen=True, slots=True)
class _Wood:
    """A cell as it hides: planes (normal, reach, their turn to the eye) before, behind and edge on to the ray."""

    left: float
    right: float
    low: float
    high: float
    near: float
    enters: tuple[tuple[Vector, float, float], ...]
    leaves: tuple[tuple[Vector, float, float], ...]
    beside: tuple[tuple[Vector, float], ...]


class Sight:
    """Cells of wood that stand before one another; tells what of an edge or a point is in sight."""

    def __init__(self, cells: Iterable[Cell]) -> None:
        every = [_wood(cell) for cell in cells]
        self._left = min((wood.left for wood in every), default=0.0)
        self._wide = max((wood.right for wood in every), default=0.0) - self._left or 1.0
        # an edge need only ask the wood in the columns of paper that it crosses
        self._columns: list[list[tuple[int, _Wood]]] = [[] for _ in range(COLUMNS)]
        for wood in every:
            first = self._column(wood.left)
            for column in range(first, self._column(wood.right) + 1):
                self._columns[column].append((first, wood))

    def _column(self, x: float) -> int:
        return min(max(int((x - self._left) / self._wide * COLUMNS), 0), COLUMNS - 1)

    def seen(self, edge: Edge) -> Iterator[Edge]:
        """The stretches of an edge in sight."""
        start, end = edge
        way = (end[0] - start[0], end[1] - start[1], end[2] - start[2])
        long = sqrt(dot(way, way))
        at = 0.0
        for low, high in sorted(self._hidden(start, end, way)):
            if (low - at) * long > SHORTEST:
                yield _along(start, way, at), _along(start, way, low)
            at = max(at, high)
        if (1.0 - at) * long > SHORTEST:
            yield _along(start, way, at), end

    def shows(self, point: Vector) -> bool:
        """True where nothing stands between the point and the eye."""
        return not any(True for _ in self._hidden(point, point, (0.0, 0.0, 0.0)))

    def _hidden(self, start: Vector, end: Vector, way: Vector) -> Iterator[tuple[float, float]]:
        """Where along the way cells hide it, as shares of it."""
        (x0, y0), (x1, y1) = project(start), project(end)
        left, right, low, high = min(x0, x1), max(x0, x1), min(y0, y1), max(y0, y1)
        far = min(dot(start, EYE), dot(end, EYE))
        begins = self._column(left)
        for column in range(begins, self._column(right) + 1):
            for first, wood in self._columns[column]:
                # once only, in the first column that wood and edge have in common
                if column > begins and column > first:
                    continue
                if wood.near <= far or wood.high < low or wood.low > high:
                    continue
                if wood.right < left or wood.left > right:
                    continue
                shadow = _shadow(wood, start, way)
                if shadow is not None:
                    yield shadow


def _along(start: Vector, way: Vector, share: float) -> Vector:
    return (start[0] + share * way[0], start[1] + share * way[1], start[2] + share * way[2])


def _wood(cell: Cell) -> _Wood:
    points = [project(corner) for corner in cell.corners]
    xs, ys = [x for x, _ in points], [y for _, y in points]
    turned = [(normal, reach, dot(normal, EYE)) for normal, reach in cell.planes]
    return _Wood(
        min(xs),
        max(xs),
        min(ys),
        max(ys),
        max(dot(corner, EYE) for corner in cell.corners),
        tuple(plane for plane in turned if plane[2] < -1e-9),
        tuple(plane for plane in turned if plane[2] > 1e-9),
        tuple((normal, reach) for normal, reach, turn in turned if abs(turn) <= 1e-9),
    )


def _shadow(wood: _Wood, start: Vector, way: Vector) -> tuple[float, float] | None:
    """From which share of the way to which a ray to the eye runs through the wood; None: nowhere.

    At a share t the ray is in the wood from the last plane that it enters by to the first that it leaves by, both
    linear in t: so every pair of them, with the way's own plane for the beginning, bounds t.
    """
    low, high = 0.0, 1.0
    enters = [(0.0, 0.0)]
    for (a, b, c), reach, turn in wood.enters:
        off = a * start[0] + b * start[1] + c * start[2] - reach
        enters.append((-off / turn, -(a * way[0] + b * way[1] + c * way[2]) / turn))
    for (a, b, c), reach, turn in wood.leaves:
        off = a * start[0] + b * start[1] + c * start[2] - reach
        leave, slope = -off / turn, -(a * way[0] + b * way[1] + c * way[2]) / turn
        for enter, rise in enters:
            # leave + slope·t - enter - rise·t must be more than a graze
            room, fall = leave - enter - GRAZED, slope - rise
            if fall > 1e-12:
                low = max(low, -room / fall)
            elif fall < -1e-12:
                high = min(high, -room / fall)
            elif room < 0:
                return None
            if low >= high and low > 0.0:
                return None
    for (a, b, c), reach in wood.beside:
        off, fall = a * start[0] + b * start[1] + c * start[2] - reach, a * way[0] + b * way[1] + c * way[2]
        if fall > 1e-12:
            high = min(high, -off / fall)
        elif fall < -1e-12:
            low = max(low, -off / fall)
        elif off > 0:
            return None
    return (low, high) if low < high else None


def distinct(edges: Iterable[tuple[Role, Edge]]) -> tuple[tuple[Role, Edge], ...]:
    """Edges that two bodies share, once, in the role that comes first."""
    found: dict[tuple[Vector, ...], tuple[Role, Edge]] = {}
    for role, edge in edges:
        found.setdefault(tuple(sorted((_round(edge[0]), _round(edge[1])))), (role, edge))
    return tuple(found.values())


def _round(point: Vector) -> Vector:
    return (round(point[0], 3), round(point[1], 3), round(point[2], 3))
