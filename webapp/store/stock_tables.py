"""The tables of the stockroom: items, suppliers and their offers, the ledger, orders.

What is booked, priced or ordered is only ever added to: triggers (see the migration) refuse to change
or delete it, and refuse a movement that would take a sum below nothing.
"""

from __future__ import annotations

from datetime import date, datetime

from sqlalchemy import Index, Text, UniqueConstraint
from sqlmodel import Field

from domain.lengths import Length
from webapp.store.columns import WHOLE, DayColumn, LengthColumn, MomentColumn
from webapp.store.tables import NUMBERED, STRICT, Row, check

_WOOD = "kind IN ('bar', 'sheet', 'board', 'strip')"


class ItemRow(Row, table=True):
    """A thing the shop keeps. It refers to its section by name only: stock outlives a section."""

    __tablename__ = "item"
    __table_args__ = (
        UniqueConstraint("name"),
        check("kind", "kind IN ('key', 'plug', 'glue', 'bar', 'sheet', 'board', 'strip')"),
        check(
            "sizes",
            "(kind IN ('glue', 'board', 'strip')) = (size IS NULL) AND "
            "(kind IN ('bar', 'sheet', 'strip')) = (width IS NOT NULL) AND "
            f"({_WOOD}) = (thickness IS NOT NULL)",
        ),
        check("wood", f"NOT {_WOOD} OR (material <> '' AND section = '')"),
        check("width", "width > 0"),
        check("thickness", "thickness > 0"),
        check("size", "size > 0"),
        check("name", "name <> ''"),
        check("minimum_stock", "minimum_stock >= 0"),
        check("version", "version >= 1"),
        NUMBERED,
    )

    id: int | None = Field(default=None, primary_key=True)
    kind: str = Field(sa_type=Text)
    section: str = Field(sa_type=Text)
    size: Length | None = Field(default=None, sa_type=LengthColumn)
    material: str = Field(sa_type=Text)
    width: Length | None = Field(default=None, sa_type=LengthColumn)
    thickness: Length | None = Field(default=None, sa_type=LengthColumn)
    name: str = Field(sa_type=Text)
    minimum_stock: int = 0
    version: int = 1


class SupplierRow(Row, table=True):
    """Who sells; what sending an order costs and the least order, in minor units of ``currency``."""

    __tablename__ = "supplier"
    __table_args__ = (
        UniqueConstraint("name"),
        check("name", "name <> ''"),
        check("currency", "length(currency) = 3"),
        check("shipping_minor", "shipping_minor >= 0"),
        check("minimum_order_minor", "minimum_order_minor >= 0"),
        check("version", "version >= 1"),
        NUMBERED,
    )

    id: int | None = Field(default=None, primary_key=True)
    name: str = Field(sa_type=Text)
    currency: str = Field(sa_type=Text)
    shipping_minor: int = Field(sa_type=WHOLE)
    minimum_order_minor: int = Field(sa_type=WHOLE)
    version: int = 1


class OfferRow(Row, table=True):
    """One pack size of an item from a supplier. ``withdrawn`` is 1 where it can no longer be had."""

    __tablename__ = "offer"
    __table_args__ = (
        UniqueConstraint("item_id", "supplier_id", "size"),
        check("size", "size >= 1"),
        check("lead_days", "lead_days >= 0"),
        check("withdrawn", "withdrawn IN (0, 1)"),
        check("version", "version >= 1"),
        NUMBERED,
    )

    id: int | None = Field(default=None, primary_key=True)
    item_id: int = Field(foreign_key="item.id")
    supplier_id: int = Field(foreign_key="supplier.id", index=True)
    size: int
    article: str = Field(sa_type=Text)
    lead_days: int
    withdrawn: int = 0
    version: int = 1


class OfferPriceRow(Row, table=True):
    """What a pack costs from a day on; the newest day not after today counts."""

    __tablename__ = "offer_price"
    __table_args__ = (
        Index(None, "offer_id", "from_day"),
        check("from_day", "length(from_day) = 10"),
        check("price_minor", "price_minor >= 0"),
        check("currency", "length(currency) = 3"),
        NUMBERED,
    )

    id: int | None = Field(default=None, primary_key=True)
    offer_id: int = Field(foreign_key="offer.id")
    from_day: date = Field(sa_type=DayColumn)
    price_minor: int = Field(sa_type=WHOLE)
    currency: str = Field(sa_type=Text)
    at: datetime = Field(sa_type=MomentColumn)


class PlacedOrderRow(Row, table=True):
    """An order as it went to one supplier."""

    __tablename__ = "placed_order"
    __table_args__ = (
        UniqueConstraint("number"),
        check("number", "number >= 1"),
        check("supplier_name", "supplier_name <> ''"),
        check("currency", "length(currency) = 3"),
        check("shipping_minor", "shipping_minor >= 0"),
        NUMBERED,
    )

    id: int | None = Field(default=None, primary_key=True)
    number: int
    supplier_id: int = Field(foreign_key="supplier.id")
    supplier_name: str = Field(sa_type=Text)
    currency: str = Field(sa_type=Text)
    shipping_minor: int = Field(sa_type=WHOLE)
    note: str = Field(sa_type=Text)
    placed_at: datetime = Field(sa_type=MomentColumn)


class OrderLineRow(Row, table=True):
    """So many packs of one size, at the price of a pack on that day, and when they are due."""

    __tablename__ = "order_line"
    __table_args__ = (
        UniqueConstraint("order_id", "position"),
        check("position", "position >= 1"),
        check("size", "size >= 1"),
        check("packs", "packs >= 1"),
        check("price_minor", "price_minor >= 0"),
        check("lead_days", "lead_days >= 0"),
        check("due", "length(due) = 10"),
        NUMBERED,
    )

    id: int | None = Field(default=None, primary_key=True)
    order_id: int = Field(foreign_key="placed_order.id")
    position: int
    item_id: int = Field(foreign_key="item.id", index=True)
    size: int
    packs: int
    price_minor: int = Field(sa_type=WHOLE)
    article: str = Field(sa_type=Text)
    lead_days: int
    due: date = Field(sa_type=DayColumn)


class OrderProjectRow(Row, table=True):
    """A project that an order was for, by its number and its name of that day."""

    __tablename__ = "order_project"
    __table_args__ = (check("project_name", "project_name <> ''"), STRICT)

    order_id: int = Field(
        primary_key=True, foreign_key="placed_order.id", sa_column_kwargs={"autoincrement": False}
    )
    project_id: int = Field(primary_key=True, sa_column_kwargs={"autoincrement": False})
    project_name: str = Field(sa_type=Text)


class OrderEndRow(Row, table=True):
    """That an order was cancelled: what had not come by then never will."""

    __tablename__ = "order_end"
    __table_args__ = (STRICT,)

    order_id: int = Field(
        primary_key=True, foreign_key="placed_order.id", sa_column_kwargs={"autoincrement": False}
    )
    at: datetime = Field(sa_type=MomentColumn)


class MovementRow(Row, table=True):
    """One entry of the ledger: by how much it changes what is on hand, reserved and needed.

    A balance is a sum of these. ``needed`` and ``reserved`` are the project's; it is known by number
    only, for the ledger outlives it. ``counted`` is what a stock count found.
    """

    __tablename__ = "movement"
    __table_args__ = (
        # all that a balance is summed from, so that it is read from the index alone
        Index("ix_movement_sums", "item_id", "project_id", "kind", "on_hand", "reserved", "needed"),
        Index(None, "project_id", "item_id"),
        Index(None, "order_line_id", "on_hand"),
        check("project_id", "project_id >= 1"),
        check("counted", "counted >= 0"),
        check("order_line_id", "order_line_id IS NULL OR kind = 'received'"),
        check(
            "kind",
            "(kind = 'received' AND on_hand > 0 AND reserved = 0 AND needed = 0) OR "
            "(kind = 'used' AND on_hand < 0 AND reserved <= 0 AND needed = 0) OR "
            "(kind = 'returned' AND on_hand > 0 AND reserved >= 0 AND needed = 0) OR "
            "(kind = 'counted' AND reserved = 0 AND needed = 0) OR "
            "(kind = 'adjusted' AND on_hand <> 0 AND reserved = 0 AND needed = 0) OR "
            "(kind = 'reserved' AND on_hand = 0 AND reserved >= 0 AND needed > 0) OR "
            "(kind = 'released' AND on_hand = 0 AND reserved <= 0 AND needed < 0)",
        ),
        check("project", "(kind IN ('used', 'returned', 'reserved', 'released')) = (project_id IS NOT NULL)"),
        check("count", "(kind = 'counted') = (counted IS NOT NULL)"),
        NUMBERED,
    )

    id: int | None = Field(default=None, primary_key=True)
    item_id: int = Field(foreign_key="item.id")
    kind: str = Field(sa_type=Text)
    on_hand: int
    reserved: int
    needed: int
    project_id: int | None = None
    order_line_id: int | None = Field(default=None, foreign_key="order_line.id")
    counted: int | None = None
    note: str = Field(sa_type=Text)
    at: datetime = Field(sa_type=MomentColumn)
