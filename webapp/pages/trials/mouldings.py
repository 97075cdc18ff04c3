"""Mouldings by name, which fill a frame's form; once milled they are kept with the readings that worked."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Annotated

from fastapi import APIRouter, Query, Request
from fastapi.responses import HTMLResponse, Response

from domain.lengths import Length, Units
from domain.planning.plans import SectionPlan
from domain.spec.assemblies import MitredFrame
from domain.timber.moving_species import SPECIES
from domain.trials.mouldings import Moulding, Worked
from webapp.form.fields import A_DAY, A_LENGTH, Field, Options, Plain, Sort, form_of
from webapp.form.filled import Filled, Values, blank, sent, shown
from webapp.pages.trials.tools import WHICH_TOOL, Tool, read_tool, tool_value, tool_words, tools
from webapp.site import urls
from webapp.site.editing import saved
from webapp.site.incoming import OnceForm, RowId
from webapp.site.rendering import MAIN_ONLY, go_to, render
from webapp.store import Store
from webapp.store.errors import NotFound
from webapp.usecases import trials as book_of
from webapp.usecases.entering import shops_woods
from webapp.usecases.projects import plan
from webapp.usecases.shop import the_shop
from webapp.wording.figures import as_set, by, listed

router = APIRouter(include_in_schema=False)


NOT_MILLED = ("", "Not milled yet")
_OWN = ("name", "material", "species", "projection", "fence_readings", "angle", "day")
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
        hint="From the mitre tip, the smallest first: 16.5; 47.1",
        required=False,
    ),
    Field("projection", "Projection", zero=False, required=False),
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
    Field("tool", "Section and cutter", Sort.CHOICE, tiles=True, required=False),
    Field("material", "Wood", Sort.TEXT, required=False, longest=120, suggest="woods"),
    Field("species", "Species", Sort.TEXT, required=False, longest=120, suggest="species"),
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
    """A kept moulding in words; without what worked where it was not milled yet."""

    number: int
    name: str
    stock: str
    angle: str
    tool: str
    projection: Length | None
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
    woods: Sequence[str]
    species: Sequence[str] = SPECIES


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
    if tool or values["projection"] or values["fence_readings"]:
        _refuse_half(values, tool)
    values.check()
    stock = {name: values[name] for name in _STOCK if values[name]}
    own = {name: values[name] for name in _OWN if values[name] is not None}
    worked = {} if tool is None else {"section": tool[0], "cutter": tool[1]}
    return values.made(Moulding, {**own, **worked, "stock": stock})


def _refuse_half(values: Values, tool: Tool | None) -> None:
    """What worked is kept whole: readings, the projection, and what they were set with."""
    if tool is None:
        values.refuse("tool", WHICH_TOOL)
    if values["projection"] is None:
        values.refuse("projection", A_LENGTH)
    if not values["fence_readings"]:
        values.refuse("fence_readings", "needs at least one reading; write several as 16.5; 47.1")


def _shown(moulding: Moulding, plain: Plain) -> Filled:
    stock = {name: getattr(moulding.stock, name) for name in _STOCK}
    own = {name: getattr(moulding, name) for name in _OWN}
    worked = moulding.worked
    tool = "" if worked is None else tool_value(worked.section, worked.cutter)
    return shown(MOULDING, plain, {**stock, **own, "tool": tool})


@router.post(urls.drop_moulding)
def drop(request: Request, number: RowId, form: OnceForm) -> Response:
    """Keep a moulding no longer."""
    book_of.drop_moulding(request.app.state.store, form.sending, number)
    return go_to(request, urls.mouldings())


def readings_text(worked: Worked, units: Units) -> str:
    """The fence readings that worked, one after the other."""
    return listed(as_set(reading, units) for reading in worked.fence_readings)


def _row(number: int, moulding: Moulding, units: Units) -> MouldingRow:
    stock, worked = moulding.stock, moulding.worked
    said = [*([moulding.material] if moulding.material else []), by(units, stock.width, stock.thickness)]
    if stock.rabbet_width and stock.rabbet_depth:
        said.append(f"rabbet {by(units, stock.rabbet_width, stock.rabbet_depth)}")
    if stock.front:
        said.append(f"shaped front of {len(stock.front)} points")
    return MouldingRow(
        number,
        moulding.name,
        ", ".join(said),
        f"{moulding.angle:.4g}°",
        "" if worked is None else tool_words(worked.section, worked.cutter),
        None if worked is None else worked.projection,
        "" if worked is None else readings_text(worked, units),
        moulding.day,
    )


def _from_frame(store: Store, project_id: int, mark: str, day: str) -> tuple[Moulding, str]:
    """A frame's moulding, with what the frame is planned with where it can be made, and the frame's name.

    Raises NotFound where there is no such frame.
    """
    project = plan(store, project_id)
    for each in project.assemblies:
        spec, takeoff = each.stored.spec, each.takeoff
        if spec.mark != mark or not isinstance(spec, MitredFrame):
            continue
        kept = Moulding(
            name=spec.name or f"{project.head.name}, {mark}",
            stock=spec.stock,
            material=spec.material,
            species=spec.species,
            angle=90 - 180 / spec.sides,
            day=day,
        )
        plans = (joint.plan for joint in (takeoff.joints if takeoff else ()) if joint.plan is not None)
        return _planned_with(kept, next(plans, None)), f"{mark} of {project.head.name}"
    raise NotFound("frame", mark)


def _planned_with(moulding: Moulding, made: SectionPlan | None) -> Moulding:
    """The moulding with what a joint of it is planned with."""
    if made is None:
        return moulding
    worked = {
        "section": made.section.name,
        "cutter": made.cutter.kind,
        "projection": Length.from_mm(round(made.projection, 2)),
        "fence_readings": tuple(Length.from_mm(centre) for centre in made.centres),
    }
    return moulding.model_copy(update=worked)


def _plain(request: Request) -> Plain:
    return Plain(the_shop(request.app.state.store).units)


def _form(request: Request, form: Filled, *, of: str = "", status: int = 200) -> HTMLResponse:
    """The form; ``of`` says which frame it was filled in from."""
    book = book_of.book(request.app.state.store)
    return render(
        request,
        "trials/moulding.html",
        MouldingPage(
            form,
            of,
            (NOT_MILLED, *tools(book.sections)) if book.sections else (),
            book.today,
            shops_woods(request.app.state.store),
        ),
        status=status,
        headers=MAIN_ONLY,
        units=form.plain.units,
    )
