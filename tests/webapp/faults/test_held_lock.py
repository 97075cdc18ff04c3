"""Another program holds the data: who needs it waits or is told, and who does not is answered meanwhile."""

from __future__ import annotations

import sqlite3
import time
from collections import Counter
from collections.abc import Iterator
from concurrent.futures import ThreadPoolExecutor
from contextlib import closing
from pathlib import Path

import pytest

from tests.client import TestClient, browsing
from tests.webapp.databases import Databases, bare_demo
from webapp.site import urls
from webapp.store import Store, sqlite, turns
from webapp.store.errors import Busy
from webapp.store.turns import WaitingRoom

AT_ONCE = 2 * sqlite.THREADS


@pytest.fixture
def file(tmp_path: Path) -> Path:
    return tmp_path / "shop.db"


@pytest.fixture
def store(file: Path, databases: Databases) -> Iterator[Store]:
    with databases.opened("bare demo", bare_demo, file) as opened:
        yield opened


@pytest.fixture
def client(store: Store) -> Iterator[TestClient]:
    with browsing(store) as opened:
        yield opened


def test_what_needs_no_data_is_answered_while_all_others_wait(client: TestClient, file: Path) -> None:
    assert client.get(urls.projects()).status_code == 200
    with (
        ThreadPoolExecutor(AT_ONCE) as pool,
        closing(sqlite3.connect(file, isolation_level=None, check_same_thread=False)) as other,
    ):
        other.execute("BEGIN EXCLUSIVE")
        waiting = [pool.submit(client.get, urls.projects()) for _ in range(AT_ONCE)]
        while sum(each.done() for each in waiting) < AT_ONCE - turns.AT_THE_LOCK:
            time.sleep(0.01)  # the rest are more than have room, and are told so long before the lock is given up
        told = client.get(urls.static("mark.svg"))
        still = [each for each in waiting if not each.done()]
        other.execute("ROLLBACK")
        answers = Counter(each.result().status_code for each in waiting)
    assert told.status_code == 200
    assert len(still) == turns.AT_THE_LOCK
    assert set(answers) == {200, 503}
    assert answers[200] >= len(still)
    assert client.get(urls.projects()).status_code == 200


def test_whoever_finds_the_room_full_is_told_so_and_it_empties_again() -> None:
    room = WaitingRoom(2)
    with room.place(), room.place(), pytest.raises(Busy), room.place():
        raise AssertionError
    with room.place(), room.place():
        pass
