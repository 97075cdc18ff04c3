"""The stockroom: every item with what is there, reserved, free, on order and short; on paper, as a table."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from itertools import groupby

from fastapi import APIRouter, Request
from fastapi.responses import HTMLResponse, Response

from domain.lengths import Units
from domain.ordering.items import Item
from webapp.form.carried import new_token
from webapp.pages.printing import pdf_answer
from webapp.pages.projects.exports import table_answer
from webapp.papers.kinds import Paper
from webapp.papers.render import render_stock
from webapp.papers.stockroom import StockOnPaper
from webapp.site import urls
from webapp.site.incoming import OnceForm
from webapp.site.rendering import go_to, render
from webapp.store import Store
from webapp.store.balances import Balance
from webapp.store.stages import StagedProject
from webapp.tables.stock_table import stock_table
from webapp.usecases.headings import heading_of_shop
from webapp.usecases.stockroom import LateLine, StockNow, add_from_catalogue, stock_now
from webapp.wording.amounts import amount
from webapp.wording.stockroom import (
    ABOUT,
    HEADINGS,
    KINDS,
    StockCounts,
    StockWords,
    project_name,
    shelf,
    stock_words,
)

router = APIRouter(include_in_schema=False)

SHORT = "short"
SHOWN = {"": "Everything", **{kind.value: name for kind, name in KINDS.items()}, SHORT: "Short"}
"""What may be shown of it, by the name in the address."""


@dataclass(frozen=True, slots=True)
class ClaimRow:
    """A project that has reserved some; ``project_id`` is None where it is gone."""

    project_id: int | None
    name: str
    reserved: int


@dataclass(frozen=True, slots=True)
class StockRow:
    """An item of the list, in words; ``claims`` are whom ``words.by`` is for."""

    item_id: int
    words: StockWords
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
    """The shelves, each with its rows; ``show`` says which items they are.

    ``missing`` are sizes of the catalogue that are no items yet.
    """

    now: StockNow
    show: str
    shelves: Sequence[tuple[str, Sequence[StockRow]]]
    filters: Sequence[Filter]
    any_item: bool
    headings: Sequence[str]
    about: str
    late: Sequence[tuple[LateLine, str]]
    missing: Sequence[Item]
    token: str


@router.get(urls.stockroom)
def show(request: Request, show: str = "") -> HTMLResponse:
    """Every item, or those of one sort."""
    now = stock_now(request.app.state.store)
    return render(
        request,
        "stock/stockroom.html",
        StockroomPage(
            now=now,
            show=show,
            shelves=_shelves(now, show),
            filters=_filters(now.balances, show),
            any_item=bool(now.balances),
            headings=HEADINGS,
            about=f"{ABOUT} On {now.day.isoformat()}.",
            late=[(late, _late(late, now.units)) for late in now.late],
            missing=now.missing,
            token=new_token(),
        ),
        units=now.units,
    )


@router.get(urls.stockroom_paper)
def show_paper(request: Request, show: str = "", paper: str = "") -> Response:
    """The same items as PDF."""
    store: Store = request.app.state.store
    now = stock_now(store)
    words = StockOnPaper(
        shown=SHOWN.get(show, show),
        late=tuple(
            f"{late.line.item.name} from {late.supplier}, order {late.order}: {_late(late, now.units)}."
            for late in now.late
        ),
        shelves=tuple((name, tuple(row.words for row in rows)) for name, rows in _shelves(now, show)),
    )

    def printed(size: Paper) -> bytes:
        return render_stock(words, heading_of_shop(store, now.units), size)

    return pdf_answer(request, "stockroom", now.units, paper, printed)


@router.get(urls.stockroom_table)
def show_table(request: Request, ending: str, show: str = "") -> Response:
    """The same items as a spreadsheet or as CSV."""
    now = stock_now(request.app.state.store)
    chosen = [balance for balance in now.balances if _shown(balance, show)]
    return table_answer("stockroom", ending, lambda: stock_table(chosen, now.projects, now.units))


@router.post(urls.stock_from_catalogue)
def from_catalogue(request: Request, form: OnceForm) -> Response:
    """Make an item of every size in the catalogue."""
    add_from_catalogue(request.app.state.store, form.sending)
    return go_to(request, urls.stockroom())


def _shelves(now: StockNow, show: str) -> list[tuple[str, tuple[StockRow, ...]]]:
    chosen = [balance for balance in now.balances if _shown(balance, show)]
    return [
        (name, tuple(_row(balance, now) for balance in group))
        for name, group in groupby(chosen, key=lambda balance: shelf(balance.item))
    ]


def _row(balance: Balance, now: StockNow) -> StockRow:
    claims = claim_rows(balance, now.projects)
    counts = StockCounts(
        short=balance.short,
        on_hand=balance.on_hand,
        reserved=balance.reserved,
        free=balance.free,
        on_order=balance.on_order,
        minimum=balance.minimum_stock,
    )
    by = [(claim.reserved, claim.name) for claim in claims]
    return StockRow(balance.item_id, stock_words(balance.item, counts, by, now.units), claims)


def _late(late: LateLine, units: Units) -> str:
    """What should have come: "200 pcs due 2026-03-09"."""
    line = late.line
    return f"{amount(line.to_come * line.size, line.item.unit, units)} due {line.due.isoformat()}"


def claim_rows(balance: Balance, projects: Mapping[int, StagedProject]) -> tuple[ClaimRow, ...]:
    """Who has reserved some of the item."""
    return tuple(
        ClaimRow(number if number in projects else None, project_name(number, projects), claim.reserved)
        for number, claim in sorted(balance.claims.items())
        if claim.reserved
    )


def _shown(balance: Balance, show: str) -> bool:
    return balance.short > 0 if show == SHORT else show in {"", balance.item.kind}


def _filters(balances: Sequence[Balance], show: str) -> list[Filter]:
    counts = {value: sum(_shown(balance, value) for balance in balances) for value in SHOWN}
    return [
        Filter(name, urls.stockroom(show=value), counts[value], value == show)
        for value, name in SHOWN.items()
        if counts[value] or value in {"", show}
    ]
