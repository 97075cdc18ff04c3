"""Hatching as plain lines clipped to a polygon: prints everywhere and needs no pattern ids.

Sections are told apart by their hatching, in the order in which the shop lists them; the seventh
begins again with a wider spacing.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from math import ceil, cos, floor, radians, sin

from webapp.drawings.model import Line, Point, Role


@dataclass(frozen=True, slots=True)
class Hatching:
    """Angles of the lines in degrees, and their distance in em."""

    angles: tuple[float, ...]
    spacing: float


WOOD = Hatching((45.0,), 0.9)
WOOD_FACING = Hatching((-45.0,), 0.9)
PANEL = Hatching((45.0,), 1.1)

_KINDS = ((-45.0,), (45.0,), (-45.0, 45.0), (0.0,), (90.0,), (0.0, 90.0))


def section_hatching(index: int) -> Hatching:
    """The hatching of the ``index``-th section of a list, from 0."""
    return Hatching(_KINDS[index % len(_KINDS)], 0.35 + 0.25 * (index // len(_KINDS)))


def hatch(points: Sequence[Point], hatching: Hatching, em: float, role: Role = Role.HATCH) -> Iterator[Line]:
    """The hatching's lines inside a closed polygon (even-odd)."""
    for angle in hatching.angles:
        yield from _lines(points, radians(angle), hatching.spacing * em, role)


def _lines(points: Sequence[Point], angle: float, spacing: float, role: Role) -> Iterator[Line]:
    along, across = (cos(angle), sin(angle)), (-sin(angle), cos(angle))
    turned = [(x * along[0] + y * along[1], x * across[0] + y * across[1]) for x, y in points]
    heights = [height for _, height in turned]
    # half a spacing off, so that a line never runs along an edge through the origin
    first, last = ceil(min(heights) / spacing - 0.5), floor(max(heights) / spacing - 0.5)
    for step in range(first, last + 1):
        height = (step + 0.5) * spacing
        crossings = sorted(_crossings(turned, height))
        for start, end in zip(crossings[::2], crossings[1::2], strict=True):
            yield Line(
                role,
                (start * along[0] + height * across[0], start * along[1] + height * across[1]),
                (end * along[0] + height * across[0], end * along[1] + height * across[1]),
            )


def _crossings(turned: Sequence[Point], height: float) -> Iterator[float]:
    before = turned[-1]
    for after in turned:
        if (before[1] <= height) != (after[1] <= height):
            yield before[0] + (height - before[1]) / (after[1] - before[1]) * (after[0] - before[0])
        before = after
