"""Photographs of a project, of its assemblies and of its joints: added, shown, removed."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from hashlib import sha256

from sqlalchemy import insert, literal
from sqlalchemy import select as sa_select
from sqlmodel import Session, col, select

from domain.problems import BadInput, Problem
from domain.spec.job import check_notes
from webapp.store.engine import now
from webapp.store.errors import NotFound
from webapp.store.photograph_tables import PhotographRow
from webapp.store.rows import LARGEST_NUMBER, claim, find, number_of
from webapp.store.tables import AssemblyRow, ProjectRow
from webapp.wording.problems import InputProblem

MOST_PHOTOGRAPHS = 30
"""So many a project has at most: all of them are on one page, in one backup."""
LONGEST_CAPTION = 200


@dataclass(frozen=True, slots=True)
class Picture:
    """A picture as it is kept: JPEG of ``width`` by ``height`` pixels, and a small one for lists."""

    width: int
    height: int
    body: bytes
    thumbnail: bytes


@dataclass(frozen=True, slots=True)
class Photograph:
    """A photograph without its bytes. ``mark`` is the assembly's or the joint's, "" for the project's own.

    ``sha256`` is that of its bytes, by which it is asked for.
    """

    id: int
    mark: str
    caption: str
    width: int
    height: int
    sha256: str


def photographs_of(session: Session, project_id: int) -> tuple[Photograph, ...]:
    """The project's photographs, in the order in which they were added; none where there is no such project."""
    table = PhotographRow
    columns = (col(table.id), table.mark, table.caption, table.width, table.height, table.sha256)
    rows = session.execute(select(*columns).where(table.project_id == project_id).order_by(col(table.id)))  # type: ignore[call-overload]
    return tuple(Photograph(*row) for row in rows)


def picture_bytes(session: Session, project_id: int, sum_of_it: str, *, small: bool = False) -> bytes:
    """The bytes of one of the project's photographs, by their SHA-256. Raises NotFound."""
    column = PhotographRow.thumbnail if small else PhotographRow.body
    found = session.exec(
        select(column).where(PhotographRow.project_id == project_id, PhotographRow.sha256 == sum_of_it).limit(1)
    ).first()
    if found is None:
        raise NotFound("photograph", sum_of_it[:12])
    return found


def add_photograph(session: Session, project_id: int, mark: str, caption: str, picture: Picture) -> int:
    """Keep a picture at the mark, "" for the project's own; its number.

    Raises NotFound, or BadInput: at "photograph" for one too many or one that is there already, at "mark" for an
    assembly or a joint that is not there.
    """
    find(session, ProjectRow, project_id)
    told = sha256(picture.body).hexdigest()
    problems = tuple(_problems(session, project_id, mark, told))
    if problems:
        raise BadInput(problems)
    row = PhotographRow(
        project_id=project_id,
        mark=mark,
        caption=caption,
        added_at=now(session),
        width=picture.width,
        height=picture.height,
        sha256=told,
        body=picture.body,
        thumbnail=picture.thumbnail,
    )
    session.add(row)
    session.flush()
    return number_of(row)


def copy_photographs(session: Session, project_id: int, copy_id: int) -> None:
    """Give the copy of a project what the project has of photographs, as they are."""
    table = PhotographRow.__table__  # type: ignore[attr-defined]
    names = [column.name for column in table.columns if column.name not in {"id", "project_id"}]
    theirs = (table.c[name] for name in names)
    asked = sa_select(literal(copy_id), *theirs).where(table.c.project_id == project_id).order_by(table.c.id)
    session.connection().execute(insert(table).from_select(["project_id", *names], asked))


def describe_photograph(
    session: Session, project_id: int, version: int, number: int, mark: str, caption: str
) -> None:
    """Say otherwise what a photograph is of and what stands below it, for a form opened at the project's version.

    Raises NotFound, StaleEdit, or BadInput at "mark": for what is not there, or has the very picture already.
    """
    project = claim(session, ProjectRow, project_id, version)
    row = _of_project(session, project_id, number)
    problems: list[Problem] = []
    if mark != row.mark:
        problems += _of_nothing(session, project_id, mark)
        if any((each.mark, each.sha256) == (mark, row.sha256) for each in photographs_of(session, project_id)):
            problems.append(Problem.of(("mark",), mark, InputProblem.PHOTOGRAPH_TWICE))
    if problems:
        raise BadInput(problems)
    row.mark, row.caption = mark, caption
    project.updated = now(session)
    session.flush()


def remove_photograph(session: Session, project_id: int, number: int) -> None:
    """Remove a photograph; the history of the project keeps it. Raises NotFound."""
    session.delete(_of_project(session, project_id, number))
    session.flush()


def _of_project(session: Session, project_id: int, number: int) -> PhotographRow:
    row = session.get(PhotographRow, number) if 0 < number <= LARGEST_NUMBER else None
    if row is None or row.project_id != project_id:
        raise NotFound("photograph", number)
    return row


def _problems(session: Session, project_id: int, mark: str, told: str) -> Iterator[Problem]:
    there = photographs_of(session, project_id)
    if any((each.mark, each.sha256) == (mark, told) for each in there):
        yield Problem.of(("photograph",), told, InputProblem.PHOTOGRAPH_TWICE)
    elif len(there) >= MOST_PHOTOGRAPHS:
        yield Problem.of(("photograph",), len(there), InputProblem.TOO_MANY_PHOTOGRAPHS, most_n=MOST_PHOTOGRAPHS)
    yield from _of_nothing(session, project_id, mark)


def _of_nothing(session: Session, project_id: int, mark: str) -> Iterator[Problem]:
    if mark:
        marks = session.exec(select(AssemblyRow.mark).where(AssemblyRow.project_id == project_id))
        yield from (replace(problem, path=("mark",)) for problem in check_notes({mark: ""}, marks))
