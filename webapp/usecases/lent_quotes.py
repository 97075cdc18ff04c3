"""Quotes of documents that come in from outside: what they do not say of terms and prices, the shop lends.

Wood is lent no price: what it is cut from is planned from the stock that the document names itself.
"""

from __future__ import annotations

from collections.abc import Iterable

from sqlmodel import Session

from domain.ordering.costs import unit_prices
from domain.ordering.items import Item
from domain.ordering.needs import Job, project_needs
from domain.quoting.materials import PricedBy
from domain.quoting.of_file import basis_of_file
from domain.quoting.reckoning import Reckoning, reckon, settle
from domain.spec.project import Project
from domain.spec.quote import NO_TERMS, TypedPrice
from domain.takeoff.takeoff import Takeoff
from webapp.store import Store
from webapp.store.catalogue import list_plugs, list_sections
from webapp.store.engine import today
from webapp.store.shop import load_shop
from webapp.usecases.days_offers import days_offers_in


def lent_quote(store: Store, project: Project, takeoff: Takeoff) -> Reckoning:
    """The document's quote with what the shop lends. Raises BadInput."""
    with store.reading() as session:
        shop = load_shop(session)
        currency = project.currency or shop.currency
        offers = days_offers_in(session, today(session), currency)
        items = project_needs(Job(project.name, takeoff.assemblies, project.rules or shop.rules))
        # the catalogue's prices of one are in the shop's own currency
        of_one = _of_one(session, items) if currency == shop.currency else {}
    prices = unit_prices(offers.packs, of_one)
    basis = basis_of_file(project, takeoff, shop.rules, prices, currency)
    return reckon(basis, settle(project.quote or NO_TERMS, shop.terms))


def with_lent_terms(store: Store, project: Project, takeoff: Takeoff) -> Project:
    """The document with what the shop lends written into it, so that it can be printed by itself."""
    found = lent_quote(store, project, takeoff)
    own, terms = project.quote or NO_TERMS, found.terms
    lent = tuple(
        TypedPrice(item=each.name, price=each.cost)
        for each in found.materials
        if each.cost is not None and each.priced_by in {PricedBy.OFFER, PricedBy.CATALOGUE}
    )
    quote = own.model_copy(
        update={
            "rate": terms.rate,
            "margin": None if terms.margin is None else float(terms.margin),
            "tax": terms.tax,
            "minutes": terms.minutes,
            "depth": terms.depth,
            "valid_days": terms.valid_days,
            "prices": (*own.prices, *lent),
        }
    )
    return project.model_copy(update={"quote": quote, "currency": found.currency})


def _of_one(session: Session, items: Iterable[Item]) -> dict[str, int]:
    """The catalogue's prices of one key or plug, by the item's name, where it has them."""
    keys = {
        Item.key(each.section.name, length): price
        for each in list_sections(session)
        for length, price in each.prices.items()
    }
    plugs = {(each.plug.material, each.plug.height): each.price for each in list_plugs(session)}
    found = {
        item.name: plugs.get((item.material, item.size)) if item.material and item.size else keys.get(item)
        for item in items
    }
    return {name: price for name, price in found.items() if price is not None}
