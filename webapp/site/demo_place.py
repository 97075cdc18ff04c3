"""The demo workshop in a place of its own: under one address, with a store and an application of its own.

What is done there is done to another file than the shop's, whatever is typed or sent, from whichever window: a
page of the demo leads to addresses of the demo, and none of them leads to the shop's data.
"""

from __future__ import annotations

from collections.abc import Callable
from threading import Lock

from fastapi import FastAPI, Request
from starlette.concurrency import run_in_threadpool
from starlette.types import Receive, Scope, Send

from webapp.site import urls
from webapp.site.failures import Words, failure
from webapp.store import Store

NOT_HERE = (urls.backups, urls.devices, urls.pair, "/api")
"""What is the shop's own and not the demo's: with all below it, it does not answer there."""
WORDS = Words(
    "Not in the demo workshop",
    "Backups, devices and the interface for programs are the shop's own. Leave the demo workshop to come to them.",
)


class DemoPlace:
    """The application of the demo, made when somebody first comes in.

    ``store_of`` opens the demo's store, filled where it is new, and ``app_of`` makes its application;
    ``throw_away`` deletes what is kept of it. Raises what ``store_of`` does.
    """

    def __init__(
        self,
        store_of: Callable[[], Store],
        app_of: Callable[[Store], FastAPI],
        throw_away: Callable[[], None],
    ) -> None:
        self._store_of, self._app_of, self._throw_away = store_of, app_of, throw_away
        self._lock = Lock()
        self._made: tuple[Store, FastAPI] | None = None

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Answer within the demo."""
        app = await run_in_threadpool(self._app)
        with urls.within(urls.demo):
            path = scope["path"].removeprefix(urls.demo)
            if any(path == area or path.startswith(f"{area}/") for area in NOT_HERE):
                refusal = failure(Request({**scope, "app": app}), 404, WORDS)
                return await refusal(scope, receive, send)
            return await app(scope, receive, send)

    def _app(self) -> FastAPI:
        with self._lock:
            if self._made is None:
                store = self._store_of()
                app = self._app_of(store)
                app.state.demo = self
                self._made = store, app
            return self._made[1]

    def begin_afresh(self) -> None:
        """Throw away what was done in the demo: whoever comes next finds it as it was at first."""
        with self._lock:
            self._close()
            self._throw_away()

    def close(self) -> None:
        """Close its store, where it was opened; what was done in it is kept."""
        with self._lock:
            self._close()

    def _close(self) -> None:
        if self._made is not None:
            store, app = self._made
            app.state.jobs.stop()
            store.close()
            self._made = None
