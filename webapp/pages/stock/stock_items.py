"""One item of the stockroom: its balance, who has reserved it, its offers, its ledger, and its forms."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace

from fastapi import APIRouter, Query, Request
from fastapi.responses import HTMLResponse, Response

from domain.ordering.items import Item
from domain.problems import BadInput, Problem, Refused
from webapp.pages.stock.movement_form import (
    LABELS,
    NO_PROJECT,
    Booking,
    BookingForm,
    blank_form,
    errors_at,
    sent_booking,
)
from webapp.pages.stock.stock_words import MOVEMENTS, STAGES, change, project_name
from webapp.pages.stock.stockroom import claim_rows
from webapp.site import urls
from webapp.site.incoming import Form, RowId
from webapp.site.rendering import MAIN_ONLY, go_to, render
from webapp.store import Store
from webapp.store.errors import NotEnough, NotFound, StaleCount, StaleEdit
from webapp.store.ledger import Movement
from webapp.store.stages import Stage, StagedProject
from webapp.store.stock_values import MovementKind
from webapp.usecases import stockroom
from webapp.usecases.stockroom import ItemView, balance_of, change_minimum, item_view
from webapp.wording.exact import parse_count
from webapp.wording.problems import InputProblem

router = APIRouter(include_in_schema=False)

UNNOTED_USE = "used for no project"
"""The ledger's note of a use that is for no project, where none was typed."""
_OPEN = (Stage.GOING_AHEAD, Stage.PLANNED, Stage.BUILT)


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
def book(request: Request, item_id: RowId, booking: str, form: Form) -> Response:
    """Book the form, or show it again as it was typed with what is wrong at its field."""
    if booking not in list(Booking):
        raise NotFound("form", booking)
    sent = sent_booking(Booking(booking), form)
    store: Store = request.app.state.store
    item = balance_of(store, item_id).item
    try:
        booked = _book(store, item_id, item, sent)
    except BadInput as refusal:
        if any(problem.path == ("token",) for problem in refusal.problems):
            raise
        return _page(request, item_id, refused=replace(sent, errors=errors_at(sent.booking, refusal)), status=422)
    except NotEnough as short:
        errors = {f"{booking}.quantity": str(short)}
        return _page(request, item_id, refused=replace(sent, errors=errors), status=409)
    except StaleCount as stale:
        errors = {f"{booking}.quantity": str(stale)}
        return _page(request, item_id, refused=replace(sent, errors=errors, state=stale.last), status=409)
    except StaleEdit as stale:
        stands = balance_of(store, item_id).minimum_stock
        errors = {f"{booking}.quantity": f"changed elsewhere meanwhile, now {stands}; save again to keep yours"}
        refused = replace(sent, errors=errors, state=stale.theirs_version)
        return _page(request, item_id, refused=refused, status=409)
    return go_to(request, urls.stock_item(item_id, booked=booked))


def _book(store: Store, item_id: int, item: Item, sent: BookingForm) -> int:
    """Do what the form says; the movement's number, 0 for a minimum stock."""
    booking, note = sent.booking, sent.texts.get(f"{sent.booking}.note", "")
    try:
        quantity = parse_count(sent.texts[f"{booking}.quantity"], signed=booking is Booking.ADJUSTED)
    except Refused as refused:
        raise BadInput([refused.at(("quantity",), sent.texts[f"{booking}.quantity"])]) from None
    if quantity == 0 and booking in (Booking.RECEIVED, Booking.USED, Booking.ADJUSTED):
        raise BadInput([Problem.of(("quantity",), quantity, InputProblem.NOT_ZERO)])
    match booking:
        case Booking.RECEIVED:
            (number,) = stockroom.receive(store, sent.token, item, quantity, note)
        case Booking.USED:
            number = _use(store, sent, item, quantity, note)
        case Booking.COUNTED:
            (number,) = stockroom.count(store, sent.token, item, quantity, sent.state, note)
        case Booking.ADJUSTED:
            (number,) = stockroom.adjust(store, sent.token, item, quantity, note)
        case Booking.MINIMUM:
            change_minimum(store, sent.token, item_id, sent.state, quantity)
            number = 0
    return number


def _use(store: Store, sent: BookingForm, item: Item, quantity: int, note: str) -> int:
    project = sent.texts["used.project"]
    if project == NO_PROJECT:
        (number,) = stockroom.adjust(store, sent.token, item, -quantity, note or UNNOTED_USE)
        return number
    if not (project.isascii() and project.isdigit() and len(project) < 10):
        raise BadInput([Problem.of(("project",), project, InputProblem.NOT_LISTED)])
    (number,) = stockroom.use(store, sent.token, int(project), {item: quantity}, note)
    return number


def _page(
    request: Request,
    item_id: int,
    *,
    before: int | None = None,
    booked: int = 0,
    refused: BookingForm | None = None,
    status: int = 200,
) -> HTMLResponse:
    view = item_view(request.app.state.store, item_id, before=before, booked=booked)
    balance = view.balance
    forms = {booking.value: _blank(booking, view) for booking in Booking}
    if refused is not None:
        forms[refused.booking.value] = replace(refused, token=forms[refused.booking.value].token)
    return render(
        request,
        "stock/item.html",
        status=status,
        headers=MAIN_ONLY,
        view=view,
        balance=balance,
        short=balance.short,
        claims=claim_rows(balance, view.projects),
        forms=forms,
        errors=refused.errors if refused else {},
        labels=LABELS,
        projects=_choices(view.projects),
        ledger=[_row(movement, after, view.projects) for movement, after in view.ledger.entries],
        booked=_row(view.booked, 0, view.projects) if view.booked else None,
        currency=view.currency,
        paged=before is not None,
    )


def _blank(booking: Booking, view: ItemView) -> BookingForm:
    match booking:
        case Booking.COUNTED:
            return blank_form(booking, view.balance.last)
        case Booking.MINIMUM:
            return blank_form(booking, view.balance.version, quantity=str(view.balance.minimum_stock))
        case _:
            return blank_form(booking)


def _choices(projects: Mapping[int, StagedProject]) -> list[tuple[str, str]]:
    """Projects for the list: those going ahead first; built ones last, for what is mended later."""
    ordered = sorted(projects.items(), key=lambda each: (_OPEN.index(each[1].stage), each[1].name.casefold()))
    named = [(str(number), f"{project.name} ({STAGES[project.stage].lower()})") for number, project in ordered]
    return [(NO_PROJECT, "No project"), *named]


def _row(movement: Movement, on_hand: int, projects: Mapping[int, StagedProject]) -> LedgerRow:
    number = movement.project_id
    what = MOVEMENTS[movement.kind]
    if movement.kind is MovementKind.COUNTED:
        what = f"{what} {movement.counted}"
    return LedgerRow(
        movement=movement,
        what=what,
        change=change(movement.on_hand),
        on_hand=on_hand,
        reserved=change(movement.reserved),
        project="" if number is None else project_name(number, projects),
        project_id=number if number in projects else None,
    )
