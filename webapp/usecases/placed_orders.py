"""Orders placed exactly as they were shown, and cancelled."""

from __future__ import annotations

from collections.abc import Sequence

from sqlmodel import Session

from domain.problems import BadInput, Problem
from webapp.store import Store
from webapp.store.errors import PlanMoved
from webapp.store.orders import cancel_order, place_order
from webapp.store.stock_edition import StockEdition, stock_edition
from webapp.store.stock_values import OrderDraft
from webapp.store.tokens import outcome_of
from webapp.usecases.booking import Numbers, book_once, numbers
from webapp.wording.problems import InputProblem


def place(store: Store, token: str, seen: StockEdition, drafts: Sequence[OrderDraft]) -> Numbers:
    """Place one order for each draft, once for each token; the orders' numbers.

    ``seen`` is the edition that the drafts were worked out in. Raises PlanMoved where anything they
    rest on has changed since, NotFound, or BadInput where there is nothing to order.
    """
    if not drafts:
        raise BadInput([Problem.of(("orders",), "nothing", InputProblem.NOTHING_TO_ORDER)])

    def act(session: Session) -> list[int]:
        if stock_edition(session) != seen:
            raise PlanMoved
        return [place_order(session, draft) for draft in drafts]

    return book_once(store, token, act)


def placed_before(store: Store, token: str) -> Numbers | None:
    """The orders that a form with this token has placed; None where it has not been sent yet.

    To be asked before the plan is worked out again: placing it has changed what it rests on.
    """
    with store.reading() as session:
        outcome = outcome_of(session, token)
    return None if outcome is None else numbers(outcome)


def cancel(store: Store, token: str, order: int) -> None:
    """What has not come by now never will. Raises NotFound, or AlreadyEnded."""

    def act(session: Session) -> tuple[int]:
        cancel_order(session, order)
        return (order,)

    book_once(store, token, act)
