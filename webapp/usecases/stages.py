"""A project going ahead and being built: what it needs is reserved, what it took is booked.

What a project needs is worked out at one version of it; every function here carries that version, and
refuses (StaleEdit) where the project has changed since.
"""

from __future__ import annotations

from collections.abc import Mapping

from sqlmodel import Session

from domain.ordering.items import Item
from webapp.store import Store, ledger
from webapp.store.stages import Stage, set_stage
from webapp.usecases.booking import Numbers, book_once


def go_ahead(store: Store, token: str, project_id: int, version: int, needs: Mapping[Item, int]) -> Numbers:
    """Reserve what the project needs in all; what it has used already is not reserved again.

    For a project that goes ahead already, this brings its claims to the new needs. Returns the
    movements' numbers. Raises NotFound, StaleEdit or BadInput.
    """

    def act(session: Session) -> Numbers:
        set_stage(session, project_id, version, Stage.GOING_AHEAD)
        return ledger.reserve(session, project_id, needs)

    return book_once(store, token, act)


def built(
    store: Store, token: str, project_id: int, version: int, used: Mapping[Item, int], note: str = ""
) -> Numbers:
    """Book what was used beyond what is booked already, and let go of the rest; all of it or nothing.

    Items with 0 are left out. Returns the movements' numbers. Raises NotFound, StaleEdit, NotEnough
    or BadInput.
    """

    def act(session: Session) -> Numbers:
        set_stage(session, project_id, version, Stage.BUILT)
        taken = tuple(
            ledger.use(session, project_id, item, quantity, note)
            for item, quantity in used.items()
            if quantity != 0
        )
        return taken + ledger.release(session, project_id)

    return book_once(store, token, act)


def back_to_planned(store: Store, token: str, project_id: int, version: int) -> Numbers:
    """Let go of what the project has reserved; what it has used stays booked.

    Returns the movements' numbers. Raises NotFound or StaleEdit.
    """

    def act(session: Session) -> Numbers:
        set_stage(session, project_id, version, Stage.PLANNED)
        return ledger.release(session, project_id)

    return book_once(store, token, act)
