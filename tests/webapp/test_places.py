"""Work for programs: in so many places, apart where it may take long, with an end, and refused in words."""

from __future__ import annotations

import os
import time
from collections.abc import Iterator
from pathlib import Path
from threading import Event, Thread
from typing import Any

import pytest

from domain.problems import BadInput, Problem
from tests.bench.workload import project
from tests.client import TestClient, browsing
from tests.factories import a_frame
from tests.webapp.databases import Databases, nothing
from webapp.usecases import answers, places
from webapp.usecases.places import NoPlace, Places, TooMuchWork
from webapp.wording.problems import InputProblem


def whose(number: int) -> tuple[int, int]:
    return number, os.getpid()


def refuse() -> None:
    raise BadInput([Problem.of(("projects",), 7, InputProblem.PROJECTS_AT_ONCE, most_n=3)])


def sleep() -> None:
    time.sleep(600)


def test_what_is_soon_done_is_done_here_and_the_rest_apart() -> None:
    room = Places()
    assert room.do(whose, 4, long=False) == (4, os.getpid())
    number, process = room.do(whose, 5, long=True)
    assert number == 5
    assert process != os.getpid()


@pytest.mark.parametrize("long", [False, True])
def test_a_refusal_is_the_same_wherever_it_is_found(long: bool) -> None:
    with pytest.raises(BadInput) as refused:
        Places().do(refuse, long=long)
    (problem,) = refused.value.problems
    assert problem.text() == "send 1 to 3 projects"
    assert problem.path == ("projects",)


def test_work_has_an_end_and_gives_its_place_back() -> None:
    room = Places(apart=1, most_seconds=0.2)
    for _ in range(2):
        with pytest.raises(TooMuchWork):
            room.do(sleep, long=True)


def test_where_all_places_are_taken_nobody_waits_long(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(places, "WAIT", 0.05)
    room, begun, go_on = Places(soon=1), Event(), Event()

    def work() -> None:
        begun.set()
        go_on.wait(30)

    busy = Thread(target=lambda: room.do(work, long=False))
    busy.start()
    begun.wait(30)
    with pytest.raises(NoPlace):
        room.do(whose, 1, long=False)
    go_on.set()
    busy.join()
    assert room.do(whose, 1, long=False)[0] == 1


@pytest.fixture
def client(tmp_path: Path, databases: Databases) -> Iterator[TestClient]:
    with databases.opened("empty", nothing, tmp_path / "shop.db") as store, browsing(store) as opened:
        yield opened


@pytest.fixture
def small(monkeypatch: pytest.MonkeyPatch) -> dict[str, Any]:
    """A project of two assemblies, which counts as a large one."""
    for name in ("MOST_CHECKED", "MOST_TAKEN_OFF", "MOST_SET_UP", "MOST_PRINTED"):
        monkeypatch.setattr(answers, name, 1)
    return project(2)


def test_a_large_document_is_answered_as_a_small_one_is(
    client: TestClient, small: dict[str, Any], monkeypatch: pytest.MonkeyPatch
) -> None:
    apart = client.post("/api/takeoff", json=small)
    monkeypatch.setattr(answers, "MOST_TAKEN_OFF", 2)
    assert client.post("/api/takeoff", json=small).json() == apart.json()
    assert client.post("/api/print?kind=keys", json=small).content.startswith(b"%PDF")
    small["assemblies"][1]["width"] = -3
    refused = client.post("/api/setups", json=small)
    assert refused.status_code == 422
    assert [each["path"] for each in refused.json()["problems"]] == ["assemblies[1].width"]


def test_what_cannot_be_done_is_said_with_what_would_do(client: TestClient, small: dict[str, Any]) -> None:
    was = client.app.state.places  # type: ignore[attr-defined]
    try:
        client.app.state.places = Places(most_seconds=0.01)  # type: ignore[attr-defined]
        long = client.post("/api/takeoff", json=small)
        assert long.status_code == 413
        assert "Ask for less at once: fewer assemblies" in long.json()["error"]
        client.app.state.places = Places(soon=4, apart=1)  # type: ignore[attr-defined]
        with client.app.state.places._apart:  # type: ignore[attr-defined]
            full = client.post("/api/takeoff", json=small)
        assert full.status_code == 503
        assert full.headers["retry-after"] == "10"
        assert "All places" in full.json()["error"] or "Ask again" in full.json()["error"]
    finally:
        client.app.state.places = was  # type: ignore[attr-defined]


def test_how_much_work_a_document_is_told_by_what_it_says_alone() -> None:
    assert answers.assemblies_of([{"assemblies": [1, 2]}, {"assemblies": [3]}, {}, 7, None]) == 3
    assert answers.packs_of({"packs": [1] * 5}) == 5
    assert answers.packs_of([]) == answers.packs_of({"packs": "many"}) == 0
    many = [{"length": length} for length in range(100)]
    assert answers.cuts_long({"bars": [{"pieces": many}]})
    assert not answers.cuts_long({"bars": [{"pieces": many[:3]}], "sheets": None})
    assert not answers.cuts_long({"format": "dovetally-project", "assemblies": [a_frame]})
