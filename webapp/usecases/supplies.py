"""Suppliers and their offers: shown and changed. Each change books once for the form that asks for it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date

from sqlmodel import Session

from domain.lengths import Units
from domain.ordering.items import Item
from webapp.store import Store
from webapp.store.engine import today
from webapp.store.errors import NotFound
from webapp.store.items import list_items
from webapp.store.shop import load_shop
from webapp.store.stock_values import OfferTerms, Price, SupplierTerms
from webapp.store.suppliers import (
    History,
    StoredOffer,
    StoredSupplier,
    add_price,
    create_offer,
    create_supplier,
    list_offers,
    list_prices,
    list_suppliers,
    load_offer,
    load_supplier,
    price_histories,
    price_on,
    update_offer,
    update_supplier,
    withdraw_offer,
)
from webapp.store.tokens import Sending
from webapp.usecases.booking import book_once


@dataclass(frozen=True, slots=True)
class Supplies:
    """All suppliers with the offers that stand, and the currency that the shop counts in."""

    day: date
    currency: str
    units: Units
    suppliers: tuple[StoredSupplier, ...]
    offers: tuple[StoredOffer, ...]
    histories: dict[int, History]
    items: Mapping[Item, int]
    """Everything that the stockroom keeps, with its minimum stock."""

    def supplier(self, supplier_id: int) -> StoredSupplier:
        """The supplier of that number. Raises NotFound."""
        for stored in self.suppliers:
            if stored.id == supplier_id:
                return stored
        raise NotFound("supplier", supplier_id)

    def offers_of(self, supplier_id: int) -> tuple[StoredOffer, ...]:
        """The supplier's offers, by item and size."""
        return tuple(offer for offer in self.offers if offer.supplier_id == supplier_id)

    def coming(self, offer_id: int) -> Price | None:
        """The next price that will count from a later day; None where none is known."""
        later = [price for price in self.histories.get(offer_id, ()) if price.since > self.day]
        return later[-1] if later else None


@dataclass(frozen=True, slots=True)
class OfferView:
    """An offer with all its prices, the one that begins last first."""

    day: date
    currency: str
    units: Units
    offer: StoredOffer
    supplier: StoredSupplier
    prices: History

    @property
    def counting(self) -> Price | None:
        """The price that counts today."""
        return price_on(self.prices, self.day)


def load_supplies(store: Store) -> Supplies:
    """All suppliers and offers, with the prices that count today."""
    with store.reading() as session:
        day, shop = today(session), load_shop(session)
        return Supplies(
            day=day,
            currency=shop.currency,
            units=shop.units,
            suppliers=list_suppliers(session),
            offers=list_offers(session, day),
            histories=price_histories(session),
            items={stored.item: stored.minimum_stock for stored in list_items(session)},
        )


def offer_view(store: Store, offer_id: int) -> OfferView:
    """One offer. Raises NotFound."""
    with store.reading() as session:
        day, shop = today(session), load_shop(session)
        offer = load_offer(session, offer_id, day)
        return OfferView(
            day=day,
            currency=shop.currency,
            units=shop.units,
            offer=offer,
            supplier=load_supplier(session, offer.supplier_id),
            prices=list_prices(session, offer_id),
        )


def add_supplier(store: Store, sent: Sending, terms: SupplierTerms) -> int:
    """A new supplier; its number. Raises NameTaken."""
    (number,) = book_once(store, sent, lambda session: (create_supplier(session, terms),))
    return number


def change_supplier(store: Store, sent: Sending, supplier_id: int, version: int, terms: SupplierTerms) -> None:
    """Put ``terms`` in the place of the supplier's. Raises NotFound, StaleEdit or NameTaken."""
    book_once(store, sent, lambda session: (update_supplier(session, supplier_id, version, terms),))


def add_offer(store: Store, sent: Sending, supplier_id: int, item: Item, terms: OfferTerms, price: Price) -> int:
    """A new offer with its first price; its number. Raises NotFound or NameTaken."""

    def act(session: Session) -> tuple[int]:
        number = create_offer(session, item, supplier_id, terms)
        add_price(session, number, price)
        return (number,)

    (number,) = book_once(store, sent, act)
    return number


def change_offer(store: Store, sent: Sending, offer_id: int, version: int, terms: OfferTerms) -> None:
    """Change article number and lead time. Raises NotFound, StaleEdit or BadInput."""
    book_once(
        store,
        sent,
        lambda session: (
            update_offer(session, offer_id, version, article=terms.article, lead_days=terms.lead_days),
        ),
    )


def price_offer(store: Store, sent: Sending, offer_id: int, price: Price) -> None:
    """The offer costs this from that day on. Raises NotFound."""
    book_once(store, sent, lambda session: (int(add_price(session, offer_id, price)),))


def end_offer(store: Store, sent: Sending, offer_id: int, version: int) -> None:
    """The pack can no longer be had. Raises NotFound or StaleEdit."""

    def act(session: Session) -> tuple[int]:
        withdraw_offer(session, offer_id, version)
        return (offer_id,)

    book_once(store, sent, act)
