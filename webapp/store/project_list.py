"""The projects as a list is searched: each with its marks and notes, at the price of one query."""

from __future__ import annotations

from dataclasses import dataclass

from sqlalchemy.orm import defer
from sqlmodel import Session, col, select

from webapp.store.projects import ProjectHead, head_of
from webapp.store.specs import read_notes
from webapp.store.tables import AssemblyRow, ProjectRow

_UNREAD = (
    ProjectRow.sections_json,
    ProjectRow.rules_json,
    ProjectRow.keys_json,
    ProjectRow.starts_json,
    ProjectRow.climate_json,
    ProjectRow.stock_json,
    ProjectRow.parts_json,
    ProjectRow.quote_json,
)


@dataclass(frozen=True, slots=True)
class ListedProject:
    """A project in the list; ``marks`` are its assemblies', ``notes`` all that is noted beside it."""

    head: ProjectHead
    marks: tuple[str, ...]
    notes: tuple[str, ...]


def listed_projects(session: Session) -> tuple[ListedProject, ...]:
    """Every project, the one changed last first. Raises Unreadable where the notes of one are none."""
    marks: dict[int, list[str]] = {}
    for number, mark in session.exec(
        select(AssemblyRow.project_id, AssemblyRow.mark).order_by(col(AssemblyRow.position), col(AssemblyRow.id))
    ):
        marks.setdefault(number, []).append(mark)
    rows = session.exec(
        select(ProjectRow)
        .options(*(defer(column) for column in _UNREAD))  # type: ignore[arg-type]
        .order_by(col(ProjectRow.updated).desc(), col(ProjectRow.id).desc())
    )
    return tuple(_listed(row, marks.get(row.id or 0, [])) for row in rows)


def _listed(row: ProjectRow, marks: list[str]) -> ListedProject:
    beside = read_notes(row.id, row.notes_json).values() if row.notes_json else ()
    return ListedProject(head_of(row, len(marks)), tuple(marks), (*([row.note] if row.note else []), *beside))
