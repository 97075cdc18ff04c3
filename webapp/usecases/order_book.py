"""The orders that were placed, as the pages and papers need them."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date

from webapp.store import Store
from webapp.store.engine import today
from webapp.store.orders import PlacedOrder, list_orders, load_order
from webapp.store.shop import load_shop
from webapp.store.stages import StagedProject, staged_projects
from webapp.store.tokens import outcome_of


@dataclass(frozen=True, slots=True)
class OrderSheet:
    """An order on a day, the shop's name, and the projects that stand, by number."""

    day: date
    order: PlacedOrder
    shop: str
    projects: Mapping[int, StagedProject]


def order_sheet(store: Store, number: int) -> OrderSheet:
    """One order. Raises NotFound."""
    with store.reading() as session:
        return OrderSheet(
            today(session), load_order(session, number), load_shop(session).name, staged_projects(session)
        )


def order_book(store: Store) -> tuple[date, tuple[PlacedOrder, ...]]:
    """The day, and every order: late ones first, the longest first; then what is still to come; then the rest."""
    with store.reading() as session:
        day, orders = today(session), list_orders(session)
    return day, tuple(sorted(orders, key=lambda order: _urgency(order, day)))


def booked_before(store: Store, token: str) -> bool:
    """Whether a form with this token has been booked already."""
    with store.reading() as session:
        return outcome_of(session, token) is not None


def _urgency(order: PlacedOrder, day: date) -> tuple[int, date, int]:
    late = order.late(day)
    if late:
        return 0, min(line.due for line in late), -order.number
    open_lines = any(line.to_come for line in order.lines)
    return (1 if open_lines else 2), day, -order.number
