"""Stock for a project: how far it has come; what is reserved, used and brought back."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from enum import StrEnum

from fastapi import APIRouter, Request
from fastapi.responses import HTMLResponse, Response

from domain.ordering.items import Item
from domain.spec.job import Stage
from webapp.form.carried import new_token, sent_version
from webapp.form.fields import Field, Plain, SimpleForm, Sort, form_of
from webapp.form.filled import Filled, Values, blank, sent
from webapp.form.views import FieldView
from webapp.pages.shop.jobs import begun_first
from webapp.site import urls
from webapp.site.editing import saved
from webapp.site.incoming import OnceForm, RowId, SentForm
from webapp.site.rendering import MAIN_ONLY, go_to, render
from webapp.store import Store
from webapp.store.errors import NotEnough, NotFound, NotUsed, StaleEdit
from webapp.store.projects import ProjectHead
from webapp.store.tokens import Sending
from webapp.usecases import stockroom
from webapp.usecases.long_work import TakesLong
from webapp.usecases.project_stock import ProjectStock, StockLine, back_to_planned, built, go_ahead, project_stock
from webapp.wording.job import STAGES

router = APIRouter(include_in_schema=False)

MOST_LINES = 2_000
NOTE = "note"


class ProjectBooking(StrEnum):
    """What can be booked for a project; the value is the address's last word."""

    USED = "used"
    BUILT = "built"
    RETURNED = "returned"


def _lines(booking: ProjectBooking, stock: ProjectStock) -> Sequence[StockLine]:
    return [line for line in stock.lines if booking is not ProjectBooking.RETURNED or line.claim.used]


def _field_of(index: int) -> str:
    return f"quantity.{index}"


def _form_of(lines: Sequence[StockLine]) -> SimpleForm:
    """One quantity a line; empty ones are left out."""
    quantities = (
        Field(_field_of(index), line.item.name, Sort.COUNT, required=False, unit=line.item.unit)
        for index, line in enumerate(lines)
    )
    return form_of(*quantities, Field(NOTE, "Note", Sort.TEXT, required=False, longest=500))


def _shown(booking: ProjectBooking, stock: ProjectStock) -> Filled:
    """The form as it is first shown: what is reserved for a project that is built, else empty."""
    lines, built = _lines(booking, stock), booking is ProjectBooking.BUILT
    reserved = {_field_of(index): str(line.claim.reserved) for index, line in enumerate(lines) if built}
    return replace(blank(_form_of(lines), Plain(), **reserved), version=stock.head.version)


def _sent(booking: ProjectBooking, stock: ProjectStock, form: SentForm) -> Filled:
    """The form as it was sent, over the lines that the project has now."""
    typed = {form.text(f"item.{index}"): form.text(_field_of(index)) for index in range(MOST_LINES)}
    lines = _lines(booking, stock)
    texts = {_field_of(index): typed.get(line.item.name, "") for index, line in enumerate(lines)}
    filled = sent(_form_of(lines), Plain(), form, edits=True)
    return replace(filled, texts={**texts, NOTE: filled.texts[NOTE]})


def _quantities(booking: ProjectBooking, lines: Sequence[StockLine], values: Values) -> dict[Item, int]:
    """The quantities that were typed. Raises Unusable."""
    quantities: dict[Item, int] = {}
    for index, line in enumerate(lines):
        quantity = values[_field_of(index)]
        if quantity and quantity > line.item.most:
            values.refuse(_field_of(index), f"must be at most {line.item.most}")
        elif quantity:
            quantities[line.item] = quantity
    if not (quantities or values.errors or booking is ProjectBooking.BUILT):
        values.refuse(_field_of(0) if lines else NOTE, "enter at least one quantity")
    values.check()
    return quantities


BOOKED = {
    ProjectBooking.USED: "What was used is booked.",
    ProjectBooking.BUILT: "What was used is booked, and the rest is free again.",
    ProjectBooking.RETURNED: "What came back is booked.",
}
_TITLES = {
    ProjectBooking.USED: "Used so far",
    ProjectBooking.BUILT: "Built",
    ProjectBooking.RETURNED: "Bring back",
}


@dataclass(frozen=True, slots=True)
class ProjectStockPage:
    """What the project needs, has and used; each stage in words, and whether it is the project's.

    ``built`` holds of what is delivered too. ``told`` says what was just booked, ``stale`` that the project was
    changed meanwhile.
    """

    stock: ProjectStock
    head: ProjectHead
    stages: Sequence[tuple[Stage, str, bool]]
    going_ahead: bool
    built: bool
    stage: str
    short: Sequence[StockLine]
    any_used: bool
    told: str
    stale: bool
    tokens: tuple[str, str]


@dataclass(frozen=True, slots=True)
class BookingPage:
    """The form that books for a project, each line with its field; ``stale`` where the project was changed."""

    head: ProjectHead
    booking: str
    title: str
    form: Filled
    rows: Sequence[tuple[StockLine, FieldView]]
    stale: bool


@router.get(urls.project_stock)
def show(request: Request, project_id: RowId, booked: str = "") -> HTMLResponse:
    """What the project needs, has reserved and has used."""
    stock = project_stock(request.app.state.store, project_id)
    told = BOOKED[ProjectBooking(booked)] if booked in list(ProjectBooking) else ""
    return _page(request, stock, told=told)


@router.post(urls.go_ahead)
def reserve(request: Request, project_id: RowId, form: OnceForm) -> Response:
    """Reserve what the project needs, as it was shown."""
    store: Store = request.app.state.store
    try:
        stock = project_stock(store, project_id)
    except TakesLong as late:
        # what it rests on has changed: nothing is reserved that nobody has seen
        return begun_first(request, late, urls.project_stock(project_id))
    if sent_version(form.text("edition")) != stock.edition:
        return _page(request, stock, stale=True, status=409)
    try:
        go_ahead(store, form.sending, project_id, sent_version(form.text("version")), stock.needs)
    except StaleEdit:
        return _page(request, project_stock(store, project_id), stale=True, status=409)
    return go_to(request, urls.project_stock(project_id))


@router.post(urls.back_to_planned)
def planned(request: Request, project_id: RowId, form: OnceForm) -> Response:
    """Let go of what is reserved."""
    store: Store = request.app.state.store
    try:
        back_to_planned(store, form.sending, project_id, sent_version(form.text("version")))
    except StaleEdit:
        return _page(request, project_stock(store, project_id), stale=True, status=409)
    return go_to(request, urls.project_stock(project_id))


@router.get(urls.book_project)
def booking_form(request: Request, project_id: RowId, booking: str) -> HTMLResponse:
    """The form that books for the project."""
    stock, chosen = project_stock(request.app.state.store, project_id), _booking(booking)
    return _form(request, stock, chosen, _shown(chosen, stock))


@router.post(urls.book_project)
def book(request: Request, project_id: RowId, booking: str, form: OnceForm) -> Response:
    """Book all of the form, or nothing and say why at its field."""
    store: Store = request.app.state.store
    chosen, stock = _booking(booking), project_stock(store, project_id)
    lines, typed = _lines(chosen, stock), _sent(chosen, stock, form)

    def act() -> str:
        values = typed.values()
        quantities = _quantities(chosen, lines, values)
        _book(store, form.sending, stock, chosen, typed.version or 0, quantities, values[NOTE] or "")
        return urls.project_stock(project_id, booked=chosen)

    def again(filled: Filled, status: int) -> Response:
        if filled.theirs is None:
            return _form(request, stock, chosen, filled, status=status)
        # what was typed stands beside what the project has now
        now = project_stock(store, project_id)
        fresh = replace(_sent(chosen, now, form), version=filled.version)
        return _form(request, now, chosen, fresh, stale=True, status=status)

    def at_item(refusal: NotEnough | NotUsed) -> Mapping[str, str]:
        names = [line.item.name for line in lines]
        return {_field_of(names.index(refusal.item) if refusal.item in names else 0): str(refusal)}

    told = {NotEnough: at_item, NotUsed: at_item}
    return saved(request, typed, act, again, told=told, stored=lambda: typed.texts)


def _book(
    store: Store,
    sending: Sending,
    stock: ProjectStock,
    booking: ProjectBooking,
    version: int,
    quantities: dict[Item, int],
    note: str,
) -> None:
    number = stock.head.id
    match booking:
        case ProjectBooking.USED:
            stockroom.use(store, sending, number, quantities, note)
        case ProjectBooking.BUILT:
            built(store, sending, number, version, quantities, note)
        case ProjectBooking.RETURNED:
            stockroom.give_back(store, sending, number, quantities, note)


def _booking(name: str) -> ProjectBooking:
    if name not in list(ProjectBooking):
        raise NotFound("form", name)
    return ProjectBooking(name)


def _page(
    request: Request, stock: ProjectStock, *, told: str = "", stale: bool = False, status: int = 200
) -> HTMLResponse:
    return render(
        request,
        "stock/project.html",
        ProjectStockPage(
            stock=stock,
            head=stock.head,
            stages=[(stage, name, stage is stock.stage) for stage, name in STAGES.items()],
            going_ahead=stock.stage is Stage.GOING_AHEAD,
            built=stock.stage.is_done,
            stage=STAGES[stock.stage],
            short=[line for line in stock.lines if line.short],
            any_used=any(line.claim.used for line in stock.lines),
            told=told,
            stale=stale,
            tokens=(new_token(), new_token()),
        ),
        status=status,
        headers=MAIN_ONLY,
        units=stock.head.units,
    )


def _form(
    request: Request,
    stock: ProjectStock,
    booking: ProjectBooking,
    form: Filled,
    *,
    stale: bool = False,
    status: int = 200,
) -> HTMLResponse:
    lines = _lines(booking, stock)
    return render(
        request,
        "stock/project_booking.html",
        BookingPage(
            head=stock.head,
            booking=booking.value,
            title=_TITLES[booking],
            form=form,
            rows=[(line, form.field(_field_of(index))) for index, line in enumerate(lines)],
            stale=stale,
        ),
        status=status,
        headers=MAIN_ONLY,
        units=stock.head.units,
    )
