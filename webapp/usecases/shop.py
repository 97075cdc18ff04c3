"""The shop itself: what it is called and plans with, its clock, and the list of its projects."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import UTC, datetime

from domain.lengths import Units
from domain.spec.catalogue import Section
from domain.spec.rules import Rules
from domain.spec.starts import Starts
from webapp.store import Store
from webapp.store.catalogue import list_sections
from webapp.store.engine import now
from webapp.store.projects import ProjectHead, list_projects
from webapp.store.shop import Shop, load_shop, update_shop
from webapp.store.tokens import Sending
from webapp.usecases.booking import book_once


@dataclass(frozen=True, slots=True)
class Lent:
    """What a project that lacks it is planned with; ``shop`` is the name on its papers."""

    shop: str
    sections: tuple[Section, ...]
    rules: Rules
    starts: Starts


def the_shop(store: Store) -> Shop:
    """The shop as it stands."""
    with store.reading() as session:
        return load_shop(session)


def lent_by(store: Store) -> Lent:
    """What the shop lends to a project."""
    # the list of projects needs nothing of the trials
    from webapp.store.trials import shops_starts

    with store.reading() as session:
        shop, sections = load_shop(session), tuple(stored.section for stored in list_sections(session))
        return Lent(shop.name, sections, shop.rules, shops_starts(session))


def moment(store: Store) -> datetime:
    """The moment by the store's clock, in UTC."""
    with store.reading() as session:
        return now(session).astimezone(UTC)


@dataclass(frozen=True, slots=True)
class FirstSteps:
    """How far a new shop has come: how many key sections it has, and its name, "" before it has one."""

    sections: int
    shop: str
    units: Units


def first_steps(store: Store) -> FirstSteps:
    """What stands there before the first project."""
    with store.reading() as session:
        shop = load_shop(session)
        return FirstSteps(len(list_sections(session)), shop.name, shop.units)


def project_heads(store: Store) -> tuple[ProjectHead, ...]:
    """Every project, the one changed last first."""
    with store.reading() as session:
        return tuple(list_projects(session))


def change_shop(
    store: Store, sent: Sending, version: int, *, name: str, units: Units, currency: str, rules: Rules
) -> None:
    """Change the shop. Raises StaleEdit, or BadInput with the field's name as path."""
    book_once(
        store,
        sent,
        lambda session: (update_shop(session, version, name=name, units=units, currency=currency, rules=rules),),
    )
