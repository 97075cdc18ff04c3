"""Cutting plans: published instances beside OR-Tools' CP-SAT with a bar a bin, and five thousand pieces."""

from __future__ import annotations

import time
from dataclasses import dataclass
from random import Random

from ortools.sat.python import cp_model

from domain.cutting.bars import plan_bars
from domain.cutting.plan import BarPlan
from domain.cutting.request import BarItem
from tests.published.cutting_oracle import request_of
from tests.published.test_cutting_published import LENGTHS, instance

SECONDS = 10.0
"""What CP-SAT is given for each instance."""


@dataclass(frozen=True)
class Proving:
    """Seconds until an instance was proven, or not, by us and by CP-SAT."""

    name: str
    ours: float
    proven: bool
    cp_sat: float
    proven_by_cp_sat: bool


@dataclass(frozen=True)
class Beside:
    """All published instances."""

    each: tuple[Proving, ...]

    @property
    def slowest(self) -> float:
        """Seconds for our slowest; no instance may stay unproven."""
        assert all(one.proven for one in self.each)
        return max(one.ours for one in self.each)

    @property
    def ratio(self) -> float:
        """CP-SAT's seconds over ours, all instances together."""
        return sum(one.cp_sat for one in self.each) / sum(one.ours for one in self.each)

    @property
    def failed(self) -> str:
        """The instances that CP-SAT did not prove in its time."""
        return ", ".join(one.name for one in self.each if not one.proven_by_cp_sat) or "none"


def published() -> Beside:
    """Every published instance of lengths, once."""
    return Beside(tuple(_beside(name) for name in LENGTHS))


def _beside(name: str) -> Proving:
    known = instance("cutting-stock", name)
    pieces = [
        {"mark": f"P{at}", "length": each["length"], "count": each["quantity"]}
        for at, each in enumerate(known["items"])
    ]
    stock = [{"length": known["stock_length"]}]
    item = request_of(bars=[{"item": name, "kerf": known["kerf"], "stock": stock, "pieces": pieces}]).bars[0]
    start = time.perf_counter()
    plan = plan_bars(item)
    ours = time.perf_counter() - start
    start = time.perf_counter()
    proven = _a_bin_a_bar(item, known["optimal_bins"] + 2)
    return Proving(name, ours, plan.proven, time.perf_counter() - start, proven)


def _a_bin_a_bar(item: BarItem, bars: int) -> bool:
    """Whether CP-SAT proves the fewest bars by the plain model: so many of each in each bar."""
    kerf, room = item.kerf.nm, item.stock[0].length.nm
    model = cp_model.CpModel()
    used = [model.new_bool_var("") for _ in range(bars)]
    cut = [[model.new_int_var(0, piece.count, "") for _ in range(bars)] for piece in item.pieces]
    for piece, row in zip(item.pieces, cut, strict=True):
        model.add(sum(row) == piece.count)
    for at in range(bars):
        sizes = zip(item.pieces, cut, strict=True)
        model.add(sum((piece.length.nm + kerf) * row[at] for piece, row in sizes) <= (room + kerf) * used[at])
    model.minimize(sum(used))
    solver = cp_model.CpSolver()
    solver.parameters.num_workers = 1
    solver.parameters.max_time_in_seconds = SECONDS
    return bool(solver.solve(model) == cp_model.OPTIMAL)


def five_thousand() -> tuple[float, BarPlan]:
    """Seconds for five thousand pieces of two hundred lengths, and their plan."""
    rng = Random("five thousand of the bench")
    pieces = [{"mark": f"P{at}", "length": rng.randint(230, 1_850), "count": 25} for at in range(200)]
    stock = [{"length": 3_950, "price": 2_150}, {"length": 2_650, "price": 1_370}]
    item = request_of(bars=[{"item": "x", "kerf": 3, "trim": 8, "stock": stock, "pieces": pieces}]).bars[0]
    start = time.perf_counter()
    plan = plan_bars(item)
    return time.perf_counter() - start, plan
