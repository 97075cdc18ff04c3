"""Pages that can wait: loaded when one of them is asked for, so that the first page is there sooner.

Importing every page with its forms, drawings and the planner takes as long as importing the web libraries.
The list of projects needs none of that.
"""

from __future__ import annotations

from collections.abc import Sequence
from importlib import import_module
from threading import Lock

from fastapi import FastAPI
from starlette.concurrency import run_in_threadpool
from starlette.types import Receive, Scope, Send


class LaterPages:
    """Stands where no route has matched; the first time it loads the rest and asks again."""

    def __init__(self, app: FastAPI, modules: Sequence[str]) -> None:
        self._app = app
        self._modules = modules
        self._nothing_here = app.router.default
        self._lock = Lock()
        self._loaded = False
        app.router.default = self

    def load(self) -> None:
        """Import the modules and add their routes; once, whoever asks."""
        with self._lock:
            if not self._loaded:
                for name in self._modules:
                    self._app.include_router(import_module(name).router)
                self._loaded = True

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Answer a request that no loaded route has taken."""
        if self._loaded:
            await self._nothing_here(scope, receive, send)
        else:
            await run_in_threadpool(self.load)
            await self._app.router(scope, receive, send)
