"""Keys as near to even spacing as their intervals and spacings let them: exact, for any number of keys.

For one interval a key this is a chain of squared distances, solved key by key: the least cost of the
keys so far is a convex function of where the last one sits, kept by its slope, a rising line of straight
pieces. Where a key has several intervals, every way to choose among them is settled and the best taken.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import pairwise

from domain.intervals import Interval, Intervals, intersection, widened

Slope = list[tuple[float, float]]
"""(x, slope there), both rising; a jump repeats its x."""


def evenest(
    rooms: Sequence[Intervals], wishes: Sequence[float], least: float, most: float
) -> tuple[float, ...] | None:
    """Centres in their ``rooms``, neighbours ``least`` to ``most`` apart, with the least squared distance.

    The distance is that to ``wishes``. None where the spacings cannot be kept.
    """
    follow = list(rooms)
    for index in range(len(rooms) - 2, -1, -1):
        follow[index] = intersection(rooms[index], widened(follow[index + 1], -most, -least))
    settled = (_settled(chain, wishes, least, most) for chain in _chains(follow, least, most))
    return min(settled, key=lambda centres: _distance(centres, wishes), default=None)


def _distance(centres: Sequence[float], wishes: Sequence[float]) -> float:
    return sum((centre - wish) ** 2 for centre, wish in zip(centres, wishes, strict=True))


def _chains(
    rooms: Sequence[Intervals], least: float, most: float, before: tuple[Interval, ...] = ()
) -> Iterator[tuple[Interval, ...]]:
    """Every way to give each key one interval, cut down to what the keys before it leave."""
    if len(before) == len(rooms):
        yield before
        return
    here = rooms[len(before)]
    if before:
        here = intersection(here, widened(before[-1:], least, most))
    for room in here:
        yield from _chains(rooms, least, most, (*before, room))


def _settled(chain: Sequence[Interval], wishes: Sequence[float], least: float, most: float) -> tuple[float, ...]:
    """The best centres in a chain of intervals, each of which the one before can reach."""
    bests: list[float] = []
    slope: Slope = []
    for (low, high), wish in zip(chain, wishes, strict=True):
        followed = _followed(slope, bests[-1], least, most) if bests else [(low, 0.0), (high, 0.0)]
        slope = [(x, value + x - wish) for x, value in _between(followed, low, high)]
        bests.append(_lowest(slope))
    centres = [bests[-1]]
    for (low, high), best in zip(chain[-2::-1], bests[-2::-1], strict=True):
        nearest = min(max(best, centres[-1] - most), centres[-1] - least)
        centres.append(min(max(nearest, low), high))
    return tuple(reversed(centres))


def _followed(slope: Slope, best: float, least: float, most: float) -> Slope:
    """The slope seen by the next key: level while the key before can stay at its best."""
    below = [(x + least, value) for x, value in slope if value < 0]
    above = [(x + most, value) for x, value in slope if value > 0]
    return [*below, (best + least, 0.0), (best + most, 0.0), *above]


def _between(slope: Slope, low: float, high: float) -> Slope:
    inside = [(x, value) for x, value in slope if low <= x <= high]
    return [(low, _at(slope, low)), *inside, (high, _at(slope, high))]


def _at(slope: Slope, place: float) -> float:
    for (x0, before), (x1, after) in pairwise(slope):
        if x0 <= place <= x1 and x1 > x0:
            return before + (after - before) * (place - x0) / (x1 - x0)
    return slope[0][1] if place <= slope[0][0] else slope[-1][1]


def _lowest(slope: Slope) -> float:
    """Where the slope rises through nought, or the end nearest to that."""
    for (x0, before), (x1, after) in pairwise(slope):
        if before >= 0:
            return x0
        if after >= 0:
            return x0 - before * (x1 - x0) / (after - before)
    return slope[-1][0]
