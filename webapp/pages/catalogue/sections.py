"""One key section: its form, and what the numbers come to as they are typed."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, replace

from fastapi import APIRouter, Request
from fastapi.responses import HTMLResponse, Response

from domain.lengths import Length
from domain.measuring import CutterFigures, Finding, cutter_figures, cutter_findings, width_findings
from domain.problems import BadInput
from domain.spec.catalogue import Section
from webapp.drawings.key_section import draw_key_section
from webapp.drawings.model import Drawing
from webapp.form.differences import Difference, differences
from webapp.form.values import new_token, sent_version
from webapp.pages.catalogue.section_form import (
    LABELS,
    MOST_ROWS,
    LengthRow,
    SectionReading,
    SectionTexts,
    blank_section,
    read_section,
    sent_section,
    shape_of,
    shown_section,
    suggested,
)
from webapp.site import urls
from webapp.site.incoming import Form, RowId, SentForm
from webapp.site.rendering import MAIN_ONLY, go_to, render
from webapp.store import Store
from webapp.store.catalogue import list_sections, load_section
from webapp.store.errors import NameTaken, StaleEdit
from webapp.store.shop import Shop, load_shop
from webapp.usecases.catalogue import add_section, change_section

router = APIRouter(include_in_schema=False)

ADD_ROW, LOOK = "add-row", "look"


@dataclass(frozen=True, slots=True)
class SectionForm:
    """The form as it is shown; ``section_id`` and ``version`` are None for a new section."""

    texts: SectionTexts
    section_id: int | None = None
    version: int | None = None
    errors: Mapping[str, str] = field(default_factory=dict)
    theirs: tuple[Difference, ...] | None = None
    focus: int | None = None
    """The row of lengths to go on at."""

    @property
    def action(self) -> str:
        """Where the form is sent."""
        return urls.new_section() if self.section_id is None else urls.section(self.section_id)


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


@router.get(urls.new_section)
def new(request: Request) -> HTMLResponse:
    """An empty form, with how to measure."""
    return _page(request, SectionForm(blank_section()), _shop(request))


@router.post(urls.new_section)
def add(request: Request, form: Form) -> Response:
    """Save a new section."""
    return _save(request, form, None)


@router.post(urls.section_preview)
def preview(request: Request, form: Form) -> HTMLResponse:
    """What the numbers typed so far come to. Nothing is saved."""
    shop = _shop(request)
    texts = sent_section(form)
    reading = read_section(texts, shop.units, shop.currency)
    return render(
        request,
        "catalogue/_measured.html",
        units=shop.units,
        measured=_measured(reading, shop, _index(request, sent_version(form.text("section_id")) or None)),
    )


@router.get(urls.section)
def edit(request: Request, section_id: RowId) -> HTMLResponse:
    """The form of a section in the catalogue."""
    store: Store = request.app.state.store
    with store.reading() as session:
        stored = load_section(session, section_id)
        shop = load_shop(session)
    return _page(
        request, SectionForm(shown_section(stored, shop.units, shop.currency), section_id, stored.version), shop
    )


@router.post(urls.section)
def change(request: Request, section_id: RowId, form: Form) -> Response:
    """Save a changed section."""
    return _save(request, form, section_id)


def _save(request: Request, form: SentForm, section_id: int | None) -> Response:
    shop = _shop(request)
    version = None if section_id is None else sent_version(form.text("version"))
    sent = SectionForm(sent_section(form), section_id, version)
    if form.text("act") == ADD_ROW:
        filled = max((row + 1 for row, texts in enumerate(sent.texts.rows) if not texts.empty), default=0)
        return _page(request, replace(sent, texts=sent.texts.with_room(2), focus=filled), shop)
    if form.text("act") == LOOK:
        return _page(request, sent, shop)
    reading = read_section(sent.texts, shop.units, shop.currency)
    if reading.section is None:
        return _page(request, replace(sent, errors=reading.errors), shop, status=422)
    try:
        number = _book(request, form.text("token"), sent, reading.section, reading)
    except NameTaken as taken:
        errors = {"name": f"{taken.name} is the name of another section; choose one such as {taken.name}-2"}
        return _page(request, replace(sent, errors=errors), shop, status=422)
    except BadInput as refusal:
        errors = {str(problem.path[0]): problem.text(shop.units) for problem in refusal.problems}
        return _page(request, replace(sent, errors=errors), shop, status=422)
    except StaleEdit as stale:
        assert section_id is not None  # a new section has no version to be stale
        theirs = _theirs(request, section_id, sent.texts, shop)
        return _page(request, replace(sent, version=stale.theirs_version, theirs=theirs), shop, status=409)
    return go_to(request, urls.catalogue(at=f"section-{number}"))


def _book(request: Request, token: str, sent: SectionForm, section: Section, reading: SectionReading) -> int:
    store: Store = request.app.state.store
    with store.writing() as session:
        if sent.section_id is None or sent.version is None:
            return add_section(session, token, section, reading.prices)
        change_section(session, token, sent.section_id, sent.version, section, reading.prices)
        return sent.section_id


def _theirs(request: Request, section_id: int, typed: SectionTexts, shop: Shop) -> tuple[Difference, ...]:
    store: Store = request.app.state.store
    with store.reading() as session:
        stored = shown_section(load_section(session, section_id), shop.units, shop.currency)
    # the overall width is measured, not stored
    labels = {name: label for name, label in LABELS.items() if name != "overall"} | {"lengths": "Lengths"}
    return differences(_one_level(typed), _one_level(stored), labels)


def _one_level(texts: SectionTexts) -> dict[str, str]:
    rows = (_row_words(row) for row in texts.rows if not row.empty)
    return {**texts.fields, "lengths": ", ".join(rows)}


def _row_words(row: LengthRow) -> str:
    return f"{row.length} at {row.price}" if row.price else row.length


def _shop(request: Request) -> Shop:
    store: Store = request.app.state.store
    with store.reading() as session:
        return load_shop(session)


def _index(request: Request, section_id: int | None) -> int:
    """The section's place in the catalogue, which a drawing's hatching follows; a new one comes last."""
    store: Store = request.app.state.store
    with store.reading() as session:
        numbers = [stored.id for stored in list_sections(session)]
    return numbers.index(section_id) if section_id in numbers else len(numbers)


def _measured(reading: SectionReading, shop: Shop, index: int) -> Measured:
    key = reading.key
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
    )


def _findings(shape: Section | None, overall: Length | None, with_cutters: bool) -> tuple[Finding, ...]:
    if shape is None:
        return ()
    return (*width_findings(shape, overall), *(cutter_findings(shape) if with_cutters else ()))


def _page(request: Request, form: SectionForm, shop: Shop, *, status: int = 200) -> HTMLResponse:
    reading = read_section(form.texts, shop.units, shop.currency)
    return render(
        request,
        "catalogue/section.html",
        status=status,
        headers=MAIN_ONLY,
        units=shop.units,
        form=form,
        labels=_labels(),
        shop=shop,
        token=new_token(),
        delete_token=new_token(),
        most_rows=MOST_ROWS,
        measured=_measured(reading, shop, _index(request, form.section_id)),
    )


def _labels() -> dict[str, str]:
    """What the error summary calls each field, rows included."""
    rows = {f"length[{index}]": f"Length {index + 1}" for index in range(MOST_ROWS)}
    prices = {f"price[{index}]": f"Price {index + 1}" for index in range(MOST_ROWS)}
    return {**LABELS, **rows, **prices}
