"""Changing the catalogue: each change books once for the form that asks for it."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass

from sqlmodel import Session

from domain.lengths import Length
from domain.spec.catalogue import Plug, Section
from webapp.store import catalogue
from webapp.store.catalogue import StoredPlug, StoredSection
from webapp.store.rows import Step
from webapp.store.shop import Shop, load_shop
from webapp.store.tokens import once

Prices = Mapping[Length, int | None]


@dataclass(frozen=True, slots=True)
class Catalogue:
    """All that the catalogue's page shows. ``shop`` has its units and its currency."""

    shop: Shop
    sections: tuple[StoredSection, ...]
    plugs: tuple[StoredPlug, ...]


def load_catalogue(session: Session) -> Catalogue:
    """The whole catalogue."""
    return Catalogue(load_shop(session), catalogue.list_sections(session), catalogue.list_plugs(session))


def add_section(session: Session, token: str, section: Section, prices: Prices) -> int:
    """Add a section; its number. Raises NameTaken or BadInput."""
    return _number(session, token, lambda: catalogue.create_section(session, section, prices))


def change_section(
    session: Session, token: str, section_id: int, version: int, section: Section, prices: Prices
) -> None:
    """Replace a section and its prices. Raises NotFound, StaleEdit, NameTaken or BadInput."""
    _number(session, token, lambda: catalogue.update_section(session, section_id, version, section, prices))


def remove_section(session: Session, token: str, section_id: int, version: int) -> None:
    """Delete a section. Raises NotFound or StaleEdit."""
    _done(session, token, lambda: catalogue.delete_section(session, section_id, version))


def move_section(session: Session, token: str, section_id: int, step: Step) -> None:
    """Move a section one place. Raises NotFound."""
    _done(session, token, lambda: catalogue.move_section(session, section_id, step))


def add_plug(session: Session, token: str, plug: Plug, price: int | None) -> int:
    """Add a plug; its number. Raises NameTaken or BadInput."""
    return _number(session, token, lambda: catalogue.create_plug(session, plug, price))


def change_plug(session: Session, token: str, plug_id: int, version: int, plug: Plug, price: int | None) -> None:
    """Replace a plug and its price. Raises NotFound, StaleEdit, NameTaken or BadInput."""
    _number(session, token, lambda: catalogue.update_plug(session, plug_id, version, plug, price))


def remove_plug(session: Session, token: str, plug_id: int, version: int) -> None:
    """Delete a plug. Raises NotFound or StaleEdit."""
    _done(session, token, lambda: catalogue.delete_plug(session, plug_id, version))


def _number(session: Session, token: str, act: Callable[[], int]) -> int:
    return int(once(session, token, lambda: str(act()))[0])


def _done(session: Session, token: str, act: Callable[[], None]) -> None:
    def acted() -> str:
        act()
        return ""

    once(session, token, acted)
