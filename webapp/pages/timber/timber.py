"""Timber to buy for one project or several: by wood and section, with waste, boards of random width, prices."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Annotated

from fastapi import APIRouter, Query, Request
from fastapi.responses import HTMLResponse, Response

from domain.lengths import HOW_TO_WRITE, Length, LengthError, Units, parse_length
from domain.problems import BadInput
from webapp.pages.together import Clash, Numbers, chosen, clashes_of, paper_file, table_file, units_of
from webapp.papers.kinds import Paper
from webapp.papers.render import render_timber
from webapp.site import urls
from webapp.site.incoming import RowId
from webapp.site.rendering import render
from webapp.store import Store
from webapp.store.projects import ProjectHead
from webapp.tables.timber_table import timber_table
from webapp.usecases.headings import heading_together
from webapp.usecases.projects import PlannedProject, plan_soon
from webapp.usecases.set_ups import choosable
from webapp.usecases.timber import timber_of
from webapp.wording.timber import ABOUT, Headings, TimberWords, headings, timber_words, waste_text, without_price

router = APIRouter(include_in_schema=False)

Width = Annotated[str, Query(max_length=40)]


@dataclass(frozen=True, slots=True)
class TimberView:
    """The wood of projects. ``width`` is the mean width of boards as typed, ``refused`` what is wrong."""

    heads: tuple[ProjectHead, ...]
    words: TimberWords
    heading: Headings
    clashes: tuple[Clash, ...]
    unpriced: str
    about: str
    waste: str
    width: str
    refused: str
    action: str


@dataclass(frozen=True, slots=True)
class TimberPage:
    """The wood of one project."""

    view: TimberView
    head: ProjectHead


@dataclass(frozen=True, slots=True)
class TimberTogetherPage:
    """The wood of several projects, and the form that chooses them."""

    view: TimberView
    offered: tuple[ProjectHead, ...]
    chosen: tuple[int, ...]


@router.get(urls.timber)
def show(request: Request, project_id: RowId, width: Width = "") -> HTMLResponse:
    """The wood of one project."""
    store: Store = request.app.state.store
    project = plan_soon(store, project_id)
    view = _view(store, (project,), width, urls.timber(project_id))
    return render(request, "timber/timber.html", TimberPage(view, project.head), units=project.head.units)


@router.get(urls.timber_together)
def show_together(request: Request, project: Numbers = None, width: Width = "") -> HTMLResponse:
    """The wood of the projects chosen, and the form that chooses them."""
    store: Store = request.app.state.store
    projects = chosen(store, project)
    view = _view(store, projects, width, urls.timber_together())
    numbers = tuple(head.id for head in view.heads)
    return render(
        request,
        "timber/timber_together.html",
        TimberTogetherPage(view, choosable(store), numbers),
        units=units_of(projects),
    )


@router.get(urls.timber_table)
def show_table(request: Request, ending: str, project: Numbers = None, width: Width = "") -> Response:
    """The wood of the projects chosen as a spreadsheet or as CSV."""
    store: Store = request.app.state.store
    projects = chosen(store, project)
    units = units_of(projects)
    mean, _ = _mean(width, units)
    return table_file("timber", ending, projects, lambda: timber_table(timber_of(store, projects, mean), units))


@router.get(urls.timber_paper)
def show_paper(request: Request, project: Numbers = None, width: Width = "", paper: str = "") -> Response:
    """The wood of the projects chosen as PDF, marked as a draft."""
    store: Store = request.app.state.store
    projects = chosen(store, project)

    def printed(size: Paper) -> bytes:
        view = _view(store, projects, width, "")
        return render_timber(view.words, view.waste, heading_together(store, projects), size)

    return paper_file(request, "timber", projects, paper, printed)


def _view(store: Store, projects: Sequence[PlannedProject], width: str, action: str) -> TimberView:
    units = units_of(projects)
    mean, refused = _mean(width, units)
    try:
        timber = timber_of(store, projects, mean)
    except BadInput as refusal:
        timber, refused = timber_of(store, ()), refusal.problems[0].text(units)
    return TimberView(
        heads=tuple(project.head for project in projects),
        words=timber_words(timber.lines, timber.sums, timber.currency, timber.total, units),
        heading=headings(units),
        clashes=clashes_of(projects),
        unpriced=without_price(tuple(line.line.group.item for line in timber.lines if line.price is None)),
        about=ABOUT,
        waste=waste_text([project.rules.waste for project in projects]),
        width=width.strip(),
        refused=refused,
        action=action,
    )


def _mean(text: str, units: Units) -> tuple[Length | None, str]:
    """The mean width that was typed, and what is wrong with it."""
    if not text.strip():
        return None, ""
    try:
        length = parse_length(text, units)
    except LengthError:
        return None, f"The mean width of boards needs {HOW_TO_WRITE}."
    if length.nm <= 0:
        return None, "The mean width of boards must be more than 0."
    return length, ""
