"""A store of a test's own, on a file or on a server, and a clock that moves when it is told to.

A test that asks for a store is run on both. One that asks for ``file`` too, or stands under the mark ``on_file``,
is about the file itself: its journal, its copies, its damage. One under ``long_on_server`` is run on a server by
``make torture`` alone: what it tries there, the tests of two stations try in short.
"""

from __future__ import annotations

from collections.abc import Iterator
from enum import Enum
from pathlib import Path

import pytest

from tests.torture import LONG
from tests.webapp.databases import Databases, nothing
from tests.webapp.postgresql import Cluster
from tests.webapp.store.store_samples import Clock
from webapp.store import Store, sqlite
from webapp.store.sqlite import Journal


class Keeper(Enum):
    """What keeps the data: a file as this computer's SQLite would, or in either way, or a server."""

    SQLITE = "sqlite"
    ROLLBACK = "rollback"
    WAL = "wal"
    POSTGRESQL = "postgresql"


def pytest_generate_tests(metafunc: pytest.Metafunc) -> None:
    """Every promise of the store on every keeper that gives it."""
    if "keeper" not in metafunc.fixturenames:
        return
    of_a_file = "file" in metafunc.fixturenames or metafunc.definition.get_closest_marker("on_file") is not None
    files = (Keeper.ROLLBACK, Keeper.WAL) if "journal" in metafunc.fixturenames else (Keeper.SQLITE,)
    long = metafunc.definition.get_closest_marker("long_on_server") is not None
    server = () if of_a_file else (pytest.param(Keeper.POSTGRESQL, marks=LONG if long else ()),)
    keepers = (*files, *server)
    if len(keepers) > 1:
        metafunc.parametrize("keeper", keepers, ids=lambda keeper: str(keeper.value), indirect=True)


@pytest.fixture
def keeper(request: pytest.FixtureRequest) -> Keeper:
    """What keeps the data of this test."""
    chosen: Keeper = getattr(request, "param", Keeper.SQLITE)
    return chosen


@pytest.fixture
def clock() -> Clock:
    return Clock()


@pytest.fixture
def file(tmp_path: Path) -> Path:
    return tmp_path / "shop.db"


@pytest.fixture
def store(
    request: pytest.FixtureRequest, keeper: Keeper, tmp_path: Path, databases: Databases, clock: Clock
) -> Iterator[Store]:
    if keeper is not Keeper.POSTGRESQL:
        with databases.opened("empty", nothing, tmp_path / "shop.db", clock) as opened:
            yield opened
        return
    cluster: Cluster = request.getfixturevalue("cluster")
    with cluster.opened("empty", nothing, clock) as opened:
        yield opened


@pytest.fixture
def journal(keeper: Keeper, monkeypatch: pytest.MonkeyPatch) -> Journal:
    """Both ways of keeping a commit, whichever this computer's SQLite would get; a server writes its log ahead."""
    chosen = Journal.ROLLBACK if keeper is Keeper.ROLLBACK else Journal.WAL
    monkeypatch.setattr(sqlite, "journal_for", lambda _version: chosen)
    return chosen
