"""The assembly sheet: in what order the parts of a project go together, step by step."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from fastapi import APIRouter, Request
from fastapi.responses import HTMLResponse

from domain.assembling.sheet import assembly_sheet
from domain.lengths import Units
from domain.spec.rules import Rules
from webapp.drawings.assembling import step_drawings
from webapp.drawings.model import Drawing
from webapp.pages.projects.assembly_pages import DRAWN, Asked, AssemblyPages, Of, page_of
from webapp.site import urls
from webapp.site.incoming import RowId
from webapp.site.kept_pages import kept_page
from webapp.site.rendering import render
from webapp.store.projects import ProjectHead
from webapp.usecases.projects import PlannedAssembly, PlannedProject
from webapp.wording.assembling import CAUTIONS, DRY_FIT, GLUE_UP, HEADINGS, SheetWords, StepWords, sheet_words

router = APIRouter(include_in_schema=False)


@dataclass(frozen=True, slots=True)
class DrawnStep:
    """A step in words and as it is drawn."""

    words: StepWords
    drawing: Drawing


@dataclass(frozen=True, slots=True)
class AssemblySteps:
    """An assembly's steps, or the problems that keep it from having any, and what somebody ``noted`` at it."""

    mark: str
    name: str
    quantity: int
    words: SheetWords | None
    steps: tuple[DrawnStep, ...]
    problems: tuple[str, ...]
    noted: str


@dataclass(frozen=True, slots=True)
class AssemblySheetPage:
    """A project's assemblies with their steps; the rest are words that hold for all of them.

    ``pages`` is where a large project's other assemblies are.
    """

    head: ProjectHead
    assemblies: Sequence[AssemblySteps]
    pages: AssemblyPages | None
    headings: tuple[str, ...] = HEADINGS
    dry_fit: str = DRY_FIT
    glue_up: str = GLUE_UP
    cautions: tuple[str, ...] = CAUTIONS


@router.get(urls.assembly_sheet)
def show(request: Request, project_id: RowId, of: Of = "") -> HTMLResponse:
    """The assembly sheet; a large project's in pages."""
    asked = Asked(DRAWN, of)
    return kept_page(request, project_id, lambda project: _show(request, project, asked), asked=asked)


def _show(request: Request, project: PlannedProject, asked: Asked) -> HTMLResponse:
    units, page = project.head.units, page_of(project, asked, urls.assembly_sheet)
    notes = project.bench.notes
    assemblies = [
        _assembly(each, project.rules, units, notes.get(each.stored.spec.mark, "")) for each in page.assemblies
    ]
    return render(
        request,
        "projects/assembly_sheet.html",
        AssemblySheetPage(project.head, assemblies, page.pages),
        units=units,
    )


def _assembly(planned: PlannedAssembly, rules: Rules, units: Units, noted: str) -> AssemblySteps:
    spec, takeoff = planned.stored.spec, planned.takeoff
    problems = tuple(problem.text(units) for problem in planned.problems)
    if takeoff is None:
        return AssemblySteps(spec.mark, spec.name or "", spec.quantity, None, (), problems, noted)
    sheet = assembly_sheet(spec, takeoff, rules)
    words = sheet_words(sheet, takeoff.expansion, units)
    steps = tuple(map(DrawnStep, words.steps, step_drawings(sheet, takeoff)))
    return AssemblySteps(spec.mark, takeoff.expansion.name, spec.quantity, words, steps, problems, noted)
