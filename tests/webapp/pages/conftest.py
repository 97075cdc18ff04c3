"""The whole application over a store of its own, as a browser on this computer sees it."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest

from tests.client import TestClient, browsing
from tests.webapp.databases import Databases, bare_demo, nothing
from tests.webapp.pages.order_samples import Day
from webapp.store import Store
from webapp.usecases.demo import load_demo_in


@pytest.fixture
def file(tmp_path: Path) -> Path:
    return tmp_path / "shop.db"


@pytest.fixture
def store(file: Path, databases: Databases) -> Iterator[Store]:
    """An empty shop."""
    with databases.opened("empty", nothing, file) as opened:
        yield opened


@pytest.fixture
def demo_store(store: Store, file: Path, databases: Databases) -> Store:
    """The same store, with the demo's catalogue and projects in it; its stockroom is empty."""
    databases.copy("bare demo", bare_demo, file)
    return store


@pytest.fixture
def stocked_demo(store: Store, file: Path, databases: Databases) -> Store:
    """The same store, with all of the demo in it: suppliers, offers and what is on the shelves too."""
    databases.copy("demo", load_demo_in, file)
    return store


@pytest.fixture
def day() -> Day:
    return Day()


@pytest.fixture
def demo_by_day(file: Path, databases: Databases, day: Day) -> Iterator[Store]:
    """All of the demo in a store whose clock is ``day``."""
    with databases.opened("demo by day", load_demo_in, file, day) as opened:
        yield opened


@pytest.fixture
def client(store: Store) -> Iterator[TestClient]:
    """A browser at ``store``; it sends our own Origin and does not follow redirects."""
    with browsing(store) as client:
        yield client
