"""The cheapest order, against OR-Tools' CP-SAT solver: the same cost, packs and left over, always.

Where CP-SAT does not finish within its effort, it has still found an order and a bound, and ours may not
be over the one or under the other.
"""

from __future__ import annotations

from random import Random

from domain.ordering.packs import plan_order
from tests.published.order_oracle import agrees, by_cp_sat, random_request
from tests.published.trade import torture


def agreed(rng: Random, requests: int, effort: float) -> int:
    """Hold so many orders of up to 60 items against CP-SAT; how many of them it finished."""
    proven = 0
    for _ in range(requests):
        request = random_request(rng, 1 + int(60 * rng.random() ** 3))
        judged = by_cp_sat(request, effort)
        assert agrees(plan_order(request), judged)
        proven += len(judged) == 3 and judged[-1].proven
    return proven


def test_five_hundred_orders_by_cp_sat() -> None:
    assert agreed(Random("orders"), 500, effort=2) == 500


@torture
def test_two_thousand_orders_by_cp_sat_with_patience() -> None:
    assert agreed(Random("torture orders"), 2_000, effort=20) >= 1_900
