"""Good paths through many points: several beginnings, each improved until no move helps.

Moves: a stretch is turned around (2-opt), or a run of up to three points is put elsewhere, either way
round (or-opt). Nothing is left to chance, so the same points give the same path.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import pairwise

Costs = Sequence[Sequence[int]]

STEPS = 600_000
"""About how many moves may be weighed over all beginnings: a second or two at the most."""
LONGEST_RUN = 3
SETTLING = 8
"""About how many sweeps of n² moves it takes until a beginning has settled."""


def improved(costs: Costs, start: Sequence[int], enough: int) -> Sequence[int]:
    """The best path found from ``start`` and from the nearest neighbours of every point.

    One that costs no more than ``enough`` ends the search.
    """
    best, least, count = start, path_cost(costs, start), len(costs)
    for tried, path in enumerate(_beginnings(costs, start)):
        if least <= enough or tried * SETTLING * count * count > STEPS:
            break
        path = _settled(costs, path)
        cost = path_cost(costs, path)
        if cost < least:
            best, least = path, cost
    return best


def _beginnings(costs: Costs, start: Sequence[int]) -> Iterator[list[int]]:
    yield list(start)
    for first in range(len(costs)):
        path, waiting = [first], [point for point in range(len(costs)) if point != first]
        while waiting:
            row = costs[path[-1]]
            nearest = min(waiting, key=row.__getitem__)
            path.append(nearest)
            waiting.remove(nearest)
        yield path


def path_cost(costs: Costs, path: Sequence[int]) -> int:
    """The sum of ``costs`` between neighbours."""
    return sum(costs[a][b] for a, b in pairwise(path))


def _settled(costs: Costs, path: list[int]) -> list[int]:
    """The path after sweep upon sweep of moves, until none helps or it has had its share of steps."""
    sweeps = max(1, STEPS // (len(path) * len(path)))
    for _ in range(sweeps):
        turned, moved = _turn_stretches(costs, path), _move_runs(costs, path)
        if not (turned or moved):
            break
    return path


def _turn_stretches(costs: Costs, path: list[int]) -> bool:
    """Turn around, from every place on, the stretch that gains most; True where any gained."""
    last, any_gained = len(path) - 1, False
    for low in range(last):
        first = path[low]
        here = costs[first]
        before = costs[path[low - 1]] if low else None
        joined = before[first] if before is not None else 0
        most, where = 0, low
        for high in range(low + 1, last + 1):
            end = path[high]
            gain = joined - before[end] if before is not None else 0
            if high < last:
                following = path[high + 1]
                gain += costs[end][following] - here[following]
            if gain > most:
                most, where = gain, high
        if most:
            path[low : where + 1] = path[low : where + 1][::-1]
            any_gained = True
    return any_gained


def _move_runs(costs: Costs, path: list[int]) -> bool:
    """Put every short run where it gains most, either way round; True where any gained."""
    any_gained = False
    for length in range(1, min(LONGEST_RUN, len(path) - 1) + 1):
        for low in range(len(path) - length + 1):
            run, rest = path[low : low + length], path[:low] + path[low + length :]
            least, best = _joins(costs, rest, low, run) - _gap(costs, rest, low), None
            for place in range(len(rest) + 1):
                gap = _gap(costs, rest, place)
                for way in (run, run[::-1]) if length > 1 else (run,):
                    cost = _joins(costs, rest, place, way) - gap
                    if cost < least:
                        least, best = cost, (place, way)
            if best is not None:
                place, way = best
                path[:] = rest[:place] + way + rest[place:]
                any_gained = True
    return any_gained


def _joins(costs: Costs, rest: Sequence[int], place: int, run: Sequence[int]) -> int:
    """What the run's two ends cost where it stands before ``rest[place]``."""
    cost = costs[rest[place - 1]][run[0]] if place else 0
    return cost + (costs[run[-1]][rest[place]] if place < len(rest) else 0)


def _gap(costs: Costs, rest: Sequence[int], place: int) -> int:
    """What the two neighbours cost without a run between them."""
    return costs[rest[place - 1]][rest[place]] if 0 < place < len(rest) else 0
