"""Mouldings that come back: kept with the readings that worked, from a frame's set-up sheet or typed in."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Annotated

from fastapi import APIRouter, Query, Request
from fastapi.responses import HTMLResponse, Response

from domain.lengths import Length, Units
from domain.problems import BadInput
from domain.spec.assemblies import MitredFrame
from domain.trials.mouldings import Moulding
from webapp.form.values import new_token
from webapp.pages.trials.moulding_form import (
    BLANK,
    LABELS,
    moulding_errors,
    read_moulding,
    sent_moulding,
    shown_moulding,
)
from webapp.pages.trials.tools import tool_words, tools
from webapp.site import urls
from webapp.site.incoming import Form, RowId
from webapp.site.rendering import MAIN_ONLY, go_to, render
from webapp.store import Store
from webapp.store.errors import NotFound
from webapp.store.shop import load_shop
from webapp.usecases import trials as book_of
from webapp.usecases.projects import plan
from webapp.usecases.trials import Book
from webapp.wording.figures import as_set, by, listed

router = APIRouter(include_in_schema=False)


@dataclass(frozen=True, slots=True)
class MouldingForm:
    """The form as it is shown; ``of`` says which frame it was filled in from."""

    texts: Mapping[str, str]
    of: str = ""
    errors: Mapping[str, str] = field(default_factory=dict)
    token: str = field(default_factory=new_token)


@dataclass(frozen=True, slots=True)
class MouldingRow:
    """A kept moulding in words."""

    number: int
    name: str
    stock: str
    angle: str
    tool: str
    projection: Length
    readings: str
    day: str


@router.get(urls.mouldings)
def show(request: Request) -> HTMLResponse:
    """The mouldings that are kept."""
    book, units = _opened(request)
    rows = [_row(each.number, each.moulding, units) for each in book.mouldings]
    return render(request, "trials/mouldings.html", units=units, rows=rows, new_token=new_token)


@router.get(urls.new_moulding)
def new(
    request: Request,
    project: Annotated[int | None, Query(ge=1, le=2**53)] = None,
    assembly: Annotated[str, Query(max_length=12)] = "",
) -> HTMLResponse:
    """The form; filled in from a frame where a project's assembly is named."""
    book, units = _opened(request)
    if project is None:
        return _form(request, MouldingForm({**BLANK, "day": book.today}), book, units)
    made, of = _from_frame(request.app.state.store, project, assembly, book.today)
    return _form(request, MouldingForm(shown_moulding(made, units), of), book, units)


@router.post(urls.mouldings)
def keep(request: Request, form: Form) -> Response:
    """Keep a moulding."""
    book, units = _opened(request)
    sent, token = sent_moulding(form), form.text("token")
    reading = read_moulding(sent, units)
    if reading.moulding is None:
        return _form(request, MouldingForm(sent, errors=reading.errors), book, units, status=422)
    try:
        number = book_of.keep_moulding(request.app.state.store, token, reading.moulding)
    except BadInput as refusal:
        if refusal.problems[0].path == ("token",):
            raise
        errors = moulding_errors(refusal, units)
        return _form(request, MouldingForm(sent, errors=errors), book, units, status=422)
    return go_to(request, urls.mouldings(at=f"moulding-{number}"))


@router.post(urls.drop_moulding)
def drop(request: Request, number: RowId, form: Form) -> Response:
    """Keep a moulding no longer."""
    book_of.drop_moulding(request.app.state.store, number)
    return go_to(request, urls.mouldings())


def readings_text(moulding: Moulding, units: Units) -> str:
    """Its fence readings, one after the other."""
    return listed(as_set(reading, units) for reading in moulding.fence_readings)


def _row(number: int, moulding: Moulding, units: Units) -> MouldingRow:
    stock = moulding.stock
    said = [by(units, stock.width, stock.thickness)]
    if stock.rabbet_width and stock.rabbet_depth:
        said.append(f"rabbet {by(units, stock.rabbet_width, stock.rabbet_depth)}")
    if stock.front:
        said.append(f"shaped front of {len(stock.front)} points")
    return MouldingRow(
        number,
        moulding.name,
        ", ".join(said),
        f"{moulding.angle:.4g}°",
        tool_words(moulding.section, moulding.cutter),
        moulding.projection,
        readings_text(moulding, units),
        moulding.day,
    )


def _from_frame(store: Store, project_id: int, mark: str, day: str) -> tuple[Moulding, str]:
    """What a frame of the project is planned with, and its name. Raises NotFound where it is none that is made."""
    project = plan(store, project_id)
    for each in project.assemblies:
        spec, takeoff = each.stored.spec, each.takeoff
        if spec.mark != mark or not isinstance(spec, MitredFrame) or takeoff is None:
            continue
        for joint in takeoff.joints:
            if joint.plan is not None:
                made = joint.plan
                kept = Moulding(
                    name=spec.name or f"{project.head.name}, {mark}",
                    stock=spec.stock,
                    angle=90 - 180 / spec.sides,
                    section=made.section.name,
                    cutter=made.cutter.kind,
                    projection=Length.from_mm(round(made.projection, 2)),
                    fence_readings=tuple(Length.from_mm(centre) for centre in made.centres),
                    day=day,
                )
                return kept, f"{mark} of {project.head.name}"
    raise NotFound("frame", mark)


def _opened(request: Request) -> tuple[Book, Units]:
    store: Store = request.app.state.store
    with store.reading() as session:
        units = load_shop(session).units
    return book_of.book(store), units


def _form(request: Request, form: MouldingForm, book: Book, units: Units, *, status: int = 200) -> HTMLResponse:
    return render(
        request,
        "trials/moulding.html",
        status=status,
        headers=MAIN_ONLY,
        units=units,
        form=form,
        labels=LABELS,
        tools=tools(book.sections),
        today=book.today,
    )
