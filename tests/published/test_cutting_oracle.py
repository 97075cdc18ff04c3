"""Cutting plans against OR-Tools' CP-SAT, and against instances that are made with a known optimum."""

from __future__ import annotations

from random import Random

import pytest

from domain.cutting.bars import plan_bars
from domain.cutting.sheets import plan_sheets
from tests.published.cutting_oracle import least_by_cp_sat, mended, random_bars, random_sheets, request_of, sawn
from tests.torture import torture


def agreed(rng: Random, requests: int, kinds: int, effort: float) -> tuple[int, int]:
    """Hold so many plans against CP-SAT: how many it proved, and how many we did."""
    theirs = ours = 0
    for _ in range(requests):
        item = random_bars(rng, rng.randint(1, kinds))
        plan = plan_bars(item)
        cut = mended(item, plan)
        short = {each.mark: each.count for each in plan.unplaced}
        assert all(cut.get(piece.mark, 0) + short.get(piece.mark, 0) == piece.count for piece in item.pieces)
        ours += plan.proven
        if cut:
            best, proven = least_by_cp_sat(item, cut, effort)
            theirs += proven
            assert plan.bound <= best
            assert not proven or plan.cost == best or not plan.proven
            assert not proven or plan.cost <= 1.02 * best
    return theirs, ours


def test_bars_of_mixed_lengths_and_prices_cost_the_least() -> None:
    theirs, ours = agreed(Random("bars"), 30, kinds=3, effort=1)
    assert theirs >= 20
    assert ours == 30


@torture
def test_two_hundred_requests_for_bars() -> None:
    theirs, ours = agreed(Random("many bars"), 200, kinds=4, effort=20)
    assert theirs >= 120
    assert ours >= 196


@pytest.mark.parametrize("seed", range(3))
def test_triplets_made_with_a_known_optimum(seed: int) -> None:
    """Each bar is cut into three at random: no plan takes fewer bars, and none leaves a hair."""
    rng, bars = Random(seed), 12
    lengths = []
    for _ in range(bars):
        first = rng.randint(380, 490)
        second = rng.randint(255, (1000 - first) - 252)
        lengths += [first, second, 1000 - first - second]
    pieces = [{"mark": f"P{at}", "length": length, "count": 1} for at, length in enumerate(lengths)]
    item = request_of(bars=[{"item": "x", "kerf": 0, "stock": [{"length": 1000}], "pieces": pieces}]).bars[0]
    plan = plan_bars(item)
    mended(item, plan)
    assert (plan.used, plan.bound) == (bars, bars)


def sheets_hold(rng: Random, requests: int) -> int:
    """Random jobs of sheets, each sawn again by the tests; how many were proven."""
    proven = 0
    for _ in range(requests):
        item = random_sheets(rng)
        plan = plan_sheets(item)
        cut, short = sawn(item, plan), {each.mark: each.count for each in plan.unplaced}
        assert all(cut.get(piece.mark, 0) + short.get(piece.mark, 0) == piece.count for piece in item.pieces)
        proven += plan.proven
    return proven


def test_sheets_are_cut_from_edge_to_edge() -> None:
    assert sheets_hold(Random("sheets"), 12) >= 4


@torture
def test_a_hundred_jobs_of_sheets() -> None:
    assert sheets_hold(Random("many sheets"), 100) >= 40
