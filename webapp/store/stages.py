"""How far a project has come: planned, going ahead, built."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

from sqlmodel import Session, select

from webapp.store.engine import now
from webapp.store.rows import claim
from webapp.store.tables import ProjectRow


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
