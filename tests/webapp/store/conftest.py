"""A store on a file of its own, and a clock that moves when it is told to."""

from __future__ import annotations

import shutil
from collections.abc import Iterator
from pathlib import Path

import pytest

from tests.webapp.store.store_samples import Clock
from webapp.store import Store, sqlite
from webapp.store.sqlite import Journal


@pytest.fixture
def clock() -> Clock:
    return Clock()


@pytest.fixture
def file(tmp_path: Path) -> Path:
    return tmp_path / "shop.db"


@pytest.fixture(scope="session")
def fresh(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A database as the migrations make it, made once."""
    made = tmp_path_factory.mktemp("fresh") / "shop.db"
    Store.open(made).close()
    return made


@pytest.fixture
def store(file: Path, fresh: Path, clock: Clock) -> Iterator[Store]:
    shutil.copy(fresh, file)
    opened = Store.open(file, clock=clock)
    yield opened
    opened.close()


@pytest.fixture(params=list(Journal), ids=lambda journal: journal.name.lower())
def journal(request: pytest.FixtureRequest, monkeypatch: pytest.MonkeyPatch) -> Journal:
    """Both ways of keeping a commit, whichever this computer's SQLite would get."""
    chosen: Journal = request.param
    monkeypatch.setattr(sqlite, "journal_for", lambda _version: chosen)
    return chosen
