"""Reaching minimum orders exactly, where the packs that cover every item for the least do not.

For a set of suppliers that may be bought from, and those among them whose minimum must be reached.
Write any order as covers, one for each item, and fills, one for each supplier that must be reached: what
is bought of a supplier beyond the covers is its fill. Given the covers, the best fills are ``TopUp``'s.

A price λ ≥ 0 for each unit of money spent with a supplier, paid to whoever spends it and charged for the
minimum, turns every item loose from the others: for any λ up to the least weight per price among the
supplier's packs no fill weighs less than what it is paid, so that

    Σ λ·minimum + Σ over items of the least (weight − Σ λ·price)

is no more than the weight of any order that reaches the minimums (Lagrange's bound). An order better than
the best known can only use covers whose excess over their item's least stays below the gap between the
two. These are listed for every item, and put together item by item, keeping of the partial orders that
have spent the same (up to the minimum) the lightest, and none whose bound is no better than the best
known. What is left out cannot be part of a better order, so what is found last is the least.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from itertools import zip_longest
from typing import TypeVar

from domain.ordering.covering import Choice, Cover, Numbers, by_rate, cheapest_cover
from domain.ordering.market import Demand, Market

Spent = tuple[int, ...]
_Key = TypeVar("_Key")
_ROUNDS = 3
_STEPS = 12


@dataclass(frozen=True, slots=True)
class _Priced:
    """Every item's least cover at some λ, the bound they give, and what they spend where it must be reached."""

    prices: Spent
    bound: int
    covers: tuple[Cover, ...]
    spent: Spent


@dataclass(frozen=True, slots=True)
class Partial:
    """Packs chosen so far: their weight, and the way back to them."""

    weight: int
    numbers: Numbers
    before: Partial | None = None

    def every(self) -> Numbers:
        """All the packs, first to last."""
        parts: list[tuple[int, int]] = []
        here: Partial | None = self
        while here is not None:
            parts.extend(here.numbers)
            here = here.before
        return tuple(parts)


class Minimums:
    """The items of ``demands`` (each with the packs allowed), and suppliers whose minimum must be reached."""

    def __init__(self, market: Market, demands: Sequence[Demand], reached: Sequence[int]) -> None:
        self._market = market
        self._demands = demands
        self._reached = tuple(reached)
        self._least = tuple(market.suppliers[supplier].minimum_order for supplier in reached)
        self._most_paid = tuple(map(self._least_rate, reached))
        self._covers: dict[tuple[int, Spent], Cover] = {}
        self._place = {supplier: place for place, supplier in enumerate(reached)}
        self._selling = [
            {self._place[market.supplier_of[each.index]] for each in demand.choices if self._sold(each.index)}
            for demand in demands
        ]
        self._best = self._raised()
        self._charged = sum(map(int.__mul__, self._best.prices, self._least))

    @property
    def bound(self) -> int:
        """No order that reaches these minimums weighs less, shipping aside."""
        return self._best.bound

    def likely(self) -> Numbers:
        """An order that reaches the minimums: the covers behind the bound, filled up. Often not the lightest."""
        return self._filled(Partial(0, ()), (0,) * len(self._reached), self._best.covers)[1]

    # the bound

    def _raised(self) -> _Priced:
        """The best bound that a few steps along each supplier's λ find."""
        best = self._at((0,) * len(self._reached))
        for _ in range(_ROUNDS if len(self._reached) > 1 else 1):
            before = best.bound
            for place in range(len(self._reached)):
                best = max(best, self._along(best.prices, place), key=lambda each: each.bound)
            if best.bound == before:
                break
        return best

    def _along(self, prices: Spent, place: int) -> _Priced:
        """The best bound over one λ: the bound is concave and made of straight lines, so where two meet."""

        def at(price: int) -> _Priced:
            return self._at((*prices[:place], price, *prices[place + 1 :]))

        low, high = at(0), at(self._most_paid[place])
        for end, rising in ((low, False), (high, True)):
            if (self._slope(end, place) > 0) is rising:
                return end
        best = max(low, high, key=lambda each: each.bound)
        for _ in range(_STEPS):
            rise, fall = self._slope(low, place), -self._slope(high, place)
            a, b = low.prices[place], high.prices[place]
            meeting = (high.bound - low.bound + rise * a + fall * b) // (rise + fall)
            if not a < meeting < b:
                break
            middle = at(meeting)
            best = max(best, middle, key=lambda each: each.bound)
            if self._slope(middle, place) > 0:
                low = middle
            else:
                high = middle
            if not self._slope(high, place):
                break
        return best

    def _slope(self, priced: _Priced, place: int) -> int:
        return self._least[place] - priced.spent[place]

    def _at(self, prices: Spent) -> _Priced:
        covers = tuple(self._cover(number, prices) for number in range(len(self._demands)))
        bound = sum(cover.weight for cover in covers) + sum(map(int.__mul__, prices, self._least))
        spent = [0] * len(self._reached)
        for cover in covers:
            for place, worth in enumerate(self._spent(cover.numbers)):
                spent[place] += worth
        return _Priced(prices, bound, covers, tuple(spent))

    def _cover(self, number: int, prices: Spent) -> Cover:
        """The item's least cover at these λ; its weight is the reduced one."""
        key = number, tuple(prices[place] for place in self._selling[number])
        if key not in self._covers:
            demand = self._demands[number]
            found = cheapest_cover(self._reduced(demand, prices), demand.amount)
            assert found is not None
            self._covers[key] = found
        return self._covers[key]

    def _reduced(self, demand: Demand, prices: Spent) -> list[Choice]:
        market = self._market
        return by_rate(
            Choice(
                each.index,
                each.size,
                each.weight - prices[self._place[market.supplier_of[each.index]]] * market.packs[each.index].price
                if self._sold(each.index)
                else each.weight,
            )
            for each in demand.choices
        )

    def _sold(self, index: int) -> bool:
        """True where the pack counts towards a minimum that must be reached."""
        return self._market.supplier_of[index] in self._place

    def _spent(self, numbers: Numbers) -> Spent:
        goods = self._market.goods(numbers)
        return tuple(goods[supplier] for supplier in self._reached)

    def _least_rate(self, supplier: int) -> int:
        market = self._market
        return min(
            market.weights[index] // pack.price
            for index, pack in enumerate(market.packs)
            if market.supplier_of[index] == supplier and pack.price
        )

    # the order

    def lightest(self, known: int) -> Numbers | None:
        """The lightest order under ``known``, shipping aside; None where there is none.

        The nearer ``known`` is to the bound, the fewer covers there are to try.
        """
        found: Numbers | None = None
        options = [self._options(number, known - self._best.bound) for number in range(len(self._demands))]
        order = sorted(range(len(options)), key=lambda number: len(options[number]))
        ahead = sum(cover.weight for cover in self._best.covers)
        partials: dict[Spent, Partial] = {(0,) * len(self._reached): Partial(0, ())}
        for step, number in enumerate(order):
            ahead -= self._best.covers[number].weight
            partials = self._joined(partials, options[number], known - ahead)
            if not partials:
                return found
            likely = min(partials, key=lambda spent: partials[spent].weight + self._still_charged(spent))
            covers = [self._best.covers[other] for other in order[step + 1 :]]
            whole = self._filled(partials[likely], likely, covers)
            if whole[0] < known:
                known, found = whole
        for spent, partial in partials.items():
            whole = self._filled(partial, spent, ())
            if whole[0] < known:
                known, found = whole
        return found

    def _joined(
        self, partials: Mapping[Spent, Partial], options: Mapping[Spent, Partial], below: int
    ) -> dict[Spent, Partial]:
        """Every partial order with every option whose bound stays below, the lightest for each spending."""
        joined: dict[Spent, Partial] = {}
        for spent, partial in partials.items():
            for more, option in options.items():
                total = tuple(map(min, map(int.__add__, spent, more), self._least))
                weight = partial.weight + option.weight
                there = joined.get(total)
                if there is None:
                    if weight + self._still_charged(total) < below:
                        joined[total] = Partial(weight, option.numbers, partial)
                elif weight < there.weight:
                    joined[total] = Partial(weight, option.numbers, partial)
        return _undominated(joined)

    def _still_charged(self, spent: Spent) -> int:
        """What λ charges for the part of the minimums that is not yet reached."""
        return self._charged - sum(map(int.__mul__, self._best.prices, spent))

    def _options(self, number: int, gap: int) -> dict[Spent, Partial]:
        """Covers of one item whose excess over its least stays below the gap; what they spend, by weight."""
        demand = self._demands[number]
        reduced = self._reduced(demand, self._best.prices)
        below = self._best.covers[number].weight + self._charged + gap
        covers: dict[Spent, Partial] = {}
        under_way = {(demand.amount, (0,) * len(self._reached)): Partial(0, ())}
        for choice, following in zip_longest(reduced, reduced[1:]):
            going_on: dict[tuple[int, Spent], Partial] = {}
            for (rest, spent), partial in under_way.items():
                charged = partial.weight + self._still_charged(spent)
                for times, left in self._times(rest, choice, following, below - charged):
                    total, after = self._bought(partial, spent, choice.index, times)
                    if after.weight + self._still_charged(total) >= below:
                        continue
                    if left > 0:
                        _keep(going_on, (left, total), after)
                    else:
                        _keep(covers, total, after)
            under_way = going_on
        return _undominated(covers)

    def _times(self, rest: int, choice: Choice, following: Choice | None, below: int) -> Iterator[tuple[int, int]]:
        """How often to take a choice, with what is then left to cover, where the bound stays below.

        From the most downwards, as in ``covering``, so the first bound that is no good ends it.
        """
        most = -(-rest // choice.size)
        yield most, 0
        if following is None:
            return
        for times in range(most - 1, -1, -1):
            left = rest - times * choice.size
            if times * choice.weight - (-left * following.weight // following.size) >= below:
                return
            yield times, left

    def _bought(self, partial: Partial, spent: Spent, index: int, times: int) -> tuple[Spent, Partial]:
        """The partial order with so many of a pack more, and what it spends then, up to the minimums."""
        if not times:
            return spent, partial
        more = self._spent(((index, times),))
        total = tuple(map(min, map(int.__add__, spent, more), self._least))
        return total, Partial(
            partial.weight + times * self._market.weights[index], (*partial.numbers, (index, times))
        )

    def _filled(self, partial: Partial, spent: Spent, covers: Sequence[Cover]) -> tuple[int, Numbers]:
        """A partial order with these covers and the best fills: its weight and its packs."""
        numbers = [*partial.every(), *(each for cover in covers for each in cover.numbers)]
        weight = partial.weight
        total = list(spent)
        market = self._market
        for cover in covers:
            weight += sum(times * market.weights[index] for index, times in cover.numbers)
            for place, worth in enumerate(self._spent(cover.numbers)):
                total[place] += worth
        for place, supplier in enumerate(self._reached):
            missing = self._least[place] - total[place]
            if missing > 0:
                fill = market.top_up(supplier).fill(missing)
                weight += sum(times * market.weights[index] for index, times in fill.numbers)
                numbers.extend(fill.numbers)
        return weight, tuple(numbers)


def _keep(partials: dict[_Key, Partial], key: _Key, partial: Partial) -> None:
    there = partials.get(key)
    if there is None or partial.weight < there.weight:
        partials[key] = partial


def _undominated(partials: Mapping[Spent, Partial]) -> dict[Spent, Partial]:
    """Without most of those that another beats in weight and in every spending.

    Each is held against the latest of those kept that spend more than all before them: where one
    minimum is to be reached these beat whatever can be beaten, and where there are several, to look
    for the rest would take longer than to carry them along.
    """
    kept: dict[Spent, Partial] = {}
    most: Spent = ()
    for spent, partial in sorted(partials.items(), key=lambda each: each[1].weight):
        if most and all(map(int.__ge__, most, spent)):
            continue
        kept[spent] = partial
        if not most or sum(spent) > sum(most):
            most = spent
    return kept
