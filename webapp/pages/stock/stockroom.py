"""The stockroom: every item with what is there, reserved, free, on order and short."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from itertools import groupby

from fastapi import APIRouter, Request
from fastapi.responses import HTMLResponse, Response

from domain.ordering.items import Item
from webapp.form.carried import new_token
from webapp.pages.stock.stock_words import KINDS, project_name, shelf
from webapp.site import urls
from webapp.site.incoming import OnceForm
from webapp.site.rendering import go_to, render
from webapp.store.balances import Balance
from webapp.store.stages import StagedProject
from webapp.usecases.stockroom import StockNow, add_from_catalogue, stock_now

router = APIRouter(include_in_schema=False)

SHORT = "short"


@dataclass(frozen=True, slots=True)
class ClaimRow:
    """A project that has reserved some; ``project_id`` is None where it is gone."""

    project_id: int | None
    name: str
    reserved: int


@dataclass(frozen=True, slots=True)
class StockRow:
    """An item of the list."""

    balance: Balance
    short: int
    claims: tuple[ClaimRow, ...]


@dataclass(frozen=True, slots=True)
class Filter:
    """A choice of what to show, with how many items it has."""

    name: str
    address: str
    count: int
    chosen: bool


@dataclass(frozen=True, slots=True)
class StockroomPage:
    """The shelves, each with its rows; ``missing`` are sizes of the catalogue that are no items yet."""

    now: StockNow
    shelves: Sequence[tuple[str, Sequence[StockRow]]]
    filters: Sequence[Filter]
    any_item: bool
    missing: Sequence[Item]
    token: str


@router.get(urls.stockroom)
def show(request: Request, show: str = "") -> HTMLResponse:
    """Every item, or those of one sort."""
    now = stock_now(request.app.state.store)
    rows = [_row(balance, now.projects) for balance in now.balances]
    chosen = [row for row in rows if _shown(row, show)]
    return render(
        request,
        "stock/stockroom.html",
        StockroomPage(
            now=now,
            shelves=[
                (name, tuple(group)) for name, group in groupby(chosen, key=lambda row: shelf(row.balance.item))
            ],
            filters=_filters(rows, show),
            any_item=bool(rows),
            missing=now.missing,
            token=new_token(),
        ),
        units=now.units,
    )


@router.post(urls.stock_from_catalogue)
def from_catalogue(request: Request, form: OnceForm) -> Response:
    """Make an item of every size in the catalogue."""
    add_from_catalogue(request.app.state.store, form.sending)
    return go_to(request, urls.stockroom())


def _row(balance: Balance, projects: Mapping[int, StagedProject]) -> StockRow:
    return StockRow(balance, balance.short, claim_rows(balance, projects))


def claim_rows(balance: Balance, projects: Mapping[int, StagedProject]) -> tuple[ClaimRow, ...]:
    """Who has reserved some of the item."""
    return tuple(
        ClaimRow(number if number in projects else None, project_name(number, projects), claim.reserved)
        for number, claim in sorted(balance.claims.items())
        if claim.reserved
    )


def _shown(row: StockRow, show: str) -> bool:
    return row.short > 0 if show == SHORT else show in {"", row.balance.item.kind}


def _filters(rows: Iterable[StockRow], show: str) -> list[Filter]:
    rows = tuple(rows)
    words = {"": "Everything", **{kind.value: name for kind, name in KINDS.items()}, SHORT: "Short"}
    counts = {value: sum(_shown(row, value) for row in rows) for value in words}
    return [
        Filter(name, urls.stockroom(show=value), counts[value], value == show)
        for value, name in words.items()
        if counts[value] or value in {"", show}
    ]
