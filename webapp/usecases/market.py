"""What can be bought on a day: packs as the ordering weighs them, and the offers that it cannot use."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date

from sqlmodel import Session

from domain.ordering.request import Pack, Supplier
from webapp.store.suppliers import StoredOffer, StoredSupplier, list_offers, list_suppliers

OfferKey = tuple[str, str, int]
"""Item, supplier, size: what one offer is known by."""


@dataclass(frozen=True, slots=True)
class Market:
    """The offers of a day that are priced in ``currency``; the others are named, and left out."""

    currency: str
    offers: Mapping[OfferKey, StoredOffer]
    suppliers: Mapping[str, StoredSupplier]
    other_currency: tuple[StoredOffer, ...]
    unpriced: tuple[StoredOffer, ...]

    def packs(self) -> tuple[Pack, ...]:
        """Every pack on offer."""
        return tuple(
            Pack(
                item=item,
                supplier=supplier,
                size=size,
                price=offer.price.minor,
                article=offer.terms.article or None,
            )
            for (item, supplier, size), offer in self.offers.items()
            if offer.price is not None
        )

    def terms(self, packs: tuple[Pack, ...]) -> tuple[Supplier, ...]:
        """The terms of the suppliers that offer these packs."""
        names = sorted({pack.supplier for pack in packs})
        return tuple(
            Supplier(
                name=name,
                shipping=self.suppliers[name].terms.shipping,
                minimum_order=self.suppliers[name].terms.minimum_order,
            )
            for name in names
        )


def market(session: Session, day: date, currency: str, *, withdrawn: bool = False) -> Market:
    """What could be bought on ``day`` in ``currency``; ``withdrawn`` adds what is offered no longer."""
    suppliers = {supplier.terms.name: supplier for supplier in list_suppliers(session)}
    usable: dict[OfferKey, StoredOffer] = {}
    foreign: list[StoredOffer] = []
    unpriced: list[StoredOffer] = []
    for offer in list_offers(session, day, withdrawn=withdrawn):
        if offer.price is None:
            unpriced.append(offer)
        elif {offer.price.currency, suppliers[offer.supplier].terms.currency} != {currency}:
            foreign.append(offer)
        else:
            usable[offer.item.name, offer.supplier, offer.terms.size] = offer
    return Market(currency, usable, suppliers, tuple(foreign), tuple(unpriced))
