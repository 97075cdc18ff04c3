"""Pages about one project or several together: which were chosen, in what units, what is left out."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Annotated

from fastapi import Query, Request
from fastapi.responses import Response

from domain.lengths import Units
from domain.problems import BadInput, Refused
from webapp.pages.projects.exports import MEDIA_TYPES, TableFile, download, written
from webapp.papers.kinds import Paper
from webapp.site.failures import Words, failure
from webapp.store import Store
from webapp.store.errors import NotFound
from webapp.tables.table import Table
from webapp.usecases.drafts import paper_called, usual_paper
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
    if ending not in list(TableFile) or not projects:
        raise NotFound("table", f"{name}.{ending}")
    kind = TableFile(ending)
    return download(written(table(), kind), MEDIA_TYPES[kind], f"{named_after(name, projects)}.{kind}")


def paper_file(
    request: Request,
    name: str,
    projects: Sequence[PlannedProject],
    paper: str,
    printed: Callable[[Paper], bytes],
) -> Response:
    """Their document as PDF, on the usual paper where none is named. Raises NotFound for no project, BadInput."""
    if not projects:
        raise NotFound(name, "")
    try:
        size = paper_called(paper) if paper else usual_paper(units_of(projects))
    except Refused as refusal:
        raise BadInput([refusal.at(("paper",), paper)]) from None
    try:
        body = printed(size)
    except BadInput as refused:
        sentence = " ".join(f"{problem}." for problem in refused.problems)
        return failure(request, 422, Words("It cannot be printed yet", sentence))
    file_name = f"{named_after(name, projects)}-{size.label.lower()}.pdf"
    headers = {"Content-Disposition": f'inline; filename="{file_name}"'}
    return Response(body, media_type="application/pdf", headers=headers)
