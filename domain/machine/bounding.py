"""What no order of set-ups can undercut: 1-trees, raised by penalties (Held and Karp, 1970).

A path is a spanning tree, so it costs no less than the least one. Charging every point a penalty for
each line that ends in it moves all paths by the same sum and trees by different ones: where the least tree
is no path, points with many lines are made dearer and ends cheaper, and the bound rises. Penalties are
whole numbers of a fine fraction of a unit, so every bound is a proof and not a rounding.
"""

from __future__ import annotations

from collections.abc import Sequence

Costs = Sequence[Sequence[int]]

FINE = 1_000
"""Penalties are thousandths of the unit of cost."""
STEPS = 2_000_000
"""About how many distances may be looked at while the bound is raised: a second at the most."""


def least_possible(costs: Costs, known: int) -> int:
    """A proven least cost of a path through all points, at most ``known``, the cost of one that was found.

    ``costs`` is symmetric and whole; so is a path's cost, hence the bound is rounded up to a whole unit.
    """
    count = len(costs)
    if count < 2:
        return 0
    fine = [[FINE * cost for cost in row] for row in costs]
    penalties = [0] * count
    target, best, pace, idle = FINE * known, 0, 2.0, 0
    for _ in range(max(1, min(400, STEPS // (count * count)))):
        value, degrees = _one_tree(fine, penalties)
        if value > best:
            best, idle = value, 0
        else:
            idle += 1
        if -(-best // FINE) >= known:
            return known
        if idle == 8:
            pace, idle = pace / 2, 0
        away = sum((degree - 2) ** 2 for degree in degrees)
        if not away:
            break
        step = pace * (target - value) / away
        penalties = [
            penalty + round(step * (degree - 2)) for penalty, degree in zip(penalties, degrees, strict=True)
        ]
    return min(known, -(-best // FINE))


def _one_tree(costs: Costs, penalties: Sequence[int]) -> tuple[int, list[int]]:
    """The least tree and the two lines from a point outside to its ends: its value and every point's lines.

    The point outside is as far from all points, so a path closed through it costs what the path costs.
    """
    count = len(costs)
    degrees = [0] * count
    total = -2 * sum(penalties)
    for end in sorted(range(count), key=lambda point: penalties[point])[:2]:
        total += penalties[end]
        degrees[end] += 1
    nearest = [0] * count
    distance = [cost + penalties[0] + penalty for cost, penalty in zip(costs[0], penalties, strict=True)]
    waiting = list(range(1, count))
    while waiting:
        point = min(waiting, key=distance.__getitem__)
        waiting.remove(point)
        total += distance[point]
        degrees[point] += 1
        degrees[nearest[point]] += 1
        row, own = costs[point], penalties[point]
        for other in waiting:
            through = row[other] + own + penalties[other]
            if through < distance[other]:
                distance[other], nearest[other] = through, point
    return total, degrees
