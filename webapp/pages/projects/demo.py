"""The demo workshop, one click away."""

from __future__ import annotations

from fastapi import APIRouter, Request
from fastapi.responses import Response

from webapp.site import urls
from webapp.site.incoming import OnceForm
from webapp.site.rendering import go_to
from webapp.usecases.demo import book_demo

router = APIRouter(include_in_schema=False)


@router.post(urls.demo)
def load(request: Request, form: OnceForm) -> Response:
    """Add the demo, once for each form, and go on to the projects."""
    book_demo(request.app.state.store, form.sending)
    return go_to(request, urls.projects())
