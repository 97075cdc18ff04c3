"""What a project's consumables cost: by assembly, repeated today, bought in whole packs; on paper, as a table."""

from __future__ import annotations

from dataclasses import dataclass

from fastapi import APIRouter, Request
from fastapi.responses import HTMLResponse, Response

from webapp.pages.printing import pdf_answer
from webapp.pages.projects.exports import table_answer
from webapp.papers.costs import CostsOnPaper
from webapp.papers.kinds import Paper
from webapp.papers.render import render_costs
from webapp.site import urls
from webapp.site.incoming import RowId
from webapp.site.rendering import render
from webapp.store import Store
from webapp.store.projects import ProjectHead
from webapp.tables.costs_table import costs_table
from webapp.usecases.costs import WOOD, ProjectCosts, Repeat, project_costs
from webapp.usecases.headings import heading_together
from webapp.wording.costs import (
    ABOUT_PACKS,
    AGAIN,
    NOT_YET,
    PacksWords,
    RepeatWords,
    SharesWords,
    change_words,
    packs_words,
    quantity_text,
    repeat_words,
    shares_words,
    unpriced_text,
)

router = APIRouter(include_in_schema=False)


@dataclass(frozen=True, slots=True)
class CostsPage:
    """A project's costs by part and in whole packs; ``repeat`` compares with the day it was first made.

    ``about`` says what is in the sums and of which day, ``clashes`` are marks of assemblies that are not.
    """

    head: ProjectHead
    about: str
    packs: PacksWords
    shares: SharesWords
    unpriced: str
    clashes: tuple[str, ...]
    repeat: RepeatWords | None
    about_packs: str
    again: str
    not_yet: str


@router.get(urls.costs)
def show(request: Request, project_id: RowId) -> HTMLResponse:
    """The costs page."""
    found = project_costs(request.app.state.store, project_id)
    words = _words(found)
    return render(
        request,
        "orders/costs.html",
        CostsPage(
            head=found.project.head,
            about=words.about,
            packs=words.packs,
            shares=words.shares,
            unpriced=words.unpriced,
            clashes=words.clashes,
            repeat=words.repeat,
            about_packs=ABOUT_PACKS,
            again=AGAIN,
            not_yet=NOT_YET,
        ),
        units=found.project.head.units,
    )


@router.get(urls.costs_paper)
def show_paper(request: Request, project_id: RowId, paper: str = "") -> Response:
    """The costs as PDF, marked as a draft."""
    store: Store = request.app.state.store
    found = project_costs(store, project_id)

    def printed(size: Paper) -> bytes:
        return render_costs(_words(found), heading_together(store, (found.project,)), size)

    return pdf_answer(request, f"project-{project_id}-costs", found.project.head.units, paper, printed)


@router.get(urls.costs_table)
def show_table(request: Request, project_id: RowId, ending: str) -> Response:
    """The costs by assembly as a spreadsheet or as CSV."""
    found = project_costs(request.app.state.store, project_id)
    return table_answer(f"project-{project_id}-costs", ending, lambda: costs_table(found))


def _words(found: ProjectCosts) -> CostsOnPaper:
    """What page and paper say."""
    units, of_packs = found.project.head.units, bool(found.whole_packs.lines)
    has_wood = any(part.name == WOOD for part in found.costs.parts)
    covers = "keys, plugs, glue and wood" if has_wood else "keys, plugs and glue"
    return CostsOnPaper(
        about=f"{covers} at the prices of {found.day.isoformat()}",
        packs=packs_words(found.whole_packs, found.currency, found.units, units),
        shares=shares_words(found.costs, found.currency, found.units, units, of_packs=of_packs),
        unpriced=unpriced_text((*found.costs.unpriced, *found.woodless)),
        clashes=tuple(each.stored.spec.mark for each in found.project.assemblies if each.takeoff is None),
        repeat=_repeat(found.repeat, found) if found.repeat else None,
    )


def _repeat(repeat: Repeat, costs: ProjectCosts) -> RepeatWords:
    units, currency = costs.project.head.units, costs.currency
    rows = [
        change_words(
            change.item,
            quantity_text(change.quantity, costs.units[change.item], units),
            change.then,
            change.now,
            currency,
            costs.units[change.item],
            units,
        )
        for change in repeat.changes
    ]
    when = repeat.when
    return repeat_words(when.day, when.revision, repeat.then, repeat.now, currency, rows, repeat.left_out)
