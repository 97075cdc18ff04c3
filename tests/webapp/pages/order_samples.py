"""A shop that buys from two suppliers, on a day that the test sets."""

from __future__ import annotations

import json
from datetime import UTC, date, datetime, timedelta
from typing import Any

from domain.ordering.items import GLUE, Item, parse_item
from webapp.store import Store, ledger
from webapp.store.balances import balances
from webapp.store.items import ensure_item, load_item, set_minimum_stock
from webapp.store.orders import cancel_order, list_running_orders, place_order
from webapp.store.stages import staged_projects
from webapp.store.stock_values import OfferTerms, OrderDraft, OrderLineDraft, Price, SupplierTerms
from webapp.store.suppliers import add_price, create_offer, create_supplier, list_suppliers
from webapp.usecases.demo import FOLDER

KEY = Item.key("14", 16)
LONG = Item.key("14", 38)


class Day:
    """A clock that stands still until it is moved on."""

    def __init__(self) -> None:
        self.now = datetime(2026, 3, 2, 9, tzinfo=UTC)

    def __call__(self) -> datetime:
        return self.now

    def later(self, days: int) -> None:
        self.now += timedelta(days=days)


def supplier(store: Store, name: str = "North", **terms: Any) -> int:
    with store.writing() as session:
        return create_supplier(session, SupplierTerms(name=name, **({"currency": "EUR"} | terms)))


def offer(
    store: Store,
    supplier_id: int,
    item: Item,
    size: int,
    price: int | None,
    *,
    currency: str = "EUR",
    since: date = date(2026, 1, 1),
    **terms: Any,
) -> int:
    with store.writing() as session:
        number = create_offer(session, item, supplier_id, OfferTerms(size=size, **terms))
        if price is not None:
            add_price(session, number, Price(minor=price, currency=currency, since=since))
    return number


def new_price(store: Store, offer_id: int, price: int, since: date, currency: str = "EUR") -> None:
    with store.writing() as session:
        add_price(session, offer_id, Price(minor=price, currency=currency, since=since))


def placed(store: Store, supplier_id: int, *projects: int, **draft: Any) -> int:
    """An order of 2 packs of 100 short keys and 1 pack of 50 long ones, and 3 of glue."""
    lines = (
        OrderLineDraft(item=KEY, size=100, packs=2, pack_price=1290, article="N-1416", lead_days=5),
        OrderLineDraft(item=LONG, size=50, packs=1, pack_price=990, lead_days=9),
        OrderLineDraft(item=GLUE, size=500, packs=3, pack_price=640, lead_days=2),
    )
    fields = {"currency": "EUR", "shipping": 690, "lines": lines} | draft
    with store.writing() as session:
        return place_order(session, OrderDraft(supplier_id=supplier_id, projects=projects, **fields))


def demo_offers(store: Store) -> None:
    """The demo's suppliers and offers, on an empty shelf with nothing reserved and nothing on order."""
    shop = json.loads((FOLDER / "shop.json").read_text(encoding="utf-8"))
    with store.writing() as session:
        if not list_suppliers(session):
            numbers = {
                terms["name"]: create_supplier(session, SupplierTerms(currency=shop["currency"], **terms))
                for terms in shop["suppliers"]
            }
            for sold in shop["offers"]:
                terms = OfferTerms(
                    size=sold["size"], article=sold.get("article", ""), lead_days=sold.get("lead_days", 0)
                )
                number = create_offer(session, parse_item(sold["item"]), numbers[sold["supplier"]], terms)
                price = Price(minor=sold["price"], currency=shop["currency"], since=date(2026, 1, 1))
                add_price(session, number, price)
        for order in list_running_orders(session):
            cancel_order(session, order.number)
        for project in staged_projects(session):
            ledger.release(session, project)
        for balance in balances(session):
            if balance.on_hand:
                ledger.adjust(session, balance.item, -balance.on_hand, "an empty shelf")
            set_minimum_stock(session, balance.item_id, balance.version, 0)


def keep(store: Store, item: Item, on_hand: int = 0, minimum: int = 0) -> None:
    """So many on hand, and at least so many wanted."""
    with store.writing() as session:
        if on_hand:
            ledger.receive(session, item, on_hand)
        if minimum:
            stored = load_item(session, ensure_item(session, item))
            set_minimum_stock(session, stored.id, stored.version, minimum)
