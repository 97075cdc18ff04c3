"""Words that the stockroom's pages say the same way: movements, changes, whom a claim is for."""

from __future__ import annotations

from collections.abc import Mapping

from domain.lengths import Units
from domain.ordering.items import Item
from webapp.store.stages import StagedProject
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


def project_name(number: int, projects: Mapping[int, StagedProject]) -> str:
    """The project's name; of one that is gone, its number."""
    project = projects.get(number)
    return f"project {number}, deleted since" if project is None else project.name
