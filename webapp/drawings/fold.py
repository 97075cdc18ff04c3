"""A long face drawn short: the stretch without a key is taken out between two break lines."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from itertools import pairwise

from webapp.drawings.model import Line, Point, Role, Shape


@dataclass(frozen=True, slots=True)
class Fold:
    """The stretch of v from ``start`` to ``end`` (mm) is drawn ``gap`` high. start = end: nothing is taken out."""

    start: float
    end: float
    gap: float

    @property
    def taken_out(self) -> float:
        """How much shorter the drawing is, in mm."""
        return self.end - self.start - self.gap

    def height(self, v: float) -> float:
        """Where v is drawn."""
        if v <= self.start:
            return v
        if v >= self.end:
            return v - self.taken_out
        return self.start + (v - self.start) / (self.end - self.start) * self.gap

    def segments(self, start: Point, end: Point) -> Iterator[tuple[Point, Point]]:
        """A segment as drawn, without what is taken out; only upright ones cross the break."""
        (x0, v0), (x1, v1) = start, end
        if v0 == v1 or max(v0, v1) <= self.start or min(v0, v1) >= self.end:
            if not self.start < v0 < self.end:
                yield (x0, self.height(v0)), (x1, self.height(v1))
            return
        low, high = min(v0, v1), max(v0, v1)
        if low < self.start:
            yield (x0, low), (x0, self.start)
        if high > self.end:
            yield (x0, self.height(self.end)), (x0, self.height(high))

    def break_lines(self, left: float, right: float, em: float) -> Iterator[Shape]:
        """Two zigzag lines across, where the stretch was taken out."""
        if self.start == self.end:
            return
        middle, size = (left + right) / 2, 0.5 * em
        for y in (self.start, self.height(self.end)):
            points = [
                (left - 0.5 * em, y),
                (middle - size / 2, y),
                (middle - size / 4, y + size / 2),
                (middle + size / 4, y - size / 2),
                (middle + size / 2, y),
                (right + 0.5 * em, y),
            ]
            for start, end in pairwise(points):
                yield Line(Role.THIN, start, end)


def fold_for(run: float, breadth: float, used_below: float, used_above: float) -> Fold:
    """The fold for a face of this run and breadth whose slots use so much (mm) at either end."""
    clear = max(breadth, 8.0)
    start, end = used_below + clear, run - used_above - clear
    gap = 0.5 * clear
    if end - start < 3 * clear:
        return Fold(run, run, 0.0)
    return Fold(start, end, gap)
