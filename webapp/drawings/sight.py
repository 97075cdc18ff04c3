"""What of a solid's edges is in sight: every edge cut where wood stands between it and the eye.

The picture is an orthogonal axonometric projection (ISO 5456-3), seen from the right and above. Its eye looks
along no mitre and no face of a square piece, so none of them shrinks to a line. Wood is convex cells; whether one
hides a point is whether the ray from there to the eye runs through it. Along an edge this is a convex region of
two variables, the place on the edge and on the ray, and its shadow on the edge is exact: pairs of planes, no grid.

A picture has a thousand edges and hundreds of cells, and most of its time would go by here; so all edges are asked
at once, in arrays of numpy, operation by operation as one would for each alone.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from math import sqrt

import numpy as np
from numpy.typing import NDArray

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
AT_ONCE = 500_000
"""Pairs of edge and cell that are compared at once: some megabytes."""

Floats = NDArray[np.float64]
Interval = tuple[float, float]


def project(point: Vector) -> Point:
    """A point of space on the paper, mm.

    >>> x, y = project((0.0, 100.0, 0.0))
    >>> round(x, 6), round(y, 2)
    (0.0, 90.35)
    """
    return dot(point, _RIGHT), dot(point, _UP)


class Sight:
    """Cells of wood that stand before one another; tells what of edges or points is in sight."""

    def __init__(self, cells: Iterable[Cell]) -> None:
        every = tuple(cells)
        self._wood = _Wood.of(every) if every else None

    def seen(self, edges: Sequence[Edge]) -> list[list[Edge]]:
        """Of each edge the stretches in sight."""
        starts, ends = _array([start for start, _ in edges]), _array([end for _, end in edges])
        hidden = self._hidden(starts, ends)
        return [list(_in_sight(edge, sorted(hidden.get(place, ())))) for place, edge in enumerate(edges)]

    def shows(self, points: Sequence[Vector]) -> list[bool]:
        """True for each point where nothing stands between it and the eye."""
        at = _array(points)
        hidden = self._hidden(at, at)
        return [place not in hidden for place in range(len(points))]

    def _hidden(self, starts: Floats, ends: Floats) -> dict[int, list[Interval]]:
        """By the number of an edge where along its way cells hide it, as shares of it."""
        found: dict[int, list[Interval]] = {}
        if self._wood is None:
            return found
        ways = ends - starts
        some = max(AT_ONCE // self._wood.count, 1)
        for first in range(0, len(starts), some):
            here = slice(first, first + some)
            edge, cell = self._wood.before(starts[here], ends[here])
            edge += first
            low, high = self._wood.shadows(cell, starts[edge], ways[edge])
            casts = low < high
            shadows = zip(low[casts].tolist(), high[casts].tolist(), strict=True)
            for place, shadow in zip(edge[casts].tolist(), shadows, strict=True):
                found.setdefault(place, []).append(shadow)
        return found


def _in_sight(edge: Edge, hidden: Sequence[Interval]) -> Iterator[Edge]:
    """What is left of an edge beside its hidden shares, in rising order."""
    start, end = edge
    way = (end[0] - start[0], end[1] - start[1], end[2] - start[2])
    long = sqrt(dot(way, way))
    at = 0.0
    for low, high in hidden:
        if (low - at) * long > SHORTEST:
            yield _along(start, way, at), _along(start, way, low)
        at = max(at, high)
    if (1.0 - at) * long > SHORTEST:
        yield _along(start, way, at), end


def _along(start: Vector, way: Vector, share: float) -> Vector:
    return (start[0] + share * way[0], start[1] + share * way[1], start[2] + share * way[2])


@dataclass(frozen=True, slots=True)
class _Wood:
    """Cells as they hide: where on paper each lies, how near the eye it comes, and its planes.

    A plane is a row of its normal, its reach and its turn to the eye. A ray to the eye enters by some, leaves by
    others and runs along the rest; (number, cell, row) each, filled up with rows that bound nothing.
    """

    left: Floats
    right: Floats
    low: Floats
    high: Floats
    near: Floats
    enters: Floats
    leaves: Floats
    beside: Floats

    @property
    def count(self) -> int:
        """How many cells there are."""
        return len(self.near)

    @classmethod
    def of(cls, cells: Sequence[Cell]) -> _Wood:
        """These cells, of which there is at least one."""
        corners = _array([corner for cell in cells for corner in cell.corners])
        firsts = np.cumsum([0, *(len(cell.corners) for cell in cells)])[:-1]
        x, y, depth = (_dots(corners, way) for way in (_RIGHT, _UP, EYE))
        enters: list[list[_Plane]] = []
        leaves: list[list[_Plane]] = []
        beside: list[list[_Plane]] = []
        for cell in cells:
            turned = [(*normal, reach, dot(normal, EYE)) for normal, reach in cell.planes]
            enters.append([plane for plane in turned if plane[4] < -1e-9])
            leaves.append([plane for plane in turned if plane[4] > 1e-9])
            beside.append([plane for plane in turned if abs(plane[4]) <= 1e-9])
        return cls(
            left=np.minimum.reduceat(x, firsts),
            right=np.maximum.reduceat(x, firsts),
            low=np.minimum.reduceat(y, firsts),
            high=np.maximum.reduceat(y, firsts),
            near=np.maximum.reduceat(depth, firsts),
            enters=_filled(enters, _EVER_IN),
            leaves=_filled(leaves, _NEVER_LEFT),
            beside=_filled(beside, _EVER_IN),
        )

    def before(self, starts: Floats, ends: Floats) -> tuple[NDArray[np.intp], NDArray[np.intp]]:
        """Numbers of edges and of cells that may stand before them: they meet on paper, and are not all behind."""
        found = np.minimum(_dots(starts, EYE), _dots(ends, EYE))[:, None] < self.near
        for way, low, high in ((_RIGHT, self.left, self.right), (_UP, self.low, self.high)):
            here, there = _dots(starts, way), _dots(ends, way)
            found &= (np.minimum(here, there)[:, None] <= high) & (np.maximum(here, there)[:, None] >= low)
        edge, cell = np.nonzero(found)
        return edge, cell

    def shadows(self, cell: NDArray[np.intp], start: Floats, way: Floats) -> tuple[Floats, Floats]:
        """From which share of each way to which a ray to the eye runs through the cell; low is no less: nowhere.

        At a share t the ray is in the wood from the last plane that it enters by to the first that it leaves by,
        both linear in t: so every pair of them bounds t. Of most wood the planes that face the eye are enough: the
        edge lies before one of them. With the others only the rest is compared.
        """
        whole = _Shares(len(cell))
        left = [_met(planes[cell], start, way) for planes in self.leaves]
        for leave, slope in left:
            whole.bound(leave - GRAZED, slope)
        rest = np.nonzero(whole.low < whole.high)[0]
        shares = whole.some(rest)
        cell, start, way = cell[rest], start[rest], way[rest]
        left = [(leave[rest], slope[rest]) for leave, slope in left]
        for planes in self.beside:
            off, fall = _offs(planes[cell], start, way)
            shares.bound(-off, -fall)
        for planes in self.enters:
            enter, rise = _met(planes[cell], start, way)
            for leave, slope in left:
                # leave + slope·t - enter - rise·t must be more than a graze
                shares.bound(leave - enter - GRAZED, slope - rise)
        whole.low[rest], whole.high[rest] = shares.low, shares.high
        return whole.low, whole.high


class _Shares:
    """Intervals of shares of ways, all of each at first."""

    def __init__(self, count: int) -> None:
        self.low, self.high = np.zeros(count), np.ones(count)

    def some(self, which: NDArray[np.intp]) -> _Shares:
        """These of them, by themselves."""
        taken = _Shares(0)
        taken.low, taken.high = self.low[which], self.high[which]
        return taken

    def bound(self, room: Floats, rise: Floats) -> None:
        """Leave of each what has ``room + rise·t`` not less than nothing."""
        up, down = rise > 1e-12, rise < -1e-12
        with np.errstate(divide="ignore", invalid="ignore", over="ignore"):
            share = -room / rise
        np.maximum(self.low, share, out=self.low, where=up)
        np.minimum(self.high, share, out=self.high, where=down)
        self.high[(room < 0) & ~up & ~down] = -1.0


_Plane = tuple[float, float, float, float, float]
_EVER_IN: _Plane = (0.0, 0.0, 0.0, 0.0, -1.0)
_NEVER_LEFT: _Plane = (0.0, 0.0, 0.0, 1e9, 1.0)


def _filled(rows: Sequence[Sequence[_Plane]], blank: _Plane) -> Floats:
    most = max(map(len, rows), default=0)
    filled = np.array([[*row, *[blank] * (most - len(row))] for row in rows], dtype=float)
    return filled.reshape(len(rows), most, 5).swapaxes(0, 1)


def _array(points: Sequence[Vector]) -> Floats:
    return np.array(points, dtype=float).reshape(-1, 3)


def _dots(points: Floats, way: Vector) -> Floats:
    found: Floats = points[:, 0] * way[0] + points[:, 1] * way[1] + points[:, 2] * way[2]
    return found


def _offs(planes: Floats, start: Floats, way: Floats) -> tuple[Floats, Floats]:
    """How far outside its plane each way begins, and by how much farther outside it ends."""
    a, b, c, reach, _ = planes.T
    x, y, z = start.T
    u, v, w = way.T
    return a * x + b * y + c * z - reach, a * u + b * v + c * w


def _met(planes: Floats, start: Floats, way: Floats) -> tuple[Floats, Floats]:
    """How far along the ray from each way's start its plane is met, and by how much farther at its end."""
    off, fall = _offs(planes, start, way)
    return -off / planes[:, 4], -fall / planes[:, 4]


def distinct(edges: Iterable[tuple[Role, Edge]]) -> tuple[tuple[Role, Edge], ...]:
    """Edges that two bodies share, once, in the role that comes first."""
    every = list(edges)
    # whole micrometres
    ends = np.rint(_array([end for _, edge in every for end in edge]) * 1_000).tolist()
    found: dict[tuple[tuple[float, ...], ...], tuple[Role, Edge]] = {}
    for one, other, drawn in zip(ends[::2], ends[1::2], every, strict=True):
        start, end = tuple(one), tuple(other)
        found.setdefault((start, end) if start <= end else (end, start), drawn)
    return tuple(found.values())
