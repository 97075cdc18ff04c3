"""The first page is the list of projects."""

from __future__ import annotations

from fastapi import APIRouter
from fastapi.responses import RedirectResponse

from webapp import urls

router = APIRouter(include_in_schema=False)


@router.get("/")
def home() -> RedirectResponse:
    """On to the projects."""
    return RedirectResponse(urls.projects(), status_code=303)
