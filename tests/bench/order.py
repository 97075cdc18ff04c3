"""The cheapest order beside OR-Tools' CP-SAT solver, both asked for the same least cost, packs and left over."""

from __future__ import annotations

import time
from dataclasses import dataclass
from random import Random

from domain.ordering.packs import plan_order
from domain.ordering.request import OrderRequest, read_order_request
from tests.published.order_oracle import aims_of, by_cp_sat

REPEATS = 3
PROJECTS, ITEMS = 20, 60
SUPPLIERS = ("North", "South", "East", "West")
SIZES = (20, 50, 100, 250, 1000)


@dataclass(frozen=True)
class OrderRatio:
    """Seconds for the same order."""

    ours: float
    cp_sat: float

    @property
    def ratio(self) -> float:
        """Ours over CP-SAT's."""
        return self.ours / self.cp_sat


def request() -> OrderRequest:
    """Twenty projects that need some of sixty items each; five packs an item, four suppliers with their terms."""
    rng = Random("twenty projects")
    items = [f"key {section} × {length}" for section in (7, 10, 14, 20) for length in range(8, 68, 4)]
    needs = [
        {"item": item, "count": rng.randint(4, 60)}
        for _ in range(PROJECTS)
        for item in rng.sample(items, ITEMS // 3)
    ]
    packs = []
    for item in items:
        each = rng.uniform(7, 40)
        for size in SIZES:
            price = round(each * size * rng.uniform(0.85, 1.1) * (1 - size / 5000))
            packs.append({"item": item, "supplier": rng.choice(SUPPLIERS), "size": size, "price": price})
    terms = [{"name": name, "shipping": rng.randint(300, 900), "minimum_order": 2500} for name in SUPPLIERS]
    return read_order_request(
        {
            "format": "dovetally-order-request",
            "version": 1,
            "currency": "EUR",
            "needs": needs,
            "packs": packs,
            "suppliers": terms,
        }
    )


def measure() -> OrderRatio:
    """The best of a few runs of each; their answers must be the same."""
    asked = request()
    ours, cp_sat = [], []
    for _ in range(REPEATS):
        start = time.perf_counter()
        order = plan_order(asked)
        ours.append(time.perf_counter() - start)
        start = time.perf_counter()
        judged = by_cp_sat(asked)
        cp_sat.append(time.perf_counter() - start)
        assert [each.best for each in judged if each.proven] == [*aims_of(order)]
    return OrderRatio(min(ours), min(cp_sat))
