"""How far a project has come: planned, going ahead, built."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, datetime
from enum import StrEnum

from sqlalchemy import func
from sqlmodel import Session, select

from webapp.store.engine import now
from webapp.store.rows import claim
from webapp.store.stock_tables import MovementRow
from webapp.store.stock_values import MovementKind
from webapp.store.tables import ProjectRow, RevisionRow


class Stage(StrEnum):
    """A project that goes ahead holds claims on the stock; planned and built ones hold none."""

    PLANNED = "planned"
    GOING_AHEAD = "going_ahead"
    BUILT = "built"


@dataclass(frozen=True, slots=True)
class StagedProject:
    """A project's name, and how far it has come."""

    name: str
    stage: Stage


def staged_projects(session: Session) -> dict[int, StagedProject]:
    """Every project's name and stage, by its number."""
    rows = session.exec(select(ProjectRow.id, ProjectRow.name, ProjectRow.stage))
    return {number: StagedProject(name, Stage(stage)) for number, name, stage in rows if number is not None}


def set_stage(session: Session, project_id: int, version: int, stage: Stage) -> int:
    """Bring the project to the stage; its new version. Raises NotFound or StaleEdit."""
    row = claim(session, ProjectRow, project_id, version)
    row.stage = stage.value
    row.updated = now(session)
    session.flush()
    return row.version


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
