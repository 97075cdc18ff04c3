"""Pages and previews kept as bytes for as long as the project and the shop stand as they are.

One cheap look at two version numbers decides. A page is the same for every reader of an edition; a
preview is the same for the same form, which is sent again when a field is left, or on the way back to
an earlier size.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Hashable, Mapping
from typing import Protocol
from weakref import WeakKeyDictionary

from fastapi import Request
from fastapi.responses import HTMLResponse

from webapp.form.carried import new_token
from webapp.site.look import look_of
from webapp.store import Store
from webapp.usecases.kept import Kept
from webapp.usecases.projects import Bench, Edition, PlannedProject, edition, plan_soon

MOST_BYTES = 64_000_000
PREVIEW_BYTES = 8_000_000
_PAGES: WeakKeyDictionary[Store, Kept[bytes]] = WeakKeyDictionary()
_PREVIEWS: WeakKeyDictionary[Store, Kept[bytes]] = WeakKeyDictionary()
_VARY = {"Vary": "HX-Request"}
_WHOLE = "whole"


class Part(Protocol):
    """A part of a project that a page is asked for; false where it is asked for none."""

    def __bool__(self) -> bool: ...

    def __hash__(self) -> int: ...

    def whole(self, count: int) -> bool:
        """Whether the page shows a project of so many assemblies whole."""
        ...


def kept_page(
    request: Request,
    project_id: int,
    show: Callable[[PlannedProject], HTMLResponse],
    also: Hashable = None,
    asked: Part | None = None,
) -> HTMLResponse:
    """The page at this address for the project's present edition, made by ``show`` where none is kept.

    ``also`` is the edition of what else the page shows, taken before it is shown: it must never come back.
    ``asked`` is the part of a large project that the page is asked for; a small one is shown whole, whatever is
    asked.
    """
    store: Store = request.app.state.store
    pages = _PAGES.setdefault(store, Kept(MOST_BYTES, len))
    told = f"{look_of(request).text} {store.trouble or ''}"  # every page tells it
    now, part = edition(store, project_id), asked or None

    def key(edition: Edition, of: Hashable) -> Hashable:
        return request.url.path, of, edition, also, told

    body = pages.get(key(now, part)) or pages.get(key(now, _WHOLE))
    if body is None:
        project = plan_soon(store, project_id)
        made = show(project)
        body = bytes(made.body)
        whole = asked is None or asked.whole(len(project.assemblies))
        # what was planned may be newer than the edition asked for
        pages.put(key(project.bench.edition, _WHOLE if whole else part), body)
    return HTMLResponse(_with_new_tokens(body), headers=_VARY)


_TOKEN = re.compile(rb'(name="token" value=")[0-9a-f]{32}"')


def _with_new_tokens(page: bytes) -> bytes:
    """The page with a token of its own for every form, each time it is shown: two windows are two forms."""
    return _TOKEN.sub(lambda found: found[1] + new_token().encode() + b'"', page)


def kept_preview(
    request: Request, bench: Bench, kind: str, texts: Mapping[str, str], show: Callable[[], HTMLResponse]
) -> HTMLResponse:
    """The preview of a form with these texts, made by ``show`` where none is kept."""
    previews = _PREVIEWS.setdefault(request.app.state.store, Kept(PREVIEW_BYTES, len))
    key = (bench.edition, kind, frozenset(texts.items()))
    body = previews.get(key)
    if body is None:
        body = bytes(show().body)
        previews.put(key, body)
    return HTMLResponse(body, headers=_VARY)
