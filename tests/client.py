"""The test client, for every test that speaks HTTP without a server."""

from __future__ import annotations

import warnings
from collections.abc import Iterator
from contextlib import contextmanager
from typing import TYPE_CHECKING

from starlette.exceptions import StarletteDeprecationWarning

with warnings.catch_warnings():
    # Starlette would rather have httpx's successor; httpx still serves
    warnings.simplefilter("ignore", StarletteDeprecationWarning)
    from fastapi.testclient import TestClient

if TYPE_CHECKING:
    from fastapi import FastAPI

    from webapp.store import Store

__all__ = ["OURS", "PORT", "TestClient", "browsing"]

PORT = 8123
OURS = f"http://localhost:{PORT}"


@contextmanager
def browsing(store: Store) -> Iterator[TestClient]:
    """A browser at the whole application over ``store``; sends our own Origin, follows no redirects.

    One at a time: the application is made once in a run, and is handed the store of each test.
    """
    app = _application(store)
    with TestClient(app, base_url=OURS, headers={"Origin": OURS}, follow_redirects=False) as client:
        yield client
    del app.state.store


_made: list[FastAPI] = []


def _application(store: Store) -> FastAPI:
    """The application over ``store``; to make all its routes takes ten times as long as to show a page."""
    from webapp.app import create_app

    if not _made:
        _made.append(create_app(store, port=PORT))
    _made[0].state.store = store
    return _made[0]
