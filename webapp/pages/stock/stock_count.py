"""The stock count, for a tablet: one item after the other, each kept at once.

What should be there is told after the count, not before: a count must not be led by the figure expected.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

from fastapi import APIRouter, Query, Request
from fastapi.responses import HTMLResponse, Response

from domain.problems import BadInput, Refused
from webapp.pages.stock.movement_form import (
    LABELS,
    Booking,
    BookingForm,
    blank_form,
    errors_at,
    sent_booking,
)
from webapp.pages.stock.stock_words import shelf
from webapp.site import urls
from webapp.site.incoming import Form, RowId
from webapp.site.rendering import MAIN_ONLY, go_to, render
from webapp.store import Store
from webapp.store.balances import Balance
from webapp.store.errors import NotFound, StaleCount
from webapp.usecases import stockroom
from webapp.usecases.stockroom import CountView, balance_of, count_view
from webapp.wording.exact import parse_count

router = APIRouter(include_in_schema=False)

STEPS = (-10, -1, 1, 10)
"""What the buttons beside the figure add to it; a supplier's packs come after them."""
MOST_PACKS = 4
_LARGEST = 2**31 - 1


@dataclass(frozen=True, slots=True)
class CountRow:
    """An item in the list of a count; ``counted`` is today's count, ``change`` what it differed by."""

    balance: Balance
    shelf: str
    counted: int | None
    change: int


@dataclass(frozen=True, slots=True)
class JustCounted:
    """What was counted on the page before, and what had been expected."""

    balance: Balance
    counted: int
    change: int

    @property
    def expected(self) -> int:
        """What should have been there."""
        return self.counted - self.change


@router.get(urls.stock_count)
def overview(
    request: Request,
    counted: int = Query(0, ge=0, le=_LARGEST),
    item: int = Query(0, ge=0, le=_LARGEST),
) -> HTMLResponse:
    """How far today's count has come, and the item that is next."""
    view = count_view(request.app.state.store, (item, counted))
    return render(
        request,
        "stock/count.html",
        view=view,
        rows=[_row(view, balance) for balance in view.balances],
        next=view.next_after(None),
        just=_just(view, item),
    )


@router.get(urls.count_item)
def show(
    request: Request,
    item_id: RowId,
    counted: int = Query(0, ge=0, le=_LARGEST),
    item: int = Query(0, ge=0, le=_LARGEST),
) -> HTMLResponse:
    """Count this item; ``counted`` is the movement just booked, of ``item``."""
    return _page(request, item_id, just=(item, counted))


@router.post(urls.count_item)
def count(request: Request, item_id: RowId, form: Form) -> Response:
    """Keep the count, and go on to the next item that was not counted today."""
    sent = sent_booking(Booking.COUNTED, form)
    store: Store = request.app.state.store
    item = balance_of(store, item_id).item
    typed = sent.texts["counted.quantity"]
    try:
        try:
            quantity = parse_count(typed)
        except Refused as unread:
            raise BadInput([unread.at(("counted",), typed)]) from None
        (number,) = stockroom.count(store, sent.token, item, quantity, sent.state, sent.texts["counted.note"])
    except BadInput as refusal:
        if any(problem.path == ("token",) for problem in refusal.problems):
            raise
        refused = replace(sent, errors=errors_at(Booking.COUNTED, refusal))
        return _page(request, item_id, refused=refused, status=422)
    except StaleCount as stale:
        refused = replace(sent, errors={"counted.quantity": str(stale)}, state=stale.last)
        return _page(request, item_id, refused=refused, status=409)
    following = count_view(store).next_after(item_id)
    address = urls.stock_count() if following is None else urls.count_item(following.item_id)
    return go_to(request, f"{address}?item={item_id}&counted={number}")


def _page(
    request: Request,
    item_id: int,
    *,
    just: tuple[int, int] = (0, 0),
    refused: BookingForm | None = None,
    status: int = 200,
) -> HTMLResponse:
    view = count_view(request.app.state.store, just)
    balance = next((each for each in view.balances if each.item_id == item_id), None)
    if balance is None:
        raise NotFound("item", item_id)
    form = blank_form(Booking.COUNTED, balance.last)
    if refused is not None:
        form = replace(refused, token=form.token)
    return render(
        request,
        "stock/count_item.html",
        status=status,
        headers=MAIN_ONLY,
        view=view,
        row=_row(view, balance),
        form=form,
        labels=LABELS,
        steps=STEPS,
        packs=view.packs.get(balance.item, ())[:MOST_PACKS],
        skip_to=view.next_after(item_id),
        just=_just(view, just[0]),
    )


def _row(view: CountView, balance: Balance) -> CountRow:
    movement = view.counted.get(balance.item_id)
    if movement is None:
        return CountRow(balance, shelf(balance.item), None, 0)
    return CountRow(balance, shelf(balance.item), movement.counted, movement.on_hand)


def _just(view: CountView, item_id: int) -> JustCounted | None:
    movement = view.just
    if movement is None or movement.counted is None:
        return None
    balance = next(each for each in view.balances if each.item_id == item_id)
    return JustCounted(balance, movement.counted, movement.on_hand)
