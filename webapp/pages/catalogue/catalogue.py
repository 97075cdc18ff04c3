"""The catalogue: all key sections and plugs on one page."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from fastapi import APIRouter, Request
from fastapi.responses import HTMLResponse, Response

from domain.lengths import Units
from domain.problem_codes import ProblemCode
from domain.problems import BadInput, Problem
from webapp.drawings.key_section import draw_key_section
from webapp.drawings.measured_key import draw_whole_key
from webapp.drawings.model import Drawing
from webapp.form.carried import sent_version
from webapp.site import urls
from webapp.site.incoming import OnceForm, RowId
from webapp.site.rendering import go_to, render
from webapp.store.rows import Step
from webapp.usecases.catalogue import Catalogue, load_catalogue, move_section, remove_section
from webapp.usecases.demo import demo_catalogue

router = APIRouter(include_in_schema=False)

EXAMPLE = 1
"""Which of the demo's sections, from the smallest."""


@dataclass(frozen=True, slots=True)
class CataloguePage:
    """All sections, each with its drawing by its number; an empty catalogue has an example instead."""

    catalogue: Catalogue
    drawings: Mapping[int, Drawing]
    example: Drawing | None


@router.get(urls.catalogue)
def show(request: Request) -> HTMLResponse:
    """Every section with its drawing, cutters, lengths and prices; every plug."""
    catalogue = load_catalogue(request.app.state.store)
    drawings = {
        stored.id: draw_key_section(
            stored.section,
            index=index,
            tip=stored.section.tip_diameter,
            units=catalogue.shop.units,
        )
        for index, stored in enumerate(catalogue.sections)
    }
    return render(
        request,
        "catalogue/page.html",
        CataloguePage(catalogue, drawings, None if catalogue.sections else _example(catalogue.shop.units)),
        units=catalogue.shop.units,
    )


@router.post(urls.move_section)
def move(request: Request, section_id: RowId, form: OnceForm) -> Response:
    """Move a section up or down in the shop's order."""
    if form.text("step") not in set(Step):
        raise BadInput(
            [Problem.of(("step",), form.text("step"), ProblemCode.NOT_THE_WORD, words_text='"up" or "down"')]
        )
    move_section(request.app.state.store, form.sending, section_id, Step(form.text("step")))
    return go_to(request, urls.catalogue(at=f"section-{section_id}"))


@router.post(urls.delete_section)
def delete(request: Request, section_id: RowId, form: OnceForm) -> Response:
    """Delete a section, if it is still as its page showed it."""
    version = sent_version(form.text("version"))
    remove_section(request.app.state.store, form.sending, section_id, version)
    return go_to(request, urls.catalogue())


def _example(units: Units) -> Drawing:
    """What the empty page shows beside the words: one of the demo's keys."""
    return draw_whole_key(demo_catalogue()[EXAMPLE], units)
