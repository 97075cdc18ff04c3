"""What there is to choose from, numbered and weighed for the search for the cheapest order.

The three aims, cost, then fewest packs, then least left over, are sums over packs, and what is left over
differs from the pieces bought by what is short, which is fixed. So they are folded into one whole number,
a weight: cost · 2¹⁶⁰ + packs · 2⁸⁰ + pieces. No order within the bounds of a request has 2⁸⁰ packs or
pieces, so that the least weight is the least cost, of these the fewest packs, of these the least left
over. Whole numbers have no tolerances.
"""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

from domain.ordering.covering import Choice, Numbers, by_rate
from domain.ordering.order import Unmet
from domain.ordering.request import OrderRequest, Pack, Supplier

COST = 1 << 160
PACK = 1 << 80

NOBODY_SELLS_IT = "no pack of it is offered"
NO_MINIMUM_REACHED = "it is offered only by {}, whose minimum order cannot be reached with packs that cost nothing"


def weight_of(pack: Pack) -> int:
    """A pack's weight in the balance."""
    return pack.price * COST + PACK + pack.size


def aims_of(weight: int) -> tuple[int, int, int]:
    """The cost, packs and pieces that a weight was folded from."""
    return weight // COST, weight % COST // PACK, weight % PACK


@dataclass(frozen=True, slots=True)
class Demand:
    """So much of an item to cover, and the packs that can: by weight per size, lowest first."""

    amount: int
    choices: tuple[Choice, ...]


class Market:
    """A request's packs and suppliers by number; the same whatever order its lists came in."""

    def __init__(self, request: OrderRequest) -> None:
        terms = {supplier.name: supplier for supplier in request.suppliers}
        names = sorted({pack.supplier for pack in request.packs})
        self.suppliers: tuple[Supplier, ...] = tuple(terms.get(name, Supplier(name=name)) for name in names)
        place = {name: index for index, name in enumerate(names)}
        self.packs: tuple[Pack, ...] = tuple(sorted(request.packs, key=_in_order))
        self.supplier_of: tuple[int, ...] = tuple(place[pack.supplier] for pack in self.packs)
        self.weights: tuple[int, ...] = tuple(map(weight_of, self.packs))
        closed = {number for number in range(len(names)) if not self._can_be_reached(number)}
        self.open: frozenset[int] = frozenset(range(len(names))) - closed
        self.demands, self.unmet = self._demands(request.shorts())

    def goods(self, numbers: Numbers) -> Counter[int]:
        """What these packs are worth, by supplier; suppliers of packs that cost nothing are there with 0."""
        worth: Counter[int] = Counter()
        for index, number in numbers:
            worth[self.supplier_of[index]] += number * self.packs[index].price
        return worth

    def shipping(self, suppliers: Iterable[int]) -> int:
        """Shipping of one order from each of these suppliers."""
        return sum(self.suppliers[supplier].shipping for supplier in suppliers)

    def weigh(self, numbers: Numbers) -> int | None:
        """The whole weight of buying these packs, with shipping; None where a minimum order is not reached."""
        goods = self.goods(numbers)
        if any(worth < self.suppliers[supplier].minimum_order for supplier, worth in goods.items()):
            return None
        packs = sum(number * self.weights[index] for index, number in numbers)
        return packs + self.shipping(goods) * COST

    def covers(self, numbers: Numbers) -> bool:
        """True where these packs cover every demand."""
        bought = dict(numbers)
        return all(
            sum(choice.size * bought.get(choice.index, 0) for choice in demand.choices) >= demand.amount
            for demand in self.demands
        )

    def filled(self, numbers: Numbers) -> Numbers:
        """These packs, and for each supplier below its minimum more of the pack that fills it up for the least.

        An order, if the packs cover what is short from suppliers that are ``open``; not always the best.
        """
        whole = Counter(dict(numbers))
        for supplier, worth in self.goods(numbers).items():
            missing = self.suppliers[supplier].minimum_order - worth
            if missing > 0:
                number, index = min(
                    (
                        (-(-missing // pack.price), index)
                        for index, pack in enumerate(self.packs)
                        if pack.price and self.supplier_of[index] == supplier
                    ),
                    key=lambda each: each[0] * self.weights[each[1]],
                )
                whole[index] += number
        return tuple(sorted(whole.items()))

    def _can_be_reached(self, supplier: int) -> bool:
        return not self.suppliers[supplier].minimum_order or any(
            pack.price for index, pack in enumerate(self.packs) if self.supplier_of[index] == supplier
        )

    def _demands(self, shorts: Mapping[str, int]) -> tuple[tuple[Demand, ...], tuple[Unmet, ...]]:
        offered: defaultdict[str, list[int]] = defaultdict(list)
        for index, pack in enumerate(self.packs):
            offered[pack.item].append(index)
        demands, unmet = [], []
        for item, short in shorts.items():
            if not short:
                continue
            open_packs = [index for index in offered[item] if self.supplier_of[index] in self.open]
            if open_packs:
                choices = (Choice(index, self.packs[index].size, self.weights[index]) for index in open_packs)
                demands.append(Demand(short, tuple(by_rate(choices))))
            else:
                unmet.append(Unmet(item, self._why_unmet(offered[item])))
        return tuple(demands), tuple(unmet)

    def _why_unmet(self, closed: Sequence[int]) -> str:
        if not closed:
            return NOBODY_SELLS_IT
        names = dict.fromkeys(self.packs[index].supplier for index in closed)
        return NO_MINIMUM_REACHED.format(" and ".join(names))


def _in_order(pack: Pack) -> tuple[str, str, int, int, str]:
    return pack.item, pack.supplier, pack.size, pack.price, pack.article or ""
