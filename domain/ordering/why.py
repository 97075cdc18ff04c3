"""Why so many: an item's reckoning from needs to packs, as figures that a page can word."""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping
from dataclasses import dataclass
from fractions import Fraction

from domain.ordering.needs import Need
from domain.ordering.order import Order
from domain.ordering.packs import plan_order
from domain.ordering.request import OrderRequest, Pack


@dataclass(frozen=True, slots=True)
class OfferWeighed:
    """A pack on offer, what a hundred pieces (or grams) of it cost in minor units, how many are bought."""

    pack: Pack
    per_hundred: Fraction
    bought: int


@dataclass(frozen=True, slots=True)
class Why:
    """An item's reckoning: short = max(0, need + reserved + minimum stock − on hand − on order).

    ``need`` splits what the chosen projects take; ``reserved`` is what others have put by. ``fills`` is
    true where an item that is not short is bought to reach a minimum order. ``offers`` stand cheapest a
    piece first.
    """

    item: str
    need: Need
    reserved: int
    minimum_stock: int
    on_hand: int
    on_order: int
    short: int
    bought: int
    left_over: int
    offers: tuple[OfferWeighed, ...]

    @property
    def fills(self) -> bool:
        """True where it is bought without being short."""
        return self.bought > 0 and not self.short


@dataclass(frozen=True, slots=True)
class SupplierWeighed:
    """A supplier that is bought from: its goods, shipping and minimum order, and the order's total without it.

    ``without`` is None where some item could not be bought then.
    """

    supplier: str
    goods: int
    shipping: int
    minimum_order: int
    without: int | None


def why_each(
    request: OrderRequest, order: Order, needs: Mapping[str, Need], reserved: Mapping[str, int]
) -> tuple[Why, ...]:
    """The reckoning of every item of the order.

    ``needs`` and ``reserved`` say, by name, how the request's need came about: reserved for other projects
    and the rest, which is used where nothing is known of it.
    """
    asked = request.needed()
    return tuple(
        Why(
            item.item,
            needs.get(item.item, Need(asked.get(item.item, 0) - reserved.get(item.item, 0))),
            reserved.get(item.item, 0),
            request.minimum_stock.get(item.item, 0),
            request.on_hand.get(item.item, 0),
            request.on_order.get(item.item, 0),
            item.short,
            item.bought,
            item.left_over,
            _offers(request, order, item.item),
        )
        for item in order.items
    )


def _offers(request: OrderRequest, order: Order, item: str) -> tuple[OfferWeighed, ...]:
    bought: Counter[Pack] = Counter()
    for line in order.lines:
        bought[line.pack] += line.packs
    weighed = [
        OfferWeighed(pack, Fraction(100 * pack.price, pack.size), bought[pack])
        for pack in dict.fromkeys(request.packs)
        if pack.item == item
    ]
    return tuple(sorted(weighed, key=lambda each: (each.per_hundred, each.pack.supplier, each.pack.size)))


def suppliers_weighed(request: OrderRequest, order: Order) -> tuple[SupplierWeighed, ...]:
    """Every supplier bought from, with the total of the cheapest order that leaves it out."""
    terms = {supplier.name: supplier for supplier in request.suppliers}
    goods: dict[str, int] = {}
    for line in order.lines:
        goods[line.pack.supplier] = goods.get(line.pack.supplier, 0) + line.line_price
    unmet = {each.item for each in order.unmet}
    weighed = []
    for name, worth in sorted(goods.items()):
        others = tuple(pack for pack in request.packs if pack.supplier != name)
        instead = plan_order(request.model_copy(update={"packs": others}))
        bad = {each.item for each in instead.unmet} - unmet
        shipping, minimum = (terms[name].shipping, terms[name].minimum_order) if name in terms else (0, 0)
        weighed.append(SupplierWeighed(name, worth, shipping, minimum, None if bad else instead.total))
    return tuple(weighed)
