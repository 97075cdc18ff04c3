"""All offers as a table, under the headings that an import reads: what is exported comes back the same."""

from __future__ import annotations

from collections.abc import Iterator

from domain.lengths import Units
from webapp.store.suppliers import StoredOffer
from webapp.tables.project_tables import Cell, Column, Kind, Table
from webapp.usecases import offer_file
from webapp.usecases.supplies import Supplies
from webapp.wording.exact import price_text

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
