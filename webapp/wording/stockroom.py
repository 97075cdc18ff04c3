"""The stockroom's list in words: the same on its page and on paper."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Protocol

from domain.lengths import Units
from domain.ordering.items import Item, ItemKind
from webapp.wording.amounts import amount, bare_amount

KINDS = {
    ItemKind.KEY: "Keys",
    ItemKind.PLUG: "Plugs",
    ItemKind.GLUE: "Glue",
    ItemKind.BAR: "Bars",
    ItemKind.SHEET: "Sheets",
    ItemKind.BOARD: "Boards",
    ItemKind.STRIP: "Strips",
}
ABOUT = (
    "Free: on hand and reserved for nobody. Short: reserved and minimum stock, less what is on hand and on order."
)
HEADINGS = ("Item, sizes in mm", "Short", "On hand", "Reserved", "By", "Free", "On order", "Minimum")


@dataclass(frozen=True, slots=True)
class StockCounts:
    """An item's figures, in what it is counted in."""

    short: int
    on_hand: int
    reserved: int
    free: int
    on_order: int
    minimum: int


@dataclass(frozen=True, slots=True)
class StockWords:
    """An item's line; a figure that is nothing is "", but for what is on hand and free.

    ``by`` is how much is reserved, and for whom.
    """

    item: str
    short: str
    on_hand: str
    reserved: str
    by: tuple[tuple[str, str], ...]
    free: str
    on_order: str
    minimum: str


def stock_words(item: Item, counts: StockCounts, by: Sequence[tuple[int, str]], units: Units) -> StockWords:
    """The line of an item; ``by`` has what is reserved for whom."""

    def bare(count: int) -> str:
        return bare_amount(count, item.unit, units) if count else ""

    return StockWords(
        item=item.name,
        short=f"short {amount(counts.short, item.unit, units)}" if counts.short else "",
        on_hand=amount(counts.on_hand, item.unit, units),
        reserved=bare(counts.reserved),
        by=tuple((bare_amount(count, item.unit, units), name) for count, name in by),
        free=bare_amount(counts.free, item.unit, units),
        on_order=bare(counts.on_order),
        minimum=bare(counts.minimum),
    )


class Named(Protocol):
    """What has a name."""

    @property
    def name(self) -> str:
        """Its name."""
        ...


def project_name(number: int, projects: Mapping[int, Named]) -> str:
    """The name of the project of that number; of one that is gone, its number."""
    project = projects.get(number)
    return f"project {number}, deleted since" if project is None else project.name


def shelf(item: Item) -> str:
    """What the item stands among: keys of a section, plugs or bars of a wood, glue.

    >>> shelf(Item.key("14", 16)), shelf(Item.plug("walnut", "14", 3))
    ('Keys, section 14', 'Plugs, walnut')
    """
    match item.kind:
        case ItemKind.KEY:
            return f"Keys, section {item.section}"
        case ItemKind.GLUE:
            return KINDS[item.kind]
        case _:
            return f"{KINDS[item.kind]}, {item.material}"
