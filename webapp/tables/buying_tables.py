"""What is bought, as tables: offers as an import reads them again, and the lines of a placed order."""

from __future__ import annotations

from collections.abc import Iterator

from domain.lengths import Units
from webapp.store.orders import OrderLine, PlacedOrder
from webapp.store.stock_values import OrderLineDraft
from webapp.store.suppliers import StoredOffer
from webapp.tables.table import Cell, Column, Kind, Table, money, texts
from webapp.usecases import offer_file
from webapp.usecases.ordering import OrderPlan
from webapp.usecases.supplies import Supplies
from webapp.wording.amounts import counted
from webapp.wording.exact import price_text


def order_table(order: PlacedOrder, units: Units = Units.MM) -> Table:
    """A row for every line, and one for shipping, so that the sums add up to the order's total.

    Wood is counted in what ``units`` say: m³ and m, or board feet and feet.
    """
    currency = order.currency
    columns = (
        Column("Line", Kind.COUNT),
        *_bought_columns(currency),
        Column("Due", Kind.TEXT),
        Column("Packs received", Kind.COUNT),
        Column("Packs to come", Kind.COUNT),
        Column("Supplier", Kind.TEXT),
        Column("Order", Kind.COUNT),
    )
    named: tuple[Cell, ...] = (order.supplier, order.number)
    rows: list[tuple[Cell, ...]] = [
        (
            line.position,
            *_bought(line, currency, units),
            line.due.isoformat(),
            line.received,
            line.to_come,
            *named,
        )
        for line in order.lines
    ]
    rows.append((None, *_shipping(order.shipping, currency), *(None,) * 3, *named))
    return Table(f"Order {order.number}", units, columns, tuple(rows))


def plan_table(plan: OrderPlan, units: Units) -> Table:
    """A row for every line that a plan would order, and one for each supplier's shipping; wood as above."""
    currency = plan.offers.currency
    names = {supplier.id: name for name, supplier in plan.offers.suppliers.items()}
    rows: list[tuple[Cell, ...]] = []
    for draft in plan.drafts:
        supplier = names[draft.supplier_id]
        rows += [(supplier, *_bought(line, currency, units)) for line in draft.lines]
        rows.append((supplier, *_shipping(draft.shipping, currency)))
    return Table("Order plan", units, (Column("Supplier", Kind.TEXT), *_bought_columns(currency)), tuple(rows))


def _bought_columns(currency: str) -> tuple[Column, ...]:
    return (
        *texts("Article", "Item"),
        Column("Packs", Kind.COUNT),
        Column("In a pack", Kind.NUMBER),
        Column("In all", Kind.NUMBER),
        Column("Counted in", Kind.TEXT),
        Column("Price of a pack", Kind.NUMBER, currency),
        Column("Sum", Kind.NUMBER, currency),
    )


def _bought(line: OrderLine | OrderLineDraft, currency: str, units: Units) -> tuple[Cell, ...]:
    unit = line.item.unit
    return (
        line.article,
        line.item.name,
        line.packs,
        counted(line.size, unit, units)[0],
        *counted(line.packs * line.size, unit, units),
        money(line.pack_price, currency),
        money(line.packs * line.pack_price, currency),
    )


def _shipping(cost: int, currency: str) -> tuple[Cell, ...]:
    return (None, "Shipping", *(None,) * 5, money(cost, currency))


_COUNTS = {offer_file.Column.SIZE, offer_file.Column.LEAD, offer_file.Column.MINIMUM}


def offer_table(supplies: Supplies) -> Table:
    """Offers with the price that counts today, or the next one; an offer without any price is left out."""
    columns = tuple(
        Column(column.value, Kind.COUNT if column in _COUNTS else Kind.TEXT) for column in offer_file.Column
    )
    return Table("Offers", Units.MM, columns, tuple(_rows(supplies)))


def _rows(supplies: Supplies) -> Iterator[tuple[Cell, ...]]:
    for offer in supplies.offers:
        row = _row(offer, supplies, supplies.items.get(offer.item, 0))
        if row is not None:
            yield row


def _row(offer: StoredOffer, supplies: Supplies, minimum: int) -> tuple[Cell, ...] | None:
    price = offer.price or supplies.coming(offer.id)
    if price is None:
        return None
    return (
        offer.item.name,
        offer.supplier,
        offer.terms.size,
        # as text: 12.90 stays 12.90, with as many decimals as its currency has
        price_text(price.minor, price.currency),
        price.currency,
        price.since.isoformat(),
        offer.terms.article,
        offer.terms.lead_days,
        minimum,
    )
