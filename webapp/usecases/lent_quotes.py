"""Quotes of documents that come in from outside: what they do not say of terms and prices, the shop lends.

Wood is cut from the stock that the document names itself, else from what the shop has on offer.
"""

from __future__ import annotations

from collections.abc import Iterable

from sqlmodel import Session

from domain.ordering.costs import unit_prices
from domain.ordering.items import Item
from domain.ordering.needs import Job, project_needs
from domain.quoting.of_file import Wood, basis_of_file
from domain.quoting.reckoning import Reckoning, reckon, settle
from domain.spec.project import Project
from domain.spec.quote import NO_TERMS
from domain.takeoff.takeoff import Takeoff
from webapp.papers.kinds import Paper, QuotePaper
from webapp.papers.render import quote_paper
from webapp.store import Store
from webapp.store.catalogue import list_plugs, list_sections
from webapp.store.engine import today
from webapp.store.shop import load_shop
from webapp.usecases.days_offers import days_offers_in
from webapp.usecases.drafts import heading_today
from webapp.usecases.wood_needs import wood_of_document
from webapp.usecases.wood_quoted import not_of_the_shop


def lent_quote(store: Store, project: Project, takeoff: Takeoff) -> Reckoning:
    """The document's quote with what the shop lends. Raises BadInput."""
    with store.reading() as session:
        shop = load_shop(session)
        currency = project.currency or shop.currency
        offers = days_offers_in(session, today(session), currency)
        items = project_needs(Job(project.name, takeoff.assemblies, project.rules or shop.rules))
        # what is on offer is priced in the shop's own currency
        own = currency == shop.currency
        of_one = _of_one(session, items) if own else {}
    found = wood_of_document(store, project, takeoff, shop.rules) if own else None
    wood = None if found is None else Wood(not_of_the_shop(found.woods), found.items)
    prices = unit_prices(offers.packs, of_one)
    basis = basis_of_file(project, takeoff, shop.rules, prices, currency, wood)
    return reckon(basis, settle(project.quote or NO_TERMS, shop.terms))


def lent_paper(store: Store, kind: QuotePaper, project: Project, takeoff: Takeoff, paper: Paper) -> bytes:
    """A paper of that quote as a draft of the day. Raises BadInput for what is missing, or cannot be printed."""
    with store.reading() as session:
        shop = load_shop(session).name
    return quote_paper(
        kind, project, takeoff, lent_quote(store, project, takeoff), heading_today(project, shop), paper
    )


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
