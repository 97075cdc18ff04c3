"""The shop's name, units, currency and rules: read, and changed once for the form that asks for it."""

from __future__ import annotations

from domain.lengths import Units
from domain.spec.rules import Rules
from webapp.store import Store
from webapp.store.shop import Shop, load_shop, update_shop
from webapp.usecases.booking import book_once


def the_shop(store: Store) -> Shop:
    """The shop as it stands."""
    with store.reading() as session:
        return load_shop(session)


def change_shop(
    store: Store, token: str, version: int, *, name: str, units: Units, currency: str, rules: Rules
) -> None:
    """Change the shop. Raises StaleEdit, or BadInput with the field's name as path."""
    book_once(
        store,
        token,
        lambda session: (update_shop(session, version, name=name, units=units, currency=currency, rules=rules),),
    )
