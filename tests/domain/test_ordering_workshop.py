"""The order of the workshop's three projects by hand, from the lists counted in ``test_workshop_takeoffs``."""

from __future__ import annotations

import json
from typing import Any

from domain.ordering.needs import Job, Needs, needs_together
from domain.ordering.packs import plan_order
from domain.ordering.request import OrderRequest, read_order_request
from domain.project_file import read_project_file
from domain.spec.rules import Rules
from domain.takeoff.build import take_off
from tests.domain.builders import Json, demo_sections
from tests.workshop import WORKSHOP

SHOP: Json = json.loads((WORKSHOP / "shop.json").read_text(encoding="utf-8"))


def demo_needs() -> Needs:
    jobs = []
    for name in SHOP["projects"]:
        project = read_project_file(json.loads((WORKSHOP / name).read_text(encoding="utf-8")))
        takeoff = take_off(project, demo_sections(), Rules())
        jobs.append(Job(project.name, takeoff.assemblies, Rules()))
    return needs_together(jobs)


def demo_request(times: int = 1, **more: Any) -> OrderRequest:
    packs = [{name: value for name, value in offer.items() if name != "lead_days"} for offer in SHOP["offers"]]
    needs = [{"item": item.name, "count": times * need.total} for item, need in demo_needs().items.items()]
    return read_order_request(
        {
            "format": "dovetally-order-request",
            "version": 1,
            "currency": SHOP["currency"],
            "needs": needs,
            "packs": packs,
            "suppliers": SHOP["suppliers"],
        }
        | more
    )


def test_the_needs_of_the_three_projects_together() -> None:
    needs = demo_needs()
    assert [(item.name, need.used, need.tests, need.spare, need.total) for item, need in needs.items.items()] == [
        # the box alone: 8 + 2 + 1, 4 + 1 + 1, 8 + 2 + 1
        ("key 7 × 8", 8, 2, 1, 11),
        ("key 7 × 18", 4, 1, 1, 6),
        ("key 7 × 28", 8, 2, 1, 11),
        # the small frames: 32 + 1 + 2
        ("key 10 × 16", 32, 1, 2, 35),
        # frames 28 + 1 + 2 and cabinet 40 + 1 + 2: ash and cherry share no test; spares 2 + 2
        ("key 14 × 16", 68, 2, 4, 74),
        ("key 14 × 22", 8, 1, 1, 10),
        ("key 14 × 60", 16, 2, 1, 19),
        ("plug walnut 14 × 3", 16, 0, 1, 17),
        # 5.908 + 1.675 + 18.394 = 25.977 g
        ("glue", 26, 0, 0, 26),
    ]
    assert needs.tests_saved == {}


def test_the_cheapest_order_of_the_three_projects() -> None:
    # Marram has everything. Fifties: 7 × 8 at 3.85, 7 × 18 at 5.50, 7 × 28 at
    # 7.15, 10 × 16 at 5.50, 14 × 22 at 7.70, 14 × 60 at 14.85. For 74 of 14 × 16 the hundred at 12.60, not two
    # fifties at 13.20. Twenty plugs 4.40, glue 4.80. Together 66.35, shipping 4.90.
    # Quillgate's hundred of 14 × 16 would save 0.60 for 6.90 of shipping, Thistlecombe's bottle 0.60 for 5.90.
    order = plan_order(demo_request())
    assert [
        (line.pack.item, line.pack.supplier, line.pack.size, line.packs, line.line_price) for line in order.lines
    ] == [
        ("glue", "Marram Fittings", 250, 1, 480),
        ("key 10 × 16", "Marram Fittings", 50, 1, 550),
        ("key 14 × 16", "Marram Fittings", 100, 1, 1260),
        ("key 14 × 22", "Marram Fittings", 50, 1, 770),
        ("key 14 × 60", "Marram Fittings", 50, 1, 1485),
        ("key 7 × 18", "Marram Fittings", 50, 1, 550),
        ("key 7 × 28", "Marram Fittings", 50, 1, 715),
        ("key 7 × 8", "Marram Fittings", 50, 1, 385),
        ("plug walnut 14 × 3", "Marram Fittings", 20, 1, 440),
    ]
    assert (order.total, order.shipping) == (7125, 490)
    # keys in the order of the lines, 3 plugs, 224 g of glue
    assert order.left_over == 15 + 26 + 40 + 31 + 44 + 39 + 39 + 3 + 224
    assert order.unmet == ()


def test_twelve_times_the_projects_are_bought_elsewhere() -> None:
    # 888 of 14 × 16 alone: Quillgate's thousand at 96.00, Marram's nine hundreds would be 113.40
    order = plan_order(demo_request(times=12))
    (bulk,) = [line for line in order.lines if line.pack.item == "key 14 × 16"]
    assert (bulk.pack.supplier, bulk.pack.size, bulk.packs, bulk.line_price) == (
        "Quillgate Mouldings",
        1000,
        1,
        9600,
    )
    # shipping is paid to both by now, so 420 of 10 × 16 are 23.00 + 2 × 10.00, not 2 × 23.00, nor
    # 23.00 + 10.00 and two of Marram's fifties at 5.50
    ten = [
        (line.pack.supplier, line.pack.size, line.packs) for line in order.lines if line.pack.item == "key 10 × 16"
    ]
    assert ten == [("Quillgate Mouldings", 100, 2), ("Quillgate Mouldings", 250, 1)]
