"""The parts list: every part with the sizes it is cut to, by wood, of one project or several together."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import NamedTuple

from fastapi import APIRouter, Request
from fastapi.responses import HTMLResponse, RedirectResponse, Response

from webapp.pages.projects.assembly_pages import LISTED, Asked, AssemblyPages, Of, page_of
from webapp.pages.together import Clash, Numbers, chosen, clashes_of, paper_file, table_file, units_of
from webapp.papers.kinds import Paper
from webapp.papers.render import render_parts
from webapp.site import urls
from webapp.site.incoming import RowId
from webapp.site.kept_pages import kept_page
from webapp.site.rendering import render
from webapp.store import Store
from webapp.store.projects import ProjectHead
from webapp.tables.parts_table import parts_table
from webapp.usecases.headings import heading_together
from webapp.usecases.parts_list import parts_list
from webapp.usecases.projects import PlannedProject, plan_soon
from webapp.usecases.set_ups import choosable
from webapp.wording.cut_list import ABOUT, CUT, CutGroup, CutListWords, cut_list_words

router = APIRouter(include_in_schema=False)


@dataclass(frozen=True, slots=True)
class PartsPage:
    """The parts list of one project; ``cut`` heads the column with boxes to tick.

    ``pages`` is where a large project's other assemblies are; then ``sums`` are all its woods.
    """

    heads: tuple[ProjectHead, ...]
    words: CutListWords
    clashes: tuple[Clash, ...]
    about: str
    cut: str
    pages: AssemblyPages | None = None
    sums: tuple[CutGroup, ...] = ()


@dataclass(frozen=True, slots=True)
class PartsTogetherPage(PartsPage):
    """The list of several projects, and the form that chooses them."""

    offered: tuple[ProjectHead, ...] = ()
    chosen: tuple[int, ...] = ()


class _Parts(NamedTuple):
    """What both pages show, in the order of ``PartsPage``."""

    heads: tuple[ProjectHead, ...]
    words: CutListWords
    clashes: tuple[Clash, ...]
    about: str
    cut: str


@router.get(urls.parts)
def show(request: Request, project_id: RowId, of: Of = "", part: Of = "") -> Response:
    """The parts list of one project, a large one's in pages; the page of one part."""
    if part:
        project = plan_soon(request.app.state.store, project_id)
        return RedirectResponse(place_of(project, part), status_code=303)
    asked = Asked(LISTED, of)
    return kept_page(request, project_id, lambda project: _show(request, project, asked), asked=asked)


def place_of(project: PlannedProject, mark: str) -> str:
    """Where a part is on its project's list, by its mark."""
    found = next((part.assembly for part in parts_list([project]).parts if part.mark == mark), None)
    of = None if Asked(LISTED).whole(len(project.assemblies)) else found
    return urls.parts(project.head.id, at=f"part-{mark}", of=of)


@router.get(urls.parts_together)
def show_together(request: Request, project: Numbers = None) -> HTMLResponse:
    """The parts list of the projects chosen, and the form that chooses them."""
    store: Store = request.app.state.store
    projects = chosen(store, project)
    return render(
        request,
        "timber/parts_together.html",
        PartsTogetherPage(
            *_parts(projects),
            offered=choosable(store),
            chosen=tuple(each.head.id for each in projects),
        ),
        units=units_of(projects),
    )


@router.get(urls.parts_table)
def show_table(request: Request, ending: str, project: Numbers = None) -> Response:
    """The list of the projects chosen as a spreadsheet or as CSV."""
    projects = chosen(request.app.state.store, project)
    return table_file("parts", ending, projects, lambda: parts_table(projects))


@router.get(urls.parts_paper)
def show_paper(request: Request, project: Numbers = None, paper: str = "") -> Response:
    """The list of the projects chosen as PDF, marked as a draft."""
    store: Store = request.app.state.store
    projects = chosen(store, project)

    def printed(size: Paper) -> bytes:
        words = cut_list_words(parts_list(projects), units_of(projects))
        return render_parts(words, heading_together(store, projects, numbered=True), size)

    return paper_file(request, "parts", projects, paper, printed)


def _show(request: Request, project: PlannedProject, asked: Asked) -> HTMLResponse:
    page, parts = page_of(project, asked, urls.parts), _parts((project,))
    sums: tuple[CutGroup, ...] = ()
    if page.pages is not None:
        sums = parts.words.groups
        marks = {each.stored.spec.mark for each in page.assemblies}
        parts = parts._replace(words=parts.words.of_assemblies(marks))
    return render(request, "timber/parts.html", PartsPage(*parts, page.pages, sums), units=project.head.units)


def _parts(projects: Sequence[PlannedProject]) -> _Parts:
    return _Parts(
        tuple(project.head for project in projects),
        cut_list_words(parts_list(projects), units_of(projects)),
        clashes_of(projects),
        ABOUT,
        CUT,
    )
