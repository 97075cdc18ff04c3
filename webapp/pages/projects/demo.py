"""The demo workshop begun afresh: the one thing of it that is a page's; the way in and out are links."""

from __future__ import annotations

from fastapi import APIRouter, Request
from fastapi.responses import Response

from webapp.site import urls
from webapp.site.demo_place import DemoPlace
from webapp.site.rendering import go_to
from webapp.store.errors import NotFound

router = APIRouter(include_in_schema=False)


@router.post(urls.demo_afresh)
def begin_afresh(request: Request) -> Response:
    """Throw away what was done in the demo, and begin it as it was. Raises NotFound in the shop itself."""
    demo: DemoPlace | None = getattr(request.app.state, "demo", None)
    if demo is None:
        raise NotFound("demo", 1)
    demo.begin_afresh()
    return go_to(request, urls.projects())
