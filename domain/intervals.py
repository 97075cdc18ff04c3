"""Unions of closed intervals on a line: tuples of (low, high) in rising order, not touching."""

from __future__ import annotations

from collections.abc import Iterable

Interval = tuple[float, float]
Intervals = tuple[Interval, ...]

TOUCH = 1e-9
"""Coordinates come from whole nanometres (1e-6 mm); anything below this is rounding of the arithmetic."""


def union(parts: Iterable[Interval]) -> Intervals:
    """The parts merged where they overlap or touch."""
    merged: list[Interval] = []
    for low, high in sorted(parts):
        if high < low:
            continue
        if merged and low <= merged[-1][1] + TOUCH:
            merged[-1] = (merged[-1][0], max(merged[-1][1], high))
        else:
            merged.append((low, high))
    return tuple(merged)


def intersection(first: Intervals, second: Intervals) -> Intervals:
    """What lies in both; a common end point alone counts."""
    found = []
    for low, high in first:
        for other_low, other_high in second:
            start, end = max(low, other_low), min(high, other_high)
            if start <= end + TOUCH:
                found.append((min(start, end), max(start, end)))
    return union(found)


def gaps(low: float, high: float, blocked: Iterable[Interval]) -> Intervals:
    """What is left of [low, high] between the blocked parts; touching ends stay free."""
    free: list[Interval] = []
    at = low
    for start, end in union(blocked):
        if start > at + TOUCH:
            free.append((at, min(start, high)))
        at = max(at, end)
        if at >= high:
            break
    if at < high - TOUCH:
        free.append((at, high))
    return tuple((a, b) for a, b in free if b > a + TOUCH)


def widened(parts: Intervals, least: float, most: float) -> Intervals:
    """Every point moved by anything between ``least`` and ``most`` (Minkowski sum)."""
    return union((low + least, high + most) for low, high in parts)


def contains(parts: Intervals, point: float, slack: float = TOUCH) -> bool:
    """True where the union holds the point."""
    return any(low - slack <= point <= high + slack for low, high in parts)
