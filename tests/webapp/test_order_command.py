"""``dovetally order``: a request in, the cheapest order out, as a person or a script meets it."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest

from tests.terminal import dovetally

REQUEST: dict[str, Any] = {
    "format": "dovetally-order-request",
    "version": 1,
    "currency": "EUR",
    "needs": [{"item": "key 14 × 16", "count": 137}],
    "on_hand": {"key 14 × 16": 20},
    "minimum_stock": {"key 14 × 16": 50},
    "packs": [{"item": "key 14 × 16", "supplier": "North", "size": 100, "price": 1290}],
    "suppliers": [{"name": "North", "shipping": 690, "minimum_order": 2500}],
}


def test_an_order_as_json(tmp_path: Path) -> None:
    path = tmp_path / "request.json"
    path.write_text(json.dumps(REQUEST), encoding="utf-8")
    run = dovetally("order", str(path), "--json")
    assert run.returncode == 0
    assert json.loads(run.stdout) == {
        "format": "dovetally-order",
        "version": 1,
        "proven": True,
        "total": 3270,
        "shipping": 690,
        "lines": [{"item": "key 14 × 16", "supplier": "North", "size": 100, "packs": 2, "price": 2580}],
        "items": [{"item": "key 14 × 16", "short": 167, "bought": 200, "left_over": 33}],
        "unmet": [],
    }


def test_nothing_but_the_order_is_written_where_a_minimum_binds() -> None:
    # two hundreds are 25.80; a third reaches 30.00
    more = REQUEST | {"suppliers": [{"name": "North", "shipping": 690, "minimum_order": 3000}]}
    run = dovetally("order", "-", "--json", stdin=json.dumps(more))
    assert json.loads(run.stdout)["total"] == 3870 + 690
    assert run.stderr == b""


def test_an_order_as_a_table_from_standard_input() -> None:
    run = dovetally("order", "-", stdin=json.dumps(REQUEST))
    assert run.returncode == 0
    assert run.stdout.decode().splitlines() == [
        "  Buy          From   Packs   of      Price",
        "  key 14 × 16  North      2  100  25.80 EUR",
        "",
        "Shipping  6.90 EUR",
        "Total     32.70 EUR",
        "",
        "  Item           Short  Bought  Left over",
        "  key 14 × 16      167     200         33",
    ]


def test_nothing_to_buy() -> None:
    run = dovetally("order", "-", stdin=json.dumps(REQUEST | {"on_order": {"key 14 × 16": 500}}))
    assert run.returncode == 0
    assert run.stdout.decode().splitlines()[0] == "Nothing to buy."


def test_what_nobody_sells_ends_with_1() -> None:
    request = REQUEST | {"needs": [*REQUEST["needs"], {"item": "glue", "count": 30}]}
    run = dovetally("order", "-", stdin=json.dumps(request))
    assert run.returncode == 1
    assert run.stdout.decode().splitlines()[-1] == "glue: cannot be bought: no pack of it is offered"
    document = json.loads(dovetally("order", "-", "--json", stdin=json.dumps(request)).stdout)
    assert document["unmet"] == [{"item": "glue", "why": "no pack of it is offered"}]


@pytest.mark.parametrize(
    ("change", "line"),
    [
        ({"currency": 3}, "currency: 3: must be text"),
        ({"packs": [{"item": "glue"}]}, "packs[0].supplier: 'missing': is needed"),
        ({"needs": [{"item": "glue", "count": -4}]}, "needs[0].count: -4: must be 0 or more"),
        ({"format": "other"}, "format: 'other': must be \"dovetally-order-request\""),
    ],
)
def test_a_bad_request_ends_with_2_and_its_problems(change: dict[str, Any], line: str) -> None:
    run = dovetally("order", "-", "--json", stdin=json.dumps(REQUEST | change))
    assert (run.returncode, run.stdout) == (2, b"")
    assert run.stderr.decode().splitlines()[0] == line
