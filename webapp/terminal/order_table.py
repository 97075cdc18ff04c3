"""An order as lines of text, for the terminal."""

from __future__ import annotations

from collections.abc import Iterator

from domain.ordering.order import Order
from webapp.terminal.takeoff_table import Row, columns
from webapp.wording.money import format_money

_LINES: Row = ("Buy", "From", "Packs", "of", "Price")
_ITEMS: Row = ("Item", "", "Short", "Bought", "Left over")


def order_table(order: Order, currency: str) -> Iterator[str]:
    """What to buy where, what each item gets, what nobody sells, what could not be proven."""
    if order.lines:
        lines = [
            (
                line.pack.item,
                line.pack.supplier,
                str(line.packs),
                str(line.pack.size),
                format_money(line.line_price, currency),
            )
            for line in order.lines
        ]
        yield from columns([_LINES, *lines])
        yield ""
        yield f"Shipping  {format_money(order.shipping, currency)}"
        yield f"Total     {format_money(order.total, currency)}"
    else:
        yield "Nothing to buy."
    if order.doubt:
        yield order.doubt
    if order.items:
        yield ""
        items = [(each.item, "", *map(str, (each.short, each.bought, each.left_over))) for each in order.items]
        yield from columns([_ITEMS, *items])
    for unmet in order.unmet:
        yield f"{unmet.item}: cannot be bought: {unmet.why}"
