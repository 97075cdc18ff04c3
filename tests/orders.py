"""A placed order as a value, for paper and tables."""

from __future__ import annotations

from datetime import UTC, date, datetime

from domain.ordering.items import GLUE, Item
from webapp.store.orders import OrderLine, PlacedOrder

PLACED = datetime(2026, 3, 2, 9, tzinfo=UTC)


def line(position: int, item: Item, size: int, packs: int, price: int, article: str = "") -> OrderLine:
    due = date(2026, 3, 9)
    return OrderLine(position, position, position, item, size, packs, price, article, 7, due, 0, packs)


def an_order(*lines: OrderLine, **changes: object) -> PlacedOrder:
    fields: dict[str, object] = {
        "number": 12,
        "supplier_id": 1,
        "supplier": "Northway Fittings",
        "currency": "EUR",
        "shipping": 690,
        "placed_at": PLACED,
        "note": "",
        "projects": {1: "Reading room"},
        "lines": lines
        or (
            line(1, Item.key("14", 16), 100, 2, 1290, "NF-1416/100"),
            line(2, Item.plug("walnut", "14", 3), 25, 1, 550),
            line(3, GLUE, 500, 2, 640),
        ),
        "cancelled_at": None,
    }
    return PlacedOrder(**(fields | changes))  # type: ignore[arg-type]
