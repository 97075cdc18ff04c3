"""Where along the joint line the keys go: the least reach, exactly, then the evenest spacing.

Reach is the farthest any point of the joint line lies from the nearest key centre:
max(u₁, (uᵢ₊₁ − uᵢ)/2, breadth − uₙ).
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache
from itertools import pairwise

from domain.intervals import TOUCH, Intervals, contains, intersection, widened
from domain.planning.evenness import evenest

CLOSE = 1e-7
"""Two reaches this near (mm) are one reach: a tenth of a nanometre."""


@dataclass(frozen=True, slots=True)
class Layout:
    """Centres in mm along the joint line, rising, and the reach they give."""

    centres: tuple[float, ...]
    reach: float


def reach_of(centres: Sequence[float], breadth: float) -> float:
    """The reach of these centres on a joint line of ``breadth``.

    >>> reach_of([16.0, 46.0], 63.0)
    17.0
    """
    spans = [(after - before) / 2 for before, after in pairwise(centres)]
    return max(centres[0], breadth - centres[-1], *spans)


def most_keys(allowed: Intervals, pitch: float) -> int:
    """How many centres at least ``pitch`` apart the allowed intervals hold."""
    count, at = 0, float("-inf")
    for low, high in allowed:
        first = max(low, at)
        if first > high + TOUCH:
            continue
        here = 1 + int((high - first + TOUCH) / pitch)
        count += here
        at = first + here * pitch
    return count


@lru_cache(maxsize=4096)
def least_reach_layout(allowed: Intervals, breadth: float, count: int, pitch: float) -> Layout | None:
    """The ``count`` centres with the least reach, of those the nearest to even spacing.

    Centres lie in ``allowed`` and at least ``pitch`` apart. None where so many do not fit.
    """
    if most_keys(allowed, pitch) < count:
        return None
    even = [(2 * index + 1) * breadth / (2 * count) for index in range(count)]
    if all(contains(allowed, centre, 0) for centre in even) and (count == 1 or breadth / count >= pitch):
        return Layout(tuple(even), breadth / (2 * count))
    reach = _least_reach(allowed, breadth, count, pitch)
    centres = _evenest(allowed, breadth, count, pitch, reach, even)
    return Layout(centres, reach_of(centres, breadth))


def _last_centres(allowed: Intervals, breadth: float, count: int, pitch: float, reach: float) -> Intervals:
    """The possible last centres when no point may lie farther than ``reach`` from a key."""
    possible = intersection(allowed, ((float("-inf"), reach),))
    for _ in range(count - 1):
        possible = intersection(allowed, widened(possible, pitch, 2 * reach))
    return intersection(possible, ((breadth - reach, float("inf")),))


def _least_reach(allowed: Intervals, breadth: float, count: int, pitch: float) -> float:
    """The least feasible reach, by bisection to the last bit worth having; feasibility is monotone."""
    low = max(breadth / (2 * count), allowed[0][0], breadth - allowed[-1][1], pitch / 2 if count > 1 else 0.0)
    if _last_centres(allowed, breadth, count, pitch, low + CLOSE / 100):
        return low
    high = max(low, breadth)
    while high - low > CLOSE / 100:
        middle = (low + high) / 2
        if _last_centres(allowed, breadth, count, pitch, middle):
            high = middle
        else:
            low = middle
    return high


def _evenest(
    allowed: Intervals, breadth: float, count: int, pitch: float, reach: float, even: Sequence[float]
) -> tuple[float, ...]:
    """Among the layouts of this reach, the one with the least squared distance from even spacing."""
    limit = reach + CLOSE
    rooms = [allowed] * count
    rooms[0] = intersection(rooms[0], ((float("-inf"), limit),))
    rooms[-1] = intersection(rooms[-1], ((breadth - limit, float("inf")),))
    centres = evenest(rooms, even, pitch, 2 * limit)
    assert centres is not None, "the reach was found feasible"
    return centres


def snapped(layout: Layout, allowed: Intervals, breadth: float, pitch: float, step: float, limit: float) -> Layout:
    """The layout moved to multiples of ``step`` where an allowed set of them exists; else as it was.

    Each centre may go to the multiple below or above; the least total movement wins. A layout within
    the reach ``limit`` stays within it.
    """
    if step <= 0:
        return layout
    most = limit if layout.reach <= limit else float("inf")
    # per candidate of the current centre: the cheapest way there
    ways: list[tuple[float, tuple[float, ...]]] = [(0.0, ())]
    for centre in layout.centres:
        below = step * int(centre / step + TOUCH)
        options = [u for u in (below, below + step) if contains(allowed, u)]
        ways = [way for option in options if (way := _cheapest(ways, option, centre, pitch, most)) is not None]
    ways = [way for way in ways if breadth - way[1][-1] <= most + TOUCH]
    if not ways:
        return layout
    # of equal movements the evenest: the piece can be turned end for end against one fence setting
    centres = min(ways, key=lambda way: (round(way[0], 9), abs(way[1][0] + way[1][-1] - breadth), way[1]))[1]
    return Layout(centres, reach_of(centres, breadth))


def _cheapest(
    ways: Sequence[tuple[float, tuple[float, ...]]], option: float, wish: float, pitch: float, most: float
) -> tuple[float, tuple[float, ...]] | None:
    found = [
        (cost + (option - wish) ** 2, (*before, option))
        for cost, before in ways
        if (pitch - TOUCH <= option - before[-1] <= 2 * most + TOUCH if before else option <= most + TOUCH)
    ]
    return min(found, default=None)
