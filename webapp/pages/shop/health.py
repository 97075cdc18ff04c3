"""The health of the shop's data: whether it is sound, what was seen against it, and what to do."""

from __future__ import annotations

from dataclasses import dataclass

from fastapi import APIRouter, Request
from fastapi.responses import HTMLResponse

from webapp.site import urls
from webapp.site.rendering import render
from webapp.store import Store
from webapp.usecases.health import health_of
from webapp.wording.health import health_rows

router = APIRouter(include_in_schema=False)


@dataclass(frozen=True, slots=True)
class HealthPage:
    """What is told of the data, and whether it has just been looked over."""

    rows: tuple[tuple[str, str], ...]
    looked: bool
    on_file: bool


@router.get(urls.health)
def show(request: Request, check: str = "") -> HTMLResponse:
    """The state of the data; ``check`` looks it over again first."""
    store: Store = request.app.state.store
    health = health_of(store, now=bool(check))
    return render(
        request,
        "shop/health.html",
        HealthPage(
            health_rows(health),
            looked=bool(check) and store.trouble is None,
            on_file=bool(health.where),
        ),
    )
