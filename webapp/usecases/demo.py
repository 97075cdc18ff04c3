"""The demo workshop: an invented shop with its keys, its plugs and three projects, read from files."""

from __future__ import annotations

import json
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from tempfile import gettempdir
from typing import Any

from sqlmodel import Session

from domain.lengths import Length, Units, parse_length
from domain.ordering.items import Item, parse_item
from domain.project_file import read_project_file
from domain.reading import read
from domain.spec.catalogue import Plug, Section
from domain.spec.project import Project
from domain.spec.quote import ShopTerms
from domain.spec.rules import Rules
from webapp import data_folder
from webapp.store import Store, ledger
from webapp.store.catalogue import create_plug, create_section, list_plugs, list_sections
from webapp.store.engine import today
from webapp.store.items import ensure_item, list_items, load_item, set_minimum_stock
from webapp.store.projects import create_project, list_projects
from webapp.store.shop import load_shop, update_shop, update_terms
from webapp.store.stock_values import OfferTerms, Price, SupplierTerms
from webapp.store.suppliers import NewOffer, add_new_offers, create_supplier, list_suppliers
from webapp.usecases.exchange import with_shops_own

OPENING = "opening stock"
"""The ledger's note of what the demo's shelves begin with."""
FOLDER = data_folder("shared/demo")


@dataclass(frozen=True, slots=True)
class DemoShop:
    """The demo's shop. ``prices`` are for one key, by section name and length; plugs come with theirs.

    Prices are whole minor units of ``currency``. ``terms`` are what its quotes usually go
    by, ``stock`` is what is on the shelves when it opens. ``projects`` names the project files.
    """

    name: str
    units: Units
    currency: str
    rules: Rules
    terms: ShopTerms
    sections: tuple[Section, ...]
    prices: Mapping[str, Mapping[Length, int | None]]
    plugs: tuple[tuple[Plug, int], ...]
    suppliers: tuple[SupplierTerms, ...]
    offers: tuple[DemoOffer, ...]
    minimum_stock: Mapping[Item, int]
    stock: Mapping[Item, int]
    projects: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class DemoOffer:
    """A pack that one of the demo's suppliers offers, at a price in the demo's currency."""

    item: Item
    supplier: str
    terms: OfferTerms
    price: int


@cache
def demo_shop() -> DemoShop:
    """The demo's shop, as its file has it."""
    data = _json("shop.json")
    return DemoShop(
        name=data["name"],
        units=Units(data["units"]),
        currency=data["currency"],
        rules=read(Rules, data["rules"]),
        terms=read(ShopTerms, data.get("quote", {})),
        sections=tuple(read(Section, section) for section in data["sections"]),
        prices={
            name: {parse_length(length): price for length, price in prices.items()}
            for name, prices in data["prices"].items()
        },
        plugs=tuple(
            (read(Plug, {"material": plug["material"], "height": plug["height"]}), plug["price"])
            for plug in data["plugs"]
        ),
        suppliers=tuple(
            read(SupplierTerms, {**supplier, "currency": data["currency"]}) for supplier in data["suppliers"]
        ),
        offers=tuple(_offer(offer) for offer in data["offers"]),
        minimum_stock={parse_item(name): count for name, count in data["minimum_stock"].items()},
        stock={parse_item(name): count for name, count in data["stock"].items()},
        projects=tuple(data["projects"]),
    )


def _offer(data: Mapping[str, Any]) -> DemoOffer:
    terms = read(OfferTerms, {name: data[name] for name in ("size", "article", "lead_days")})
    return DemoOffer(parse_item(data["item"]), data["supplier"], terms, data["price"])


@cache
def demo_projects() -> tuple[Project, ...]:
    """The demo's projects, planned with the shop's own sections and rules."""
    return tuple(read_project_file(_json(name)) for name in demo_shop().projects)


def demo_catalogue() -> tuple[Section, ...]:
    """The demo's key sections: what a project file without sections is planned with where there is no shop."""
    return demo_shop().sections


def load_demo_in(session: Session) -> None:
    """Add the demo: all of it to an empty shop; to any other its projects only.

    Into a shop that has key sections the projects bring their own sections and rules, so that they
    come out as they should and nothing of the shop's is touched. A name, rules or plugs that an
    otherwise empty shop has already are kept.
    """
    if not list_sections(session):
        _fill_shop(session, demo_shop())
    shop = load_shop(session)
    sections = tuple(stored.section for stored in list_sections(session))
    demo = demo_shop()
    for project in reversed(demo_projects()):
        carrying = project.model_copy(update={"sections": demo.sections, "rules": demo.rules})
        create_project(session, with_shops_own(carrying, sections, shop.rules))


def load_demo_once(store: Store) -> None:
    """Fill the shop with the demo if there is nothing in it at all."""
    with store.writing() as session:
        if not list_sections(session) and not list_projects(session):
            load_demo_in(session)


FILE_NAME = "demo.db"
_BESIDE = ("", "-wal", "-shm", ".kept-here", ".before-version-*", ".saved-*")


def demo_file(store: Store) -> Path:
    """Where the demo's own data is kept: beside the shop's; where that is on a server, among temporary files."""
    folder = Path(gettempdir()) / "dovetally-demo" if store.path is None else store.path.parent
    return folder / FILE_NAME


def open_demo(file: Path) -> Store:
    """The demo's own store, filled where there is nothing in it yet. Raises what opening a store does."""
    store = Store.open(file, new_shop=True)
    load_demo_once(store)
    return store


def throw_demo_away(file: Path) -> None:
    """Delete the demo's own data, which no store has open."""
    for ending in _BESIDE:
        for each in file.parent.glob(file.name + ending):
            each.unlink(missing_ok=True)


def _fill_shop(session: Session, demo: DemoShop) -> None:
    shop = load_shop(session)
    if not shop.name:
        rules = demo.rules if shop.rules == Rules() else shop.rules
        update_shop(session, shop.version, name=demo.name, units=demo.units, currency=demo.currency, rules=rules)
        if shop.terms == ShopTerms():
            update_terms(session, load_shop(session).version, demo.terms)
    # a price means nothing in another currency
    priced = load_shop(session).currency == demo.currency
    for section in demo.sections:
        create_section(session, section, demo.prices[section.name] if priced else {})
    _add_plugs(session, demo.plugs, priced)
    if not list_suppliers(session) and not list_items(session):
        _fill_stockroom(session, demo)


def _fill_stockroom(session: Session, demo: DemoShop) -> None:
    """Suppliers, their offers at prices that hold from today, and the shelves as they were counted."""
    day = today(session)
    suppliers = {terms.name: create_supplier(session, terms) for terms in demo.suppliers}
    add_new_offers(
        session,
        [
            NewOffer(
                offer.item,
                suppliers[offer.supplier],
                offer.terms,
                Price(minor=offer.price, currency=demo.currency, since=day),
            )
            for offer in demo.offers
        ],
    )
    for item, count in demo.minimum_stock.items():
        stored = load_item(session, ensure_item(session, item))
        set_minimum_stock(session, stored.id, stored.version, count)
    for item, count in demo.stock.items():
        ledger.receive(session, item, count, OPENING)


def _add_plugs(session: Session, plugs: Sequence[tuple[Plug, int]], priced: bool) -> None:
    there = {stored.plug for stored in list_plugs(session)}
    for plug, price in plugs:
        if plug not in there:
            create_plug(session, plug, price if priced else None)


def _json(name: str) -> Any:
    return json.loads((FOLDER / name).read_text("utf-8"))
