"""One key section: its form, and what the numbers come to as they are typed."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace

from fastapi import APIRouter, Request
from fastapi.responses import HTMLResponse, Response

from domain.lengths import Length, Units
from domain.measuring.caliper import CutterFigures, Finding, cutter_figures, cutter_findings
from domain.measuring.proportions import DepthOver
from domain.measuring.use import ProposedUse
from domain.spec.catalogue import Section
from webapp.drawings.key_ends import draw_key_ends
from webapp.drawings.measured_key import draw_measured_key
from webapp.drawings.model import Drawing
from webapp.form.carried import sent_version
from webapp.form.fields import Group, Plain
from webapp.form.filled import Filled
from webapp.pages.catalogue.key_measures import (
    AS_MEASURED,
    DRAWN,
    MeasuredKey,
    Question,
    drawn_key,
    drawn_text,
    either_reading,
    known_of,
    last_drawn,
    question_of,
    read_key,
    sketch_of,
    suggested,
)
from webapp.pages.catalogue.section_form import (
    IT_IS_SO,
    KEY,
    MOST_ROWS,
    PROPOSED,
    SHAPE,
    USE,
    blank_section,
    lengths_so_far,
    proposed_of,
    read_section,
    rows_filled,
    rows_of,
    sent_section,
    shown_section,
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
from webapp.usecases.entering import last_kind
from webapp.usecases.shop import the_shop
from webapp.wording.exact import length_text

router = APIRouter(include_in_schema=False)

ADD_ROW, LOOK, BEGIN = "add-row", "look", "begin"


@dataclass(frozen=True, slots=True)
class Measured:
    """What the measurements come to: ``shape`` is None until waist, depth and angle are known.

    The drawing is there always, as keys usually are where nothing is known; ``drawn`` carries what it shows, and
    ``either`` tells what both readings of the depth would come to. ``proposals`` are the texts by field that an
    empty one stands for, ``errors`` the sentences by field for what was typed and cannot be read.
    """

    shape: Section | None
    key: MeasuredKey
    name: str
    cutters: tuple[CutterFigures, ...]
    findings: tuple[Finding, ...]
    question: Question | None
    either: str
    tip_too_small: bool
    preload: Length
    drawing: Drawing
    drawn: str
    ends: Drawing | None
    proposed: ProposedUse | None
    proposals: Mapping[str, str]
    errors: Mapping[str, str]


@dataclass(frozen=True, slots=True)
class MeasuredPart:
    """What the live preview brings."""

    measured: Measured
    it_is_so: str = IT_IS_SO


@dataclass(frozen=True, slots=True)
class SectionPage:
    """A section's form, where it is sent, the section that it changes (None for a new one).

    ``focus`` is the field to go on at, ``rows`` how many rows of lengths there are; ``first`` is true in a shop
    that has made nothing yet.
    """

    form: Filled
    action: str
    section_id: int | None
    measured: Measured
    focus: str | None
    rows: int
    first: bool
    most_rows: int = MOST_ROWS
    groups: tuple[Group, ...] = (KEY, SHAPE, USE)
    it_is_so: str = IT_IS_SO


@router.get(urls.new_section)
def new(request: Request) -> HTMLResponse:
    """An empty form, with how to measure."""
    return _page(request, blank_section(_plain(_shop(request))), None, focus="overall")


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
    measured = _measured(request, typed, shop, number, form.text(DRAWN))
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
        return _page(request, with_room(typed, 2), section_id, focus=f"length[{rows_filled(typed)}]")
    if form.text("act") == LOOK:
        return _page(request, typed, section_id)
    if form.text("act") in set(DepthOver):
        return _page(request, _read_over(typed, DepthOver(form.text("act"))), section_id, focus="depth")
    store = request.app.state.store

    def stored() -> Mapping[str, str]:
        assert section_id is not None  # a new section has no version to be stale
        return shown_section(catalogue.section(store, section_id), typed.plain).texts

    return saved(
        request,
        typed,
        lambda: section_saved(_book(store, form.sending, typed, section_id), form.text("act")),
        lambda form, status: _page(request, form, section_id, status=status),
        told={NameTaken: _taken},
        stored=stored,
    )


def section_saved(section_id: int, act: str) -> str:
    """Where a section that was saved leads: to the catalogue, or on to a project where that was asked for."""
    return urls.new_project() if act == BEGIN else urls.catalogue(at=f"section-{section_id}")


def _book(store: Store, sending: Sending, typed: Filled, section_id: int | None) -> int:
    values = typed.values()
    section, prices = read_section(values, read_key(values))
    if section_id is None or typed.version is None:
        return catalogue.add_section(store, sending, section, prices)
    catalogue.change_section(store, sending, section_id, typed.version, section, prices)
    return section_id


def _read_over(typed: Filled, over: DepthOver) -> Filled:
    """The form with its depth taken as measured over the other."""
    return replace(typed, texts={**typed.texts, "depth_of": over.value})


def _taken(taken: NameTaken) -> Mapping[str, str]:
    return {"name": f"{taken.name} is the name of another section; choose one such as {taken.name}-2"}


def _shop(request: Request) -> Shop:
    return the_shop(request.app.state.store)


def _plain(shop: Shop) -> Plain:
    return Plain(shop.units, shop.currency)


def _measured(request: Request, typed: Filled, shop: Shop, section_id: int | None, carried: str) -> Measured:
    """``section_id`` gives the section's place in the catalogue, which the drawing's hatching follows.

    ``carried`` is what was drawn last.
    """
    index = catalogue.place_of(request.app.state.store, section_id)
    values = typed.values()
    key = read_key(values)
    shape, tip = key.shape, key.tip_diameter
    # what is only empty so far is no error yet
    errors = {name: words for name, words in values.errors.items() if typed.texts.get(name, "").strip()}
    drawn = drawn_key(key, last_drawn(carried), frozenset(errors))
    too_small = shape is not None and tip is not None and tip <= shape.waist
    usable = shape is not None and tip is not None and not too_small
    proposed = proposed_of(values, key, lengths_so_far(values))
    name = suggested(key)
    return Measured(
        shape=shape,
        key=key,
        name=name,
        cutters=cutter_figures(shape) if shape is not None and usable else (),
        findings=tuple(cutter_findings(shape)) if shape is not None and usable else (),
        question=question_of(key, typed.texts.get(AS_MEASURED, "")),
        either=either_reading(key),
        tip_too_small=too_small,
        preload=shop.rules.preload,
        drawing=draw_measured_key(sketch_of(drawn), known_of(drawn), index=index, units=shop.units),
        drawn=drawn_text(drawn),
        ends=draw_key_ends(shape, index=index, units=shop.units) if shape is not None and usable else None,
        proposed=proposed,
        proposals=_proposals(proposed, name, shop.units),
        errors=errors,
    )


def _proposals(proposed: ProposedUse | None, name: str, units: Units) -> Mapping[str, str]:
    """What each field stands for while it is empty, as it would be typed; "" where that is not known yet."""
    texts = {field: "" if proposed is None else length_text(getattr(proposed, field), units) for field in PROPOSED}
    return {**texts, "name": name}


def _page(
    request: Request, form: Filled, section_id: int | None, *, focus: str | None = None, status: int = 200
) -> HTMLResponse:
    """The form; ``focus`` is the field to go on at."""
    shop = _shop(request)
    return render(
        request,
        "catalogue/section.html",
        SectionPage(
            form,
            urls.new_section() if section_id is None else urls.section(section_id),
            section_id,
            _measured(request, form, shop, section_id, ""),
            focus,
            rows_of(form),
            section_id is None and not last_kind(request.app.state.store),
        ),
        status=status,
        headers=MAIN_ONLY,
        units=shop.units,
    )
