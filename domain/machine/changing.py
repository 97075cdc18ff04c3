"""In which order to set the machine up, so that changing takes the least time.

A set-up is six values; each one that differs from the set-up before costs its minutes, and the first
set-up pays all six. The search for the best order is the shortest path through all set-ups, with
distances that count differing values (Hamming distances, weighted). Up to ``EXACT`` set-ups it is solved
by dynamic programming over subsets (Held and Karp, 1962) where nothing simpler proves an order best; beyond,
good orders are improved until no move helps, and a lower bound is proven by 1-trees (Held and Karp, 1970).
All sums are whole numbers of one common fraction of a minute, so equal costs are equal.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from decimal import Decimal
from enum import StrEnum
from fractions import Fraction
from functools import cached_property
from itertools import pairwise
from math import gcd, lcm

from domain.machine.bounding import least_possible
from domain.machine.improving import improved, path_cost
from domain.machine.subsets import best_path
from domain.planning.set_up import SetUp
from domain.spec.rules import ChangeMinutes

EXACT = 14
"""Up to so many set-ups, the best order is certain."""
MOST_SEARCHED = 400
"""Beyond so many set-ups they are only sorted, the dearest value first: looking at all pairs takes too long."""
Columns = Sequence[Sequence[int]]
"""Every set-up's six values, as numbers."""


class Change(StrEnum):
    """One of the six values that a machine is set to."""

    CUTTER = "cutter"
    PROJECTION = "projection"
    FENCE = "fence"
    FENCE_READING = "fence_reading"
    DEPTH_STOP = "depth_stop"
    CLAMP_HEIGHT = "clamp_height"


def value_of(set_up: SetUp, which: Change) -> object:
    """One of a set-up's six values: the cutter is its section, kind and tip, the fence its kind and angle."""
    match which:
        case Change.CUTTER:
            return (set_up.section, set_up.cutter, set_up.tip_diameter)
        case Change.FENCE:
            return (set_up.mitred, set_up.angle)
        case _:
            return getattr(set_up, which.value)


def changes(before: SetUp | None, after: SetUp) -> tuple[Change, ...]:
    """Which of the six values differ from the set-up before; all of them where there is none."""
    if before is None:
        return tuple(Change)
    return tuple(which for which in Change if value_of(before, which) != value_of(after, which))


@dataclass(frozen=True)
class Prices:
    """The minutes of every change as whole numbers of ``unit`` minutes."""

    change_minutes: ChangeMinutes

    @cached_property
    def exact(self) -> dict[Change, Fraction]:
        """The minutes as the decimal numbers that were typed."""
        return {which: Fraction(Decimal(repr(getattr(self.change_minutes, which.value)))) for which in Change}

    @cached_property
    def unit(self) -> Fraction:
        """The largest fraction of a minute of which every price is a whole multiple; 1 where all are 0."""
        below = lcm(*(price.denominator for price in self.exact.values()))
        return Fraction(gcd(*(int(price * below) for price in self.exact.values())) or 1, below)

    @cached_property
    def whole(self) -> dict[Change, int]:
        """The prices in units."""
        return {which: int(price / self.unit) for which, price in self.exact.items()}

    def of(self, changed: Iterable[Change]) -> int:
        """What these changes cost together, in units."""
        return sum(self.whole[which] for which in changed)

    def minutes(self, units: int) -> float:
        """Units as minutes."""
        return float(units * self.unit)


@dataclass(frozen=True, slots=True)
class Ordered:
    """Set-ups in the order found, its minutes, and the minutes that no order can undercut."""

    order: tuple[SetUp, ...]
    minutes: float
    bound: float

    @property
    def proven(self) -> bool:
        """True where no order takes less."""
        return self.minutes == self.bound


def best_order(set_ups: Iterable[SetUp], change_minutes: ChangeMinutes) -> Ordered:
    """Different set-ups in an order of least changing time; the first pays all six values.

    Certain up to ``EXACT`` set-ups. Beyond, ``bound`` says what is proven, and where it equals
    ``minutes`` the order is the best there is. The order does not depend on the order given.
    """
    chosen = sorted(set(set_ups), key=by_values)
    prices = Prices(change_minutes)
    if not chosen:
        return Ordered((), 0.0, 0.0)
    columns, weights = _columns(chosen), [prices.whole[which] for which in Change]
    path, taken, bound = _best(columns, weights)
    first = prices.of(Change)
    order = tuple(chosen[place] for place in path)
    return Ordered(order, prices.minutes(first + taken), prices.minutes(first + bound))


def by_values(set_up: SetUp) -> tuple[object, ...]:
    """The dearest changes of a usual shop first: among equals, the order that a person would write."""
    return (
        set_up.section,
        set_up.cutter.value,
        set_up.tip_diameter,
        set_up.projection,
        set_up.mitred,
        set_up.angle,
        set_up.clamp_height,
        set_up.depth_stop,
        set_up.fence_reading,
    )


def _best(columns: Columns, weights: Sequence[int]) -> tuple[Sequence[int], int, int]:
    """Places of a good path, what it costs, and the least that any path costs, in units."""
    path = _nested(columns, weights)
    if len(columns) > MOST_SEARCHED:
        return (
            path,
            sum(_cost(columns[a], columns[b], weights) for a, b in pairwise(path)),
            _fewest(columns, weights),
        )
    costs = [[_cost(one, other, weights) for other in columns] for one in columns]
    cost = path_cost(costs, path)
    bound = least_possible(costs, cost)
    if bound < cost:
        path = improved(costs, path, bound)
        cost = path_cost(costs, path)
        bound = max(bound, least_possible(costs, cost))
    if bound < cost and len(columns) <= EXACT:
        path = best_path(costs)
        cost = bound = path_cost(costs, path)
    return path, cost, bound


def _cost(one: Sequence[int], other: Sequence[int], weights: Sequence[int]) -> int:
    return sum(weight for weight, a, b in zip(weights, one, other, strict=True) if a != b)


def _fewest(columns: Columns, weights: Sequence[int]) -> int:
    """Every value that occurs is set at least once: what that costs after the first set-up."""
    return sum(
        weight * (len(set(values)) - 1) for weight, values in zip(weights, zip(*columns, strict=True), strict=True)
    )


def _columns(chosen: Sequence[SetUp]) -> Columns:
    """Every set-up's values as numbers: the how-manieth different value of its kind it is."""
    seen: dict[Change, dict[object, int]] = {which: {} for which in Change}
    return [
        tuple(seen[which].setdefault(value_of(one, which), len(seen[which])) for which in Change) for one in chosen
    ]


def _nested(columns: Columns, weights: Sequence[int]) -> Sequence[int]:
    """Sorted by the dearest value, within it by the next: nothing dear is changed more often than it must."""
    dearest = sorted(range(len(weights)), key=lambda which: -weights[which])
    return sorted(range(len(columns)), key=lambda place: [columns[place][which] for which in dearest])
