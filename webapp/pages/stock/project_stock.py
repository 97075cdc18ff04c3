"""Stock for a project: planned, going ahead, built; what is reserved, used and brought back."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from enum import StrEnum

from fastapi import APIRouter, Request
from fastapi.responses import HTMLResponse, Response

from domain.ordering.items import Item
from domain.problems import BadInput
from webapp.form.values import new_token, sent_version
from webapp.pages.stock.stock_words import STAGES
from webapp.site import urls
from webapp.site.incoming import Form, RowId, SentForm
from webapp.site.rendering import MAIN_ONLY, go_to, render
from webapp.store import Store
from webapp.store.errors import NotEnough, NotFound, NotUsed, StaleEdit
from webapp.store.stages import Stage
from webapp.store.stock_values import MOST
from webapp.usecases import stockroom
from webapp.usecases.project_stock import ProjectStock, StockLine, back_to_planned, built, go_ahead, project_stock
from webapp.wording.exact import parse_count

router = APIRouter(include_in_schema=False)

MOST_LINES = 2_000


class ProjectBooking(StrEnum):
    """What can be booked for a project; the value is the address's last word."""

    USED = "used"
    BUILT = "built"
    RETURNED = "returned"


@dataclass(frozen=True, slots=True)
class Row:
    """A line of the form: an item with the quantity as typed; ``field`` is the quantity's name."""

    field: str
    line: StockLine
    text: str


@dataclass(frozen=True, slots=True)
class ProjectForm:
    """The form as it is shown."""

    booking: ProjectBooking
    rows: tuple[Row, ...]
    note: str = ""
    errors: Mapping[str, str] = field(default_factory=dict)

    @property
    def labels(self) -> dict[str, str]:
        """What the fields are called, for the summary of errors."""
        return {**{row.field: row.line.item.name for row in self.rows}, "note": "Note"}

    def field_of(self, item: str) -> str:
        """The field of the item of that name; the first where it is not there."""
        return next((row.field for row in self.rows if row.line.item.name == item), "quantity.0")


def shown_form(booking: ProjectBooking, stock: ProjectStock) -> ProjectForm:
    """The form as it is first shown: what is reserved for a project that is built, else empty."""
    rows = (
        Row(f"quantity.{index}", line, str(line.claim.reserved) if booking is ProjectBooking.BUILT else "")
        for index, line in enumerate(_lines(booking, stock))
    )
    return ProjectForm(booking, tuple(rows))


def sent_project_form(booking: ProjectBooking, stock: ProjectStock, form: SentForm) -> ProjectForm:
    """The form as it was sent, over the lines that the project has now."""
    typed = {
        form.text(f"item.{index}"): form.text(f"quantity.{index}")
        for index in range(MOST_LINES)
        if form.text(f"item.{index}")
    }
    rows = (
        Row(f"quantity.{index}", line, typed.get(line.item.name, ""))
        for index, line in enumerate(_lines(booking, stock))
    )
    return ProjectForm(booking, tuple(rows), form.text("note"))


def read_quantities(form: ProjectForm) -> tuple[dict[Item, int], dict[str, str]]:
    """The quantities typed, and a sentence for each that is none."""
    quantities: dict[Item, int] = {}
    errors: dict[str, str] = {}
    for row in form.rows:
        if not row.text:
            continue
        try:
            quantity = parse_count(row.text)
        except ValueError as error:
            errors[row.field] = str(error)
            continue
        if quantity > MOST:
            errors[row.field] = f"must be at most {MOST}"
        elif quantity:
            quantities[row.line.item] = quantity
    return quantities, errors


def _lines(booking: ProjectBooking, stock: ProjectStock) -> Sequence[StockLine]:
    return [line for line in stock.lines if booking is not ProjectBooking.RETURNED or line.claim.used]


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


@router.get(urls.project_stock)
def show(request: Request, project_id: RowId, booked: str = "") -> HTMLResponse:
    """What the project needs, has reserved and has used."""
    stock = project_stock(request.app.state.store, project_id)
    told = BOOKED[ProjectBooking(booked)] if booked in list(ProjectBooking) else ""
    return _page(request, stock, told=told)


@router.post(urls.go_ahead)
def reserve(request: Request, project_id: RowId, form: Form) -> Response:
    """Reserve what the project needs, as it was shown."""
    store: Store = request.app.state.store
    stock = project_stock(store, project_id)
    if sent_version(form.text("edition")) != stock.edition:
        return _page(request, stock, stale=True, status=409)
    try:
        go_ahead(store, form.text("token"), project_id, sent_version(form.text("version")), stock.needs)
    except StaleEdit:
        return _page(request, project_stock(store, project_id), stale=True, status=409)
    return go_to(request, urls.project_stock(project_id))


@router.post(urls.back_to_planned)
def planned(request: Request, project_id: RowId, form: Form) -> Response:
    """Let go of what is reserved."""
    store: Store = request.app.state.store
    try:
        back_to_planned(store, form.text("token"), project_id, sent_version(form.text("version")))
    except StaleEdit:
        return _page(request, project_stock(store, project_id), stale=True, status=409)
    return go_to(request, urls.project_stock(project_id))


@router.get(urls.book_project)
def booking_form(request: Request, project_id: RowId, booking: str) -> HTMLResponse:
    """The form that books for the project."""
    stock = project_stock(request.app.state.store, project_id)
    return _form(request, stock, shown_form(_booking(booking), stock), stock.head.version)


@router.post(urls.book_project)
def book(request: Request, project_id: RowId, booking: str, form: Form) -> Response:
    """Book all of the form, or nothing and say why at its field."""
    store: Store = request.app.state.store
    chosen = _booking(booking)
    stock = project_stock(store, project_id)
    sent, version = sent_project_form(chosen, stock, form), sent_version(form.text("version"))
    quantities, errors = read_quantities(sent)
    if not errors and not quantities and chosen is not ProjectBooking.BUILT:
        errors = {sent.rows[0].field if sent.rows else "note": "enter at least one quantity"}
    if errors:
        return _form(request, stock, replace(sent, errors=errors), version, status=422)
    try:
        _book(store, form, stock, sent, quantities, version)
    except (NotEnough, NotUsed) as refusal:
        errors = {sent.field_of(refusal.item): str(refusal)}
        return _form(request, stock, replace(sent, errors=errors), version, status=409)
    except BadInput as refusal:
        note = next((problem.text() for problem in refusal.problems if "note" in problem.path), None)
        if note is None:
            raise
        return _form(request, stock, replace(sent, errors={"note": note}), version, status=422)
    except StaleEdit as stale:
        stock = project_stock(store, project_id)
        sent = sent_project_form(chosen, stock, form)
        return _form(request, stock, sent, stale.theirs_version, stale=True, status=409)
    return go_to(request, urls.project_stock(project_id, booked=chosen))


def _book(
    store: Store,
    form: SentForm,
    stock: ProjectStock,
    sent: ProjectForm,
    quantities: dict[Item, int],
    version: int,
) -> None:
    token, number = form.text("token"), stock.head.id
    match sent.booking:
        case ProjectBooking.USED:
            stockroom.use(store, token, number, quantities, sent.note)
        case ProjectBooking.BUILT:
            built(store, token, number, version, quantities, sent.note)
        case ProjectBooking.RETURNED:
            stockroom.give_back(store, token, number, quantities, sent.note)


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
        status=status,
        headers=MAIN_ONLY,
        units=stock.head.units,
        stock=stock,
        head=stock.head,
        stages=[(stage, name, stage is stock.stage) for stage, name in STAGES.items()],
        going_ahead=stock.stage is Stage.GOING_AHEAD,
        built=stock.stage is Stage.BUILT,
        short=[line for line in stock.lines if line.short],
        any_used=any(line.claim.used for line in stock.lines),
        told=told,
        stale=stale,
        tokens=(new_token(), new_token()),
    )


def _form(
    request: Request,
    stock: ProjectStock,
    form: ProjectForm,
    version: int,
    *,
    stale: bool = False,
    status: int = 200,
) -> HTMLResponse:
    return render(
        request,
        "stock/project_booking.html",
        status=status,
        headers=MAIN_ONLY,
        units=stock.head.units,
        stock=stock,
        head=stock.head,
        form=form,
        title=_TITLES[form.booking],
        version=version,
        stale=stale,
        token=new_token(),
    )
