"""What consumables cost: a price for one piece, and a project's cost split so that its parts add up.

Amounts are exact until the end. A project's cost is rounded once, half to even; its parts share the
rounded sum by largest remainder, and their lines share theirs in the same way.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction

from domain.ordering.request import Pack


@dataclass(frozen=True, slots=True)
class UnitPrice:
    """What one piece (or gram) costs, in minor units; without a ``pack`` it is the catalogue's price of one."""

    each: Fraction
    pack: Pack | None = None


@dataclass(frozen=True, slots=True)
class CostLine:
    """So many of an item. ``price`` is None, and ``cost`` 0, where nothing is known of its price."""

    item: str
    quantity: Fraction
    price: UnitPrice | None
    cost: int

    @property
    def exact(self) -> Fraction:
        """The cost before rounding."""
        return self.quantity * self.price.each if self.price else Fraction(0)


@dataclass(frozen=True, slots=True)
class PartCost:
    """A part of a project, such as an assembly; ``cost`` is the sum of its lines."""

    name: str
    lines: tuple[CostLine, ...]

    @property
    def cost(self) -> int:
        """In whole minor units."""
        return sum(line.cost for line in self.lines)


@dataclass(frozen=True, slots=True)
class Costs:
    """A project's consumables; ``total`` is the sum of its parts."""

    parts: tuple[PartCost, ...]

    @property
    def total(self) -> int:
        """In whole minor units."""
        return sum(part.cost for part in self.parts)

    @property
    def priced(self) -> tuple[str, ...]:
        """The items whose price is known, each once."""
        return self._items(lambda line: line.price is not None)

    @property
    def unpriced(self) -> tuple[str, ...]:
        """The items of whose price nothing is known, each once."""
        return self._items(lambda line: line.price is None)

    def _items(self, which: Callable[[CostLine], bool]) -> tuple[str, ...]:
        return tuple(dict.fromkeys(line.item for part in self.parts for line in part.lines if which(line)))


def unit_prices(packs: Iterable[Pack], of_one: Mapping[str, int]) -> dict[str, UnitPrice]:
    """The least price of one piece among the packs, by item; ``of_one`` serves an item that no pack has.

    Of packs with one price a piece the smaller is named, then the supplier that comes first by name.
    """
    cheapest: dict[str, Pack] = {}
    for pack in packs:
        best = cheapest.setdefault(pack.item, pack)
        # of one supplier, one size and one price it is the same pack, whichever is kept
        if _by_rate(pack) < _by_rate(best):
            cheapest[pack.item] = pack
    return {item: UnitPrice(Fraction(price)) for item, price in of_one.items()} | {
        item: UnitPrice(Fraction(pack.price, pack.size), pack) for item, pack in cheapest.items()
    }


def _by_rate(pack: Pack) -> tuple[Fraction, int, str]:
    return Fraction(pack.price, pack.size), pack.size, pack.supplier


def costs(parts: Mapping[str, Mapping[str, Fraction | int]], prices: Mapping[str, UnitPrice]) -> Costs:
    """What the parts cost: for each of them, by name, how much of each item it takes."""
    drafts = {
        name: [
            CostLine(item, Fraction(quantity), prices.get(item), 0)
            for item, quantity in quantities.items()
            if quantity
        ]
        for name, quantities in parts.items()
    }
    sums = [sum((line.exact for line in lines), Fraction(0)) for lines in drafts.values()]
    shares = apportion(round(sum(sums, Fraction(0))), sums)
    return Costs(
        tuple(
            PartCost(name, _rounded(lines, share))
            for (name, lines), share in zip(drafts.items(), shares, strict=True)
        )
    )


def _rounded(lines: Sequence[CostLine], total: int) -> tuple[CostLine, ...]:
    shares = apportion(total, [line.exact for line in lines])
    return tuple(
        CostLine(line.item, line.quantity, line.price, share) for line, share in zip(lines, shares, strict=True)
    )


def apportion(total: int, exact: Sequence[Fraction]) -> tuple[int, ...]:
    """Whole shares of ``total``, each its exact amount rounded down or up: those with most to gain go up.

    The largest remainder method; of equal remainders the one that stands first. ``total`` must be the
    sum of ``exact`` rounded either way, and no amount may be negative.

    >>> apportion(100, [Fraction(100, 3)] * 3)
    (34, 33, 33)
    """
    shares = [amount.numerator // amount.denominator for amount in exact]
    by_remainder = sorted(range(len(exact)), key=lambda index: shares[index] - exact[index])
    for index in by_remainder[: total - sum(shares)]:
        shares[index] += 1
    return tuple(shares)
