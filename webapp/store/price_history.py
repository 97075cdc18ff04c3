"""Every price of every offer at once, for what looks at many offers on many days."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date

from sqlmodel import Session, col, select

from webapp.store.stock_tables import OfferPriceRow
from webapp.store.stock_values import Price

History = tuple[Price, ...]
"""An offer's prices, the one that begins last first; of two from one day, the one added last."""


def price_histories(session: Session) -> dict[int, History]:
    """The prices of each offer that has any, by the offer's number."""
    found: dict[int, list[Price]] = {}
    for row in session.exec(
        select(OfferPriceRow).order_by(col(OfferPriceRow.from_day).desc(), col(OfferPriceRow.id).desc())
    ):
        price = Price(minor=row.price_minor, currency=row.currency, since=row.from_day)
        found.setdefault(row.offer_id, []).append(price)
    return {offer_id: tuple(prices) for offer_id, prices in found.items()}


def price_on(history: Sequence[Price], day: date) -> Price | None:
    """The price that counts on that day; None before the first."""
    return next((price for price in history if price.since <= day), None)
