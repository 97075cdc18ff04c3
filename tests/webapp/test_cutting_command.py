"""``dovetally cutting``: a request in, how bars and sheets are cut out, as a person or a script meets it."""

from __future__ import annotations

import json
from typing import Any

from domain.cutting.document import cutting_document, plan_cutting
from domain.cutting.request import read_cutting_request
from tests.terminal import dovetally

REQUEST: dict[str, Any] = {
    "format": "dovetally-cutting-request",
    "version": 1,
    "bars": [
        {
            "item": "walnut 38 × 22",
            "kerf": 3,
            "stock": [{"length": 2350, "price": 1640}, {"length": 480, "count": 1}],
            "pieces": [{"mark": "A1", "length": 460, "count": 6}, {"mark": "A2", "length": 2400, "count": 1}],
        }
    ],
    "sheets": [
        {
            "item": "ash veneered 16",
            "kerf": 3,
            "trim": 8,
            "stock": [{"length": 1000, "width": 500}],
            "pieces": [{"mark": "B1", "length": 450, "width": 900, "count": 1, "grain": "width"}],
        }
    ],
}


def test_a_plan_as_json() -> None:
    run = dovetally("cutting", "-", "--json", stdin=json.dumps(REQUEST))
    # A2 is longer than any stock
    assert run.returncode == 1
    assert run.stderr == b""
    assert json.loads(run.stdout) == cutting_document(plan_cutting(read_cutting_request(REQUEST)))


def test_a_plan_as_tables() -> None:
    run = dovetally("cutting", "-", stdin=json.dumps(REQUEST))
    assert run.stdout.decode().splitlines() == [
        "walnut 38 × 22",
        "  Pieces    Bars       of  Left over",
        "  A1 × 5       1  2350 mm      35 mm",
        "  A1           1   480 mm      17 mm",
        "  A2, 1 off, cannot be cut: no stock is long enough; the shortest that would do is 2400 mm",
        "  2 bars, 16.40 EUR: proven to be the least.",
        "",
        "ash veneered 16",
        "  1 × 1000 × 500 mm",
        "    B1 at 8, 8 mm: 450 × 900 mm, turned",
        "  1 sheet: proven to be the least.",
        "",
    ]


def test_everything_cut_is_good() -> None:
    run = dovetally("cutting", "-", stdin=json.dumps(REQUEST | {"bars": []}))
    assert run.returncode == 0


def test_a_bad_request_is_named_with_its_place() -> None:
    run = dovetally("cutting", "-", stdin=json.dumps(REQUEST | {"bars": [REQUEST["bars"][0] | {"kerf": "wide"}]}))
    assert run.returncode == 2
    assert run.stderr.decode().startswith("bars[0].kerf: 'wide': not a length; write ")


def test_an_order_is_no_cutting_request() -> None:
    run = dovetally("cutting", "-", stdin='{"format": "dovetally-order-request", "version": 1}')
    assert run.returncode == 2
    assert run.stderr.decode() == "format: 'dovetally-order-request': must be \"dovetally-cutting-request\"\n"


PROJECT: dict[str, Any] = {
    "format": "dovetally-project",
    "version": 1,
    "name": "Two frames",
    "currency": "SEK",
    "stock": [
        {"item": "maple 38 × 19", "trim": 9, "least_offcut": 220, "stock": [{"length": 1950, "price": 8450}]}
    ],
    "assemblies": [
        {
            "kind": "mitred_frame",
            "mark": "A",
            "quantity": 2,
            "material": "maple",
            "measure": "outside",
            "width": 360,
            "height": 270,
            "stock": {"width": 38, "thickness": 19},
        },
        {
            "kind": "box",
            "mark": "B",
            "material": "pear",
            "measure": "outside",
            "length": 240,
            "width": 160,
            "height": 80,
            "wall": 12,
            "corner": "mitre",
        },
    ],
}


def test_a_project_is_cut_from_the_stock_that_it_names() -> None:
    run = dovetally("cutting", "-", "--json", stdin=json.dumps(PROJECT))
    assert run.returncode == 1
    told = json.loads(run.stdout)
    # 2 × 360 + 2 × 270 and three kerfs of 3.2 are 1269.6 of 1932
    assert told["bars"][0] == {
        "item": "maple 38 × 19",
        "plan": [
            {"stock": 0, "times": 2, "pieces": [["A1", 2], ["A2", 2]], "left": 662.4},
        ],
        "used": 2,
        "cost": 16900,
        "bound": 16900,
        "proven": True,
        "unplaced": [],
    }
    assert told["notes"] == [
        "There is no stock of pear 80 × 12: give the lengths or sheets that it is cut from; 4 wait."
    ]
    # what was asked is a request that gives the same plan
    again = dovetally("cutting", "-", "--json", stdin=json.dumps(told["request"]))
    assert json.loads(again.stdout)["bars"] == told["bars"]


def test_a_projects_plan_as_tables_in_its_units() -> None:
    run = dovetally("cutting", "-", stdin=json.dumps(PROJECT | {"units": "in"}))
    assert run.stdout.decode().splitlines() == [
        "maple 38 × 19",
        "  Pieces            Bars           of    Left over",
        "  A1 × 2, A2 × 2       2  76 49/64 in  25 61/64 in",
        "  2 bars, 169.00 SEK: proven to be the least.",
        "",
        "pear 80 × 12",
        "  B1, 2 off, cannot be cut: there is no stock to cut it from",
        "  B2, 2 off, cannot be cut: there is no stock to cut it from",
        "  Nothing can be cut.",
        "",
        "There is no stock of pear 80 × 12: give the lengths or sheets that it is cut from; 4 wait.",
    ]


def test_a_project_with_something_wrong_is_told_so() -> None:
    wrong = PROJECT | {"stock": [{"item": "maple 38 × 19", "stock": [{"length": 0}]}]}
    run = dovetally("cutting", "-", stdin=json.dumps(wrong))
    assert run.returncode == 2
    assert run.stderr.decode().startswith("stock[0].stock[0].length: ")
