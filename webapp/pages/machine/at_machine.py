"""At the machine: one set-up at a time in large type, pieces to tick off; the exchange of ticks with a tablet."""

from __future__ import annotations

import json
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Annotated, Any

from fastapi import APIRouter, Depends, Query, Request
from fastapi.responses import HTMLResponse, JSONResponse, Response

from domain.problems import BadInput
from domain.takeoff.pieces import Hand
from webapp.drawings.model import Drawing
from webapp.drawings.set_up import sheet_pictures
from webapp.pages.machine.shop_rows import HANDFUL, ShopView, shop_view
from webapp.pages.together import MOST_TOGETHER, Number
from webapp.site import urls
from webapp.site.incoming import Form, RowId, SentForm
from webapp.site.rendering import go_to, render
from webapp.store import Store
from webapp.store.errors import NotFound
from webapp.store.projects import ProjectHead
from webapp.usecases.json_text import parse_json
from webapp.usecases.scales import corrections
from webapp.usecases.set_ups import source_of
from webapp.usecases.shop import moment
from webapp.usecases.shop_sheet import ShopSheet, exchange, open_sheet, state, undo_of
from webapp.usecases.ticking import MOST_AT_ONCE
from webapp.wording.pieces import HANDS

router = APIRouter(include_in_schema=False)

EMS_AT_ARMS_LENGTH = 7
"""How large a set-up is drawn beside its letters, which are read from a metre away: a capital of 1/200 of that."""
GONE = (
    "The project was changed since this page was opened, and what was ticked is no longer on its sheet. It was not"
    " booked; everything else is kept."
)


def _one(project_id: RowId) -> tuple[int, ...]:
    return (project_id,)


def _together(project: Annotated[list[Number], Query(min_length=1, max_length=MOST_TOGETHER)]) -> tuple[int, ...]:
    return tuple(dict.fromkeys(project))


async def _body(request: Request) -> bytes:
    return await request.body()


One = Annotated[tuple[int, ...], Depends(_one)]
Together = Annotated[tuple[int, ...], Depends(_together)]
Body = Annotated[bytes, Depends(_body)]
After = Annotated[int, Query(ge=0, le=2**53)]
"""The number of the last tick that the device has heard of."""


@router.get(urls.shop_alone)
def show(request: Request, numbers: One) -> HTMLResponse:
    """One project at the machine."""
    return _page(request, numbers)


@router.get(urls.shop_together)
def show_together(request: Request, numbers: Together) -> HTMLResponse:
    """Several projects at the machine together."""
    return _page(request, numbers)


@router.post(urls.shop_alone)
def tick(request: Request, numbers: One, form: Form) -> Response:
    """Book one tick, or take one back, from a page without script."""
    return _tick(request, numbers, form)


@router.post(urls.shop_together)
def tick_together(request: Request, numbers: Together, form: Form) -> Response:
    """The same for several projects together."""
    return _tick(request, numbers, form)


@router.get(urls.shop_ticks_alone)
def news(request: Request, numbers: One, after: After = 0) -> JSONResponse:
    """What was ticked, here or on another device."""
    return _news(request, numbers, after)


@router.get(urls.shop_ticks_together)
def news_together(request: Request, numbers: Together, after: After = 0) -> JSONResponse:
    """The same for several projects together."""
    return _news(request, numbers, after)


@router.post(urls.shop_ticks_alone)
def send(request: Request, numbers: One, body: Body, after: After = 0) -> JSONResponse:
    """Book the ticks that a device kept, each once however often it is sent."""
    return _send(request, numbers, body, after)


@router.post(urls.shop_ticks_together)
def send_together(request: Request, numbers: Together, body: Body, after: After = 0) -> JSONResponse:
    """The same for several projects together."""
    return _send(request, numbers, body, after)


@dataclass(frozen=True, slots=True)
class AtMachinePage:
    """The tablet's page: its set-ups with their rows, and all that its script goes on from.

    ``ledger`` are the ticks so far as JSON, ``mark`` and ``seen`` where the next exchange begins.
    """

    heads: tuple[ProjectHead, ...]
    view: ShopView
    pictures: Mapping[int, Mapping[Hand, Drawing]]
    hands: Mapping[Hand, str]
    address: str
    send_to: str
    most: int
    mark: str
    ledger: str
    seen: int
    moment: str
    elsewhere: int
    refused: str
    handful: int = HANDFUL


def _page(request: Request, numbers: Sequence[int], *, refused: str = "", status: int = 200) -> HTMLResponse:
    store: Store = request.app.state.store
    projects, sheet, state = open_sheet(store, numbers)
    units, out = projects[0].head.units, corrections(store)
    sources = [source_of(project) for project in projects]
    return render(
        request,
        "machine/at_machine.html",
        AtMachinePage(
            heads=tuple(project.head for project in projects),
            view=shop_view(sheet, sources, state, units, out),
            pictures=sheet_pictures(sheet, sources, units, out, ems=EMS_AT_ARMS_LENGTH),
            hands=HANDS,
            address=urls.shop(*numbers),
            send_to=urls.shop_ticks(*numbers),
            most=MOST_AT_ONCE,
            mark=state.mark,
            ledger=json.dumps(_entries(state)),
            seen=_seen(state, 0),
            moment=moment(store).isoformat(),
            elsewhere=state.elsewhere,
            refused=refused,
        ),
        status=status,
        units=units,
    )


def _tick(request: Request, numbers: Sequence[int], form: SentForm) -> Response:
    store: Store = request.app.state.store
    sent = {name: form.text(name) for name in ("uuid", "set_up", "piece")}
    taken_back = form.text("undo")
    if taken_back:
        # its set-up, piece and count are those of its tick, whatever the form says
        found = next((each for each in state(store, numbers).ticks if each.uuid == taken_back), None)
        if found is None:  # somebody took it back already
            return _back_to(request, numbers, sent["set_up"])
        sent |= {"uuid": undo_of(found.uuid), "set_up": found.set_up, "piece": found.piece}
        count: object = -found.count
    else:
        count = _count(form.text("count"))
    answer = exchange(store, numbers, [{**sent, "count": count, "at": moment(store).isoformat()}])
    if answer.gone:
        return _page(request, numbers, refused=GONE, status=409)
    return _back_to(request, numbers, sent["set_up"])


def _back_to(request: Request, numbers: Sequence[int], set_up: str) -> Response:
    """On with the set-up that was ticked at."""
    sheet = open_sheet(request.app.state.store, numbers)[1]
    line = sheet.line(set_up)
    return go_to(request, urls.shop(*numbers) + (f"#set-up-{line.number}" if line else ""))


def _count(text: str) -> object:
    """The number that was sent; what is none is refused with the rest of the tick."""
    return int(text) if text.isascii() and text.isdigit() and len(text) < 10 else text


def _news(request: Request, numbers: Sequence[int], after: int) -> JSONResponse:
    try:
        found = state(request.app.state.store, numbers, after)
    except NotFound as error:
        return JSONResponse({"error": str(error)}, 404)
    return JSONResponse(_state(found, after))


def _send(request: Request, numbers: Sequence[int], body: bytes, after: int) -> JSONResponse:
    try:
        answer = exchange(request.app.state.store, numbers, parse_json(body), after)
    except BadInput as refusal:
        return JSONResponse({"error": f"Nothing was booked. {refusal.problems[0]}."}, 422)
    except NotFound as error:
        return JSONResponse({"error": str(error)}, 404)
    words = {"message": GONE} if answer.gone else {}
    return JSONResponse({**_state(answer.sheet, after), "booked": answer.booked, "gone": answer.gone, **words})


def _state(sheet: ShopSheet, after: int) -> dict[str, Any]:
    return {"sheet": sheet.mark, "ticks": _entries(sheet), "seen": _seen(sheet, after)}


def _entries(sheet: ShopSheet) -> list[tuple[str, str, str, int]]:
    """What was booked for what is on the sheet, taken back or not, in its order."""
    booked = [entry.tick for entry in sheet.ledger]
    return [
        (tick.uuid, tick.set_up, tick.piece, tick.count)
        for tick in booked
        if (tick.set_up, tick.piece) in sheet.keys
    ]


def _seen(sheet: ShopSheet, after: int) -> int:
    return max((entry.number for entry in sheet.ledger), default=after)
