"""The open JSON interface: good projects in, takeoffs out; anything else is refused in words."""

from __future__ import annotations

import json
from collections.abc import Iterator
from io import BytesIO
from pathlib import Path
from typing import Any

import pytest
import schemathesis
from hypothesis import HealthCheck, given, settings
from pypdf import PdfReader
from schemathesis import GenerationMode
from schemathesis.core.result import Ok

from domain.cutting.document import cutting_document, plan_cutting
from domain.cutting.request import read_cutting_request
from domain.machine.document import set_ups_document
from domain.ordering.items import Item
from domain.ordering.order import order_document
from domain.ordering.packs import plan_order
from domain.ordering.request import read_order_request
from domain.takeoff.document import takeoff_document
from tests.client import TestClient
from tests.terminal import dovetally
from tests.torture import torture
from tests.webapp import test_quote_command as quoting
from tests.webapp.databases import Databases, nothing
from tests.webapp.quote_samples import lend
from tests.webapp.test_cutting_command import PROJECT as CUT_PROJECT
from tests.webapp.test_cutting_command import REQUEST as CUTTING
from tests.workshop import WORKSHOP
from webapp.app import create_app
from webapp.papers.kinds import DocumentKind, QuotePaper
from webapp.store import Store
from webapp.store.projects import list_projects
from webapp.usecases.files import plan_document, set_up_sheet_of
from webapp.wording.money import format_money

PORT = 8124
FROM_US = {"Origin": f"http://localhost:{PORT}"}


@pytest.fixture
def store(tmp_path: Path, databases: Databases) -> Iterator[Store]:
    with databases.opened("empty", nothing, tmp_path / "shop.db") as opened:
        yield opened


@pytest.fixture
def client(store: Store) -> Iterator[TestClient]:
    app = create_app(store, port=PORT)
    with TestClient(app, base_url=f"http://localhost:{PORT}", headers=FROM_US) as opened:
        yield opened


def document(**changes: Any) -> dict[str, Any]:
    shop = json.loads((WORKSHOP / "shop.json").read_text(encoding="utf-8"))
    project: dict[str, Any] = json.loads((WORKSHOP / "frame-set.json").read_text(encoding="utf-8"))
    return project | {"sections": shop["sections"]} | changes


def test_the_same_takeoff_as_everywhere(client: TestClient) -> None:
    answer = client.post("/api/takeoff", json=document())
    assert answer.status_code == 200
    assert answer.json() == takeoff_document(plan_document(document(), advice=True)[1])


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


def test_how_bars_and_sheets_are_cut(client: TestClient) -> None:
    answer = client.post("/api/cutting", json=CUTTING)
    assert answer.status_code == 200
    assert answer.json() == cutting_document(plan_cutting(read_cutting_request(CUTTING)))


def test_a_project_is_cut_from_its_own_stock(client: TestClient) -> None:
    answer = client.post("/api/cutting", json=CUT_PROJECT)
    assert answer.status_code == 200
    told = json.loads(dovetally("cutting", "-", "--json", stdin=json.dumps(CUT_PROJECT)).stdout)
    assert answer.json() == told
    described = client.get("/api/openapi.json").json()
    assert "CuttingRequest" in described["components"]["schemas"]


def an_impossible_joint(mark: str = "B") -> dict[str, Any]:
    return {"kind": "single_joint", "mark": mark, "breadth": 6, "run": 20, "behind": [50, 50]}


def test_a_good_project_is_checked(client: TestClient) -> None:
    assert client.post("/api/check", json=document()).json() == {
        "format": "dovetally-check",
        "version": 1,
        "project": document()["name"],
        "good": True,
        "assemblies": len(document()["assemblies"]),
        "joints": plan_document(document())[1].joint_count,
        "refused": [],
    }


def test_a_check_names_the_joints_that_cannot_be_made(client: TestClient) -> None:
    answer = client.post("/api/check", json=document(assemblies=[an_impossible_joint()])).json()
    assert (answer["good"], answer["assemblies"], answer["joints"]) == (False, 1, 1)
    (refused,) = answer["refused"]
    planned = client.post("/api/takeoff", json=document(assemblies=[an_impossible_joint()])).json()
    assert refused == {
        "mark": "B-J1",
        "quantity": 1,
        "notes": planned["assemblies"][0]["joints"][0]["notes"],
    }


def test_set_ups_of_one_project_and_of_several(client: TestClient) -> None:
    one = client.post("/api/setups", json=document()).json()
    assert one == set_ups_document(set_up_sheet_of([plan_document(document())]))
    two = client.post("/api/setups", json=[document(), document()]).json()
    assert two["minutes"] == one["minutes"]
    assert [line["left"] for line in two["setups"]] == [2 * line["left"] for line in one["setups"]]


def test_set_ups_name_the_project_that_is_wrong(client: TestClient) -> None:
    bad = document(assemblies=[{"kind": "box"}])
    answer = client.post("/api/setups", json=[document(), bad])
    assert answer.status_code == 422
    assert all(problem["path"].startswith("[1].assemblies[0].") for problem in answer.json()["problems"])


@pytest.mark.parametrize("number", [0, 41])
def test_too_few_or_too_many_projects_to_set_up_are_refused(client: TestClient, number: int) -> None:
    answer = client.post("/api/setups", json=[document()] * number)
    assert answer.status_code == 422
    assert answer.json()["problems"] == [
        {"path": "the file", "value": str(number), "allowed": "send 1 to 40 projects"}
    ]


@pytest.mark.parametrize("kind", DocumentKind)
def test_every_document_is_printed(client: TestClient, kind: DocumentKind) -> None:
    answer = client.post("/api/print", params={"kind": kind, "paper": "Letter"}, json=document())
    assert (answer.status_code, answer.headers["content-type"]) == (200, "application/pdf")
    page = PdfReader(BytesIO(answer.content)).pages[0]
    # 8.5 by 11 inches in points of 1/72 inch, upright or lying
    assert {round(page.mediabox.width), round(page.mediabox.height)} == {612, 792}


@pytest.mark.parametrize(
    ("asked", "path"),
    [
        ({}, "kind"),
        ({"kind": "poem"}, "kind"),
        ({"kind": "keys", "paper": "A5"}, "paper"),
        ({"kind": "labels", "label": "wide"}, "label"),
        ({"kind": "labels", "label": "10x10"}, "label"),
    ],
)
def test_what_cannot_be_printed_is_refused_with_its_place(
    client: TestClient, asked: dict[str, str], path: str
) -> None:
    answer = client.post("/api/print", params=asked, json=document())
    assert answer.status_code == 422
    (problem,) = answer.json()["problems"]
    assert (problem["path"], bool(problem["allowed"])) == (path, True)


def test_a_letter_that_the_font_lacks_is_named(client: TestClient) -> None:
    answer = client.post("/api/print", params={"kind": "keys"}, json=document(name="Table 漢"))
    assert answer.status_code == 422
    assert "漢" in answer.json()["problems"][0]["allowed"]


def test_the_interface_is_described_with_units_and_refusals(client: TestClient) -> None:
    told = client.get("/api/openapi.json").json()
    assert set(told["paths"]) == {
        f"/api/{name}" for name in ("check", "takeoff", "setups", "order", "cutting", "quote", "print")
    }
    for word in ("millimetres", "degrees", "minutes", "minor units", "422"):
        assert word in told["info"]["description"]
    refused = client.post("/api/order", json={}).json()
    shape = told["components"]["schemas"]["Refusal"]
    assert refused.keys() == shape["properties"].keys()
    assert refused["problems"][0].keys() == shape["properties"]["problems"]["items"]["properties"].keys()
    for offered in told["paths"].values():
        assert {"200", "403", "413", "421", "422", "503"} == offered["post"]["responses"].keys()
        assert offered["post"]["requestBody"]["required"]


def test_another_site_cannot_ask(client: TestClient) -> None:
    answer = client.post("/api/takeoff", json=document(), headers={"Origin": "http://elsewhere.example"})
    assert answer.status_code == 403


def test_nothing_is_stored(client: TestClient, store: Store) -> None:
    client.post("/api/takeoff", json=document())
    with store.reading() as session:
        assert list_projects(session) == ()


MODES = pytest.mark.parametrize("mode", [GenerationMode.POSITIVE, GenerationMode.NEGATIVE])


@MODES
def test_no_generated_request_brings_the_server_down(client: TestClient, mode: GenerationMode) -> None:
    ask_all(client, mode, 20)


@torture
@MODES
def test_nor_do_many_more(client: TestClient, mode: GenerationMode) -> None:
    ask_all(client, mode, 300)


def ask_all(client: TestClient, mode: GenerationMode, times: int) -> None:
    """Schemathesis makes requests from the interface's own description, rightly and wrongly formed."""
    schema = schemathesis.openapi.from_dict(client.get("/api/openapi.json").json())
    schema.config.update(base_url=f"http://localhost:{PORT}")
    seen: set[int] = set()
    for offered in schema.get_all_operations():
        assert isinstance(offered, Ok)
        operation = offered.ok()

        @settings(max_examples=times, deadline=None, database=None, suppress_health_check=list(HealthCheck))
        @given(operation.as_strategy(generation_mode=mode))
        def ask(case: schemathesis.Case[Any]) -> None:
            sent = case.as_transport_kwargs()
            answer = client.request(
                case.method,
                case.formatted_path,
                params=sent.get("params"),
                content=json.dumps(sent["json"]) if "json" in sent else sent.get("data"),
                headers={"content-type": "application/json"} | FROM_US,
            )
            seen.add(answer.status_code)
            assert answer.status_code < 500, answer.text
            assert "Traceback" not in answer.text

        ask()
    assert seen <= {200, 405, 413, 422}
    assert seen & {200, 422}


def test_a_quote_is_answered_as_by_the_terminal(client: TestClient, tmp_path: Path) -> None:
    answer = client.post("/api/quote", json=quoting.priced())
    assert answer.status_code == 200
    status, told, _ = quoting.run(tmp_path, quoting.priced(), "quote", "--json")
    assert (status, json.loads(told)) == (0, answer.json())


@pytest.mark.parametrize("kind", QuotePaper)
def test_both_papers_of_a_quote_are_printed(client: TestClient, kind: QuotePaper) -> None:
    answer = client.post("/api/print", params={"kind": kind}, json=quoting.priced())
    assert (answer.status_code, answer.headers["content-type"]) == (200, "application/pdf")


def test_what_a_quote_lacks_is_named(client: TestClient) -> None:
    answer = client.post("/api/quote", json=quoting.document())
    assert (answer.status_code, answer.json()["complete"], answer.json()["total"]) == (200, False, None)
    refused = client.post("/api/print", params={"kind": "quote"}, json=quoting.document())
    assert refused.status_code == 422
    assert "quote.rate" in {problem["path"] for problem in refused.json()["problems"]}


def test_the_shop_lends_a_quote_its_terms_and_its_offers(client: TestClient, store: Store) -> None:
    """10 keys at 12.90 for 100 are 1.29; tax and rate are the shop's where the document names none."""
    lend(store, Item.key("14", 16))
    quote = quoting.priced()
    said = {"prices": [{"item": "ash 45 × 20", "price": 3310}, {"item": "glue", "price": 40}], "margin": 2}
    told = client.post("/api/quote", json=quote | {"quote": said}).json()
    assert told["missing"] == []
    costs = {each["item"]: (each["quantity"], each["cost"], each["priced_by"]) for each in told["materials"]}
    assert costs["key 14 × 16"] == (10, 129, "offer")
    assert (told["rate"], told["tax"]["name"], told["margin"]["percent"]) == (5150, "VAT", 2)
    printed = client.post("/api/print", params={"kind": "reckoning"}, json=quote | {"quote": said})
    text = PdfReader(BytesIO(printed.content)).pages[0].extract_text()
    assert printed.status_code == 200
    assert format_money(told["total"], "EUR") in " ".join(text.split())


def test_the_shop_lends_a_quote_the_wood_that_it_sells(client: TestClient, store: Store) -> None:
    lend(store, Item.key("14", 16), Item.bar("ash", 45, 20, 2500))
    quote = quoting.document() | {"quote": {"prices": [{"item": "glue", "price": 40}]}}
    told = client.post("/api/quote", json=quote).json()
    assert told["missing"] == []
    costs = {each["item"]: (each["quantity"], each["cost"], each["priced_by"]) for each in told["materials"]}
    # by hand: 400, 400, 300 and 300 mm with their saw cuts come out of one bar of 2500; 12.90 / 100 is 0.129
    assert costs["bar ash 45 × 20 × 2500"] == (1, 13, "offer")
    assert "ash 45 × 20" not in costs
    printed = client.post("/api/print", params={"kind": "quote"}, json=quote)
    assert printed.status_code == 200
    # what the document names itself comes first
    own = {"item": "ash 45 × 20", "stock": [{"length": 3000, "price": 2110}]}
    told = client.post("/api/quote", json=quote | {"stock": [own]}).json()
    costs = {each["item"]: (each["quantity"], each["cost"], each["priced_by"]) for each in told["materials"]}
    assert costs["ash 45 × 20"] == (1, 2110, "own_stock")
