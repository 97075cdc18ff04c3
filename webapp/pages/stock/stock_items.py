"""One item of the stockroom: its balance, who has reserved it, its offers, its ledger, and its forms."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

from fastapi import APIRouter, Query, Request
from fastapi.responses import HTMLResponse, Response

from domain.lengths import Units
from domain.ordering.items import Item
from domain.problems import BadInput, Problem
from domain.spec.job import Stage
from webapp.form.fields import Options
from webapp.form.filled import Filled
from webapp.pages.stock.movement_form import (
    NO_PROJECT,
    Booking,
    blank_booking,
    note_of,
    quantity_of,
    sent_booking,
)
from webapp.pages.stock.stock_words import MOVEMENTS, change
from webapp.pages.stock.stockroom import ClaimRow, claim_rows
from webapp.site import urls
from webapp.site.editing import saved
from webapp.site.incoming import OnceForm, RowId
from webapp.site.rendering import MAIN_ONLY, render
from webapp.store import Store
from webapp.store.balances import Balance
from webapp.store.errors import NotEnough, NotFound, StaleCount
from webapp.store.ledger import Movement
from webapp.store.stages import StagedProject
from webapp.store.stock_values import MovementKind
from webapp.store.tokens import Sending
from webapp.usecases import stockroom
from webapp.usecases.stockroom import ItemView, balance_of, change_minimum, item_view
from webapp.wording.amounts import bare_amount
from webapp.wording.job import STAGES
from webapp.wording.problems import InputProblem
from webapp.wording.stockroom import project_name

router = APIRouter(include_in_schema=False)

UNNOTED_USE = "used for no project"
"""The ledger's note of a use that is for no project, where none was typed."""
_OPEN = (Stage.GOING_AHEAD, Stage.PLANNED, Stage.ASKED, Stage.BUILT, Stage.DELIVERED)


@dataclass(frozen=True, slots=True)
class LedgerRow:
    """An entry of the ledger in words. ``project_id`` and ``order`` are what it can be followed to."""

    movement: Movement
    what: str
    change: str
    on_hand: int
    reserved: str
    project: str
    project_id: int | None


@dataclass(frozen=True, slots=True)
class ItemPage:
    """The item, its forms by what they book, and the one of them that was ``refused``."""

    view: ItemView
    balance: Balance
    short: int
    claims: Sequence[ClaimRow]
    forms: Mapping[str, Filled]
    refused: Filled | None
    projects: Options
    ledger: Sequence[LedgerRow]
    booked: LedgerRow | None
    currency: str
    paged: bool


@router.get(urls.stock_item)
def show(
    request: Request,
    item_id: RowId,
    before: int | None = Query(None, ge=1, le=2**31 - 1),
    booked: int = Query(0, ge=0, le=2**31 - 1),
) -> HTMLResponse:
    """The item's page; ``before`` pages back in its ledger, ``booked`` is what was just booked."""
    return _page(request, item_id, before=before, booked=booked)


@router.post(urls.book_item)
def book(request: Request, item_id: RowId, booking: str, form: OnceForm) -> Response:
    """Book the form, or show it again as it was typed with what is wrong at its field."""
    if booking not in list(Booking):
        raise NotFound("form", booking)
    kind, store = Booking(booking), request.app.state.store
    item = balance_of(store, item_id).item
    typed, quantity = sent_booking(kind, form, item.unit), quantity_of(kind)
    return saved(
        request,
        typed,
        lambda: urls.stock_item(item_id, booked=_book(store, item_id, item, kind, typed, form.sending)),
        lambda form, status: _page(request, item_id, refused=(kind, form), status=status),
        told={error: lambda refusal: {quantity: str(refusal)} for error in (NotEnough, StaleCount)},
        stored=lambda: {quantity: str(balance_of(store, item_id).minimum_stock)},
    )


def _book(store: Store, item_id: int, item: Item, booking: Booking, typed: Filled, sending: Sending) -> int:
    """Do what the form says; the movement's number, 0 for a minimum stock."""
    values = typed.values()
    values.check()
    quantity, note = values[quantity_of(booking)], values[note_of(booking)] or ""
    if quantity == 0 and booking in (Booking.RECEIVED, Booking.USED, Booking.ADJUSTED):
        raise BadInput([Problem.of(("quantity",), quantity, InputProblem.NOT_ZERO)])
    match booking:
        case Booking.RECEIVED:
            (number,) = stockroom.receive(store, sending, item, quantity, note)
        case Booking.USED:
            number = _use(store, sending, typed.texts["used.project"], item, quantity, note)
        case Booking.COUNTED:
            (number,) = stockroom.count(store, sending, item, quantity, typed.version or 0, note)
        case Booking.ADJUSTED:
            (number,) = stockroom.adjust(store, sending, item, quantity, note)
        case Booking.MINIMUM:
            change_minimum(store, sending, item_id, typed.version or 0, quantity)
            number = 0
    return number


def _use(store: Store, sending: Sending, project: str, item: Item, quantity: int, note: str) -> int:
    if project == NO_PROJECT:
        (number,) = stockroom.adjust(store, sending, item, -quantity, note or UNNOTED_USE)
        return number
    if not (project.isascii() and project.isdigit() and len(project) < 10):
        raise BadInput([Problem.of(("project",), project, InputProblem.NOT_LISTED)])
    (number,) = stockroom.use(store, sending, int(project), {item: quantity}, note)
    return number


def _page(
    request: Request,
    item_id: int,
    *,
    before: int | None = None,
    booked: int = 0,
    refused: tuple[Booking, Filled] | None = None,
    status: int = 200,
) -> HTMLResponse:
    view = item_view(request.app.state.store, item_id, before=before, booked=booked)
    balance = view.balance
    forms = {booking.value: _blank(booking, view) for booking in Booking}
    told = None
    if refused is not None:
        booking, told = refused
        # a count that was overtaken is counted again from what stands now
        if status == 409 and booking is Booking.COUNTED:
            told = replace(told, version=forms[booking.value].version)
        forms[booking.value] = told
    return render(
        request,
        "stock/item.html",
        ItemPage(
            view=view,
            balance=balance,
            short=balance.short,
            claims=claim_rows(balance, view.projects),
            forms=forms,
            refused=told,
            projects=_choices(view.projects),
            ledger=[_row(movement, after, view.projects, view.units) for movement, after in view.ledger.entries],
            booked=_row(view.booked, 0, view.projects, view.units) if view.booked else None,
            currency=view.currency,
            paged=before is not None,
        ),
        status=status,
        headers=MAIN_ONLY,
        units=view.units,
    )


def _blank(booking: Booking, view: ItemView) -> Filled:
    unit = view.balance.item.unit
    match booking:
        case Booking.COUNTED:
            return blank_booking(booking, unit, view.balance.last)
        case Booking.MINIMUM:
            return blank_booking(booking, unit, view.balance.version, quantity=str(view.balance.minimum_stock))
        case _:
            return blank_booking(booking, unit)


def _choices(projects: Mapping[int, StagedProject]) -> Options:
    """Projects for the list: those going ahead first; built ones last, for what is mended later."""
    ordered = sorted(projects.items(), key=lambda each: (_OPEN.index(each[1].stage), each[1].name.casefold()))
    named = ((str(number), f"{project.name} ({STAGES[project.stage].lower()})") for number, project in ordered)
    return ((NO_PROJECT, "No project"), *named)


def _row(movement: Movement, on_hand: int, projects: Mapping[int, StagedProject], units: Units) -> LedgerRow:
    number = movement.project_id
    what = MOVEMENTS[movement.kind]
    if movement.kind is MovementKind.COUNTED:
        what = f"{what} {bare_amount(movement.counted or 0, movement.item.unit, units)}"
    return LedgerRow(
        movement=movement,
        what=what,
        change=change(movement.on_hand, movement.item, units),
        on_hand=on_hand,
        reserved=change(movement.reserved, movement.item, units),
        project="" if number is None else project_name(number, projects),
        project_id=number if number in projects else None,
    )
