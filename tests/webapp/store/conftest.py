"""A store on a file of its own, and a clock that moves when it is told to."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest

from tests.webapp.databases import Databases, nothing
from tests.webapp.store.store_samples import Clock
from webapp.store import Store, sqlite
from webapp.store.sqlite import Journal


@pytest.fixture
def clock() -> Clock:
    return Clock()


@pytest.fixture
def file(tmp_path: Path) -> Path:
    return tmp_path / "shop.db"


@pytest.fixture
def store(file: Path, databases: Databases, clock: Clock) -> Iterator[Store]:
    with databases.opened("empty", nothing, file, clock) as opened:
        yield opened


@pytest.fixture(params=list(Journal), ids=lambda journal: journal.name.lower())
def journal(request: pytest.FixtureRequest, monkeypatch: pytest.MonkeyPatch) -> Journal:
    """Both ways of keeping a commit, whichever this computer's SQLite would get."""
    chosen: Journal = request.param
    monkeypatch.setattr(sqlite, "journal_for", lambda _version: chosen)
    return chosen
