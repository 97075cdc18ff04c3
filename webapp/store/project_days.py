"""The days that matter for what a project cost: when it last went ahead, when it was last issued."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, datetime

from sqlalchemy import func
from sqlmodel import Session, select

from webapp.store.stock_tables import MovementRow
from webapp.store.stock_values import MovementKind
from webapp.store.tables import RevisionRow


@dataclass(frozen=True, slots=True)
class ProjectDay:
    """The later of the two days; ``revision`` is the number of what was issued, None where it went ahead."""

    day: date
    revision: int | None = None


def last_day(session: Session, project_id: int) -> ProjectDay | None:
    """The day the project last went ahead or was last issued, by the shop's clock; None before the first."""
    reserved = session.exec(
        select(func.max(MovementRow.at)).where(
            MovementRow.project_id == project_id, MovementRow.kind == MovementKind.RESERVED.value
        )
    ).one()
    issued = session.exec(
        select(RevisionRow.number, RevisionRow.issued_at)
        .where(RevisionRow.project_id == project_id)
        .order_by(RevisionRow.number.desc())  # type: ignore[attr-defined]
        .limit(1)
    ).first()
    days: list[tuple[datetime, int | None]] = [] if reserved is None else [(reserved, None)]
    if issued is not None:
        days.append((issued[1], issued[0]))
    if not days:
        return None
    moment, revision = max(days, key=lambda each: each[0])
    return ProjectDay(moment.astimezone().date(), revision)
