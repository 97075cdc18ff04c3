"""The exact planner beside the brute-force one of the tests, on the same joints."""

from __future__ import annotations

import time
from dataclasses import dataclass

from domain.assemblies.expand import expand
from domain.parts import Joint
from domain.planning.layout import least_reach_layout
from domain.planning.planner import plan_joint
from domain.planning.sections import answer
from domain.spec.catalogue import Section
from domain.spec.project import read_project
from domain.spec.rules import Rules
from tests.bench.workload import project
from tests.published.brute_force import plan_by_brute_force

REPEATS = 5


@dataclass(frozen=True)
class PlannerRatio:
    """Seconds for the same joints."""

    joints: int
    exact: float
    brute: float

    @property
    def ratio(self) -> float:
        """How many times faster the exact planner is."""
        return self.brute / self.exact


def measure() -> PlannerRatio:
    """The demo's joints and one wide rail, each planned afresh by both."""
    document = project(7)
    wide = {"kind": "single_joint", "mark": "W", "breadth": 120, "run": 22, "behind": [60, 60]}
    document["assemblies"].append(wide)
    read = read_project(document)
    sections, rules = read.sections or (), Rules()
    joints = [joint for spec in read.assemblies for joint in expand(spec).joints]
    return PlannerRatio(len(joints), _exact(joints, sections, rules), _brute(joints, sections, rules))


def _exact(joints: list[Joint], sections: tuple[Section, ...], rules: Rules) -> float:
    """The best of a few runs, nothing remembered between joints or runs."""
    best = float("inf")
    for _ in range(REPEATS):
        spent = 0.0
        for joint in joints:
            answer.cache_clear()
            least_reach_layout.cache_clear()
            start = time.perf_counter()
            plan_joint(joint, sections, rules)
            spent += time.perf_counter() - start
        best = min(best, spent)
    return best


def _brute(joints: list[Joint], sections: tuple[Section, ...], rules: Rules) -> float:
    start = time.perf_counter()
    for joint in joints:
        plan_by_brute_force(joint, sections, rules)
    return time.perf_counter() - start
