"""Whole pages kept as bytes for as long as the project and the shop stand as they are.

One cheap look at two version numbers decides. Pages kept hold no one's typed text: only what every
reader of that edition sees.
"""

from __future__ import annotations

from collections.abc import Callable
from weakref import WeakKeyDictionary

from fastapi import Request
from fastapi.responses import HTMLResponse

from webapp.store import Store
from webapp.usecases.kept import Kept
from webapp.usecases.projects import PlannedProject, edition, plan

MOST_BYTES = 64_000_000
_PAGES: WeakKeyDictionary[Store, Kept[bytes]] = WeakKeyDictionary()


def kept_page(request: Request, project_id: int, show: Callable[[PlannedProject], HTMLResponse]) -> HTMLResponse:
    """The page at this address for the project's present edition, made by ``show`` where none is kept."""
    store: Store = request.app.state.store
    pages = _PAGES.setdefault(store, Kept(MOST_BYTES, len))
    key = (request.url.path, edition(store, project_id))
    body = pages.get(key)
    if body is None:
        project = plan(store, project_id)
        made = show(project)
        body = bytes(made.body)
        # what was planned may be newer than the edition asked for; a mismatch is shown, not kept
        if project.head.version == key[1][1]:
            pages.put(key, body)
    return HTMLResponse(body, headers={"Vary": "HX-Request"})
