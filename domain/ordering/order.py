"""An order: packs to buy, what each item gets, what nobody sells; and its open JSON, version 1."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum
from typing import Any

from domain.ordering.request import Pack

FORMAT = "dovetally-order"
VERSION = 1


@dataclass(frozen=True, slots=True)
class OrderLine:
    """So many packs of a kind."""

    pack: Pack
    packs: int

    @property
    def line_price(self) -> int:
        """What the whole line costs, in minor units."""
        return self.packs * self.pack.price


@dataclass(frozen=True, slots=True)
class OrderedItem:
    """What an item was short of, what is bought of it in all, and what will be left over of that."""

    item: str
    short: int
    bought: int

    @property
    def left_over(self) -> int:
        """Bought beyond what is short; 0 where too little is bought, which an unmet item says."""
        return max(0, self.bought - self.short)


@dataclass(frozen=True, slots=True)
class Unmet:
    """An item that is short and cannot be bought, and why."""

    item: str
    why: str


class Doubt(StrEnum):
    """What could not be proven of an order within the work allowed, in words: the first of the three aims."""

    CHEAPER = "No cheaper order was found, but that there is none could not be proven."
    FEWER_PACKS = "No order is cheaper, but that none of the same cost has fewer packs could not be proven."
    LESS_LEFT_OVER = (
        "No order is cheaper, but that none of the same cost and packs leaves less over could not be proven."
    )


@dataclass(frozen=True, slots=True)
class Order:
    """The cheapest order. ``total`` includes ``shipping``; money in whole minor units.

    It is proven to be the best unless ``doubt`` says what is not. Lines and items stand by name, so that
    the same request gives the same order in whatever order its lists come.
    """

    total: int
    shipping: int
    lines: tuple[OrderLine, ...]
    items: tuple[OrderedItem, ...]
    unmet: tuple[Unmet, ...]
    doubt: Doubt | None = None

    @property
    def proven(self) -> bool:
        """True where no order is better: cheaper, or of fewer packs, or with less left over."""
        return self.doubt is None

    @property
    def packs(self) -> int:
        """Packs in all."""
        return sum(line.packs for line in self.lines)

    @property
    def left_over(self) -> int:
        """What is left over in all, pieces and grams alike."""
        return sum(item.left_over for item in self.items)


def order_document(order: Order) -> dict[str, Any]:
    """The order as a JSON-ready dictionary. An article number is there where the pack has one."""
    return {
        "format": FORMAT,
        "version": VERSION,
        "proven": order.proven,
        "total": order.total,
        "shipping": order.shipping,
        "lines": [_line(line) for line in order.lines],
        "items": [
            {"item": item.item, "short": item.short, "bought": item.bought, "left_over": item.left_over}
            for item in order.items
        ],
        "unmet": [{"item": unmet.item, "why": unmet.why} for unmet in order.unmet],
    }


def _line(line: OrderLine) -> dict[str, Any]:
    pack = line.pack
    article = {} if pack.article is None else {"article": pack.article}
    return {
        "item": pack.item,
        "supplier": pack.supplier,
        "size": pack.size,
        "packs": line.packs,
        "price": line.line_price,
        **article,
    }
