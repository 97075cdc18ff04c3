"""Suppliers, the packs they offer, and what a pack costs from which day on.

Prices are only ever added. A pack that can no longer be had is withdrawn, not deleted: its prices stay.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date

from sqlalchemy import ColumnElement
from sqlmodel import Session, col, select

from domain.ordering.items import Item
from domain.reading import read
from webapp.store.engine import now
from webapp.store.errors import NameTaken
from webapp.store.items import create_item, ensure_item, item_of, list_items
from webapp.store.rows import claim, find, number_of
from webapp.store.stock_tables import ItemRow, OfferPriceRow, OfferRow, SupplierRow
from webapp.store.stock_values import OfferTerms, Price, SupplierTerms


@dataclass(frozen=True, slots=True)
class StoredSupplier:
    """A supplier; ``version`` is what a form that edits it carries."""

    id: int
    version: int
    terms: SupplierTerms


@dataclass(frozen=True, slots=True)
class StoredOffer:
    """A pack of an item from a supplier; ``price`` is None before its first price counts."""

    id: int
    version: int
    item: Item
    supplier_id: int
    supplier: str
    terms: OfferTerms
    withdrawn: bool
    price: Price | None


def list_suppliers(session: Session) -> tuple[StoredSupplier, ...]:
    """Every supplier by name."""
    # not by the database, of which each has an order of its own for names
    found = (_supplier(row) for row in session.exec(select(SupplierRow)))
    return tuple(sorted(found, key=lambda supplier: supplier.terms.name))


def load_supplier(session: Session, supplier_id: int) -> StoredSupplier:
    """One supplier. Raises NotFound."""
    return _supplier(find(session, SupplierRow, supplier_id))


def find_supplier(session: Session, name: str) -> StoredSupplier | None:
    """The supplier of that name, where there is one."""
    row = session.exec(select(SupplierRow).where(SupplierRow.name == name)).first()
    return None if row is None else _supplier(row)


def create_supplier(session: Session, terms: SupplierTerms) -> int:
    """A new supplier; its number. Raises NameTaken."""
    _free_name(session, terms.name)
    row = SupplierRow(
        name=terms.name,
        currency=terms.currency,
        shipping_minor=terms.shipping,
        minimum_order_minor=terms.minimum_order,
    )
    session.add(row)
    session.flush()
    return number_of(row)


def update_supplier(session: Session, supplier_id: int, version: int, terms: SupplierTerms) -> int:
    """Put ``terms`` in the place of the supplier's; its new version. Raises NotFound, StaleEdit or NameTaken."""
    row = claim(session, SupplierRow, supplier_id, version)
    if terms.name != row.name:
        _free_name(session, terms.name)
    row.name, row.currency = terms.name, terms.currency
    row.shipping_minor, row.minimum_order_minor = terms.shipping, terms.minimum_order
    session.flush()
    return row.version


def list_offers(session: Session, day: date, *, withdrawn: bool = False) -> tuple[StoredOffer, ...]:
    """Offers with the price that counts on ``day``, by item, supplier and size; withdrawn ones if asked."""
    among = () if withdrawn else (col(OfferRow.withdrawn) == 0,)
    return tuple(sorted(_offers(session, day, *among), key=_in_order))


def load_offer(session: Session, offer_id: int, day: date) -> StoredOffer:
    """One offer with the price that counts on ``day``. Raises NotFound."""
    find(session, OfferRow, offer_id)
    return next(iter(_offers(session, day, col(OfferRow.id) == offer_id)))


def find_offer(session: Session, item: Item, supplier_id: int, size: int, day: date) -> StoredOffer | None:
    """The offer of an item, a supplier and a size, withdrawn or not, where there is one."""
    same = (col(ItemRow.name) == item.name, col(OfferRow.supplier_id) == supplier_id, col(OfferRow.size) == size)
    return next(iter(_offers(session, day, *same)), None)


def create_offer(session: Session, item: Item, supplier_id: int, terms: OfferTerms) -> int:
    """A new offer, or a withdrawn one of that size offered again; its number.

    The item is made if the shop does not have it yet. Raises NotFound for the supplier, NameTaken
    where the size is on offer already.
    """
    supplier = find(session, SupplierRow, supplier_id)
    item_id = ensure_item(session, item)
    row = session.exec(
        select(OfferRow).where(
            OfferRow.item_id == item_id, OfferRow.supplier_id == supplier_id, OfferRow.size == terms.size
        )
    ).first()
    if row is None:
        row = OfferRow(
            item_id=item_id,
            supplier_id=supplier_id,
            size=terms.size,
            article=terms.article,
            lead_days=terms.lead_days,
        )
    elif not row.withdrawn:
        raise NameTaken("pack", f"of {terms.size} {item.unit} of {item.name} from {supplier.name}")
    else:
        row.withdrawn, row.version = 0, row.version + 1
        row.article, row.lead_days = terms.article, terms.lead_days
    session.add(row)
    session.flush()
    return number_of(row)


def update_offer(session: Session, offer_id: int, version: int, *, article: str, lead_days: int) -> int:
    """Change the article number and the lead time; the new version. Raises NotFound, StaleEdit or BadInput."""
    row = claim(session, OfferRow, offer_id, version)
    terms = read(OfferTerms, {"size": row.size, "article": article, "lead_days": lead_days})
    row.article, row.lead_days = terms.article, terms.lead_days
    session.flush()
    return row.version


def withdraw_offer(session: Session, offer_id: int, version: int) -> None:
    """The pack can no longer be had. Raises NotFound or StaleEdit."""
    claim(session, OfferRow, offer_id, version).withdrawn = 1
    session.flush()


def add_price(session: Session, offer_id: int, price: Price) -> bool:
    """The offer costs this from that day on; False where it did already. Raises NotFound."""
    find(session, OfferRow, offer_id)
    if next(iter(_prices(session, offer_id, price.since)), None) == price:
        return False
    session.add(
        OfferPriceRow(
            offer_id=offer_id,
            from_day=price.since,
            price_minor=price.minor,
            currency=price.currency,
            at=now(session),
        )
    )
    session.flush()
    return True


def list_prices(session: Session, offer_id: int) -> tuple[Price, ...]:
    """Every price of an offer, the one that begins last first; of two from one day, the one added last."""
    return tuple(_prices(session, offer_id, date.max))


def _prices(session: Session, offer_id: int, day: date) -> Iterable[Price]:
    rows = session.exec(
        select(OfferPriceRow)
        .where(OfferPriceRow.offer_id == offer_id, OfferPriceRow.from_day <= day)
        .order_by(col(OfferPriceRow.from_day).desc(), col(OfferPriceRow.id).desc())
    )
    return (_price(row) for row in rows)


def _offers(session: Session, day: date, *among: ColumnElement[bool]) -> Iterable[StoredOffer]:
    newest = (
        select(OfferPriceRow.id)
        .where(OfferPriceRow.offer_id == OfferRow.id, OfferPriceRow.from_day <= day)
        .order_by(col(OfferPriceRow.from_day).desc(), col(OfferPriceRow.id).desc())
        .limit(1)
        .correlate(OfferRow)
        .scalar_subquery()
    )
    rows = session.exec(
        select(OfferRow, ItemRow, SupplierRow, OfferPriceRow)
        .join(ItemRow, col(ItemRow.id) == OfferRow.item_id)
        .join(SupplierRow, col(SupplierRow.id) == OfferRow.supplier_id)
        .join(OfferPriceRow, col(OfferPriceRow.id) == newest, isouter=True)
        .where(*among)
    )
    for offer, item, supplier, price in rows:
        yield StoredOffer(
            id=number_of(offer),
            version=offer.version,
            item=item_of(item),
            supplier_id=offer.supplier_id,
            supplier=supplier.name,
            terms=OfferTerms(size=offer.size, article=offer.article, lead_days=offer.lead_days),
            withdrawn=bool(offer.withdrawn),
            price=None if price is None else _price(price),
        )


def _in_order(offer: StoredOffer) -> tuple[object, ...]:
    return (*offer.item.order, offer.supplier, offer.terms.size)


def _price(row: OfferPriceRow) -> Price:
    return Price(minor=row.price_minor, currency=row.currency, since=row.from_day)


def _supplier(row: SupplierRow) -> StoredSupplier:
    terms = SupplierTerms(
        name=row.name,
        currency=row.currency,
        shipping=row.shipping_minor,
        minimum_order=row.minimum_order_minor,
    )
    return StoredSupplier(number_of(row), row.version, terms)


def _free_name(session: Session, name: str) -> None:
    if find_supplier(session, name) is not None:
        raise NameTaken("supplier", name)


History = tuple[Price, ...]
"""An offer's prices, the one that begins last first; of two from one day, the one added last."""


def price_histories(session: Session) -> dict[int, History]:
    """The prices of each offer that has any, by the offer's number."""
    found: dict[int, list[Price]] = {}
    for row in session.exec(
        select(OfferPriceRow).order_by(col(OfferPriceRow.from_day).desc(), col(OfferPriceRow.id).desc())
    ):
        price = Price(minor=row.price_minor, currency=row.currency, since=row.from_day)
        found.setdefault(row.offer_id, []).append(price)
    return {offer_id: tuple(prices) for offer_id, prices in found.items()}


def price_on(history: Sequence[Price], day: date) -> Price | None:
    """The price that counts on that day; None before the first."""
    return next((price for price in history if price.since <= day), None)


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
