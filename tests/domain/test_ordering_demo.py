"""The order of the demo's projects by hand, from what ``test_demo_takeoffs`` counts and the demo's offers."""

from __future__ import annotations

import json
from typing import Any

from domain.ordering.packs import plan_order
from domain.ordering.request import OrderRequest, read_order_request
from tests.domain.builders import Json
from tests.workshop import SHIPPED

SHOP: Json = json.loads((SHIPPED / "shop.json").read_text(encoding="utf-8"))
NEEDS = {
    # frames and box: 40 + 8 used, 2 + 2 tests, 2 + 1 spares
    "key 9 × 19": 55,
    # box: 8 used, 2 tests, 1 spare
    "key 9 × 31": 11,
    # the hexagon and the cabinet: 12 + 32 used, 2 + 12 tests, 1 + 2 spares
    "key 13 × 18": 61,
    "key 13 × 26": 7,
    "key 13 × 44": 32,
    "key 17 × 21": 19,
    "plug walnut 17 × 3": 17,
    # 7.458 + 2.034 + 21.365 = 30.857 g
    "glue": 31,
}


def demo_request(times: int = 1) -> OrderRequest:
    packs: list[Any] = [{name: offer[name] for name in offer if name != "lead_days"} for offer in SHOP["offers"]]
    return read_order_request(
        {
            "format": "dovetally-order-request",
            "version": 1,
            "currency": SHOP["currency"],
            "needs": [{"item": item, "count": times * count} for item, count in NEEDS.items()],
            "packs": packs,
            "suppliers": SHOP["suppliers"],
        }
    )


def test_the_cheapest_order_of_the_three_projects() -> None:
    # Saltmarsh has everything, in forties: 9 × 19 twice 5.05, 9 × 31 6.45, 13 × 18 twice 5.50, 13 × 26 6.90,
    # 13 × 44 9.65, 17 × 21 7.35; 25 plugs 6.00, glue 5.10. Together 62.55, shipping 4.50.
    # Oxlip's bottle would save 0.70 for 5.60 of shipping; Brackenhythe begins at 30.00.
    order = plan_order(demo_request())
    assert [
        (line.pack.item, line.pack.supplier, line.pack.size, line.packs, line.line_price) for line in order.lines
    ] == [
        ("glue", "Saltmarsh Fittings", 300, 1, 510),
        ("key 13 × 18", "Saltmarsh Fittings", 40, 2, 1100),
        ("key 13 × 26", "Saltmarsh Fittings", 40, 1, 690),
        ("key 13 × 44", "Saltmarsh Fittings", 40, 1, 965),
        ("key 17 × 21", "Saltmarsh Fittings", 40, 1, 735),
        ("key 9 × 19", "Saltmarsh Fittings", 40, 2, 1010),
        ("key 9 × 31", "Saltmarsh Fittings", 40, 1, 645),
        ("plug walnut 17 × 3", "Saltmarsh Fittings", 25, 1, 600),
    ]
    assert (order.total, order.shipping) == (6705, 450)
    # glue and keys in the order of the lines, then plugs
    assert order.left_over == 269 + 19 + 33 + 8 + 21 + 25 + 29 + 8
    assert (order.proven, order.unmet) == (True, ())


def test_ten_times_the_projects_are_bought_elsewhere() -> None:
    # 550 of 9 × 19: Brackenhythe's 600 at 52.80; Saltmarsh would take 4 × 14.25 + 2 × 5.05 = 67.10
    order = plan_order(demo_request(times=10))
    bought = {
        item: [(line.pack.supplier, line.pack.size, line.packs) for line in order.lines if line.pack.item == item]
        for item in NEEDS
    }
    assert bought["key 9 × 19"] == [("Brackenhythe Plastics", 600, 1)]
    # shipping is paid to both by now: 610 of 13 × 18 are 57.60 + 5.50, not 57.60 + 17.65
    assert bought["key 13 × 18"] == [("Brackenhythe Plastics", 600, 1), ("Saltmarsh Fittings", 40, 1)]
