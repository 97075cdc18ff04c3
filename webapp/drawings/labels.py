"""Marks placed near what they name, so that no two of them overlap and as few lines as can be are crossed."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, field
from math import cos, hypot, inf, pi, sin
from typing import NamedTuple

from webapp.drawings.model import LETTER, LINE, Box, Line, Point, Role, Shape, Text, TextRole

Polygonal = Sequence[Point]
ALONG = (0.5, 0.32, 0.68, 0.2, 0.8)
"""Where along a member its mark may stand."""
CROSSING = 8.0
"""What a crossed line costs, in steps down a list of places."""


class Place(NamedTuple):
    """A place for a mark; ``anchor`` is the point that a leader would lead to."""

    at: Point
    anchor: Point
    leader: bool = False


@dataclass
class Sheet:
    """What is on the drawing already: lines that marks should keep off, words that they must keep off."""

    em: float
    lines: Sequence[tuple[Point, Point]]
    texts: list[Text] = field(default_factory=list)
    leaders: list[Shape] = field(default_factory=list)
    _boxes: list[Box] = field(default_factory=list)

    def __post_init__(self) -> None:
        # most lines are nowhere near a given word: their bounds tell at the price of four comparisons
        self._bounds = [
            (min(x0, x1), max(x0, x1), min(y0, y1), max(y0, y1), line)
            for line in self.lines
            for (x0, y0), (x1, y1) in (line,)
        ]

    def write(self, texts: Iterable[Text]) -> None:
        """Put words on the sheet where they are."""
        for text in texts:
            self.texts.append(text)
            self._boxes.append(text.box)

    def place(self, role: TextRole, words: str, places: Iterable[Place], others: Sequence[Polygonal] = ()) -> bool:
        """Put words at the best of ``places``, the earlier the better; False where all are taken.

        To stand inside one of ``others`` costs as much as to cross a line.
        """
        best: tuple[float, Place] | None = None
        half = _half_size(words, self.em)
        for rank, place in enumerate(places):
            if best is not None and best[0] <= rank:
                break
            if self._taken(place.at, half):
                continue
            # one that is worse than the best so far need not be counted out
            most = inf if best is None else (best[0] - rank) / CROSSING
            cost = rank + CROSSING * self._strikes(place.at, half, most)
            if best is None or cost < best[0]:
                cost += CROSSING * sum(holds(outline, place.at) for outline in others)
            if best is None or cost < best[0]:
                best = (cost, place)
        if best is None:
            return False
        _, place = best
        self.write([Text(role, place.at, words, self.em)])
        if place.leader:
            self.leaders.append(Line(Role.DIMENSION, place.anchor, place.at))
        return True

    def _taken(self, at: Point, half: Point) -> bool:
        """True where words of this half size, with a little air, would overlap others."""
        air = 0.1 * self.em
        left, right = at[0] - half[0] - air, at[0] + half[0] + air
        low, high = at[1] - half[1] - air, at[1] + half[1] + air
        for box in self._boxes:
            if left < box.right and box.left < right and low < box.high and box.low < high:
                return True
        return False

    def _strikes(self, at: Point, half: Point, most: float) -> int:
        """How many lines pass through words of this half size, counted no further than to ``most``."""
        x, y = at
        left, right, low, high = x - half[0], x + half[0], y - half[1], y + half[1]
        strikes = 0
        for line_left, line_right, line_low, line_high, line in self._bounds:
            if line_right <= left or line_left >= right or line_high <= low or line_low >= high:
                continue
            strikes += crosses(line, left, right, low, high)
            if strikes >= most:
                break
        return strikes


def crosses(line: tuple[Point, Point], left: float, right: float, low: float, high: float) -> bool:
    """True where the segment, whose bounds meet those of the box, passes through it."""
    (x0, y0), (x1, y1) = line
    along, up = x1 - x0, y1 - y0
    side = along * (low - y0) > up * (left - x0)
    return (
        (along * (low - y0) > up * (right - x0)) != side
        or (along * (high - y0) > up * (right - x0)) != side
        or (along * (high - y0) > up * (left - x0)) != side
    )


def holds(points: Sequence[Point], at: Point) -> bool:
    """True where a polygon holds the point."""
    x, y = at
    inside = False
    before = points[-1]
    for after in points:
        if (before[1] <= y) != (after[1] <= y) and x < before[0] + (y - before[1]) / (after[1] - before[1]) * (
            after[0] - before[0]
        ):
            inside = not inside
        before = after
    return inside


def beside_line(start: Point, end: Point, words: str, em: float) -> Iterator[Place]:
    """Places for a joint's mark: beyond the line's inner end, beside it, then farther off with a leader."""
    half = _half_size(words, em)
    direction = _unit(start, end)
    normal = (-direction[1], direction[0])
    middle = _between(start, end, 0.5)
    reach = {vector: _reach(half, vector) + 0.2 * em for vector in (direction, normal)}
    for fraction in (0.5, 0.25, 0.75):
        on_line = _between(start, end, fraction)
        for side in (1, -1):
            yield Place(_moved(on_line, normal, side * reach[normal]), on_line)
    yield Place(_moved(end, direction, reach[direction]), end)
    yield Place(_moved(start, direction, -reach[direction]), start)
    for tip, away in ((end, 1), (start, -1)):
        for side in (1, -1):
            corner = _moved(tip, direction, away * reach[direction])
            yield Place(_moved(corner, normal, side * reach[normal]), tip)
    for distance in (2.0, 3.0, 4.5, 6.0):
        for along in (0.0, 1.0, -1.0, 2.0, -2.0):
            for side in (1, -1):
                point = _moved(middle, normal, side * distance * em)
                yield Place(_moved(point, direction, along * 1.4 * em), middle, leader=True)


def in_outline(points: Sequence[Point], words: str, em: float) -> Iterator[Place]:
    """Places for a member's mark: inside it, else beside it, then farther off with a leader."""
    longest = max(zip(points, (*points[1:], points[0]), strict=True), key=lambda edge: _length(*edge))
    direction = _unit(*longest)
    normal = (-direction[1], direction[0])
    along = [x * direction[0] + y * direction[1] for x, y in points]
    across = [x * normal[0] + y * normal[1] for x, y in points]
    half = _half_size(words, em)
    middle = (min(across) + max(across)) / 2
    clear = (max(across) - min(across)) / 2 + _reach(half, normal) + 0.15 * em
    spots = [(min(along) + fraction * (max(along) - min(along)), middle) for fraction in ALONG]

    def point(at: float, off: float) -> Point:
        return (at * direction[0] + off * normal[0], at * direction[1] + off * normal[1])

    for at, off in spots:
        yield Place(point(at, off), point(at, off))
    for at, off in spots:
        for side in (1, -1):
            yield Place(point(at, off + side * clear), point(at, off))
    for distance in (2.0, 3.0, 4.5, 6.0):
        for at, off in spots:
            for side in (1, -1):
                yield Place(point(at, off + side * (clear + distance * em)), point(at, off), leader=True)


def round_about(spots: Sequence[Point], words: str, em: float, distances: Sequence[float]) -> Iterator[Place]:
    """Places all round some spots, ever farther off (in em), with a leader."""
    half = _half_size(words, em)[0]
    for distance in distances:
        for spot in spots:
            for turn in range(12):
                x, y = cos(turn * pi / 6), sin(turn * pi / 6)
                away = distance * em + half * abs(x)
                yield Place((spot[0] + x * away, spot[1] + y * away), spot, leader=True)


def _half_size(words: str, em: float) -> Point:
    return (LETTER * em * len(words) / 2, LINE * em / 2)


def _reach(half: Point, vector: Point) -> float:
    """How far along ``vector`` the middle of a box must go to be off a point."""
    return abs(vector[0]) * half[0] + abs(vector[1]) * half[1]


def _between(start: Point, end: Point, fraction: float) -> Point:
    return (start[0] + fraction * (end[0] - start[0]), start[1] + fraction * (end[1] - start[1]))


def _moved(point: Point, vector: Point, by: float) -> Point:
    return (point[0] + vector[0] * by, point[1] + vector[1] * by)


def _length(start: Point, end: Point) -> float:
    return hypot(end[0] - start[0], end[1] - start[1])


def _unit(start: Point, end: Point) -> Point:
    length = _length(start, end) or 1.0
    return ((end[0] - start[0]) / length, (end[1] - start[1]) / length)
