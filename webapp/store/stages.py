"""A project as a job: how far it has come, when it is due, whether it is put away."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, datetime

from sqlalchemy import func
from sqlalchemy.orm import load_only
from sqlmodel import Session, select

from domain.spec.job import Stage
from webapp.store.columns import choice_in
from webapp.store.engine import now
from webapp.store.errors import GoingAhead
from webapp.store.rows import claim, number_of
from webapp.store.stock_tables import MovementRow
from webapp.store.stock_values import MovementKind
from webapp.store.tables import ProjectRow, RevisionRow


@dataclass(frozen=True, slots=True)
class StagedProject:
    """A project's name, how far it has come, and what else tells it from another one of that name."""

    name: str
    stage: Stage
    customer: str | None = None
    due: date | None = None
    is_away: bool = False


_STAGED = (ProjectRow.name, ProjectRow.stage, ProjectRow.customer, ProjectRow.due, ProjectRow.put_away_at)


def staged_projects(session: Session) -> dict[int, StagedProject]:
    """Every project with its stage, by its number."""
    rows = session.exec(
        select(ProjectRow).options(
            load_only(*_STAGED)  # type: ignore[arg-type]
        )
    )
    return {
        number_of(row): StagedProject(
            row.name, choice_in(Stage, row.stage), row.customer, row.due, row.put_away_at is not None
        )
        for row in rows
    }


def set_stage(session: Session, project_id: int, version: int, stage: Stage) -> int:
    """Bring the project to the stage; its new version. What goes ahead is no longer put away.

    Raises NotFound or StaleEdit.
    """
    row = claim(session, ProjectRow, project_id, version)
    row.stage = stage.value
    if stage is Stage.GOING_AHEAD:
        row.put_away_at = None
    return _saved(session, row)


def set_due(session: Session, project_id: int, version: int, due: date | None) -> int:
    """Say for when the project is promised, or with None no more; its new version.

    Raises NotFound or StaleEdit.
    """
    row = claim(session, ProjectRow, project_id, version)
    row.due = due
    return _saved(session, row)


def put_away(session: Session, project_id: int, version: int) -> int:
    """Take the project out of the lists; its new version.

    Raises NotFound, StaleEdit, or GoingAhead where it holds claims on the stock, which must stay in sight.
    """
    row = claim(session, ProjectRow, project_id, version)
    if choice_in(Stage, row.stage) is Stage.GOING_AHEAD:
        raise GoingAhead(row.name)
    row.put_away_at = now(session)
    session.flush()
    return row.version


def bring_back(session: Session, project_id: int, version: int) -> int:
    """Put the project in the lists again; its new version. Raises NotFound or StaleEdit."""
    row = claim(session, ProjectRow, project_id, version)
    row.put_away_at = None
    session.flush()
    return row.version


def _saved(session: Session, row: ProjectRow) -> int:
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
