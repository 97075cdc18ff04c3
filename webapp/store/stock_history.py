"""The ledger as a person reads it: an item's entries with what there was after each, and what was counted."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime

from sqlalchemy import func
from sqlmodel import Session, col, select

from webapp.store.ledger import PAGE, Movement, list_movements
from webapp.store.rows import LARGEST_NUMBER
from webapp.store.stock_tables import MovementRow
from webapp.store.stock_values import MovementKind


@dataclass(frozen=True, slots=True)
class LedgerPage:
    """Entries of one item, the newest first, each with what was on hand after it.

    ``older`` is what the next page is asked for with: the entries before that movement; None at the end.
    """

    entries: tuple[tuple[Movement, int], ...]
    older: int | None


def item_ledger(session: Session, item_id: int, before: int | None = None) -> LedgerPage:
    """A page of the item's ledger, from the newest entry or from ``before`` that movement."""
    movements = list_movements(session, item_id=item_id, before=before, most=PAGE + 1)
    shown = movements[:PAGE]
    if not shown:
        return LedgerPage((), None)
    after = _on_hand_up_to(session, item_id, shown[0].number)
    entries = []
    for movement in shown:
        entries.append((movement, after))
        after -= movement.on_hand
    return LedgerPage(tuple(entries), shown[-1].number if len(movements) > PAGE else None)


def counts_since(session: Session, moment: datetime) -> dict[int, Movement]:
    """The newest count of each item (by its number) that was counted at ``moment`` or later."""
    rows = session.exec(
        select(MovementRow.item_id, func.max(MovementRow.id))
        .where(MovementRow.kind == MovementKind.COUNTED.value, col(MovementRow.at) >= moment)
        .group_by(col(MovementRow.item_id))
    )
    return {
        item_id: movement
        for item_id, number in rows
        if number is not None
        for movement in list_movements(session, item_id=item_id, before=number + 1, most=1)
    }


def find_movement(session: Session, item_id: int, number: int) -> Movement | None:
    """The item's movement of that number, where it has it."""
    if not 0 < number < LARGEST_NUMBER:
        return None
    found = list_movements(session, item_id=item_id, before=number + 1, most=1)
    return found[0] if found and found[0].number == number else None


def _on_hand_up_to(session: Session, item_id: int, number: int) -> int:
    total = select(func.sum(MovementRow.on_hand)).where(
        MovementRow.item_id == item_id, col(MovementRow.id) <= number
    )
    return session.exec(total).one() or 0
