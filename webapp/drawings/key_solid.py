"""A key, or anything else between two pieces, as it is drawn: convex cells and the edges that one sees of them."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import pairwise
from math import cos, pi, sin, sqrt

from domain.parts import Point, Vector
from domain.space.body import Body, dot, moved
from domain.space.solid import Cell, Edge, cells, edges
from webapp.drawings.milled import CHORDS
from webapp.drawings.sight import EYE


@dataclass(frozen=True, slots=True)
class Solid:
    """Cells that fill it, and its edges from where the eye stands."""

    cells: tuple[Cell, ...]
    edges: tuple[Edge, ...]

    @property
    def low(self) -> float:
        """Where it lies lowest, mm from the bottom."""
        return min(y for cell in self.cells for _, y, _ in cell.corners)

    def shifted(self, way: Vector) -> Solid:
        """The same solid farther on."""
        return Solid(
            tuple(
                Cell(
                    tuple((normal, reach + dot(normal, way)) for normal, reach in cell.planes),
                    tuple(moved(corner, way) for corner in cell.corners),
                )
                for cell in self.cells
            ),
            tuple((moved(start, way), moved(end, way)) for start, end in self.edges),
        )


def solid(body: Body) -> Solid:
    """A body as it is."""
    return Solid(cells(body), edges(body))


def rounded(key: Body, waist: float) -> Solid:
    """A key whose leading end is as round as its slot's: both of its halves end in a cone about the cutter's axis.

    ``waist`` is its width at the joint line, mm. One that is shorter than half its width stays square.
    """
    wide = key.thickness
    axis = key.length - wide
    if axis < 1e-6:
        return solid(key)
    low, waisted, high = (
        [key.point(x, into, y) for x, y in _outline(axis, radius)]
        for into, radius in ((-key.width, wide), (0.0, waist / 2), (key.width, wide))
    )
    (one, there), (other, here) = _half(waisted, low), _half(waisted, high)
    return Solid((one, other), (*_rims(waisted, (low, high)), *there, *here))


def _outline(axis: float, radius: float) -> Iterator[Point]:
    """A level of a half: along one side, round the end in chords, back along the other side."""
    yield 0.0, radius
    for step in range(CHORDS + 1):
        turn = pi * step / CHORDS
        yield axis + radius * sin(turn), radius * cos(turn)
    yield 0.0, -radius


def _rims(waist: Sequence[Vector], faces: Sequence[Sequence[Vector]]) -> Iterator[Edge]:
    """Both faces' outlines, the waist but for its foot, the sides of the foot's cross-section."""
    yield from pairwise(waist)
    for face in faces:
        yield from pairwise((*face, face[0]))
        yield face[0], waist[0]
        yield face[-1], waist[-1]


def _half(waist: Sequence[Vector], face: Sequence[Vector]) -> tuple[Cell, list[Edge]]:
    """One half as a convex cell, with the seams between its facets that bound it from where the eye stands."""
    corners = (*waist, *face)
    middle = tuple(sum(axis) / len(corners) for axis in zip(*corners, strict=True))
    inside: Vector = (middle[0], middle[1], middle[2])
    facets = [
        _plane(here, there, other, inside) for here, there, other in zip(waist, waist[1:], face, strict=False)
    ]
    foot = _plane(waist[-1], waist[0], face[-1], inside)
    ends = [_plane(level[0], level[1], level[-1], inside) for level in (waist, face)]
    seams = [
        (waist[index], face[index])
        for index, (one, other) in enumerate(pairwise(facets), 1)
        if (dot(one[0], EYE) > 0) != (dot(other[0], EYE) > 0)
    ]
    return Cell((*ends, foot, *facets), corners), seams


def _plane(one: Vector, two: Vector, three: Vector, inside: Vector) -> tuple[Vector, float]:
    """The plane through three points, its normal away from a point inside."""
    (a, b, c), (d, e, f) = moved(two, one, -1.0), moved(three, one, -1.0)
    normal = (b * f - c * e, c * d - a * f, a * e - b * d)
    long = sqrt(dot(normal, normal))
    if dot(normal, moved(inside, one, -1.0)) > 0:
        long = -long
    unit = (normal[0] / long, normal[1] / long, normal[2] / long)
    return unit, dot(unit, one)
