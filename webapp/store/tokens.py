"""A form books once, however often it is sent: a double click, a retry, the back button."""

from __future__ import annotations

import re
from collections.abc import Callable
from datetime import timedelta

from sqlalchemy import delete
from sqlmodel import Session, col

from domain.problems import BadInput, Problem
from webapp.store.engine import now
from webapp.store.tables import FormTokenRow
from webapp.wording.problems import InputProblem

KEPT = timedelta(days=30)
_TOKEN = re.compile(r"[A-Za-z0-9_-]{16,64}")


def once(session: Session, token: str, act: Callable[[], str]) -> tuple[str, bool]:
    """Act, unless the form that carries ``token`` has been acted on; the outcome, and whether it acted.

    ``act`` changes things through the same session and returns what is to be told again on a repeat,
    such as the address to go to. Action and token are kept together or not at all: where ``act``
    raises, the token is free again. Raises BadInput for what is no token.
    """
    earlier = outcome_of(session, token)
    if earlier is not None:
        return earlier, False
    outcome = act()
    moment = now(session)
    session.exec(delete(FormTokenRow).where(col(FormTokenRow.at) < moment - KEPT))
    session.add(FormTokenRow(token=token, outcome=outcome, at=moment))
    session.flush()
    return outcome, True


def outcome_of(session: Session, token: str) -> str | None:
    """What came of the form that carries ``token``; None where it has not been acted on.

    For work that is done before the transaction that ``once`` needs. Raises BadInput for what is no token.
    """
    if not _TOKEN.fullmatch(token):
        raise BadInput([Problem.of(("token",), token, InputProblem.OLD_FORM)])
    earlier = session.get(FormTokenRow, token)
    return None if earlier is None else earlier.outcome
