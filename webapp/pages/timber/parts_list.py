"""The parts list: every part with the sizes it is cut to, by wood, of one project or several together."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Annotated, NamedTuple

from fastapi import APIRouter, Query, Request
from fastapi.responses import HTMLResponse, Response

from domain.lengths import Units
from domain.problems import BadInput, Refused
from webapp.pages.projects.exports import MEDIA_TYPES, TableFile, download, written
from webapp.papers.kinds import Paper
from webapp.papers.render import render_parts
from webapp.site import urls
from webapp.site.failures import Words, failure
from webapp.site.incoming import RowId
from webapp.site.kept_pages import kept_page
from webapp.site.rendering import render
from webapp.store import Store
from webapp.store.errors import NotFound
from webapp.store.projects import ProjectHead
from webapp.tables.parts_table import parts_table
from webapp.usecases.drafts import paper_called
from webapp.usecases.parts_list import heading_together, parts_list
from webapp.usecases.projects import PlannedProject, plan
from webapp.usecases.set_ups import choosable
from webapp.wording.cut_list import ABOUT, CUT, CutListWords, cut_list_words

router = APIRouter(include_in_schema=False)

MOST_TOGETHER = 50
"""More projects than these are not cut in one go."""
Number = Annotated[int, Query(ge=1, le=2**53)]
Numbers = Annotated[list[Number] | None, Query(max_length=MOST_TOGETHER)]


@dataclass(frozen=True, slots=True)
class ClashingParts:
    """Assemblies of a project whose sizes clash, by their marks: their parts are not on the list."""

    id: int
    name: str
    marks: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class PartsPage:
    """The parts list of one project; ``cut`` heads the column with boxes to tick."""

    heads: tuple[ProjectHead, ...]
    words: CutListWords
    clashes: tuple[ClashingParts, ...]
    about: str
    cut: str


@dataclass(frozen=True, slots=True)
class PartsTogetherPage(PartsPage):
    """The list of several projects, and the form that chooses them."""

    offered: tuple[ProjectHead, ...]
    chosen: tuple[int, ...]


class _Parts(NamedTuple):
    """What both pages show, in the order of ``PartsPage``."""

    heads: tuple[ProjectHead, ...]
    words: CutListWords
    clashes: tuple[ClashingParts, ...]
    about: str
    cut: str


@router.get(urls.parts)
def show(request: Request, project_id: RowId) -> HTMLResponse:
    """The parts list of one project."""
    return kept_page(request, project_id, lambda project: _show(request, project))


@router.get(urls.parts_together)
def show_together(request: Request, project: Numbers = None) -> HTMLResponse:
    """The parts list of the projects chosen, and the form that chooses them."""
    store: Store = request.app.state.store
    projects = _chosen(store, project)
    return render(
        request,
        "timber/parts_together.html",
        PartsTogetherPage(
            *_parts(projects),
            offered=choosable(store),
            chosen=tuple(each.head.id for each in projects),
        ),
        units=_units(projects),
    )


@router.get(urls.parts_table)
def show_table(request: Request, ending: str, project: Numbers = None) -> Response:
    """The list of the projects chosen as a spreadsheet or as CSV."""
    projects = _chosen(request.app.state.store, project)
    if ending not in list(TableFile) or not projects:
        raise NotFound("table", f"parts.{ending}")
    kind = TableFile(ending)
    names = "-".join(str(each.head.id) for each in projects)
    return download(written(parts_table(projects), kind), MEDIA_TYPES[kind], f"parts-{names}.{kind}")


@router.get(urls.parts_paper)
def show_paper(request: Request, project: Numbers = None, paper: str = Paper.A4.label) -> Response:
    """The list of the projects chosen as PDF, marked as a draft."""
    store: Store = request.app.state.store
    try:
        size = paper_called(paper)
    except Refused as refusal:
        raise BadInput([refusal.at(("paper",), paper)]) from None
    projects = _chosen(store, project)
    if not projects:
        raise NotFound("parts list", "")
    words = cut_list_words(parts_list(projects), _units(projects))
    try:
        body = render_parts(words, heading_together(store, projects), size)
    except BadInput as refused:
        sentence = " ".join(f"{problem}." for problem in refused.problems)
        return failure(request, 422, Words("It cannot be printed yet", sentence))
    name = f"parts-{'-'.join(str(each.head.id) for each in projects)}-{size.label.lower()}.pdf"
    headers = {"Content-Disposition": f'inline; filename="{name}"'}
    return Response(body, media_type="application/pdf", headers=headers)


def _chosen(store: Store, numbers: Sequence[int] | None) -> tuple[PlannedProject, ...]:
    return tuple(plan(store, number) for number in dict.fromkeys(numbers or ()))


def _show(request: Request, project: PlannedProject) -> HTMLResponse:
    return render(request, "timber/parts.html", PartsPage(*_parts((project,))), units=project.head.units)


def _units(projects: Sequence[PlannedProject]) -> Units:
    return projects[0].head.units if projects else Units.MM


def _parts(projects: Sequence[PlannedProject]) -> _Parts:
    return _Parts(
        tuple(project.head for project in projects),
        cut_list_words(parts_list(projects), _units(projects)),
        tuple(clash for clash in map(_clash, projects) if clash.marks),
        ABOUT,
        CUT,
    )


def _clash(project: PlannedProject) -> ClashingParts:
    marks = tuple(each.stored.spec.mark for each in project.assemblies if each.takeoff is None)
    return ClashingParts(project.head.id, project.head.name, marks)
