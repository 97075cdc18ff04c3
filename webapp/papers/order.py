"""A placed order as a letter to its supplier."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import datetime

from domain.lengths import Units
from domain.problems import Path
from webapp.papers.kinds import Paper
from webapp.papers.pictures import Json
from webapp.papers.typesetting import set_document
from webapp.store.orders import OrderLine, PlacedOrder
from webapp.wording.amounts import amount
from webapp.wording.money import format_money

SHORT = 60


def render_order(order: PlacedOrder, shop: str, paper: Paper, units: Units = Units.MM) -> bytes:
    """The order as PDF/A-2b, the same bytes each time; ``shop`` may be empty, wood is counted in ``units``.

    Raises BadInput for a letter that cannot be printed.
    """
    data, stamp = order_data(order, shop, paper, units), order.placed_at.replace(microsecond=0)
    return set_document("order", data, stamp, _fields(order, shop))


def _fields(order: PlacedOrder, shop: str) -> Iterator[tuple[Path, str]]:
    """Where the order's texts were typed."""
    yield ("the shop's name",), shop
    yield ("the supplier's name",), order.supplier
    yield ("the note",), order.note
    for line in order.lines:
        place = f"line {line.position}"
        yield (place, "item"), line.item.name
        yield (place, "article number"), line.article


def order_data(order: PlacedOrder, shop: str, paper: Paper, units: Units) -> Json:
    """All that the order's template sets, every figure worded."""
    title = f"Order {order.number}"
    placed = _day(order.placed_at)
    return {
        "paper": paper.typst,
        "title": title,
        "heading": {
            "project": order.supplier,
            "short": order.supplier if len(order.supplier) <= SHORT else order.supplier[: SHORT - 1] + "…",
            "shop": shop,
            "revision": str(order.number),
            "date": placed,
        },
        "lines": [_line(line, order.currency, units) for line in order.lines],
        "goods": format_money(order.goods, order.currency),
        "shipping": format_money(order.shipping, order.currency),
        "total": format_money(order.total, order.currency),
        "note": order.note,
        "cancelled": "" if order.cancelled_at is None else _day(order.cancelled_at),
    }


def _line(line: OrderLine, currency: str, units: Units) -> Json:
    def counted(count: int) -> str:
        return str(count) if line.item.unit == "pcs" else amount(count, line.item.unit, units).replace("\xa0", " ")

    return {
        "position": str(line.position),
        "article": line.article,
        "item": line.item.name,
        "packs": str(line.packs),
        "size": counted(line.size),
        "pieces": counted(line.packs * line.size),
        "price": format_money(line.pack_price, currency),
        "sum": format_money(line.packs * line.pack_price, currency),
    }


def _day(moment: datetime) -> str:
    return moment.astimezone().strftime("%Y-%m-%d")  # the shop's own day
