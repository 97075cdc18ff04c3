"""Filling an order up to its supplier's minimum: the cheapest packs worth at least so much.

Cost, then packs, then pieces are settled one after the other, all exactly, over every sum that packs of
this supplier can make. A set of sums is one whole number, bit n standing for the sum n, so that adding
a pack's price to all of them is one shift.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable
from dataclasses import dataclass
from math import gcd

from domain.ordering.covering import Numbers


@dataclass(frozen=True, slots=True)
class PricedPack:
    """A pack as the filling up sees it."""

    index: int
    price: int
    size: int


@dataclass(frozen=True, slots=True)
class Fill:
    """Packs that fill an order up: what they cost, how many they are, the pieces in them, which they are."""

    cost: int
    packs: int
    pieces: int
    numbers: Numbers


_NOTHING = Fill(0, 0, 0, ())


class TopUp:
    """The cheapest ways to spend at least some amount, up to ``most``, on one supplier's packs.

    Proof: the least sum not below the amount is the least cost. A pack that costs ``most`` or more
    fills any amount alone, so only the cheapest of these can be of use. Packs of one price differ in
    pieces only: the smallest leaves least over. The fewest packs for that sum are the first round in
    which it can be reached, and the fewest pieces are the least over every last pack of that round.
    """

    def __init__(self, packs: Iterable[PricedPack], most: int) -> None:
        by_price: dict[int, PricedPack] = {}
        for pack in sorted(packs, key=lambda each: (each.price, each.size, each.index)):
            by_price.setdefault(pack.price, pack)
            if pack.price >= most:
                break
        by_price.pop(0, None)
        self._step = gcd(*by_price) or 1
        self._packs = {price // self._step: pack for price, pack in by_price.items()}
        self._ceiling = -(-most // self._step) + max(self._packs, default=0)
        self._within = (1 << (self._ceiling + 1)) - 1
        self._sums = self._every_sum()
        self._rounds = [1]
        self._found: dict[int, Fill] = {}

    @property
    def possible(self) -> bool:
        """False where no pack costs anything: no minimum order can be reached with them."""
        return bool(self._packs)

    def fill(self, amount: int) -> Fill:
        """The cheapest packs worth ``amount`` (at most ``most``) together."""
        if amount <= 0:
            return _NOTHING
        at_least = -(-amount // self._step)
        above = self._sums >> at_least
        total = at_least + (above & -above).bit_length() - 1
        if total not in self._found:
            self._found[total] = self._fill_exactly(total)
        return self._found[total]

    def _every_sum(self) -> int:
        """All sums of any number of packs, up to the ceiling."""
        sums = 1
        for price in self._packs:
            shift = price
            while shift <= self._ceiling:
                sums |= (sums << shift) & self._within
                shift *= 2
        return sums

    def _fill_exactly(self, total: int) -> Fill:
        packs = self._fewest_packs(total)
        ends = [{total}]
        for number in range(packs - 1, -1, -1):
            ends.append({rest for end in ends[-1] for _, rest in self._last_packs(number, end)})
        # the fewest pieces for every sum on a way to the total, with the last pack's price
        least: list[dict[int, tuple[int, int]]] = [{0: (0, 0)}]
        for number in range(packs):
            before = least[-1]
            least.append(
                {
                    end: min(
                        (self._packs[price].size + before[rest][0], price)
                        for price, rest in self._last_packs(number, end)
                    )
                    for end in ends[packs - 1 - number]
                }
            )
        taken: Counter[int] = Counter()
        end = total
        for number in range(packs, 0, -1):
            price = least[number][end][1]
            taken[self._packs[price].index] += 1
            end -= price
        return Fill(total * self._step, packs, least[packs][total][0], tuple(sorted(taken.items())))

    def _last_packs(self, before: int, end: int) -> list[tuple[int, int]]:
        """Prices of a pack that comes last, with what ``before`` packs ahead of it sum to."""
        sums = self._rounds[before]
        return [(price, end - price) for price in self._packs if price <= end and sums >> (end - price) & 1]

    def _fewest_packs(self, total: int) -> int:
        packs = 0
        while not self._rounds[packs] >> total & 1:
            packs += 1
            if packs == len(self._rounds):
                sums = 0
                for price in self._packs:
                    sums |= self._rounds[-1] << price
                self._rounds.append(sums & self._within)
        return packs
