"""A detail drawn so many times as large as the drawing that it belongs to, in a square of its own."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from webapp.drawings.clipping import Segment, clipped
from webapp.drawings.model import Point

FACTORS = (2, 5, 10, 20, 50, 100, 200, 500, 1000)


def factor_for(amount: float, wanted: float) -> int | None:
    """The round factor that draws ``amount`` nearest to ``wanted``; None where it is as large without.

    >>> factor_for(0.05, 1.1), factor_for(3.0, 1.1)
    (20, None)
    """
    if amount * FACTORS[0] ** 0.5 > wanted:
        return None
    return min(FACTORS, key=lambda factor: max(factor * amount / wanted, wanted / (factor * amount)))


@dataclass(frozen=True, slots=True)
class Lens:
    """What lies round ``focus``, ``factor`` times as large, in a square of half side ``half`` round ``centre``."""

    factor: int
    focus: Point
    centre: Point
    half: float

    @property
    def seen(self) -> float:
        """Half the side of what it shows, as large as that is."""
        return self.half / self.factor

    @property
    def frame(self) -> tuple[Point, ...]:
        """The square's corners."""
        return _square(self.centre, self.half)

    def at(self, point: Point) -> Point:
        """Where a point is drawn."""
        return (
            self.centre[0] + self.factor * (point[0] - self.focus[0]),
            self.centre[1] + self.factor * (point[1] - self.focus[1]),
        )

    def line(self, line: Segment) -> Segment | None:
        """What shows of a line, as it is drawn."""
        shown = clipped(line, _square(self.focus, self.seen))
        return None if shown is None else (self.at(shown[0]), self.at(shown[1]))

    def area(self, points: Sequence[Point]) -> tuple[Point, ...]:
        """What shows of a polygon, as it is drawn: in one piece, or nothing."""
        shown = tuple(self.at(point) for point in points)
        for axis in (0, 1):
            for way in (1, -1):
                shown = _cut(shown, axis, way, way * self.centre[axis] + self.half)
        return shown


def _square(centre: Point, half: float) -> tuple[Point, ...]:
    (x, y) = centre
    return ((x - half, y - half), (x + half, y - half), (x + half, y + half), (x - half, y + half))


def _cut(points: tuple[Point, ...], axis: int, way: int, most: float) -> tuple[Point, ...]:
    """The polygon where ``way`` times the coordinate is ``most`` or less."""
    kept: list[Point] = []
    for before, after in zip(points[-1:] + points[:-1], points, strict=True):
        over = [way * point[axis] - most for point in (before, after)]
        if over[0] * over[1] < 0:
            share = over[0] / (over[0] - over[1])
            kept.append((before[0] + share * (after[0] - before[0]), before[1] + share * (after[1] - before[1])))
        if over[1] <= 0:
            kept.append(after)
    return tuple(kept)
