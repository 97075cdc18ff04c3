"""Pages that wait to be loaded answer as if they had always been there."""

from __future__ import annotations

import subprocess
import sys
from collections.abc import Iterator
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path

import pytest

from tests.client import TestClient
from tests.webapp.databases import Databases, nothing
from webapp.app import create_app

PORT = 8126


@pytest.fixture
def client(databases: Databases, tmp_path: Path) -> Iterator[TestClient]:
    with (
        databases.opened("empty", nothing, tmp_path / "shop.db") as store,
        TestClient(create_app(store, port=PORT), base_url=f"http://localhost:{PORT}") as opened,
    ):
        yield opened


def test_the_first_page_needs_no_planner() -> None:
    """A process that serves the list of projects has loaded neither planner nor forms nor drawings."""
    program = (
        "import sys, webapp.terminal.serve;"
        "print(*(name for name in sys.modules if name.startswith(('domain.planning', 'webapp.drawings'))))"
    )
    run = subprocess.run([sys.executable, "-c", program], capture_output=True, text=True, check=True)
    assert run.stdout.split() == []


def test_a_later_page_answers_the_first_time_it_is_asked_for(client: TestClient) -> None:
    assert client.get("/rules").status_code == 200
    assert client.get("/catalogue").status_code == 200


def test_many_may_ask_at_once(client: TestClient) -> None:
    with ThreadPoolExecutor(8) as pool:
        answers = list(pool.map(lambda turn: client.get(f"/cautions?turn={turn}").status_code, range(8)))
    assert answers == [200] * 8
    # loaded once: a second helping of the same routes would double their number
    before = len(client.app.router.routes)  # type: ignore[attr-defined]
    client.app.state.later.load()  # type: ignore[attr-defined]
    assert len(client.app.router.routes) == before  # type: ignore[attr-defined]


def test_what_is_nowhere_is_not_found_before_and_after(client: TestClient) -> None:
    assert client.get("/nowhere").status_code == 404
    assert client.get("/nowhere").status_code == 404
    assert client.post("/projects", headers={"Origin": f"http://localhost:{PORT}"}).status_code == 405
