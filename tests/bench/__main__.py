"""``make bench``: every figure is a ratio measured in this run, beside the most that it may be.

``python -m tests.bench pages schedule`` measures only these.
"""

from __future__ import annotations

import json
import subprocess
import sys
import tempfile
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from pathlib import Path

from tests.bench import (
    assembling,
    cold_start,
    cutting,
    documents,
    entering,
    load,
    order,
    pages,
    phone,
    planner,
)

RUNS = 3


@dataclass(frozen=True)
class Figure:
    """A measured figure and its bound; ``at_least`` turns the bound round."""

    what: str
    value: float
    bound: float
    unit: str
    detail: str
    at_least: bool = False

    def __str__(self) -> str:
        good = self.value >= self.bound if self.at_least else self.value <= self.bound
        word = "at least" if self.at_least else "at most"
        mark = "ok  " if good else "OVER"
        return f"{mark} {self.what:<46} {self.value:8.2f} {self.unit:<3} ({word} {self.bound:g})  {self.detail}"


def _planner() -> Iterator[Figure]:
    compared = planner.measure()
    yield Figure(
        "exact planner, times faster than brute force",
        compared.ratio,
        200,
        "×",
        f"{compared.joints} joints, {compared.exact * 1000:.1f} ms and {compared.brute:.1f} s",
        at_least=True,
    )


def _assembling() -> Iterator[Figure]:
    put_together = assembling.measure()
    yield Figure(
        "assembly order of 60 parts, over their takeoff",
        put_together.ratio,
        1.5,
        "×",
        f"{put_together.parts} parts, {put_together.sheet * 1000:.1f} ms and {put_together.takeoff * 1000:.1f} ms",
    )


def _order() -> Iterator[Figure]:
    bought = order.measure()
    yield Figure(
        "order of 20 projects and 60 items, over CP-SAT",
        bought.ratio,
        1,
        "×",
        f"{bought.ours * 1000:.1f} ms and {bought.cp_sat:.2f} s",
    )


def _schedule() -> Iterator[Figure]:
    paper = documents.measure()
    yield Figure(
        "schedule as PDF, over typst with constant data",
        paper.ratio,
        3,
        "×",
        f"{paper.joints} joints, {paper.ours:.2f} s and {paper.typst:.2f} s",
    )


def _pages() -> Iterator[Figure]:
    """The project page and the live preview beside constants of the same bytes."""
    with tempfile.TemporaryDirectory() as folder:
        for page in pages.measure(Path(folder)):
            beside = f"{page.ours:.2f} ms and {page.constant:.2f} ms for {page.size} bytes"
            detail = f"{beside}; {page.over_bare:.1f} × over the bare stack's {page.bare:.2f} ms"
            yield Figure(f"{page.name}, over the same bytes from a constant", page.ratio, page.most, "×", detail)


def _entering() -> Iterator[Figure]:
    with tempfile.TemporaryDirectory() as folder:
        for job, actions in entering.measure(Path(folder)):
            yield Figure(f"to enter {job.what}", actions, job.most, "", "keys and clicks")


def _phone() -> Iterator[Figure]:
    with tempfile.TemporaryDirectory() as folder:
        for name, performance in phone.measure(Path(folder)):
            yield Figure(f"{name} on Lighthouse's phone", performance, 95, "", "of 100", at_least=True)


def _start() -> Iterator[Figure]:
    with tempfile.TemporaryDirectory() as folder:
        start = cold_start.measure(Path(folder))
        detail = f"{start.program:.2f} s and {start.imports:.2f} s"
        yield Figure("start to first page, over bare imports", start.ratio, 1.5, "×", detail)


def _load() -> Iterator[Figure]:
    """An aged shop beside a young one, and many people beside one."""
    met = load.measure()
    young, aged, many = (each.at(0.95) for each in (met.young, met.aged, met.many))
    medians = " and ".join(f"{each.at(0.5):.0f}" for each in (met.aged, met.young))
    detail = f"p95 {aged:.0f} ms and {young:.0f} ms, medians {medians} ms"
    yield Figure("aged shop over a young one, p95 of one person", aged / young, 2, "×", detail)
    detail = f"p95 {many:.0f} ms and {aged:.0f} ms, medians {met.many.at(0.5):.0f} and {met.aged.at(0.5):.0f} ms"
    yield Figure("20 people with pauses over one, p95", many / aged, 3, "×", detail)
    failed = sum(each.failed for each in (met.young, met.aged, met.many))
    yield Figure("answers of 5xx", failed, 0, "", f"of {len(met.aged.times) + len(met.many.times)}")
    detail = f"{met.peak:.0f} MB and {met.start:.0f} MB"
    yield Figure("memory at most, over that at the start", met.peak / met.start, 2, "×", detail)


def _cutting() -> Iterator[Figure]:
    """Published instances beside CP-SAT, and five thousand pieces."""
    beside = cutting.published()
    detail = ", ".join(f"{one.name} {one.ours:.2f} s" for one in beside.each)
    yield Figure("a published cutting instance proven, the slowest", beside.slowest, 10, "s", detail)
    yield Figure(
        "their total, times less than CP-SAT's",
        beside.ratio,
        5,
        "×",
        f"in {cutting.SECONDS:g} s each it did not prove: {beside.failed}",
        at_least=True,
    )
    seconds, plan = cutting.five_thousand()
    detail = f"{plan.used} bars, {plan.cost / 100:.2f}, none below {plan.bound / 100:.2f}"
    yield Figure("cutting plan of 5,000 pieces", seconds, 60, "s", detail)
    yield Figure("what it costs over what none goes below", plan.cost / plan.bound, 1.005, "×", detail)


def _takeoffs() -> Iterator[Figure]:
    """Each takeoff in a process of its own; the best of a few."""
    few, many = (min(map(_takeoff, [count] * RUNS), key=lambda run: run["seconds"]) for count in (200, 2000))
    yield Figure(
        "takeoff of 2,000 assemblies over that of 200",
        many["seconds"] / few["seconds"],
        10.5,
        "×",
        f"{many['seconds']:.2f} s and {few['seconds']:.2f} s",
    )
    yield Figure("peak memory of 2,000 assemblies", many["peak_mb"], 200, "MB", f"{many['joints']:.0f} joints")


def _takeoff(count: int) -> dict[str, float]:
    command = [sys.executable, "-m", "tests.bench.takeoff_run", str(count)]
    run = subprocess.run(command, capture_output=True, check=True)
    measured: dict[str, float] = json.loads(run.stdout)
    return measured


MEASURES: dict[str, Callable[[], Iterator[Figure]]] = {
    "takeoff": _takeoffs,
    "planner": _planner,
    "assembling": _assembling,
    "order": _order,
    "cutting": _cutting,
    "schedule": _schedule,
    "pages": _pages,
    "entering": _entering,
    "phone": _phone,
    "start": _start,
    "load": _load,
}


if __name__ == "__main__":
    asked = sys.argv[1:] or list(MEASURES)
    if unknown := [name for name in asked if name not in MEASURES]:
        sys.exit(f"no such measure: {', '.join(unknown)}; there are {', '.join(MEASURES)}")
    for name in asked:
        for figure in MEASURES[name]():
            print(figure, flush=True)
