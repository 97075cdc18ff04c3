"""The assembly order of a carcass of sixty parts beside its takeoff."""

from __future__ import annotations

import time
from dataclasses import dataclass

from domain.assembling.sheet import assembly_sheet
from domain.planning.layout import least_reach_layout
from domain.planning.sections import answer
from domain.spec.project import read_project
from domain.spec.rules import Rules
from domain.takeoff.build import take_off
from tests.bench.workload import project

REPEATS = 7
BOOKCASE = {
    "kind": "carcass", "mark": "Z", "width": 2400, "height": 2200, "depth": 350, "thickness": 18,
    "corner": "top_between", "shelves": [200 + 180 * place for place in range(10)],
    "partitions": [500, 1000, 1500, 2000], "plinth": 80,
    "back": {"fit": "groove", "thickness": 6, "depth": 8, "inset": 17},
}  # fmt: skip


@dataclass(frozen=True)
class OrderRatio:
    """Seconds for one carcass."""

    parts: int
    sheet: float
    takeoff: float

    @property
    def ratio(self) -> float:
        """How much longer its order takes than its takeoff."""
        return self.sheet / self.takeoff


def measure() -> OrderRatio:
    """The best of a few runs, turn about, nothing remembered between them."""
    document = project(1)
    document["assemblies"] = [BOOKCASE]
    read, rules = read_project(document), Rules()
    sheets, takeoffs = [], []
    for _ in range(REPEATS):
        answer.cache_clear()
        least_reach_layout.cache_clear()
        start = time.perf_counter()
        takeoff = take_off(read, (), rules)
        planned = time.perf_counter()
        sheet = assembly_sheet(read.assemblies[0], takeoff.assemblies[0], rules)
        sheets.append(time.perf_counter() - planned)
        takeoffs.append(planned - start)
    return OrderRatio(len(sheet.bodies), min(sheets), min(takeoffs))
