"""The demo workshop: an invented shop with its keys, its plugs and three projects, read from files."""

from __future__ import annotations

import json
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import Any

from sqlmodel import Session

from domain.lengths import Length, Units, parse_length
from domain.project_file import read_project_file
from domain.spec.catalogue import Plug, Section
from domain.spec.project import Project, read
from domain.spec.rules import Rules
from webapp.store.catalogue import create_plug, create_section, list_plugs, list_sections
from webapp.store.projects import create_project, list_projects
from webapp.store.shop import load_shop, update_shop
from webapp.store.tokens import once
from webapp.usecases.exchange import with_shops_own

FOLDER = Path(__file__).parents[2] / "shared" / "demo"


@dataclass(frozen=True, slots=True)
class DemoShop:
    """The demo's shop. ``prices`` are for one key, by section name and length; plugs come with theirs.

    Prices are whole minor units of ``currency``. ``projects`` names the project files.
    """

    name: str
    units: Units
    currency: str
    rules: Rules
    sections: tuple[Section, ...]
    prices: Mapping[str, Mapping[Length, int | None]]
    plugs: tuple[tuple[Plug, int], ...]
    projects: tuple[str, ...]


@cache
def demo_shop() -> DemoShop:
    """The demo's shop, as its file has it."""
    data = _json("shop.json")
    return DemoShop(
        name=data["name"],
        units=Units(data["units"]),
        currency=data["currency"],
        rules=read(Rules, data["rules"]),
        sections=tuple(read(Section, section) for section in data["sections"]),
        prices={
            name: {parse_length(length): price for length, price in prices.items()}
            for name, prices in data["prices"].items()
        },
        plugs=tuple(
            (read(Plug, {"material": plug["material"], "height": plug["height"]}), plug["price"])
            for plug in data["plugs"]
        ),
        projects=tuple(data["projects"]),
    )


@cache
def demo_projects() -> tuple[Project, ...]:
    """The demo's projects, planned with the shop's own sections and rules."""
    return tuple(read_project_file(_json(name)) for name in demo_shop().projects)


def demo_catalogue() -> tuple[Section, ...]:
    """The demo's key sections: what a project file without sections is planned with where there is no shop."""
    return demo_shop().sections


def load_demo(session: Session) -> None:
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


def load_demo_once(session: Session) -> None:
    """Fill the shop with the demo if there is nothing in it at all."""
    if not list_sections(session) and not list_projects(session):
        load_demo(session)


def book_demo(session: Session, token: str, then: str) -> str:
    """Load the demo for a form that carries ``token``, once; the address to go on to."""

    def act() -> str:
        load_demo(session)
        return then

    return once(session, token, act)[0]


def _fill_shop(session: Session, demo: DemoShop) -> None:
    shop = load_shop(session)
    if not shop.name:
        rules = demo.rules if shop.rules == Rules() else shop.rules
        update_shop(session, shop.version, name=demo.name, units=demo.units, currency=demo.currency, rules=rules)
    # a price means nothing in another currency
    priced = load_shop(session).currency == demo.currency
    for section in demo.sections:
        create_section(session, section, demo.prices[section.name] if priced else {})
    _add_plugs(session, demo.plugs, priced)


def _add_plugs(session: Session, plugs: Sequence[tuple[Plug, int]], priced: bool) -> None:
    there = {stored.plug for stored in list_plugs(session)}
    for plug, price in plugs:
        if plug not in there:
            create_plug(session, plug, price if priced else None)


def _json(name: str) -> Any:
    return json.loads((FOLDER / name).read_text("utf-8"))
