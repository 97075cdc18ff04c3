"""A project's assemblies: read, added, changed, moved, and what they are called.

Every change of one raises its project's version as well: a takeoff worked out for one version holds for as long as
that version stands.
"""

from __future__ import annotations

from dataclasses import dataclass

from sqlalchemy import ColumnElement, case, func, update
from sqlmodel import Session, col, select

from domain.marks import mark_after
from domain.problem_codes import ProblemCode
from domain.problems import BadInput, Problem
from domain.spec.assemblies import Assembly
from domain.spec.project import MOST_ASSEMBLIES
from webapp.store.engine import now
from webapp.store.errors import MarkTaken
from webapp.store.job_notes import drop_marks, move_marks
from webapp.store.rows import Step, change_places, claim, find, next_position, number_of
from webapp.store.specs import assembly_text, read_assembly
from webapp.store.tables import AssemblyRow, ProjectRow


@dataclass(frozen=True, slots=True)
class AssemblyName:
    """What an assembly is called in a list of those of all projects."""

    id: int
    kind: str
    mark: str
    project: str


@dataclass(frozen=True, slots=True)
class StoredAssembly:
    """An assembly and where it stands; ``version`` is what a form that edits it carries."""

    id: int
    version: int
    position: int
    spec: Assembly
    project_id: int


def assemblies_of(session: Session, project_id: int) -> tuple[StoredAssembly, ...]:
    """The project's assemblies in their order. Raises Unreadable."""
    rows = session.exec(
        select(AssemblyRow).where(_of(project_id)).order_by(col(AssemblyRow.position), col(AssemblyRow.id))
    )
    return tuple(_assembly(assembly) for assembly in rows)


def load_assembly(session: Session, assembly_id: int) -> StoredAssembly:
    """One assembly. Raises NotFound or Unreadable."""
    return _assembly(find(session, AssemblyRow, assembly_id))


def next_mark(session: Session, project_id: int) -> str:
    """The mark to offer for a new assembly: A, B … Z, AA …, after the last one used. Raises NotFound."""
    return mark_after(marks_used(session, project_id))


def marks_used(session: Session, project_id: int) -> tuple[str, ...]:
    """The marks of the project's assemblies. Raises NotFound."""
    find(session, ProjectRow, project_id)
    return tuple(session.exec(select(AssemblyRow.mark).where(_of(project_id))))


def newest_assemblies(session: Session, kind: str, most: int) -> tuple[AssemblyName, ...]:
    """So many of the shop's assemblies, those of that kind before the others, the one stored last first."""
    rows = session.exec(
        select(AssemblyRow.id, AssemblyRow.kind, AssemblyRow.mark, ProjectRow.name)
        .where(AssemblyRow.project_id == ProjectRow.id)
        .order_by(case((col(AssemblyRow.kind) == kind, 0), else_=1), col(AssemblyRow.id).desc())
        .limit(most)
    )
    return tuple(AssemblyName(number or 0, own, mark, project) for number, own, mark, project in rows)


def last_kind(session: Session) -> str | None:
    """The kind of the assembly that was stored last, in any project; None where there is none."""
    return session.exec(select(AssemblyRow.kind).order_by(col(AssemblyRow.id).desc()).limit(1)).first()


def last_assembly(session: Session, kind: str) -> Assembly | None:
    """The assembly of that kind that was stored last, in any project; None where there is none.

    Raises Unreadable.
    """
    newest = select(AssemblyRow).where(AssemblyRow.kind == kind).order_by(col(AssemblyRow.id).desc()).limit(1)
    row = session.exec(newest).first()
    return None if row is None else _assembly(row).spec


def add_assembly(session: Session, project_id: int, spec: Assembly) -> int:
    """Add an assembly at the end of the project; its number.

    Raises NotFound, MarkTaken, or BadInput for a spec the domain would not read back.
    """
    project = _grown(session, project_id)
    _free_mark(session, project_id, spec.mark)
    row = assembly_row(project_id, next_position(session, AssemblyRow, _of(project_id)), spec)
    session.add(row)
    _touch(session, project)
    return number_of(row)


def update_assembly(session: Session, assembly_id: int, version: int, spec: Assembly) -> int:
    """Put ``spec`` in the place of the assembly's, which may change its kind; its new version.

    Raises NotFound, StaleEdit, MarkTaken or BadInput.
    """
    row = claim(session, AssemblyRow, assembly_id, version)
    project = find(session, ProjectRow, row.project_id)
    if spec.mark != row.mark:
        _free_mark(session, row.project_id, spec.mark)
        move_marks(session, project, row.mark, spec.mark)
    row.mark, row.kind, row.spec_json = spec.mark, spec.kind, assembly_text(spec)
    _touch(session, project)
    return row.version


def delete_assembly(session: Session, assembly_id: int, version: int) -> None:
    """Delete the assembly, with what is noted and shown of it. Raises NotFound or StaleEdit."""
    row = claim(session, AssemblyRow, assembly_id, version)
    project = find(session, ProjectRow, row.project_id)
    drop_marks(session, project, row.mark)
    session.delete(row)
    _touch(session, project)


def move_assembly(session: Session, assembly_id: int, step: Step) -> None:
    """Swap the assembly with the one before or after it; the outermost stays. Raises NotFound.

    The assembly's version stays: a form open on it edits the same spec as before.
    """
    row = find(session, AssemblyRow, assembly_id)
    if change_places(session, row, step, _of(row.project_id)):
        _touch(session, find(session, ProjectRow, row.project_id))


def duplicate_assembly(session: Session, assembly_id: int) -> int:
    """Put a copy right after the assembly, under the next mark; the copy's number.

    Raises NotFound, Unreadable, or BadInput where the project is full.
    """
    original = find(session, AssemblyRow, assembly_id)
    project = _grown(session, original.project_id)
    spec = _assembly(original).spec
    mark = next_mark(session, original.project_id)
    _touch(session, project)  # first, so that what follows is seen as a change of the project
    session.exec(
        update(AssemblyRow)
        .where(_of(original.project_id), col(AssemblyRow.position) > original.position)
        .values(position=col(AssemblyRow.position) + 1)
    )
    copy = assembly_row(original.project_id, original.position + 1, under_mark(spec, mark))
    session.add(copy)
    session.flush()
    return number_of(copy)


def under_mark(spec: Assembly, mark: str) -> Assembly:
    """The spec under another mark. Joints that it sets apart are told by their marks, which change with it."""
    joints = {mark + own.removeprefix(spec.mark): choices for own, choices in spec.joints.items()}
    return spec.model_copy(update={"mark": mark, **({"joints": joints} if joints else {})})


def _of(project_id: int) -> ColumnElement[bool]:
    return col(AssemblyRow.project_id) == project_id


def assembly_row(project_id: int, position: int, spec: Assembly) -> AssemblyRow:
    """A new assembly at that place of its project."""
    return AssemblyRow(
        project_id=project_id,
        position=position,
        mark=spec.mark,
        kind=spec.kind,
        spec_json=assembly_text(spec),
    )


def _free_mark(session: Session, project_id: int, mark: str) -> None:
    taken = session.exec(select(AssemblyRow.id).where(_of(project_id), AssemblyRow.mark == mark)).first()
    if taken is not None:
        raise MarkTaken(mark)


def _grown(session: Session, project_id: int) -> ProjectRow:
    """The project, if it has room for one more assembly."""
    project = find(session, ProjectRow, project_id)
    count = session.exec(select(func.count()).where(_of(project_id))).one()
    if count >= MOST_ASSEMBLIES:
        most = MOST_ASSEMBLIES
        raise BadInput([Problem.of(("assemblies",), count + 1, ProblemCode.TOO_MANY_ITEMS, most_n=most)])
    return project


def _touch(session: Session, project: ProjectRow) -> None:
    """Tell that something in the project has changed."""
    project.version += 1
    project.updated = now(session)
    session.flush()


def _assembly(row: AssemblyRow) -> StoredAssembly:
    number = number_of(row)
    return StoredAssembly(
        number, row.version, row.position, read_assembly(number, row.kind, row.spec_json), row.project_id
    )
