"""What a project takes that is bought, each with what all of it costs: keys, plugs, glue and wood.

One price a job: an item costs its share of the packs, at the least price of one among those on offer, as the costs
of the project have it. What is left of a pack serves the next job; what whole packs come to is the order's to say.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from enum import StrEnum
from fractions import Fraction

from domain.ordering.costs import UnitPrice, costs
from domain.ordering.items import Item, ItemKind
from domain.quoting.rounding import exact
from domain.spec.quote import TypedPrice


class Sort(StrEnum):
    """What sort of thing a material is, in the order of the quote."""

    WOOD = "wood"
    KEYS = "keys"
    PLUGS = "plugs"
    GLUE = "glue"


class PricedBy(StrEnum):
    """Where a price comes from."""

    OFFER = "offer"
    CATALOGUE = "catalogue"
    OWN_STOCK = "own_stock"
    """The cutting plan of the stock that the project names itself."""
    HAND = "hand"


@dataclass(frozen=True, slots=True)
class Material:
    """So much of an item. ``unit`` is what ``quantity`` counts, ``cost`` minor units, None where none is known.

    ``each`` is the price of one by which it was reckoned. ``typed_for`` is the quantity that a price was typed for
    which counts no longer, since the project takes another.
    """

    name: str
    sort: Sort
    quantity: Fraction
    unit: str
    cost: int | None = None
    priced_by: PricedBy | None = None
    each: UnitPrice | None = None
    typed_for: Fraction | None = None


_SORTS = {ItemKind.KEY: Sort.KEYS, ItemKind.PLUG: Sort.PLUGS, ItemKind.GLUE: Sort.GLUE}


def materials_of(
    quantities: Mapping[Item, int | Fraction], prices: Mapping[str, UnitPrice]
) -> tuple[Material, ...]:
    """Items with what all of each costs: shares of the one sum that the costs of a project come to."""
    named = {item.name: Fraction(quantity) for item, quantity in quantities.items() if quantity}
    lines = {line.item: line for part in costs({"": named}, prices).parts for line in part.lines}
    return tuple(
        _material(item, lines[item.name].cost, prices.get(item.name), named[item.name])
        for item in quantities
        if item.name in named
    )


def _material(item: Item, cost: int, price: UnitPrice | None, quantity: Fraction) -> Material:
    sort = _SORTS.get(item.kind, Sort.WOOD)
    if price is None:
        return Material(item.name, sort, quantity, item.unit)
    by = PricedBy.CATALOGUE if price.pack is None else PricedBy.OFFER
    return Material(item.name, sort, quantity, item.unit, cost, by, price)


def in_order(materials: Iterable[Material]) -> tuple[Material, ...]:
    """Wood, keys, plugs, glue; within each as they came."""
    order = list(Sort)
    return tuple(sorted(materials, key=lambda each: order.index(each.sort)))


def with_typed(materials: Iterable[Material], typed: Sequence[TypedPrice]) -> tuple[Material, ...]:
    """The materials at the prices typed by hand, where there is one; the last of two for one item."""
    by_hand = {_key(price.item): price for price in typed}
    return tuple(_typed(each, by_hand.get(_key(each.name))) for each in materials)


def not_taken(materials: Iterable[Material], typed: Sequence[TypedPrice]) -> tuple[str, ...]:
    """Items with a price typed by hand that the project does not take: misspelt, or gone since."""
    taken = {_key(each.name) for each in materials}
    return tuple(dict.fromkeys(price.item for price in typed if _key(price.item) not in taken))


def _typed(material: Material, price: TypedPrice | None) -> Material:
    if price is None:
        return material
    typed_for = None if price.quantity is None else exact(price.quantity)
    if typed_for is not None and typed_for != told(material.quantity):
        return replace(material, typed_for=typed_for)
    return replace(material, cost=price.price, priced_by=PricedBy.HAND, each=None)


def told(quantity: Fraction) -> Fraction:
    """A quantity as documents tell it: to a thousandth of its unit."""
    return exact(float(round(quantity, 3)))


def _key(name: str) -> str:
    return " ".join(name.replace("×", "x").split()).casefold()
