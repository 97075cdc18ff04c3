"""Repeat mouldings: kept with the readings that worked, from a frame's set-up sheet or typed in."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Annotated

from fastapi import APIRouter, Query, Request
from fastapi.responses import HTMLResponse, Response

from domain.lengths import Length, Units
from domain.spec.assemblies import MitredFrame
from domain.trials.mouldings import Moulding
from webapp.form.fields import A_DAY, A_LENGTH, Field, Options, Plain, Sort, form_of
from webapp.form.filled import Filled, Values, blank, sent, shown
from webapp.pages.trials.tools import WHICH_TOOL, read_tool, tool_value, tool_words, tools
from webapp.site import urls
from webapp.site.editing import saved
from webapp.site.incoming import OnceForm, RowId
from webapp.site.rendering import MAIN_ONLY, go_to, render
from webapp.store import Store
from webapp.store.errors import NotFound
from webapp.usecases import trials as book_of
from webapp.usecases.projects import plan
from webapp.usecases.shop import the_shop
from webapp.wording.figures import as_set, by, listed

router = APIRouter(include_in_schema=False)


_STOCK = ("width", "thickness", "rabbet_width", "rabbet_depth", "front")
MOULDING = form_of(
    Field(
        "name",
        "Name",
        Sort.TEXT,
        hint="As the shop calls it.",
        longest=120,
        needed="needs a name that the shop knows it by",
    ),
    Field(
        "fence_readings",
        "Fence readings",
        Sort.LENGTHS,
        hint="From the tip, the smallest first: 16.5; 47.1",
        needed="needs at least one reading; write several as 16.5; 47.1",
    ),
    Field("projection", "Projection", needed=A_LENGTH, zero=False),
    Field(
        "angle",
        "Angle of the joint",
        Sort.NUMBER,
        unit="°",
        start="45",
        hint="45 for a rectangle’s mitre.",
        needed="needs degrees, such as 45",
    ),
    Field("day", "Day", Sort.DAY, needed=A_DAY),
    Field("tool", "Section and cutter", Sort.CHOICE, tiles=True, needed=WHICH_TOOL),
    Field("width", "Stock width", needed=A_LENGTH, zero=False),
    Field("thickness", "Stock thickness", needed=A_LENGTH, zero=False),
    Field("rabbet_width", "Rabbet width", zero=True, required=False),
    Field("rabbet_depth", "Rabbet depth", zero=True, required=False),
    Field(
        "front",
        "Profile of the front",
        Sort.POINTS,
        lines=3,
        required=False,
        hint="Where it is shaped: one point a line, from the outer edge; height. Such as 0; 12",
    ),
    at={"section": "tool", "cutter": "tool", **{f"stock.{name}": name for name in _STOCK}},
)


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


@dataclass(frozen=True, slots=True)
class MouldingsPage:
    """The mouldings that are kept."""

    rows: Sequence[MouldingRow]


@dataclass(frozen=True, slots=True)
class MouldingPage:
    """The form of a moulding; ``of`` says which frame it was filled in from, "" for none."""

    form: Filled
    of: str
    tools: Options
    today: str


@router.get(urls.mouldings)
def show(request: Request) -> HTMLResponse:
    """The mouldings that are kept."""
    store = request.app.state.store
    units = the_shop(store).units
    rows = [_row(each.number, each.moulding, units) for each in book_of.book(store).mouldings]
    return render(request, "trials/mouldings.html", MouldingsPage(rows), units=units)


@router.get(urls.new_moulding)
def new(
    request: Request,
    project: Annotated[int | None, Query(ge=1, le=2**53)] = None,
    assembly: Annotated[str, Query(max_length=12)] = "",
) -> HTMLResponse:
    """The form; filled in from a frame where a project's assembly is named."""
    store, plain = request.app.state.store, _plain(request)
    today = book_of.book(store).today
    if project is None:
        return _form(request, blank(MOULDING, plain, day=today))
    made, of = _from_frame(store, project, assembly, today)
    return _form(request, _shown(made, plain), of=of)


@router.post(urls.mouldings)
def keep(request: Request, form: OnceForm) -> Response:
    """Keep a moulding."""
    store, typed = request.app.state.store, sent(MOULDING, _plain(request), form)

    def save() -> str:
        number = book_of.keep_moulding(store, form.sending, _read(typed.values()))
        return urls.mouldings(at=f"moulding-{number}")

    return saved(request, typed, save, lambda form, status: _form(request, form, status=status))


def _read(values: Values) -> Moulding:
    """The moulding. Raises Unusable."""
    tool = read_tool(values["tool"] or "")
    if tool is None:
        values.refuse("tool", WHICH_TOOL)
    values.check()
    stock = {name: values[name] for name in _STOCK if values[name]}
    own = {name: values[name] for name in ("name", "projection", "fence_readings", "angle", "day")}
    section, cutter = tool or ("", "")
    return values.made(Moulding, {**own, "stock": stock, "section": section, "cutter": cutter})


def _shown(moulding: Moulding, plain: Plain) -> Filled:
    stock = {name: getattr(moulding.stock, name) for name in _STOCK}
    own = {name: getattr(moulding, name) for name in ("name", "projection", "fence_readings", "angle", "day")}
    tool = tool_value(moulding.section, moulding.cutter)
    return shown(MOULDING, plain, {**stock, **own, "tool": tool})


@router.post(urls.drop_moulding)
def drop(request: Request, number: RowId, form: OnceForm) -> Response:
    """Keep a moulding no longer."""
    book_of.drop_moulding(request.app.state.store, form.sending, number)
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


def _plain(request: Request) -> Plain:
    return Plain(the_shop(request.app.state.store).units)


def _form(request: Request, form: Filled, *, of: str = "", status: int = 200) -> HTMLResponse:
    """The form; ``of`` says which frame it was filled in from."""
    book = book_of.book(request.app.state.store)
    return render(
        request,
        "trials/moulding.html",
        MouldingPage(form, of, tools(book.sections), book.today),
        status=status,
        headers=MAIN_ONLY,
        units=form.plain.units,
    )
