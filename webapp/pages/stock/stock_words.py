"""Words that the stockroom's pages say the same way: movements and changes."""

from __future__ import annotations

from domain.lengths import Units
from domain.ordering.items import Item
from webapp.store.stock_values import MovementKind
from webapp.wording.amounts import bare_amount

MOVEMENTS = {
    MovementKind.RECEIVED: "Received",
    MovementKind.USED: "Used",
    MovementKind.RETURNED: "Returned",
    MovementKind.COUNTED: "Counted",
    MovementKind.ADJUSTED: "Adjusted",
    MovementKind.RESERVED: "Reserved",
    MovementKind.RELEASED: "Released",
}


def change(count: int, item: Item, units: Units) -> str:
    """A change with its sign; "" for none.

    >>> key = Item.key("14", 16)
    >>> change(12, key, Units.MM), change(-3, key, Units.MM), change(0, key, Units.MM)
    ('+12', '−3', '')
    """
    return f"{'+' if count > 0 else '−'}{bare_amount(abs(count), item.unit, units)}" if count else ""
