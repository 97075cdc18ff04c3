"""The air that a project is made in and goes to, saved."""

from __future__ import annotations

from sqlmodel import Session

from domain.spec.wood import Climate
from webapp.store import Store
from webapp.store import projects as stored
from webapp.store.tokens import Sending
from webapp.usecases.booking import change_once


def save_climate(store: Store, sent: Sending, project_id: int, version: int, climate: Climate | None) -> None:
    """Say what air the project is made in and goes to, or with None no more. Raises NotFound or StaleEdit."""

    def act(session: Session) -> None:
        stored.update_climate(session, project_id, version, climate)

    change_once(store, sent, act)
