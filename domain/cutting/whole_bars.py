"""How many bars of each stock it takes at least, where bars are whole.

However pieces are valued, the bars that are cut must be worth, each at its dearest filling, as much as all pieces
together. One such row a valuation; the cheapest whole numbers of bars that meet every row are a bound on any plan,
and a better one than the programme over patterns where a stock is limited or prices lie unevenly.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction
from math import ceil

MOST_LOOKED_AT = 20_000


@dataclass(frozen=True, slots=True)
class Row:
    """What a bar of each stock is worth at most, and what all pieces are worth together."""

    worths: tuple[int, ...]
    needed: int


def least_cost_of_bars(costs: Sequence[int], most: Sequence[int | None], rows: Sequence[Row]) -> int:
    """The least cost of whole bars that meet every row; less where that takes too long to find out."""
    search = _Search(costs, most, rows)
    return search.best if search.finished and search.best is not None else search.start


class _Search:
    """Every number of the first stock, then of the second, as far as it may still be cheaper."""

    def __init__(self, costs: Sequence[int], most: Sequence[int | None], rows: Sequence[Row]) -> None:
        self._costs, self._most, self._rows = costs, most, rows
        self._order = sorted(range(len(costs)), key=lambda at: (costs[at], -rows[0].worths[at]))
        self._looked_at = 0
        self.best: int | None = None
        needs = tuple(row.needed for row in rows)
        self.start = self._at_least(0, needs) or 0
        self._go(0, 0, needs)

    @property
    def finished(self) -> bool:
        return self._looked_at <= MOST_LOOKED_AT

    def _go(self, depth: int, cost: int, needs: tuple[int, ...]) -> None:
        self._looked_at += 1
        if all(need <= 0 for need in needs):
            self.best = cost if self.best is None else min(self.best, cost)
            return
        rest = self._at_least(depth, needs)
        if not self.finished or rest is None or (self.best is not None and cost + rest >= self.best):
            return
        at = self._order[depth]
        for number in range(self._enough(at, needs), -1, -1):
            left = tuple(need - number * row.worths[at] for need, row in zip(needs, self._rows, strict=True))
            self._go(depth + 1, cost + number * self._costs[at], left)

    def _enough(self, at: int, needs: tuple[int, ...]) -> int:
        """So many of a stock, beyond which more meet no row better."""
        wanted = [
            -(-need // row.worths[at])
            for need, row in zip(needs, self._rows, strict=True)
            if need > 0 and row.worths[at]
        ]
        most = self._most[at]
        return max(wanted, default=0) if most is None else min(most, max(wanted, default=0))

    def _at_least(self, depth: int, needs: tuple[int, ...]) -> int | None:
        """What the stocks from ``depth`` on cost at least, bars taken in parts; None where they do not suffice."""
        costs = [self._in_parts(depth, row, need) for row, need in zip(self._rows, needs, strict=True)]
        known = [cost for cost in costs if cost is not None]
        return ceil(max(known, default=0)) if len(known) == len(costs) else None

    def _in_parts(self, depth: int, row: Row, need: int) -> Fraction | None:
        cost, left = Fraction(0), Fraction(need)
        stocks = [at for at in self._order[depth:] if row.worths[at]]
        for at in sorted(stocks, key=lambda at: Fraction(self._costs[at], row.worths[at])):
            if left <= 0:
                break
            wanted, most = left / row.worths[at], self._most[at]
            number = wanted if most is None else min(wanted, Fraction(most))
            cost += number * self._costs[at]
            left -= number * row.worths[at]
        return cost if left <= 0 else None
