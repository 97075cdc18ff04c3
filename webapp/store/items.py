"""Items: what the shop keeps. One is there from the first time that anybody names it."""

from __future__ import annotations

from dataclasses import dataclass

from sqlmodel import Session, col, select

from domain.ordering.items import WOOD, Item, ItemKind
from webapp.store.columns import choice_in
from webapp.store.errors import NameTaken
from webapp.store.rows import claim, find, number_of
from webapp.store.stock_tables import ItemRow
from webapp.store.stock_values import check_quantity


@dataclass(frozen=True, slots=True)
class StoredItem:
    """An item, and how many the shop wants to have at least."""

    id: int
    version: int
    item: Item
    minimum_stock: int


def list_items(session: Session) -> tuple[StoredItem, ...]:
    """Every item, in the items' own order."""
    stored = (_stored(row) for row in session.exec(select(ItemRow)))
    return tuple(sorted(stored, key=lambda each: each.item.order))


def has_wood(session: Session) -> bool:
    """True where the shop keeps any wood, be it none of it on hand."""
    return session.exec(select(ItemRow.id).where(col(ItemRow.kind).in_(WOOD)).limit(1)).first() is not None


def woods(session: Session) -> tuple[str, ...]:
    """What the shop's wood is called, each name once."""
    names = select(ItemRow.material).where(col(ItemRow.kind).in_(WOOD)).distinct()
    return tuple(session.exec(names.order_by(col(ItemRow.material))))


def load_item(session: Session, item_id: int) -> StoredItem:
    """One item. Raises NotFound."""
    return _stored(find(session, ItemRow, item_id))


def find_item(session: Session, item: Item) -> StoredItem | None:
    """The item of that name, where the shop has it."""
    row = session.exec(select(ItemRow).where(ItemRow.name == item.name)).first()
    return None if row is None else _stored(row)


def create_item(session: Session, item: Item, minimum_stock: int = 0) -> int:
    """A new item; its number. Raises NameTaken or BadInput."""
    check_quantity(("minimum_stock",), minimum_stock, item=item, least=0)
    if find_item(session, item) is not None:
        raise NameTaken("item", item.name)
    row = ItemRow(
        kind=item.kind.value,
        section=item.section,
        size=item.size,
        material=item.material,
        width=item.width,
        thickness=item.thickness,
        name=item.name,
        minimum_stock=minimum_stock,
    )
    session.add(row)
    session.flush()
    return number_of(row)


def ensure_item(session: Session, item: Item) -> int:
    """The number of the item, made if there is none yet."""
    stored = find_item(session, item)
    return create_item(session, item) if stored is None else stored.id


def set_minimum_stock(session: Session, item_id: int, version: int, minimum_stock: int) -> int:
    """Keep at least so many of the item; its new version. Raises NotFound, StaleEdit or BadInput."""
    row = claim(session, ItemRow, item_id, version)
    check_quantity(("minimum_stock",), minimum_stock, item=item_of(row), least=0)
    row.minimum_stock = minimum_stock
    session.flush()
    return row.version


def item_of(row: ItemRow) -> Item:
    """The item that a row holds."""
    return Item(choice_in(ItemKind, row.kind), row.section, row.size, row.material, row.width, row.thickness)


def _stored(row: ItemRow) -> StoredItem:
    return StoredItem(number_of(row), row.version, item_of(row), row.minimum_stock)
