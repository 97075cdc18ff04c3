"""Notes and photographs beside a project: its own, and those of its assemblies and joints, by mark."""

from __future__ import annotations

from dataclasses import replace

from sqlalchemy import delete, update
from sqlmodel import Session, col, select

from domain.problem_codes import ProblemCode
from domain.problems import BadInput, Problem
from domain.reading import read
from domain.spec.job import MOST_NOTES, check_notes, marks_of, under_another_mark
from domain.spec.project import FORMAT, Project
from webapp.store.engine import now
from webapp.store.photograph_tables import PhotographRow
from webapp.store.rows import claim, number_of
from webapp.store.specs import notes_text, read_notes
from webapp.store.tables import AssemblyRow, ProjectRow


def set_note(session: Session, project_id: int, version: int, mark: str, note: str) -> int:
    """Write a note at the mark, or with "" take it away; "" as a mark is the project. Its new version.

    Raises NotFound, StaleEdit, or BadInput, with the path "note" for a note that cannot be kept.
    """
    row = claim(session, ProjectRow, project_id, version)
    told = read(Project, {"format": FORMAT, "name": row.name, "note": note}).note if note.strip() else None
    if not mark:
        row.note = told
    else:
        notes = read_notes(project_id, row.notes_json) if row.notes_json else {}
        if told is None:
            notes.pop(mark, None)
        else:
            _refuse_unless_there(session, project_id, mark)
            notes[mark] = told
            if len(notes) > MOST_NOTES:
                raise BadInput([Problem.of(("note",), len(notes), ProblemCode.TOO_MANY_ITEMS, most_n=MOST_NOTES)])
        row.notes_json = notes_text(notes)
    row.updated = now(session)
    session.flush()
    return row.version


def _refuse_unless_there(session: Session, project_id: int, mark: str) -> None:
    marks = session.exec(select(AssemblyRow.mark).where(AssemblyRow.project_id == project_id))
    problems = tuple(check_notes({mark: ""}, marks))
    if problems:
        raise BadInput([replace(problem, path=("note",)) for problem in problems])


def move_marks(session: Session, project: ProjectRow, was: str, mark: str) -> None:
    """What is noted and shown of an assembly and its joints follows its new mark."""
    if project.notes_json:
        notes = read_notes(number_of(project), project.notes_json)
        project.notes_json = notes_text(under_another_mark(notes, was, mark))
    for kept in _photographed(session, project, was):
        session.exec(
            update(PhotographRow)
            .where(col(PhotographRow.project_id) == project.id, col(PhotographRow.mark) == kept)
            .values(mark=mark + kept.removeprefix(was))
        )


def drop_marks(session: Session, project: ProjectRow, mark: str) -> None:
    """What is noted and shown of an assembly and its joints goes with it."""
    if project.notes_json:
        notes = read_notes(number_of(project), project.notes_json)
        gone = set(marks_of(mark, notes))
        project.notes_json = notes_text({each: note for each, note in notes.items() if each not in gone})
    for kept in _photographed(session, project, mark):
        session.exec(
            delete(PhotographRow).where(
                col(PhotographRow.project_id) == project.id, col(PhotographRow.mark) == kept
            )
        )


def _photographed(session: Session, project: ProjectRow, mark: str) -> tuple[str, ...]:
    found = session.exec(select(PhotographRow.mark).where(PhotographRow.project_id == project.id).distinct())
    return marks_of(mark, found)
