"""A placed order as a table: what was ordered, at what price, and how far it has come."""

from __future__ import annotations

from decimal import Decimal

from domain.lengths import Units
from webapp.store.orders import PlacedOrder
from webapp.tables.project_tables import Cell, Column, Kind, Table
from webapp.wording.money import minor_places


def order_table(order: PlacedOrder) -> Table:
    """A row for every line, and one for shipping, so that the sums add up to the order's total."""
    places = minor_places(order.currency)
    columns = (
        Column("Line", Kind.COUNT),
        Column("Article", Kind.TEXT),
        Column("Item", Kind.TEXT),
        Column("Packs", Kind.COUNT),
        Column("In a pack", Kind.COUNT),
        Column("In all", Kind.COUNT),
        Column("Counted in", Kind.TEXT),
        Column("Price of a pack", Kind.NUMBER, order.currency),
        Column("Sum", Kind.NUMBER, order.currency),
        Column("Due", Kind.TEXT),
        Column("Packs received", Kind.COUNT),
        Column("Packs to come", Kind.COUNT),
        Column("Supplier", Kind.TEXT),
        Column("Order", Kind.COUNT),
    )

    def money(minor: int) -> float:
        return float(Decimal(minor).scaleb(-places))

    named: tuple[Cell, ...] = (order.supplier, order.number)
    rows: list[tuple[Cell, ...]] = [
        (
            line.position,
            line.article,
            line.item.name,
            line.packs,
            line.size,
            line.packs * line.size,
            line.item.unit,
            money(line.pack_price),
            money(line.packs * line.pack_price),
            line.due.isoformat(),
            line.received,
            line.to_come,
            *named,
        )
        for line in order.lines
    ]
    rows.append((None, None, "Shipping", *(None,) * 5, money(order.shipping), *(None,) * 3, *named))
    return Table(f"Order {order.number}", Units.MM, columns, tuple(rows))
