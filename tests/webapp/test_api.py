"""The open JSON interface: good projects in, takeoffs out; anything else is refused in words."""

from __future__ import annotations

import json
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
import schemathesis
from hypothesis import HealthCheck, given, settings
from schemathesis import GenerationMode

from domain.ordering.order import order_document
from domain.ordering.packs import plan_order
from domain.ordering.request import read_order_request
from domain.takeoff.document import takeoff_document
from tests.client import TestClient
from webapp.app import create_app
from webapp.store import Store
from webapp.store.projects import list_projects
from webapp.usecases.files import plan_document

DEMO = Path(__file__).parents[2] / "shared" / "demo"
PORT = 8124
FROM_US = {"Origin": f"http://localhost:{PORT}"}


@pytest.fixture
def store(tmp_path: Path) -> Iterator[Store]:
    opened = Store.open(tmp_path / "shop.db")
    yield opened
    opened.close()


@pytest.fixture
def client(store: Store) -> Iterator[TestClient]:
    app = create_app(store, port=PORT, debug_api=True)
    with TestClient(app, base_url=f"http://localhost:{PORT}", headers=FROM_US) as opened:
        yield opened


def document(**changes: Any) -> dict[str, Any]:
    shop = json.loads((DEMO / "shop.json").read_text(encoding="utf-8"))
    project: dict[str, Any] = json.loads((DEMO / "frame-set.json").read_text(encoding="utf-8"))
    return project | {"sections": shop["sections"]} | changes


def test_the_same_takeoff_as_everywhere(client: TestClient) -> None:
    answer = client.post("/api/takeoff", json=document())
    assert answer.status_code == 200
    assert answer.json() == takeoff_document(plan_document(document())[1])


def test_without_sections_of_its_own_a_project_is_planned_with_the_shops(client: TestClient) -> None:
    project = document()
    del project["sections"]
    answer = client.post("/api/takeoff", json=project).json()
    joint = answer["assemblies"][0]["joints"][0]
    assert joint["section"] is None
    assert joint["notes"] == ["The catalogue has no key sections yet; add the keys you own."]


def test_every_problem_is_named(client: TestClient) -> None:
    bad = document(colour="red", assemblies=[{"kind": "box"}])
    answer = client.post("/api/takeoff", json=bad)
    assert answer.status_code == 422
    named = {problem["path"]: problem["allowed"] for problem in answer.json()["problems"]}
    assert named["colour"] == "is not a field here; check the spelling"
    assert named["assemblies[0].wall"] == "is needed"


@pytest.mark.parametrize("body", [b"", b"{", b"\xff", b"[]", b'"x"', b"[" * 100_000, b'{"name": 1e999}'])
def test_what_is_no_project_is_refused(client: TestClient, body: bytes) -> None:
    answer = client.post("/api/takeoff", content=body)
    assert answer.status_code == 422
    assert answer.json()["problems"]


ORDER = {
    "format": "dovetally-order-request",
    "version": 1,
    "currency": "EUR",
    "needs": [{"item": "key 14 × 16", "count": 137}],
    "on_hand": {"key 14 × 16": 20},
    "minimum_stock": {"key 14 × 16": 50},
    "packs": [{"item": "key 14 × 16", "supplier": "North", "size": 100, "price": 1290}],
    "suppliers": [{"name": "North", "shipping": 690, "minimum_order": 2500}],
}


def test_the_cheapest_order(client: TestClient) -> None:
    answer = client.post("/api/order", json=ORDER)
    assert answer.status_code == 200
    # by hand: 137 + 50 − 20 = 167 short; two packs at 12.90, and 6.90
    assert (answer.json()["total"], answer.json()["items"][0]["left_over"]) == (3270, 33)
    assert answer.json() == order_document(plan_order(read_order_request(ORDER)))


def test_a_bad_order_request_is_refused_with_its_place(client: TestClient) -> None:
    answer = client.post("/api/order", json=ORDER | {"needs": [{"item": "x", "count": -1}]})
    assert answer.status_code == 422
    assert [problem["path"] for problem in answer.json()["problems"]] == ["needs[0].count"]


def test_another_site_cannot_ask(client: TestClient) -> None:
    answer = client.post("/api/takeoff", json=document(), headers={"Origin": "http://elsewhere.example"})
    assert answer.status_code == 403


def test_nothing_is_stored(client: TestClient, store: Store) -> None:
    client.post("/api/takeoff", json=document())
    with store.reading() as session:
        assert list_projects(session) == ()


@pytest.mark.parametrize("mode", [GenerationMode.POSITIVE, GenerationMode.NEGATIVE])
def test_no_generated_request_brings_the_server_down(client: TestClient, mode: GenerationMode) -> None:
    """Schemathesis makes requests from the interface's own description, rightly and wrongly formed."""
    schema = schemathesis.openapi.from_dict(client.get("/openapi.json").json())
    schema.config.update(base_url=f"http://localhost:{PORT}")
    seen: set[int] = set()
    for offered in schema.get_all_operations():
        operation = offered.ok()

        @settings(max_examples=60, deadline=None, database=None, suppress_health_check=list(HealthCheck))
        @given(operation.as_strategy(generation_mode=mode))
        def ask(case: schemathesis.Case) -> None:
            sent = case.as_transport_kwargs()
            answer = client.request(
                case.method,
                case.formatted_path,
                content=json.dumps(sent["json"]) if "json" in sent else sent.get("data"),
                headers={"content-type": "application/json"} | FROM_US,
            )
            seen.add(answer.status_code)
            assert answer.status_code < 500, answer.text
            assert "Traceback" not in answer.text

        ask()
    assert seen <= {200, 405, 413, 422}
    assert seen & {200, 422}
