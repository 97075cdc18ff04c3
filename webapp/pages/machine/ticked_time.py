"""Minutes of a project's work: planned by the shop's own numbers, and as its pieces were ticked off."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from fastapi import APIRouter, Request
from fastapi.responses import HTMLResponse

from domain.machine.ticked_time import PAUSE, Compared, LineTime, Mark, ticked_time
from domain.machine.work_time import work_time
from webapp.site import urls
from webapp.site.incoming import RowId
from webapp.site.rendering import render
from webapp.store.projects import ProjectHead
from webapp.store.ticks import Tick
from webapp.usecases.set_ups import source_of
from webapp.usecases.shop_sheet import open_sheet
from webapp.wording.set_up import minutes_text, sheet_view

router = APIRouter(include_in_schema=False)

TOO_FEW = "too few ticks to compare"
AT_ONCE = "ticked all at once, so its time is not known"


@dataclass(frozen=True, slots=True)
class ComparedRow:
    """Planned and ticked minutes of the same work; ``why`` says why there are none."""

    planned: str
    ticked: str
    share: str
    why: str
    pauses: int


@dataclass(frozen=True, slots=True)
class LineRow:
    """One set-up: what it changes, the planned minutes of all its milling, and the comparison."""

    number: int
    change: str
    planned: str
    compared: ComparedRow


@dataclass(frozen=True, slots=True)
class TimePage:
    """A project's minutes, planned and as ticked; ``pause`` is how long a gap must be to count as one."""

    head: ProjectHead
    rows: tuple[LineRow, ...]
    planned: Mapping[str, str]
    milling: ComparedRow
    changing: ComparedRow
    ticked: int
    elsewhere: int
    pause: str


@router.get(urls.ticked_time)
def show(request: Request, project_id: RowId) -> HTMLResponse:
    """The minutes of one project."""
    (project,), sheet, state = open_sheet(request.app.state.store, [project_id])
    source = source_of(project)
    planned = work_time(source, sheet)
    found = ticked_time(sheet, [_mark(tick) for tick in state.ticks], project.rules)
    blocks = sheet_view(sheet, [source], project.head.units).blocks
    return render(
        request,
        "machine/time.html",
        TimePage(
            head=project.head,
            rows=tuple(_line(each, block.change) for each, block in zip(found.lines, blocks, strict=True)),
            planned={
                name: minutes_text(round(minutes, 2))
                for name, minutes in (
                    ("set_up", planned.set_up),
                    ("milling", planned.milling),
                    ("driving", planned.driving),
                    ("total", planned.total),
                )
            },
            milling=_row(found.milling),
            changing=_row(found.changing),
            ticked=len(state.ticks),
            elsewhere=found.elsewhere,
            pause=minutes_text(PAUSE),
        ),
        units=project.head.units,
    )


def _mark(tick: Tick) -> Mark:
    return Mark(tick.set_up, tick.piece, tick.count, tick.at.timestamp() / 60)


def _line(time: LineTime, change: str) -> LineRow:
    return LineRow(time.line.number, change, minutes_text(round(time.planned, 2)), _row(time.milling))


def _row(found: Compared) -> ComparedRow:
    why = "" if found.telling else TOO_FEW if found.too_few else AT_ONCE
    return ComparedRow(
        planned=minutes_text(round(found.planned, 1)),
        ticked=minutes_text(round(found.ticked, 1)),
        share=f"{found.ticked / found.planned:.0%}" if found.planned else "",
        why=why,
        pauses=found.pauses,
    )
