"""The whole application over a store of its own, as a browser on this computer sees it."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path

import pytest

from tests.client import TestClient
from webapp.app import create_app
from webapp.store import Store
from webapp.usecases import demo
from webapp.usecases.demo import demo_shop, load_demo

PORT = 8123
OURS = f"http://localhost:{PORT}"


@pytest.fixture
def store(tmp_path: Path) -> Iterator[Store]:
    """An empty shop."""
    opened = Store.open(tmp_path / "shop.db")
    yield opened
    opened.close()


@pytest.fixture
def demo_store(store: Store, monkeypatch: pytest.MonkeyPatch) -> Store:
    """The same store, with the demo's catalogue and projects in it; its stockroom is empty."""
    bare = replace(demo_shop(), suppliers=(), offers=(), minimum_stock={}, stock={})
    with monkeypatch.context() as patched, store.writing() as session:
        patched.setattr(demo, "demo_shop", lambda: bare)
        load_demo(session)
    return store


@pytest.fixture
def stocked_demo(store: Store) -> Store:
    """The same store, with all of the demo in it: suppliers, offers and what is on the shelves too."""
    with store.writing() as session:
        load_demo(session)
    return store


@pytest.fixture
def client(store: Store) -> Iterator[TestClient]:
    """A browser at ``store``; it sends our own Origin and does not follow redirects."""
    app = create_app(store, port=PORT)
    with TestClient(app, base_url=OURS, headers={"Origin": OURS}, follow_redirects=False) as client:
        yield client
