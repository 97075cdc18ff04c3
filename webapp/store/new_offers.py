"""Many new offers at once, as a price list brings them: in three statements, not in seven for each."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from sqlmodel import Session

from domain.ordering.items import Item
from webapp.store.engine import now
from webapp.store.items import create_item, list_items
from webapp.store.rows import number_of
from webapp.store.stock_tables import OfferPriceRow, OfferRow
from webapp.store.stock_values import OfferTerms, Price


@dataclass(frozen=True, slots=True)
class NewOffer:
    """A pack that its supplier has not offered before, withdrawn or not, with its first price."""

    item: Item
    supplier_id: int
    terms: OfferTerms
    price: Price


def add_new_offers(session: Session, offers: Sequence[NewOffer]) -> None:
    """Keep the offers; their items are made where the shop does not have them yet."""
    items = {stored.item: stored.id for stored in list_items(session)}
    for offer in offers:
        if offer.item not in items:
            items[offer.item] = create_item(session, offer.item)
    rows = [
        OfferRow(
            item_id=items[offer.item],
            supplier_id=offer.supplier_id,
            size=offer.terms.size,
            article=offer.terms.article,
            lead_days=offer.terms.lead_days,
        )
        for offer in offers
    ]
    session.add_all(rows)
    session.flush()
    session.add_all(
        OfferPriceRow(
            offer_id=number_of(row),
            from_day=offer.price.since,
            price_minor=offer.price.minor,
            currency=offer.price.currency,
            at=now(session),
        )
        for row, offer in zip(rows, offers, strict=True)
    )
    session.flush()
