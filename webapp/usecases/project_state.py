"""A project as a job of the shop: its state, the day it is due, put away and brought back, its notes."""

from __future__ import annotations

from datetime import date

from sqlmodel import Session

from domain.spec.job import Stage
from webapp.store import Store, ledger, stages
from webapp.store.engine import today
from webapp.store.job_notes import set_note
from webapp.store.projects import load_project
from webapp.store.tokens import Sending
from webapp.usecases.booking import book_once, change_once

BOOKED = frozenset({Stage.GOING_AHEAD, Stage.BUILT})
"""States that a project comes to by what is booked for it: reserved, or used."""


def days_date(store: Store) -> date:
    """The day by the store's clock."""
    with store.reading() as session:
        return today(session)


def save_state(store: Store, sent: Sending, project_id: int, version: int, stage: Stage, due: date | None) -> None:
    """Bring the project to the state, and say when it is due; all of it or nothing.

    To a state that is booked it comes elsewhere: here only the day is kept. What it has reserved is free again.
    Raises NotFound or StaleEdit.
    """

    def act(session: Session) -> tuple[int, ...]:
        now = stages.set_due(session, project_id, version, due)
        if stage in BOOKED or load_project(session, project_id).head.stage is stage:
            return ()
        stages.set_stage(session, project_id, now, stage)
        return ledger.release(session, project_id)

    book_once(store, sent, act)


def put_away(store: Store, sent: Sending, project_id: int, version: int) -> None:
    """Take the project out of the lists. Raises NotFound, StaleEdit or GoingAhead."""

    def act(session: Session) -> None:
        stages.put_away(session, project_id, version)

    change_once(store, sent, act)


def bring_back(store: Store, sent: Sending, project_id: int, version: int) -> None:
    """Put the project in the lists again. Raises NotFound or StaleEdit."""

    def act(session: Session) -> None:
        stages.bring_back(session, project_id, version)

    change_once(store, sent, act)


def save_note(store: Store, sent: Sending, project_id: int, version: int, mark: str, note: str) -> None:
    """Write a note at the mark, "" for the project's own, or with "" take it away.

    Raises NotFound, StaleEdit, or BadInput with the path "note".
    """

    def act(session: Session) -> None:
        set_note(session, project_id, version, mark, note)

    change_once(store, sent, act)
