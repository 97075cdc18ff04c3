"""The catalogue as its pages need it. Each change books once for the form that asks for it."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass

from sqlmodel import Session

from domain.lengths import Length
from domain.spec.catalogue import Plug, Section
from webapp.store import Store, catalogue
from webapp.store.catalogue import StoredPlug, StoredSection
from webapp.store.rows import Step
from webapp.store.shop import Shop, load_shop
from webapp.store.tokens import Sending
from webapp.usecases.booking import book_once

Prices = Mapping[Length, int | None]


@dataclass(frozen=True, slots=True)
class Catalogue:
    """All that the catalogue's page shows. ``shop`` has its units and its currency."""

    shop: Shop
    sections: tuple[StoredSection, ...]
    plugs: tuple[StoredPlug, ...]


def load_catalogue(store: Store) -> Catalogue:
    """The whole catalogue. Raises Unreadable."""
    with store.reading() as session:
        return Catalogue(load_shop(session), catalogue.list_sections(session), catalogue.list_plugs(session))


def section(store: Store, section_id: int) -> StoredSection:
    """One section. Raises NotFound or Unreadable."""
    with store.reading() as session:
        return catalogue.load_section(session, section_id)


def place_of(store: Store, section_id: int | None) -> int:
    """The section's place in the shop's order, from 0; a new one comes last."""
    with store.reading() as session:
        numbers = [stored.id for stored in catalogue.list_sections(session)]
    return numbers.index(section_id) if section_id in numbers else len(numbers)


def add_section(store: Store, sent: Sending, added: Section, prices: Prices) -> int:
    """Add a section; its number. Raises NameTaken or BadInput."""
    return _number(store, sent, lambda session: catalogue.create_section(session, added, prices))


def change_section(
    store: Store, sent: Sending, section_id: int, version: int, changed: Section, prices: Prices
) -> None:
    """Replace a section and its prices. Raises NotFound, StaleEdit, NameTaken or BadInput."""
    _number(store, sent, lambda session: catalogue.update_section(session, section_id, version, changed, prices))


def remove_section(store: Store, sent: Sending, section_id: int, version: int) -> None:
    """Delete a section. Raises NotFound or StaleEdit."""
    _done(store, sent, lambda session: catalogue.delete_section(session, section_id, version))


def move_section(store: Store, sent: Sending, section_id: int, step: Step) -> None:
    """Move a section one place. Raises NotFound."""
    _done(store, sent, lambda session: catalogue.move_section(session, section_id, step))


def plug(store: Store, plug_id: int) -> StoredPlug:
    """One plug. Raises NotFound or Unreadable."""
    with store.reading() as session:
        return catalogue.load_plug(session, plug_id)


def add_plug(store: Store, sent: Sending, added: Plug, price: int | None) -> int:
    """Add a plug; its number. Raises NameTaken or BadInput."""
    return _number(store, sent, lambda session: catalogue.create_plug(session, added, price))


def change_plug(store: Store, sent: Sending, plug_id: int, version: int, changed: Plug, price: int | None) -> None:
    """Replace a plug and its price. Raises NotFound, StaleEdit, NameTaken or BadInput."""
    _number(store, sent, lambda session: catalogue.update_plug(session, plug_id, version, changed, price))


def remove_plug(store: Store, sent: Sending, plug_id: int, version: int) -> None:
    """Delete a plug. Raises NotFound or StaleEdit."""
    _done(store, sent, lambda session: catalogue.delete_plug(session, plug_id, version))


def _number(store: Store, sent: Sending, act: Callable[[Session], int]) -> int:
    return book_once(store, sent, lambda session: (act(session),))[0]


def _done(store: Store, sent: Sending, act: Callable[[Session], None]) -> None:
    def acted(session: Session) -> tuple[()]:
        act(session)
        return ()

    book_once(store, sent, acted)
