"""The cutting plan of one project or several: bars and sheets drawn, what they cost, what is proven."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from types import ModuleType
from typing import NamedTuple

from fastapi import APIRouter, Request
from fastapi.responses import HTMLResponse, Response

from domain.cut_list.stocked import Stocked
from domain.cutting.document import Cutting
from domain.lengths import Units
from domain.ordering.items import Item
from domain.problems import BadInput
from webapp.drawings.cutting import draw_bar, draw_sheet
from webapp.drawings.model import Drawing
from webapp.form.carried import new_token
from webapp.pages.shop.jobs import begun_first
from webapp.pages.together import Numbers, chosen, paper_file, table_file, units_of
from webapp.papers.kinds import Paper
from webapp.papers.render import render_cutting
from webapp.site import urls
from webapp.site.incoming import OnceForm, RowId
from webapp.site.rendering import MAIN_ONLY, go_to, render
from webapp.store import Store
from webapp.store.errors import NotEnough
from webapp.store.projects import ProjectHead
from webapp.tables.cutting_table import cutting_table
from webapp.tables.table import Table
from webapp.usecases.cut_booking import StalePlan, book_as_cut, seen_of, taken
from webapp.usecases.cutting import asked_of_projects
from webapp.usecases.cutting_plans import plan_soon as plan_cuts_soon
from webapp.usecases.headings import heading_together
from webapp.usecases.long_work import TakesLong
from webapp.usecases.projects import PlannedProject, plan_soon
from webapp.usecases.set_ups import choosable
from webapp.wording import cutting_plan
from webapp.wording.cutting_plan import BarWords, CuttingWords, ItemWords, SheetWords, cutting_words
from webapp.wording.saw_cautions import SAW

router = APIRouter(include_in_schema=False)

BOUGHT_FIRST = "What the plan buys has to be booked in before it is booked as cut."


@dataclass(frozen=True, slots=True)
class DrawnBar:
    """Bars that are cut alike, with their drawing."""

    words: BarWords
    drawing: Drawing


@dataclass(frozen=True, slots=True)
class DrawnSheet:
    """Sheets that are cut alike, with their drawing."""

    words: SheetWords
    drawing: Drawing


@dataclass(frozen=True, slots=True)
class DrawnItem:
    """A wood's plan in words and drawings."""

    words: ItemWords
    bars: tuple[DrawnBar, ...]
    sheets: tuple[DrawnSheet, ...]


@dataclass(frozen=True, slots=True)
class CutToBook:
    """What booking the plan takes from the stockroom and puts back, and what was booked for the project before.

    ``seen`` is what the form carries of the plan.
    """

    address: str
    token: str
    seen: str
    used: tuple[str, ...]
    offcuts: tuple[str, ...]
    before: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class CuttingPage:
    """A project's cutting plan. ``words`` is None where ``refused`` says why there is no plan.

    ``stale`` says why a plan was not booked.
    """

    heads: tuple[ProjectHead, ...]
    words: CuttingWords | None
    items: tuple[DrawnItem, ...]
    refused: str
    saying: ModuleType
    cautions: tuple[str, ...]
    booking: CutToBook | None
    stale: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class CuttingTogetherPage(CuttingPage):
    """The plan of several projects together, and the form that chooses them."""

    offered: tuple[ProjectHead, ...]
    chosen: tuple[int, ...]


class _Parts(NamedTuple):
    """What both pages show, in the order of ``CuttingPage``."""

    heads: tuple[ProjectHead, ...]
    words: CuttingWords | None
    items: tuple[DrawnItem, ...]
    refused: str
    saying: ModuleType
    cautions: tuple[str, ...]
    booking: CutToBook | None
    stale: tuple[str, ...]


@router.get(urls.cutting)
def show(request: Request, project_id: RowId) -> HTMLResponse:
    """The cutting plan of one project."""
    return _show(request, project_id)


@router.post(urls.book_cut)
def book(request: Request, project_id: RowId, form: OnceForm) -> Response:
    """Book the plan as cut, as it was shown; or show the plan anew with what has changed."""
    store: Store = request.app.state.store
    try:
        book_as_cut(store, form.sending, project_id, form.text("seen"))
    except StalePlan as stale:
        return _show(request, project_id, stale=("Nothing was booked.", *stale.changed), status=409)
    except TakesLong as late:
        return begun_first(request, late, urls.cutting(project_id))
    except NotEnough as refusal:
        return _show(request, project_id, stale=(str(refusal), BOUGHT_FIRST), status=409)
    return go_to(request, urls.project_stock(project_id, booked="used"))


def _show(request: Request, project_id: int, *, stale: tuple[str, ...] = (), status: int = 200) -> HTMLResponse:
    store: Store = request.app.state.store
    project = plan_soon(store, project_id)
    return render(
        request,
        "timber/cutting.html",
        CuttingPage(*_parts(store, (project,), stale)),
        fragment="timber/_cutting.html",
        status=status,
        headers=MAIN_ONLY if request.method == "POST" else None,
        units=project.head.units,
    )


@router.get(urls.cutting_together)
def show_together(request: Request, project: Numbers = None) -> HTMLResponse:
    """The cutting plan of the projects chosen, and the form that chooses them."""
    store: Store = request.app.state.store
    projects = chosen(store, project)
    numbers = tuple(each.head.id for each in projects)
    parts = _parts(store, projects)
    return render(
        request,
        "timber/cutting_together.html",
        CuttingTogetherPage(*parts, offered=choosable(store), chosen=numbers),
        fragment="timber/_cutting.html",
        units=units_of(projects),
    )


@router.get(urls.cutting_table)
def show_table(request: Request, ending: str, project: Numbers = None) -> Response:
    """The plan of the projects chosen as a spreadsheet or as CSV."""
    store: Store = request.app.state.store
    projects = chosen(store, project)

    def table() -> Table:
        asked = asked_of_projects(store, projects)
        return cutting_table(asked, plan_cuts_soon(asked.request), units_of(projects))

    return table_file("cutting", ending, projects, table)


@router.get(urls.cutting_paper)
def show_paper(request: Request, project: Numbers = None, paper: str = "") -> Response:
    """The plan of the projects chosen as PDF, marked as a draft."""
    store: Store = request.app.state.store
    projects = chosen(store, project)

    def printed(size: Paper) -> bytes:
        asked = asked_of_projects(store, projects)
        heading = heading_together(store, projects, numbered=True)
        return render_cutting(asked, plan_cuts_soon(asked.request), heading, size)

    return paper_file(request, "cutting", projects, paper, printed)


def _parts(store: Store, projects: Sequence[PlannedProject], stale: tuple[str, ...] = ()) -> _Parts:
    units, heads = units_of(projects), tuple(project.head for project in projects)
    try:
        asked = asked_of_projects(store, projects)
    except BadInput as refusal:
        said = " ".join(f"{problem.text(units)}." for problem in refusal.problems)
        return _Parts(heads, None, (), said, cutting_plan, SAW, None, stale)
    found = plan_cuts_soon(asked.request)
    words = cutting_words(asked, found, units)
    items = _drawn(asked, words, units)
    booking = None
    if len(projects) == 1:
        booking = _booking(store, projects[0].head.id, asked, found)
    return _Parts(heads, words, items, "", cutting_plan, SAW, booking, stale)


def _booking(store: Store, project_id: int, asked: Stocked, found: Cutting) -> CutToBook | None:
    """What is to be booked; None where the plan takes nothing of the stockroom."""
    out, before = taken(store, project_id, asked, found)
    if not out.used:
        return None

    def listed(items: Mapping[Item, int]) -> tuple[str, ...]:
        ordered = sorted(items.items(), key=lambda each: each[0].order)
        return tuple(f"{count} × {item.name}" for item, count in ordered)

    return CutToBook(
        urls.book_cut(project_id),
        new_token(),
        seen_of(asked),
        listed(out.used),
        listed(out.offcuts),
        listed(before),
    )


def _drawn(asked: Stocked, words: CuttingWords, units: Units) -> tuple[DrawnItem, ...]:
    request = asked.request
    bars, sheets = words.items[: len(request.bars)], words.items[len(request.bars) :]
    return (
        *(
            DrawnItem(
                said,
                tuple(
                    DrawnBar(row, draw_bar(f"{said.item}: {row.title}", row.laid, item.nest_width, units))
                    for row in said.bars
                ),
                (),
            )
            for item, said in zip(request.bars, bars, strict=True)
        ),
        *(
            DrawnItem(
                said,
                (),
                tuple(
                    DrawnSheet(row, draw_sheet(f"{said.item}: {row.title}", row.sawn, row.size, units))
                    for row in said.sheets
                ),
            )
            for said in sheets
        ),
    )
