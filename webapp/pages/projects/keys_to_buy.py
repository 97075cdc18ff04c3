"""Keys, plugs, fastenings and glue that a project needs, with prices where the catalogue has them."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from fastapi import APIRouter, Request
from fastapi.responses import HTMLResponse

from webapp.site import urls
from webapp.site.incoming import RowId
from webapp.site.rendering import render
from webapp.store.projects import ProjectHead
from webapp.usecases.projects import Prices, plan
from webapp.wording.bought import BoughtWords, counting_words, fastening_words, glue_words, key_words, plug_words
from webapp.wording.money import format_money
from webapp.wording.words import notes_text

router = APIRouter(include_in_schema=False)


@dataclass(frozen=True, slots=True)
class BuyRow:
    """One thing to buy. ``each`` and ``price`` are "" where no price is known, ``minor`` then None."""

    words: BoughtWords
    each: str
    price: str
    minor: int | None


@dataclass(frozen=True, slots=True)
class KeysPage:
    """What the project needs, what it comes to (``sum``), and how many rows have no price."""

    head: ProjectHead
    keys: Sequence[BuyRow]
    plugs: Sequence[BuyRow]
    fastenings: Sequence[BuyRow]
    glue: str
    counting: Sequence[str]
    notes: Sequence[str]
    priced: bool
    sum: str
    unpriced: int
    currency: str


@router.get(urls.keys)
def show(request: Request, project_id: RowId) -> HTMLResponse:
    """Keys to buy."""
    project = plan(request.app.state.store, project_id)
    prices, totals = project.bench.prices, project.totals
    keys = [_row(key_words(key), prices.key(key.section, key.length), prices) for key in totals.keys]
    plugs = [_row(plug_words(plug), prices.plug(plug), prices) for plug in totals.plugs]
    known = [row.minor for row in (*keys, *plugs) if row.minor is not None]
    return render(
        request,
        "projects/keys_to_buy.html",
        KeysPage(
            head=project.head,
            keys=keys,
            plugs=plugs,
            fastenings=[_row(fastening_words(each), None, prices) for each in totals.fastenings],
            glue=glue_words(totals),
            counting=counting_words(project.rules),
            notes=notes_text(project.notes, project.head.units) if project.assemblies else (),
            priced=bool(known),
            sum=format_money(sum(known), prices.currency),
            unpriced=len(keys) + len(plugs) - len(known),
            currency=prices.currency,
        ),
        units=project.head.units,
    )


def _row(words: BoughtWords, each: int | None, prices: Prices) -> BuyRow:
    if each is None:
        return BuyRow(words, "", "", None)
    minor = each * words.total
    return BuyRow(words, format_money(each, prices.currency), format_money(minor, prices.currency), minor)
