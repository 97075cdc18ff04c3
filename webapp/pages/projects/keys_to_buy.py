"""Keys, plugs and glue that a project needs, with prices where the catalogue has them."""

from __future__ import annotations

from dataclasses import dataclass

from fastapi import APIRouter, Request
from fastapi.responses import HTMLResponse

from webapp.site.incoming import RowId
from webapp.site.kept_pages import kept_page
from webapp.site.rendering import render
from webapp.usecases.projects import PlannedProject, Prices
from webapp.wording.money import format_money
from webapp.wording.words import notes_text

router = APIRouter(include_in_schema=False)


@dataclass(frozen=True, slots=True)
class BuyRow:
    """One thing to buy. ``each`` and ``price`` are "" where no price is known; ``tests`` None for plugs."""

    item: str
    used: int
    tests: int | None
    spare: int
    total: int
    each: str
    price: str
    minor: int | None


@router.get("/projects/{project_id}/keys")
def show(request: Request, project_id: RowId) -> HTMLResponse:
    """Keys to buy."""
    return kept_page(request, project_id, lambda project: _show(request, project))


def _show(request: Request, project: PlannedProject) -> HTMLResponse:
    prices, totals = project.bench.prices, project.totals
    keys = [
        _row(key.item, key.used, key.tests, key.spare, key.total, prices.key(key.section, key.length), prices)
        for key in totals.keys
    ]
    plugs = [
        _row(
            f"{plug.material}, for section {plug.section}, {plug.height:g} mm high",
            plug.used,
            None,
            plug.spare,
            plug.total,
            prices.plug(plug),
            prices,
        )
        for plug in totals.plugs
    ]
    known = [row.minor for row in (*keys, *plugs) if row.minor is not None]
    return render(
        request,
        "keys/page.html",
        units=project.head.units,
        head=project.head,
        keys=keys,
        plugs=plugs,
        glue=totals.glue_to_buy,
        rules=project.rules,
        notes=notes_text(project.notes, project.head.units) if project.assemblies else (),
        priced=bool(known),
        sum=format_money(sum(known), prices.currency),
        unpriced=len(keys) + len(plugs) - len(known),
        currency=prices.currency,
    )


def _row(
    item: str, used: int, tests: int | None, spare: int, total: int, each: int | None, prices: Prices
) -> BuyRow:
    if each is None:
        return BuyRow(item, used, tests, spare, total, "", "", None)
    minor = each * total
    each_text, price_text = (format_money(amount, prices.currency) for amount in (each, minor))
    return BuyRow(item, used, tests, spare, total, each_text, price_text, minor)
