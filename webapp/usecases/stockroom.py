"""The stockroom as the pages need it: what there is, and every way that stock comes and goes.

Every function that books has committed it when it returns; what it returns are the movements' numbers.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from datetime import date

from sqlmodel import Session

from domain.ordering.items import Item
from domain.problems import BadInput, Problem
from webapp.store import Store, ledger
from webapp.store.balances import Balance, balances
from webapp.store.engine import today
from webapp.store.orders import OrderLine, list_running_orders
from webapp.store.projects import project_version
from webapp.store.stages import StagedProject, staged_projects
from webapp.store.stock_values import remark
from webapp.usecases.booking import Numbers, book_once
from webapp.usecases.stock_views import missing_from_catalogue_in
from webapp.wording.problems import InputProblem


@dataclass(frozen=True, slots=True)
class LateLine:
    """A line of an order that should have come."""

    order: int
    supplier: str
    line: OrderLine


@dataclass(frozen=True, slots=True)
class StockNow:
    """The stockroom on a day. ``projects`` are those that stand, by number; one that used stock may be gone."""

    day: date
    balances: tuple[Balance, ...]
    projects: Mapping[int, StagedProject]
    late: tuple[LateLine, ...]
    missing: tuple[Item, ...]
    """What the catalogue has sizes for and the stockroom does not keep yet."""


def stock_now(store: Store) -> StockNow:
    """Every item's balance, who has reserved it, what is on order, and what is late, the longest first."""
    with store.reading() as session:
        day = today(session)
        late = [
            LateLine(order.number, order.supplier, line)
            for order in list_running_orders(session)
            for line in order.late(day)
        ]
        return StockNow(
            day=day,
            balances=balances(session),
            projects=staged_projects(session),
            late=tuple(sorted(late, key=lambda each: (each.line.due, each.order, each.line.position))),
            missing=missing_from_catalogue_in(session),
        )


def receive(store: Store, token: str, item: Item, quantity: int, note: str = "") -> Numbers:
    """Book in what came without an order. Raises BadInput."""
    return book_once(store, token, lambda session: (ledger.receive(session, item, quantity, note),))


def receive_order(store: Store, token: str, order: int, packs: Mapping[int, int], note: str = "") -> Numbers:
    """Book in whole packs of an order's lines, by their positions; all of it or nothing.

    Raises NotFound, AlreadyEnded, OverReceived or BadInput.
    """
    _some(("packs",), packs)

    def act(session: Session) -> list[int]:
        return [ledger.receive_packs(session, order, position, count, note) for position, count in packs.items()]

    return book_once(store, token, act)


def use(store: Store, token: str, project_id: int, quantities: Mapping[Item, int], note: str = "") -> Numbers:
    """Book out for a project, whatever is reserved for others; all of it or nothing.

    Raises NotFound, NotEnough or BadInput.
    """
    return _for_project(store, token, project_id, quantities, note, ledger.use)


def give_back(
    store: Store, token: str, project_id: int, quantities: Mapping[Item, int], note: str = ""
) -> Numbers:
    """Book in what a project brings back; all of it or nothing. Raises NotFound, NotUsed or BadInput."""
    return _for_project(store, token, project_id, quantities, note, ledger.give_back)


def count(store: Store, token: str, item: Item, counted: int, seen: int, note: str = "") -> Numbers:
    """Book what a count found. ``seen`` is the balance's ``last`` that the form was made with.

    Raises StaleCount where the item was booked in or out since, with what there should be now, or
    BadInput.
    """
    return book_once(store, token, lambda session: (ledger.count(session, item, counted, seen, note),))


def adjust(store: Store, token: str, item: Item, change: int, note: str) -> Numbers:
    """Book a change for a reason, which the note tells. Raises NotEnough or BadInput."""
    if not remark(note):
        raise BadInput([Problem.of(("note",), note, InputProblem.NO_REASON)])
    return book_once(store, token, lambda session: (ledger.adjust(session, item, change, note),))


def _for_project(
    store: Store,
    token: str,
    project_id: int,
    quantities: Mapping[Item, int],
    note: str,
    book: Callable[[Session, int, Item, int, str], int],
) -> Numbers:
    _some(("quantities",), quantities)

    def act(session: Session) -> list[int]:
        project_version(session, project_id)
        return [book(session, project_id, item, quantity, note) for item, quantity in quantities.items()]

    return book_once(store, token, act)


def _some(path: tuple[str], given: Mapping[int, int] | Mapping[Item, int]) -> None:
    if not given:
        raise BadInput([Problem.of(path, "nothing", InputProblem.NOTHING_ENTERED)])
