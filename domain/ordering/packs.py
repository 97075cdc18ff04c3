"""The cheapest packs for everything that is short, exactly: least cost, then fewest packs, then least left over.

Cost is the packs' prices and the shipping of every supplier bought from. A supplier bought from must
reach its minimum order; shipping does not count towards it. Where it is cheapest, more is bought than is
short to reach it, of any pack that the supplier offers in the request, whether or not its item is short:
what nobody wants is best left out of the request.

How, and why it is exact. Were there no shipping and no minimum orders, every item would stand alone, and
the cheapest cover of each would be the answer (``covering``). So we branch over the suppliers that have
one or the other: bought from, or not. At each branch the covers from those still allowed, with shipping of
those decided on, weigh no more than any order of that branch. Where the covers use none that is undecided
and reach every minimum decided on, they are the best order of the branch. The branch with the lowest bound
always comes first, and the search ends when that is no lower than the best order known. Everything is
counted in whole numbers. Where the lowest branch's covers do not reach its minimums, or there are more
branches or covers to try than are quickly tried, the whole order is put to a solver (``programme``).
"""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass
from heapq import heappop, heappush
from itertools import count

from domain.ordering.covering import Cover, Numbers, cheapest_cover
from domain.ordering.market import COST, Market
from domain.ordering.order import Doubt, Order, OrderedItem, OrderLine
from domain.ordering.programme import best_order
from domain.ordering.request import OrderRequest

MOST_COVERS = 6_000
"""Covers put together into branches, before the whole is left to the solver: a fraction of a second."""


def plan_order(request: OrderRequest) -> Order:
    """The cheapest order for a request. What cannot be bought is named and stops nothing else.

    The same request gives the same order, whatever order its lists come in. One of which something could
    not be proven within the work allowed says so: ``Order.doubt``.
    """
    market = Market(request)
    search = _Search(market)
    if search.settles():
        return _order(request, market, search.numbers, None)
    return _order(request, market, *best_order(market, search.numbers))


@dataclass(frozen=True, slots=True)
class _Branch:
    """Suppliers allowed, those of them that are certainly bought from, and those to decide on."""

    allowed: frozenset[int]
    chosen: tuple[int, ...]
    undecided: tuple[int, ...]


class _Search:
    """Branch and bound over suppliers: bought from or not; the lowest bound first. ``numbers``: the best known."""

    def __init__(self, market: Market) -> None:
        self._market = market
        self._weight: int | None = None
        self.numbers: Numbers = ()
        self._proven = True
        self._covers: dict[tuple[int, frozenset[int]], Cover | None] = {}
        self._sellers = [
            frozenset(market.supplier_of[choice.index] for choice in demand.choices) for demand in market.demands
        ]
        self._waiting: list[tuple[int, int, _Branch]] = []
        self._seen = count()
        self._asked = 0  # work done so far: only a bound, no order hangs on it

    def settles(self) -> bool:
        """True where covers alone are found to be the lightest order."""
        terms = self._market.suppliers
        undecided = [
            each for each in sorted(self._market.open) if terms[each].shipping or terms[each].minimum_order
        ]
        self._look_at(self._market.open, (), tuple(undecided))
        while self._waiting and self._proven and self._asked < MOST_COVERS:
            bound, _, branch = heappop(self._waiting)
            if not self._lighter(bound):
                return True
            if not branch.undecided:
                return False
            self._decide(branch)
        return self._proven and not self._waiting

    def _look_at(self, allowed: frozenset[int], chosen: tuple[int, ...], undecided: tuple[int, ...]) -> None:
        """Settle a branch at once where its covers are an order, else keep it waiting with its bound."""
        market = self._market
        found = [self._cover(number, allowed) for number in range(len(market.demands))]
        covers = [cover for cover in found if cover is not None]
        self._proven &= all(cover.proven for cover in covers)
        bound = market.shipping(chosen) * COST + sum(cover.weight for cover in covers)
        if len(covers) < len(found) or not self._lighter(bound):
            return
        numbers = tuple(each for cover in covers for each in cover.numbers)
        self._keep(market.filled(numbers))
        goods = market.goods(numbers)
        used = [supplier for supplier in undecided if supplier in goods]
        if used or any(goods[supplier] < market.suppliers[supplier].minimum_order for supplier in chosen):
            undecided = tuple(
                sorted(undecided, key=lambda each: (each not in used, -market.suppliers[each].shipping))
            )
            heappush(self._waiting, (bound, next(self._seen), _Branch(allowed, chosen, undecided)))

    def _decide(self, branch: _Branch) -> None:
        """Buy from the first undecided supplier, or not."""
        supplier, *rest = branch.undecided
        self._look_at(branch.allowed, (*branch.chosen, supplier), tuple(rest))
        self._look_at(branch.allowed - {supplier}, branch.chosen, tuple(rest))

    def _keep(self, numbers: Numbers) -> None:
        """Take an order as the best known, if it is. Its weight is taken from its packs anew."""
        weight = self._market.weigh(numbers)
        if weight is not None and self._lighter(weight):
            self._weight, self.numbers = weight, numbers

    def _lighter(self, weight: int) -> bool:
        return self._weight is None or weight < self._weight

    def _cover(self, number: int, allowed: frozenset[int]) -> Cover | None:
        self._asked += 1
        key = number, self._sellers[number] & allowed
        if key not in self._covers:
            demand = self._market.demands[number]
            choices = [each for each in demand.choices if self._market.supplier_of[each.index] in allowed]
            self._covers[key] = cheapest_cover(choices, demand.amount)
        return self._covers[key]


def _order(request: OrderRequest, market: Market, numbers: Numbers, doubt: Doubt | None) -> Order:
    packs: Counter[int] = Counter()
    for index, number in numbers:
        packs[index] += number
    shipping = market.shipping({market.supplier_of[index] for index in packs})
    bought: Counter[str] = Counter()
    lines = []
    for index, number in sorted(packs.items()):
        pack = market.packs[index]
        bought[pack.item] += number * pack.size
        lines.append(OrderLine(pack, number))
    shorts = request.shorts()
    items = tuple(OrderedItem(item, shorts.get(item, 0), bought[item]) for item in sorted({*shorts, *bought}))
    return Order(
        sum(line.line_price for line in lines) + shipping, shipping, tuple(lines), items, market.unmet, doubt
    )
