"""Orders that were placed: listed, received, cancelled, handed on as paper and tables."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from datetime import date
from typing import Annotated

from fastapi import APIRouter, Query, Request
from fastapi.responses import HTMLResponse, Response

from webapp.form.carried import new_token
from webapp.pages.printing import pdf_answer
from webapp.pages.projects.exports import table_answer
from webapp.papers.kinds import PAPERS, Paper
from webapp.papers.order import render_order
from webapp.site import urls
from webapp.site.incoming import OnceForm, RowId
from webapp.site.rendering import MAIN_ONLY, go_to, render
from webapp.store import Store
from webapp.store.errors import AlreadyEnded, OverReceived
from webapp.store.orders import OrderLine, PlacedOrder
from webapp.tables.buying_tables import order_table
from webapp.usecases.placed_orders import cancel, order_book, order_sheet
from webapp.usecases.stockroom import receive_order

router = APIRouter(include_in_schema=False)

_LONGEST = 9


@dataclass(frozen=True, slots=True)
class Received:
    """What was typed, what it means (packs by the line's position), and what is wrong with it, by field."""

    texts: Mapping[str, str]
    packs: Mapping[int, int] = field(default_factory=dict)
    errors: Mapping[str, str] = field(default_factory=dict)


def field_of(position: int) -> str:
    """The name of a line's field."""
    return f"packs-{position}"


def still_to_come(order: PlacedOrder) -> dict[int, int]:
    """Packs still to come, by position; lines that are complete are not there."""
    return {line.position: line.to_come for line in order.lines if line.to_come}


def read_received(order: PlacedOrder, texts: Mapping[str, str]) -> Received:
    """The packs that were typed; an empty field is none. At least one must have come."""
    packs: dict[int, int] = {}
    errors: dict[str, str] = {}
    for position, most in still_to_come(order).items():
        name = field_of(position)
        text = texts.get(name, "")
        if not text:
            continue
        if not (text.isascii() and text.isdigit() and len(text) <= _LONGEST):
            errors[name] = f"write whole packs, from 0 to {most}"
        elif int(text) > most:
            errors[name] = f"only {most} {'pack is' if most == 1 else 'packs are'} still to come"
        elif int(text):
            packs[position] = int(text)
    if not packs and not errors:
        errors[field_of(next(iter(still_to_come(order)), 1))] = "enter what came, at least one pack of one line"
    return Received(texts, packs, errors)


NOTE = "note"


@dataclass(frozen=True, slots=True)
class OrdersPage:
    """A page of the orders, late ones first, of ``count`` in all; ``paged`` where it is not the first."""

    day: date
    orders: tuple[PlacedOrder, ...]
    count: int
    older: int | None
    paged: bool


@dataclass(frozen=True, slots=True)
class CancelPage:
    """What has not come of an order, to be given up."""

    order: PlacedOrder
    token: str


@dataclass(frozen=True, slots=True)
class OrderPage:
    """One order. ``projects`` are its numbers, their names, and whether they still stand.

    ``open_lines`` are the packs still to come by position, ``texts`` what stands in their fields.
    """

    order: PlacedOrder
    late: tuple[OrderLine, ...]
    projects: tuple[tuple[int, str, bool], ...]
    open_lines: Mapping[int, int]
    texts: Mapping[str, str]
    field_of: Callable[[int], str]
    errors: Mapping[str, str]
    labels: Mapping[str, str]
    moved: str
    papers: tuple[str, ...]
    token: str


@router.get(urls.orders)
def show_all(request: Request, before: Annotated[int | None, Query(ge=1, le=2**31 - 1)] = None) -> HTMLResponse:
    """The orders, late ones first, page by page; on the first is everything that is still to come."""
    book = order_book(request.app.state.store, before)
    return render(
        request,
        "orders/list.html",
        OrdersPage(book.day, book.orders, book.count, book.older, paged=before is not None),
    )


@router.get(urls.order)
def show(request: Request, number: RowId) -> HTMLResponse:
    """One order, and the form that books in what came."""
    return _page(request, number)


@router.post(urls.receive_order)
def receive(request: Request, number: RowId, sent: OnceForm) -> Response:
    """Book in what came, whole packs a line; or everything still to come in one step."""
    store: Store = request.app.state.store
    order = order_sheet(store, number).order
    received = read_received(order, sent.values())
    if sent.text("all"):
        received = Received(sent.values(), still_to_come(order))
    try:
        if not still_to_come(order):
            raise AlreadyEnded(number, order.status.value)
        if received.errors:
            return _page(request, number, received=received, status=422)
        receive_order(store, sent.sending, number, received.packs, sent.text(NOTE))
    except (OverReceived, AlreadyEnded) as refusal:
        return _page(request, number, received=received, moved=str(refusal), status=409)
    return go_to(request, urls.order(number))


@router.get(urls.cancel_order)
def ask_cancel(request: Request, number: RowId) -> Response:
    """Ask before what has not come is given up."""
    sheet = order_sheet(request.app.state.store, number)
    if not still_to_come(sheet.order):
        return go_to(request, urls.order(number))
    return render(request, "orders/cancel.html", CancelPage(sheet.order, new_token()), units=sheet.units)


@router.post(urls.cancel_order)
def cancel_rest(request: Request, number: RowId, sent: OnceForm) -> Response:
    """Cancel what has not come."""
    cancel(request.app.state.store, sent.sending, number)
    return go_to(request, urls.order(number))


@router.get(urls.order_paper)
def paper(request: Request, number: RowId, paper: str = "") -> Response:
    """The order as PDF, on the shop's usual paper where none is named."""
    sheet = order_sheet(request.app.state.store, number)

    def printed(size: Paper) -> bytes:
        return render_order(sheet.order, sheet.shop, size, sheet.units)

    return pdf_answer(request, f"order-{number}", sheet.units, paper, printed)


@router.get(urls.order_table)
def show_table(request: Request, number: RowId, ending: str) -> Response:
    """The order as a spreadsheet or as CSV."""
    sheet = order_sheet(request.app.state.store, number)
    return table_answer(f"order-{number}", ending, lambda: order_table(sheet.order, sheet.units))


def _page(
    request: Request, number: int, *, received: Received | None = None, moved: str = "", status: int = 200
) -> HTMLResponse:
    sheet = order_sheet(request.app.state.store, number)
    open_lines = still_to_come(sheet.order)
    expected = {field_of(position): str(packs) for position, packs in open_lines.items()}
    errors = received.errors if received else {}
    return render(
        request,
        "orders/page.html",
        OrderPage(
            order=sheet.order,
            late=tuple(sheet.order.late(sheet.day)),
            projects=tuple((each, name, each in sheet.projects) for each, name in sheet.order.projects.items()),
            open_lines=open_lines,
            texts=expected | (dict(received.texts) if received else {}),
            field_of=field_of,
            errors=errors,
            labels={field_of(line.position): _line_label(line) for line in sheet.order.lines},
            moved=moved,
            papers=tuple(PAPERS),
            token=new_token(),
        ),
        status=status,
        units=sheet.units,
        headers=MAIN_ONLY,
    )


def _line_label(line: OrderLine) -> str:
    return f"Line {line.position}, {line.item.name}"
