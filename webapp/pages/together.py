"""Pages about one project or several together: which were chosen, in what units, what is left out."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Annotated

from fastapi import Query, Request
from fastapi.responses import Response

from domain.lengths import Units
from webapp.pages.printing import Printed, pdf_answer
from webapp.pages.projects.exports import table_answer
from webapp.store import Store
from webapp.store.errors import NotFound
from webapp.tables.table import Table
from webapp.usecases.projects import PlannedProject, plan_all_soon

MOST_TOGETHER = 50
"""More projects than these are not made on one day."""
Number = Annotated[int, Query(ge=1, le=2**53)]
Numbers = Annotated[list[Number] | None, Query(max_length=MOST_TOGETHER)]


@dataclass(frozen=True, slots=True)
class Clash:
    """Assemblies of a project whose sizes clash, by their marks: the page is without them."""

    id: int
    name: str
    marks: tuple[str, ...]


def chosen(store: Store, numbers: Sequence[int] | None) -> tuple[PlannedProject, ...]:
    """The projects of these numbers, each once, in their order. Raises NotFound, BadInput or TakesLong."""
    return plan_all_soon(store, numbers or ())


def units_of(projects: Sequence[PlannedProject]) -> Units:
    """The units that they are shown in together: the first one's."""
    return projects[0].head.units if projects else Units.MM


def clashes_of(projects: Sequence[PlannedProject]) -> tuple[Clash, ...]:
    """What is left out of each project, where anything is."""
    found = (
        Clash(project.head.id, project.head.name, marks)
        for project in projects
        for marks in (tuple(each.stored.spec.mark for each in project.assemblies if each.takeoff is None),)
    )
    return tuple(clash for clash in found if clash.marks)


def named_after(name: str, projects: Sequence[PlannedProject]) -> str:
    """What a file of these projects is called, without its ending: "parts-1-3"."""
    return "-".join([name, *(str(project.head.id) for project in projects)])


def table_file(name: str, ending: str, projects: Sequence[PlannedProject], table: Callable[[], Table]) -> Response:
    """Their table as a spreadsheet or as CSV. Raises NotFound for another ending, or no project."""
    if not projects:
        raise NotFound("table", f"{name}.{ending}")
    return table_answer(named_after(name, projects), ending, table)


def paper_file(
    request: Request,
    name: str,
    projects: Sequence[PlannedProject],
    paper: str,
    printed: Printed,
) -> Response:
    """Their document as PDF, on the usual paper where none is named. Raises NotFound for no project, BadInput."""
    if not projects:
        raise NotFound(name, "")
    return pdf_answer(request, named_after(name, projects), units_of(projects), paper, printed)
