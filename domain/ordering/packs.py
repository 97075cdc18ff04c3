"""The cheapest packs for everything that is short, exactly: least cost, then fewest packs, then least left over.

Cost is the packs' prices and the shipping of every supplier bought from. A supplier bought from must
reach its minimum order; shipping does not count towards it. Where it is cheapest, more is bought than is
short to reach it, of any pack that the supplier offers in the request, whether or not its item is short:
what nobody wants is best left out of the request.

How, and why it is exact. Were there no shipping and no minimum orders, every item would stand alone, and
the cheapest cover of each would be the answer (``covering``). So we branch over the suppliers that have
one or the other: bought from, or not. At each branch the covers from those still allowed, with shipping of
those decided on, weigh no more than any order of that branch. Where the covers use none that is undecided
and reach every minimum decided on, they are the best order of the branch. Where minimums bind,
``minimums`` bounds the branch, and at its end finds the lightest order under a given weight: a little more
than the bound at first, then more and more. The branch with the lowest bound always comes first, and
the search ends when that is no lower than the best order known. Everything is counted in whole numbers.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from heapq import heappop, heappush
from itertools import count

from domain.ordering.covering import Cover, Numbers, cheapest_cover
from domain.ordering.market import COST, PACK, Demand, Market
from domain.ordering.minimums import Minimums
from domain.ordering.order import Order, OrderedItem, OrderLine
from domain.ordering.request import OrderRequest

_FIRST_WINDOW = 2 * PACK


def plan_order(request: OrderRequest) -> Order:
    """The cheapest order for a request. What cannot be bought is named and stops nothing else.

    The same request gives the same order, whatever order its lists come in.
    """
    market = Market(request)
    return _order(request, market, _Search(market).best())


@dataclass(slots=True)
class _Branch:
    """Suppliers allowed, those of them that are certainly bought from, and those to decide on.

    ``bound`` is what its orders weigh at least. ``window`` is how far beyond it to look next.
    """

    bound: int
    allowed: frozenset[int]
    chosen: tuple[int, ...]
    undecided: tuple[int, ...]
    minimums: Minimums | None
    window: int = _FIRST_WINDOW


class _Search:
    """Branch and bound over suppliers: bought from or not; the lowest bound first."""

    def __init__(self, market: Market) -> None:
        self._market = market
        self._weight: int | None = None
        self._numbers: Numbers = ()
        self._covers: dict[tuple[int, frozenset[int]], Cover | None] = {}
        self._sellers = [
            frozenset(market.supplier_of[choice.index] for choice in demand.choices) for demand in market.demands
        ]
        self._waiting: list[tuple[int, int, _Branch]] = []
        self._seen = count()

    def best(self) -> Numbers:
        """The packs of the lightest order, and how many of each."""
        terms = self._market.suppliers
        undecided = [
            each for each in sorted(self._market.open) if terms[each].shipping or terms[each].minimum_order
        ]
        self._look_at(self._market.open, (), tuple(undecided))
        while self._waiting:
            bound, _, branch = heappop(self._waiting)
            if not self._lighter(bound):
                break
            if branch.undecided:
                self._decide(branch)
            else:
                self._look_further(branch)
        return self._numbers

    def _look_at(self, allowed: frozenset[int], chosen: tuple[int, ...], undecided: tuple[int, ...]) -> None:
        """Settle a branch at once where its covers are an order, else keep it waiting with its bound."""
        market = self._market
        found = [self._cover(number, allowed) for number in range(len(market.demands))]
        covers = [cover for cover in found if cover is not None]
        shipping = market.shipping(chosen) * COST
        bound = shipping + sum(cover.weight for cover in covers)
        if len(covers) < len(found) or not self._lighter(bound):
            return
        numbers = tuple(each for cover in covers for each in cover.numbers)
        goods = market.goods(numbers)
        used = [supplier for supplier in undecided if supplier in goods]
        unreached = any(goods[supplier] < market.suppliers[supplier].minimum_order for supplier in chosen)
        if not used and not unreached:
            self._keep(numbers)
            return
        minimums = None
        if unreached:
            minimums = Minimums(market, self._allowed(allowed), self._with_minimum(chosen))
            bound = max(bound, shipping + minimums.bound)
            self._keep(minimums.likely())
        undecided = tuple(sorted(undecided, key=lambda each: (each not in used, -market.suppliers[each].shipping)))
        self._wait(_Branch(bound, allowed, chosen, undecided, minimums))

    def _wait(self, branch: _Branch) -> None:
        heappush(self._waiting, (branch.bound, next(self._seen), branch))

    def _decide(self, branch: _Branch) -> None:
        """Buy from the first undecided supplier, or not."""
        supplier, *rest = branch.undecided
        self._look_at(branch.allowed, (*branch.chosen, supplier), tuple(rest))
        self._look_at(branch.allowed - {supplier}, branch.chosen, tuple(rest))

    def _look_further(self, branch: _Branch) -> None:
        """Every supplier is decided on: look for an order a little above the bound."""
        assert branch.minimums is not None
        reach = branch.bound + branch.window
        known = reach if self._weight is None else min(reach, self._weight)
        shipping = self._market.shipping(branch.chosen) * COST
        numbers = branch.minimums.lightest(known - shipping)
        if numbers is not None:
            self._keep(numbers)
        else:
            self._wait(replace(branch, bound=known, window=_wider(branch.window)))

    def _keep(self, numbers: Numbers) -> None:
        """Take an order as the best known, if it is. Its weight is taken from its packs anew."""
        weight = self._market.weigh(numbers)
        if weight is not None and self._lighter(weight):
            self._weight, self._numbers = weight, numbers

    def _lighter(self, weight: int) -> bool:
        return self._weight is None or weight < self._weight

    def _cover(self, number: int, allowed: frozenset[int]) -> Cover | None:
        key = number, self._sellers[number] & allowed
        if key not in self._covers:
            demand = self._market.demands[number]
            choices = [each for each in demand.choices if self._market.supplier_of[each.index] in allowed]
            self._covers[key] = cheapest_cover(choices, demand.amount)
        return self._covers[key]

    def _allowed(self, allowed: frozenset[int]) -> list[Demand]:
        supplier_of = self._market.supplier_of
        return [
            Demand(demand.amount, tuple(each for each in demand.choices if supplier_of[each.index] in allowed))
            for demand in self._market.demands
        ]

    def _with_minimum(self, chosen: Iterable[int]) -> list[int]:
        return [supplier for supplier in sorted(chosen) if self._market.suppliers[supplier].minimum_order]


def _wider(window: int) -> int:
    """Two packs more, then one unit of money, then twice as much each time."""
    return max(COST, 2 * window)


def _order(request: OrderRequest, market: Market, numbers: Sequence[tuple[int, int]]) -> Order:
    packs: Counter[int] = Counter()
    for index, number in numbers:
        packs[index] += number
    shipping = market.shipping({market.supplier_of[index] for index in packs})
    bought: Counter[str] = Counter()
    lines = []
    for index, number in sorted(packs.items()):
        pack = market.packs[index]
        bought[pack.item] += number * pack.size
        lines.append(OrderLine(pack.item, pack.supplier, pack.size, number, number * pack.price, pack.article))
    shorts = request.shorts()
    items = tuple(OrderedItem(item, shorts.get(item, 0), bought[item]) for item in sorted({*shorts, *bought}))
    return Order(sum(line.price for line in lines) + shipping, shipping, tuple(lines), items, market.unmet)
