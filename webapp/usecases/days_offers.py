"""What is offered on a day: packs as the ordering weighs them, and the offers that it cannot use."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date

from sqlmodel import Session

from domain.ordering.request import Pack, Supplier
from webapp.store.stock_values import Price
from webapp.store.suppliers import StoredOffer, StoredSupplier, list_offers, list_suppliers


@dataclass(frozen=True, slots=True)
class DaysOffers:
    """The packs of a day that are priced in ``currency``, each with its offer; others are named, and left out."""

    currency: str
    packs: Mapping[Pack, StoredOffer]
    suppliers: Mapping[str, StoredSupplier]
    other_currency: tuple[StoredOffer, ...]
    unpriced: tuple[StoredOffer, ...]

    @property
    def terms(self) -> dict[str, Supplier]:
        """Every supplier's terms, by name."""
        return {
            name: Supplier(name=name, shipping=each.terms.shipping, minimum_order=each.terms.minimum_order)
            for name, each in self.suppliers.items()
        }


def days_offers_in(session: Session, day: date, currency: str, *, withdrawn: bool = False) -> DaysOffers:
    """What could be bought on ``day`` in ``currency``; ``withdrawn`` adds what is offered no longer."""
    suppliers = {supplier.terms.name: supplier for supplier in list_suppliers(session)}
    usable: dict[Pack, StoredOffer] = {}
    foreign: list[StoredOffer] = []
    unpriced: list[StoredOffer] = []
    for offer in list_offers(session, day, withdrawn=withdrawn):
        if offer.price is None:
            unpriced.append(offer)
        elif {offer.price.currency, suppliers[offer.supplier].terms.currency} != {currency}:
            foreign.append(offer)
        else:
            usable[_pack(offer, offer.price)] = offer
    return DaysOffers(currency, usable, suppliers, tuple(foreign), tuple(unpriced))


def _pack(offer: StoredOffer, price: Price) -> Pack:
    return Pack(
        item=offer.item.name,
        supplier=offer.supplier,
        size=offer.terms.size,
        price=price.minor,
        article=offer.terms.article or None,
    )
