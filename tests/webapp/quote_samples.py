"""Projects with all that a quote needs: terms that nobody's form starts with, and a price for all they take."""

from __future__ import annotations

from datetime import date
from typing import Any

from domain.ordering.items import Item
from domain.quoting.of_file import basis_of_file
from domain.reading import read
from domain.spec.project import Project
from domain.spec.quote import QuoteTerms, ShopTerms
from domain.takeoff.takeoff import Takeoff
from webapp.store import Store, suppliers
from webapp.store.projects import update_quote
from webapp.store.shop import load_shop, update_terms
from webapp.store.stock_values import OfferTerms, Price, SupplierTerms
from webapp.usecases.quotes import quote_of
from webapp.wording.quote import told_quantity

TERMS: dict[str, Any] = {
    "rate": 4650,
    "margin": 12.5,
    "tax": {"name": "Sales tax", "rate": 7.75},
    "work": [{"text": "Sanding and oiling", "minutes": 75}],
    "lines": [{"text": "Hanging wire", "count": 3, "price": 240}, {"text": "Delivery to the hall", "price": 3800}],
    "address": ["Harbour Lane 4", "Northmere"],
    "note": ["Wood from one log, oiled twice."],
}
LOT = 1_700
"""What all of any item costs, and a coin more for each that stands before it."""


def quoted(project: Project, takeoff: Takeoff, **terms: Any) -> tuple[Project, Takeoff]:
    """The project with terms, and every item that it takes at a price typed by hand."""
    items = [each.name for each in basis_of_file(project, takeoff).materials if each.cost is None]
    prices = [{"item": item, "price": LOT + place} for place, item in enumerate(items)]
    quote = read(QuoteTerms, TERMS | {"prices": prices} | terms)
    return project.model_copy(update={"quote": quote}), takeoff


USUAL: dict[str, Any] = {"rate": 5150, "margin": 6, "tax": {"name": "VAT", "rate": 21}, "address": ["Mill Yard 2"]}
SINCE = date(2020, 1, 1)


def lend(store: Store, *items: Item, **terms: Any) -> None:
    """A shop with usual terms, and each item on offer in packs of 100 at 12.90."""
    with store.writing() as session:
        update_terms(session, load_shop(session).version, read(ShopTerms, USUAL | terms))
        north = suppliers.create_supplier(session, SupplierTerms(name="North", currency="EUR"))
        for item in items:
            offer = suppliers.create_offer(session, item, north, OfferTerms(size=100))
            suppliers.add_price(session, offer, Price(minor=1290, currency="EUR", since=SINCE))


def priced_project(store: Store, project_id: int, **terms: Any) -> None:
    """Give a stored project terms, and a price typed by hand for all of every item that has none."""
    quote = quote_of(store, project_id)
    prices = [
        {"item": each.name, "price": LOT + place, "quantity": told_quantity(each)}
        for place, each in enumerate(quote.basis.materials)
        if each.cost is None
    ]
    with store.writing() as session:
        said = read(QuoteTerms, TERMS | {"prices": prices} | terms)
        update_quote(session, project_id, quote.project.head.version, said)
