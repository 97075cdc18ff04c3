"""The set-up sheet: a project's slots in the order that takes the least changing; several projects together."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace
from types import ModuleType
from typing import NamedTuple

from fastapi import APIRouter, Request
from fastapi.responses import HTMLResponse, Response

from domain.lengths import Units
from domain.machine.work_time import WorkTime
from domain.takeoff.pieces import Hand
from webapp.drawings.model import Drawing
from webapp.drawings.set_up import sheet_pictures
from webapp.pages.machine.set_up_beside import BesideSetUp, Shop, beside_sheet
from webapp.pages.machine.set_up_pages import AskedSetUp, SetUpPages, SetUpsHere, set_ups_here
from webapp.pages.projects.assembly_pages import Of
from webapp.pages.together import Clash, Numbers, clashes_of, paper_file, units_of
from webapp.papers.kinds import Paper
from webapp.site import urls
from webapp.site.incoming import RowId
from webapp.site.kept_pages import kept_page
from webapp.site.rendering import render
from webapp.store import Store
from webapp.store.projects import ProjectHead
from webapp.usecases.jobs import Task
from webapp.usecases.long_papers import set_ups_of_several
from webapp.usecases.projects import PlannedProject
from webapp.usecases.scales import corrections
from webapp.usecases.set_ups import AtTheMachine, at_the_machine_soon, choosable, choose_soon
from webapp.usecases.shop import the_shop
from webapp.usecases.trials import beside, book_edition
from webapp.wording import cautions
from webapp.wording.set_up import HANDS, SheetView, saved_text, sheet_view, times_text

router = APIRouter(include_in_schema=False)


@dataclass(frozen=True, slots=True)
class TimeRow:
    """Minutes of a project by itself."""

    id: int
    name: str
    set_up: str
    milling: str
    driving: str
    total: str


@dataclass(frozen=True, slots=True)
class SetUpsPage:
    """The set-up sheet of one project; ``beside`` is what the shop's book says of each set-up, by its number."""

    heads: tuple[ProjectHead, ...]
    sheet: SheetView
    pictures: Mapping[int, Mapping[Hand, Drawing]]
    beside: Mapping[int, BesideSetUp]
    slots: int
    times: tuple[TimeRow, ...]
    saved: str
    clashes: tuple[Clash, ...]
    hands: str
    cautions: ModuleType
    on_page: SetUpsHere
    pages: SetUpPages | None


@dataclass(frozen=True, slots=True)
class TogetherPage(SetUpsPage):
    """The sheet of several projects, and the form that chooses them."""

    offered: tuple[ProjectHead, ...]
    chosen: tuple[int, ...]


class _Parts(NamedTuple):
    """What both sheets show, in the order of ``SetUpsPage``."""

    heads: tuple[ProjectHead, ...]
    sheet: SheetView
    pictures: Mapping[int, Mapping[Hand, Drawing]]
    beside: Mapping[int, BesideSetUp]
    slots: int
    times: tuple[TimeRow, ...]
    saved: str
    clashes: tuple[Clash, ...]
    hands: str
    cautions: ModuleType
    on_page: SetUpsHere
    pages: SetUpPages | None


@router.get(urls.set_ups)
def show(request: Request, project_id: RowId, of: Of = "") -> HTMLResponse:
    """The set-up sheet of one project; a long one in pages."""
    also, asked = book_edition(request.app.state.store), AskedSetUp(of)
    return kept_page(request, project_id, lambda project: _show(request, project, asked), also, asked)


@router.get(urls.set_ups_together)
def show_together(request: Request, project: Numbers = None, of: Of = "") -> HTMLResponse:
    """The set-up sheet of the projects chosen, a long one in pages, and the form that chooses them."""
    store, numbers = request.app.state.store, tuple(dict.fromkeys(project or ()))
    projects, change_minutes = choose_soon(store, numbers)
    found = at_the_machine_soon(projects, change_minutes)
    return render(
        request,
        "machine/together.html",
        TogetherPage(*_parts(store, projects, found, AskedSetUp(of)), offered=choosable(store), chosen=numbers),
        units=units_of(projects),
    )


@router.get(urls.set_ups_paper)
def show_paper(request: Request, project: Numbers = None, paper: str = "") -> Response:
    """The set-up sheet of the projects chosen as PDF, marked as a draft."""
    store, numbers = request.app.state.store, tuple(dict.fromkeys(project or ()))
    projects, change_minutes = choose_soon(store, numbers)
    back = urls.set_ups_together(project=numbers)

    def printed(size: Paper) -> bytes | Callable[[str], Task]:
        return set_ups_of_several(store, projects, change_minutes, size, back)

    return paper_file(request, "set-ups", projects, paper, printed)


def _show(request: Request, project: PlannedProject, asked: AskedSetUp) -> HTMLResponse:
    found = at_the_machine_soon((project,), project.rules.change_minutes)
    return render(
        request,
        "machine/set_ups.html",
        SetUpsPage(*_parts(request.app.state.store, (project,), found, asked)),
        units=project.head.units,
    )


def _parts(store: Store, projects: Sequence[PlannedProject], found: AtTheMachine, asked: AskedSetUp) -> _Parts:
    units, sources = units_of(projects), [timed.source for timed in found.projects]
    found_out = corrections(store)
    sheet, numbers = sheet_view(found.sheet, sources, units, found_out), [project.head.id for project in projects]

    def address(of: str | None) -> str:
        return (
            urls.set_ups(*numbers, of=of) if len(numbers) == 1 else urls.set_ups_together(project=numbers, of=of)
        )

    here = set_ups_here(sheet.blocks, asked, address, () if len(numbers) == 1 else tuple(numbers))
    shown = {block.number for block in here.blocks}
    drawn = replace(found.sheet, lines=tuple(line for line in found.sheet.lines if line.number in shown))
    return _Parts(
        heads=tuple(project.head for project in projects),
        sheet=sheet,
        pictures=sheet_pictures(drawn, sources, units, found_out),
        beside=_beside(store, projects, found, units),
        slots=sum(line.work.passes for line in found.sheet.lines),
        times=tuple(_time(project, timed.time) for project, timed in zip(projects, found.projects, strict=True)),
        saved=saved_text(found.sheet, [timed.time for timed in found.projects]),
        clashes=clashes_of(projects),
        hands=HANDS,
        cautions=cautions,
        on_page=here,
        pages=here.pages,
    )


def _beside(
    store: Store, projects: Sequence[PlannedProject], found: AtTheMachine, units: Units
) -> dict[int, BesideSetUp]:
    """What the shop's book has to say beside each set-up, by its number."""
    typed = the_shop(store).units
    keys = [timed.source.key for timed in found.projects]
    by_key = dict(zip(keys, projects, strict=True))
    return beside_sheet(
        found.sheet, Shop(by_key, {key: beside(store, project) for key, project in by_key.items()}, typed), units
    )


def _time(project: PlannedProject, time: WorkTime) -> TimeRow:
    return TimeRow(project.head.id, project.head.name, *times_text(time))
