"""The usual cautions of router work, on a page of their own."""

from __future__ import annotations

from dataclasses import dataclass
from types import ModuleType

from fastapi import APIRouter, Request
from fastapi.responses import HTMLResponse

from webapp.site import urls
from webapp.site.rendering import render
from webapp.wording import cautions

router = APIRouter(include_in_schema=False)


@dataclass(frozen=True, slots=True)
class CautionsPage:
    """The cautions' words."""

    cautions: ModuleType


@router.get(urls.cautions)
def show(request: Request) -> HTMLResponse:
    """The cautions."""
    return render(request, "shop/cautions.html", CautionsPage(cautions))
