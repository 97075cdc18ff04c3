"""The stock count, for a tablet: one item after the other, each kept at once.

What should be there is told after the count, not before: a count must not be led by the figure expected.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from fastapi import APIRouter, Query, Request
from fastapi.responses import HTMLResponse, Response

from webapp.form.filled import Filled
from webapp.pages.stock.movement_form import Booking, blank_booking, note_of, quantity_of, sent_booking
from webapp.site import urls
from webapp.site.editing import saved
from webapp.site.incoming import OnceForm, RowId
from webapp.site.rendering import MAIN_ONLY, render
from webapp.store import Store
from webapp.store.balances import Balance
from webapp.store.errors import NotFound, StaleCount
from webapp.store.tokens import Sending
from webapp.usecases import stockroom
from webapp.usecases.stockroom import CountView, balance_of, count_view
from webapp.wording.stockroom import shelf

router = APIRouter(include_in_schema=False)

STEPS = (-10, -1, 1, 10)
"""What the buttons beside the figure add to it; a supplier's packs come after them."""
MOST_PACKS = 4
_LARGEST = 2**31 - 1
COUNTED = quantity_of(Booking.COUNTED)


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


@dataclass(frozen=True, slots=True)
class CountPage:
    """How far the count has come, and the item that is ``next``."""

    view: CountView
    rows: Sequence[CountRow]
    next: Balance | None
    just: JustCounted | None


@dataclass(frozen=True, slots=True)
class CountItemPage:
    """One item to count; ``packs`` are the sizes it is sold in, ``skip_to`` the item after it."""

    view: CountView
    row: CountRow
    form: Filled
    packs: Sequence[int]
    skip_to: Balance | None
    just: JustCounted | None
    steps: tuple[int, ...] = STEPS


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
        CountPage(
            view,
            [_row(view, balance) for balance in view.balances],
            view.next_after(None),
            _just(view, item),
        ),
        units=view.units,
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
def count(request: Request, item_id: RowId, form: OnceForm) -> Response:
    """Keep the count, and go on to the next item that was not counted today."""
    store = request.app.state.store
    typed = sent_booking(Booking.COUNTED, form, balance_of(store, item_id).item.unit)
    return saved(
        request,
        typed,
        lambda: _keep(store, item_id, typed, form.sending),
        lambda form, status: _page(request, item_id, refused=form, status=status),
        told={StaleCount: lambda stale: {COUNTED: str(stale)}},
    )


def _keep(store: Store, item_id: int, typed: Filled, sending: Sending) -> str:
    """Book the count; the address of the next item."""
    values = typed.values()
    values.check()
    item, note = balance_of(store, item_id).item, values[note_of(Booking.COUNTED)] or ""
    (number,) = stockroom.count(store, sending, item, values[COUNTED], typed.version or 0, note)
    following = count_view(store).next_after(item_id)
    if following is None:
        return urls.stock_count(item=item_id, counted=number)
    return urls.count_item(following.item_id, item=item_id, counted=number)


def _page(
    request: Request,
    item_id: int,
    *,
    just: tuple[int, int] = (0, 0),
    refused: Filled | None = None,
    status: int = 200,
) -> HTMLResponse:
    view = count_view(request.app.state.store, just)
    balance = next((each for each in view.balances if each.item_id == item_id), None)
    if balance is None:
        raise NotFound("item", item_id)
    form = refused or blank_booking(Booking.COUNTED, balance.item.unit, balance.last)
    if status == 409:  # counted again from what stands now
        form = replace(form, version=balance.last)
    return render(
        request,
        "stock/count_item.html",
        CountItemPage(
            view,
            _row(view, balance),
            form,
            view.packs.get(balance.item, ())[:MOST_PACKS],
            view.next_after(item_id),
            _just(view, just[0]),
        ),
        status=status,
        headers=MAIN_ONLY,
        units=view.units,
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
