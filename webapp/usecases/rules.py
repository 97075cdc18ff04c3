"""Changing the shop's name, units, currency and rules: once for the form that asks for it."""

from __future__ import annotations

from sqlmodel import Session

from domain.lengths import Units
from domain.spec.rules import Rules
from webapp.store.shop import update_shop
from webapp.store.tokens import once


def change_shop(
    session: Session, token: str, version: int, *, name: str, units: Units, currency: str, rules: Rules
) -> None:
    """Change the shop. Raises StaleEdit, or BadInput with the field's name as path."""

    def act() -> str:
        return str(update_shop(session, version, name=name, units=units, currency=currency, rules=rules))

    once(session, token, act)
