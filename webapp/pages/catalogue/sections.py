"""One key section: its form, and what the numbers come to as they are typed."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from fastapi import APIRouter, Request
from fastapi.responses import HTMLResponse, Response

from domain.lengths import Length
from domain.measuring import CutterFigures, Finding, cutter_figures, cutter_findings, width_findings
from domain.spec.catalogue import Section
from webapp.drawings.key_ends import draw_key_ends
from webapp.drawings.key_section import draw_key_section
from webapp.drawings.model import Drawing
from webapp.form.carried import sent_version
from webapp.form.fields import Group, Plain
from webapp.form.filled import Filled
from webapp.pages.catalogue.section_form import (
    CUTTERS,
    KEY,
    MOST_ROWS,
    USE,
    blank_section,
    read_key,
    read_section,
    rows_filled,
    rows_of,
    sent_section,
    shape_of,
    shown_section,
    suggested,
    with_room,
)
from webapp.site import urls
from webapp.site.editing import saved
from webapp.site.incoming import Form, OnceForm, RowId, SentForm
from webapp.site.rendering import MAIN_ONLY, render
from webapp.store import Store
from webapp.store.errors import NameTaken
from webapp.store.shop import Shop
from webapp.store.tokens import Sending
from webapp.usecases import catalogue
from webapp.usecases.shop import the_shop

router = APIRouter(include_in_schema=False)

ADD_ROW, LOOK = "add-row", "look"


@dataclass(frozen=True, slots=True)
class Measured:
    """What the measurements come to: ``shape`` is None until waist, depth and angle are known."""

    shape: Section | None
    name: str
    overall: Length | None
    flank_worked_out: bool
    cutters: tuple[CutterFigures, ...]
    findings: tuple[Finding, ...]
    tip_too_small: bool
    preload: Length
    drawing: Drawing | None
    ends: Drawing | None


@dataclass(frozen=True, slots=True)
class MeasuredPart:
    """What the live preview brings."""

    measured: Measured


@dataclass(frozen=True, slots=True)
class SectionPage:
    """A section's form, where it is sent, the section that it changes (None for a new one).

    ``focus`` is the row of lengths to go on at, ``rows`` how many rows there are.
    """

    form: Filled
    action: str
    section_id: int | None
    measured: Measured
    focus: int | None
    rows: int
    most_rows: int = MOST_ROWS
    groups: tuple[Group, ...] = (KEY, CUTTERS, USE)


@router.get(urls.new_section)
def new(request: Request) -> HTMLResponse:
    """An empty form, with how to measure."""
    return _page(request, blank_section(_plain(_shop(request))), None)


@router.post(urls.new_section)
def add(request: Request, form: OnceForm) -> Response:
    """Save a new section."""
    return _save(request, form, None)


@router.post(urls.section_preview)
def preview(request: Request, form: Form) -> HTMLResponse:
    """What the numbers typed so far come to. Nothing is saved."""
    shop = _shop(request)
    typed = sent_section(form, _plain(shop), edits=False)
    number = sent_version(form.text("section_id")) or None
    measured = _measured(request, typed, shop, number)
    return render(request, "catalogue/_measured.html", MeasuredPart(measured), units=shop.units)


@router.get(urls.section)
def edit(request: Request, section_id: RowId) -> HTMLResponse:
    """The form of a section in the catalogue."""
    stored = catalogue.section(request.app.state.store, section_id)
    return _page(request, shown_section(stored, _plain(_shop(request))), section_id)


@router.post(urls.section)
def change(request: Request, section_id: RowId, form: OnceForm) -> Response:
    """Save a changed section."""
    return _save(request, form, section_id)


def _save(request: Request, form: SentForm, section_id: int | None) -> Response:
    typed = sent_section(form, _plain(_shop(request)), edits=section_id is not None)
    if form.text("act") == ADD_ROW:
        return _page(request, with_room(typed, 2), section_id, focus=rows_filled(typed))
    if form.text("act") == LOOK:
        return _page(request, typed, section_id)
    store = request.app.state.store

    def stored() -> Mapping[str, str]:
        assert section_id is not None  # a new section has no version to be stale
        return shown_section(catalogue.section(store, section_id), typed.plain).texts

    return saved(
        request,
        typed,
        lambda: urls.catalogue(at=f"section-{_book(store, form.sending, typed, section_id)}"),
        lambda form, status: _page(request, form, section_id, status=status),
        told={NameTaken: _taken},
        stored=stored,
    )


def _book(store: Store, sending: Sending, typed: Filled, section_id: int | None) -> int:
    values = typed.values()
    section, prices = read_section(values, read_key(values))
    if section_id is None or typed.version is None:
        return catalogue.add_section(store, sending, section, prices)
    catalogue.change_section(store, sending, section_id, typed.version, section, prices)
    return section_id


def _taken(taken: NameTaken) -> Mapping[str, str]:
    return {"name": f"{taken.name} is the name of another section; choose one such as {taken.name}-2"}


def _shop(request: Request) -> Shop:
    return the_shop(request.app.state.store)


def _plain(shop: Shop) -> Plain:
    return Plain(shop.units, shop.currency)


def _measured(request: Request, typed: Filled, shop: Shop, section_id: int | None) -> Measured:
    """``section_id`` gives the section's place in the catalogue, which the drawing's hatching follows."""
    index = catalogue.place_of(request.app.state.store, section_id)
    key = read_key(typed.values())
    shape = shape_of(key)
    tip = key.tip_diameter
    too_small = shape is not None and tip is not None and tip <= shape.waist
    usable = shape is not None and tip is not None and not too_small
    return Measured(
        shape=shape,
        name=suggested(key),
        overall=key.overall,
        flank_worked_out=key.flank_worked_out,
        cutters=cutter_figures(shape) if shape is not None and usable else (),
        findings=_findings(shape, key.overall, usable),
        tip_too_small=too_small,
        preload=shop.rules.preload,
        drawing=None if shape is None else draw_key_section(shape, index=index, tip=tip, units=shop.units),
        ends=draw_key_ends(shape, index=index, units=shop.units) if shape is not None and usable else None,
    )


def _findings(shape: Section | None, overall: Length | None, with_cutters: bool) -> tuple[Finding, ...]:
    if shape is None:
        return ()
    return (*width_findings(shape, overall), *(cutter_findings(shape) if with_cutters else ()))


def _page(
    request: Request, form: Filled, section_id: int | None, *, focus: int | None = None, status: int = 200
) -> HTMLResponse:
    """The form; ``focus`` is the row of lengths to go on at."""
    shop = _shop(request)
    return render(
        request,
        "catalogue/section.html",
        SectionPage(
            form,
            urls.new_section() if section_id is None else urls.section(section_id),
            section_id,
            _measured(request, form, shop, section_id),
            focus,
            rows_of(form),
        ),
        status=status,
        headers=MAIN_ONLY,
        units=shop.units,
    )
