"""The setting-out sheet: every piece of a project with its lines, slots and grooves."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from fastapi import APIRouter, Request
from fastapi.responses import HTMLResponse

from domain.lengths import Units
from domain.setting_out.sheets import SetOut, set_out
from domain.takeoff.takeoff import AssemblyTakeoff
from webapp.drawings.model import Drawing
from webapp.drawings.setting_out import draw_view
from webapp.pages.projects.assembly_pages import DRAWN, Asked, AssemblyPages, Of, page_of
from webapp.site import urls
from webapp.site.incoming import RowId
from webapp.site.kept_pages import kept_page
from webapp.site.rendering import render
from webapp.store.projects import ProjectHead
from webapp.usecases.projects import PlannedAssembly, PlannedProject
from webapp.wording.setting_out import ABOUT, HEADINGS, SetOutWords, ViewWords, set_out_words

router = APIRouter(include_in_schema=False)


@dataclass(frozen=True, slots=True)
class DrawnView:
    """A view in words and as it is drawn; an end is drawn smaller."""

    words: ViewWords
    drawing: Drawing
    is_end: bool


@dataclass(frozen=True, slots=True)
class SetOutPiece:
    """Pieces that are set out alike, with their views."""

    words: SetOutWords
    views: tuple[DrawnView, ...]


@dataclass(frozen=True, slots=True)
class SetOutAssembly:
    """An assembly's pieces, or the problems that keep it from having any."""

    mark: str
    name: str
    quantity: int
    pieces: tuple[SetOutPiece, ...]
    problems: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class SettingOutPage:
    """A project's pieces, assembly by assembly; ``about`` says how the sheet is read.

    ``pages`` is where a large project's other assemblies are.
    """

    head: ProjectHead
    assemblies: Sequence[SetOutAssembly]
    pages: AssemblyPages | None
    about: str
    headings: tuple[str, ...]


@router.get(urls.setting_out)
def show(request: Request, project_id: RowId, of: Of = "") -> HTMLResponse:
    """The setting-out sheet; a large project's in pages."""
    asked = Asked(DRAWN, of)
    return kept_page(request, project_id, lambda project: _show(request, project, asked), asked=asked)


def _show(request: Request, project: PlannedProject, asked: Asked) -> HTMLResponse:
    units, page = project.head.units, page_of(project, asked, urls.setting_out)
    assemblies = [_assembly(each, units) for each in page.assemblies]
    return render(
        request,
        "projects/setting_out.html",
        SettingOutPage(project.head, assemblies, page.pages, ABOUT, HEADINGS),
        units=units,
    )


def _assembly(planned: PlannedAssembly, units: Units) -> SetOutAssembly:
    spec, takeoff = planned.stored.spec, planned.takeoff
    return SetOutAssembly(
        mark=spec.mark,
        name=takeoff.expansion.name if takeoff else spec.name or "",
        quantity=spec.quantity,
        pieces=tuple(_piece(entry, takeoff, units) for entry in set_out(takeoff)) if takeoff else (),
        problems=tuple(problem.text(units) for problem in planned.problems),
    )


def _piece(entry: SetOut, takeoff: AssemblyTakeoff, units: Units) -> SetOutPiece:
    words = set_out_words(entry, takeoff.joints, units)
    views = (
        DrawnView(each, draw_view(view, units, words.pieces), view.place.is_end)
        for view, each in zip(entry.views, words.views, strict=True)
    )
    return SetOutPiece(words, tuple(views))
