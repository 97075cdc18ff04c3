"""Which of some patterns to cut how often: the linear programme, and the whole one, solved by HiGHS.

HiGHS reckons in floating point. Nothing here is believed by itself: bounds are weighed again in whole numbers
(``bound.py``), and cuts are counted (``lengthwise.py``). ``domain/ordering/programme.py`` says why the solver is
reached by its core.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import accumulate

import numpy as np
from highspy import HighsLp, HighsModelStatus, HighsVarType, MatrixFormat, kHighsInf
from highspy._core import _Highs

from domain.cutting.lengthwise import Cuts, Job, Pattern, together


@dataclass(frozen=True, slots=True)
class Weighed:
    """A solution of the linear programme: how often each pattern, and what a piece of each size is worth."""

    times: tuple[float, ...]
    worths: tuple[float, ...]
    rents: tuple[float, ...]
    """What one more bar of each stock would spare: more than 0 only where all there are are used."""


class Master:
    """The linear programme over patterns that may grow: every piece made, no more bars than there are."""

    def __init__(self, job: Job, patterns: Sequence[Pattern]) -> None:
        self._job = job
        self.patterns = list(dict.fromkeys(patterns))
        self._known = set(self.patterns)
        self._solver = _solver()
        self._solver.passModel(_model(job, self.patterns))

    def solve(self) -> Weighed | None:
        """The best mixture of the patterns; None where they cannot make everything."""
        self._solver.run()
        if self._solver.getModelStatus() != HighsModelStatus.kOptimal:
            return None
        solution = self._solver.getSolution()
        sizes = len(self._job.sizes)
        duals = list(solution.row_dual)
        return Weighed(tuple(solution.col_value), tuple(duals[:sizes]), tuple(-dual for dual in duals[sizes:]))

    def add(self, pattern: Pattern) -> bool:
        """Take in a pattern; False where it is known."""
        if pattern in self._known:
            return False
        self._known.add(pattern)
        self.patterns.append(pattern)
        column = _column(self._job, pattern)
        self._solver.addCol(
            float(self._job.bars[pattern.bar].cost),
            0.0,
            kHighsInf,
            len(column),
            np.array([row for row, _ in column], dtype=np.int32),
            np.array([value for _, value in column], dtype=np.float64),
        )
        return True


def best_of(job: Job, patterns: Sequence[Pattern], most_nodes: int) -> tuple[Cuts | None, float | None]:
    """The best whole cuts of these patterns, and a bound on what any of them cost.

    Both None where none was found or no bound reached within ``most_nodes`` of the search.
    """
    solver = _solver()
    solver.setOptionValue("mip_max_nodes", most_nodes)
    solver.setOptionValue("mip_rel_gap", 0.0)
    solver.setOptionValue("mip_abs_gap", 0.5)
    model = _model(job, patterns)
    model.integrality_ = [HighsVarType.kInteger] * len(patterns)
    solver.passModel(model)
    solver.run()
    values = [round(value) for value in solver.getSolution().col_value]
    cuts = [(pattern, times) for pattern, times in zip(patterns, values, strict=False) if times > 0]
    bound = solver.getInfo().mip_dual_bound
    return together(cuts) if cuts else None, bound if abs(bound) < kHighsInf else None


def fewest_of(job: Job, patterns: Sequence[Pattern], cost: int, most_nodes: int, *, exactly: bool) -> Cuts | None:
    """Whole cuts of as few different patterns as are found, for no more than so much; None where none are found.

    ``exactly``: they give no piece too much. A pattern is used or not, and where it is not it is cut no times: a
    programme that HiGHS seldom proves.
    """
    number = len(patterns)
    solver = _solver()
    solver.setOptionValue("mip_max_nodes", most_nodes)
    model = _model(job, patterns)
    if exactly:
        limits = model.row_upper_
        model.row_upper_ = [*map(float, job.demands), *limits[len(job.demands) :]]
    solver.passModel(model)
    nothing = np.array([], dtype=np.int32), np.array([], dtype=np.float64)
    for _ in patterns:
        solver.addCol(1.0, 0.0, 1.0, 0, *nothing)
    for at, pattern in enumerate(patterns):
        wanted = [-(-demand // count) for demand, count in zip(job.demands, pattern.counts, strict=True) if count]
        solver.changeColCost(at, 0.0)
        pair = np.array([at, number + at], dtype=np.int32)
        solver.addRow(-kHighsInf, 0.0, 2, pair, np.array([1.0, -float(max(wanted))]))
    costs = np.array([float(job.bars[pattern.bar].cost) for pattern in patterns])
    solver.addRow(-kHighsInf, cost + 0.5, number, np.arange(number, dtype=np.int32), costs)
    for at in range(2 * number):
        solver.changeColIntegrality(at, HighsVarType.kInteger)
    solver.run()
    values = [round(value) for value in solver.getSolution().col_value[:number]]
    cuts = [(pattern, times) for pattern, times in zip(patterns, values, strict=False) if times > 0]
    return together(cuts) if cuts else None


def _solver() -> _Highs:
    solver = _Highs()
    solver.setOptionValue("output_flag", False)
    solver.setOptionValue("threads", 1)
    return solver


def _model(job: Job, patterns: Sequence[Pattern]) -> HighsLp:
    limited = [bar.most for bar in job.bars if bar.most is not None]
    columns = [_column(job, pattern) for pattern in patterns]
    lp = HighsLp()
    lp.num_col_, lp.num_row_ = len(patterns), len(job.sizes) + len(limited)
    lp.col_cost_ = [float(job.bars[pattern.bar].cost) for pattern in patterns]
    lp.col_lower_, lp.col_upper_ = [0.0] * len(patterns), [kHighsInf] * len(patterns)
    lp.row_lower_ = [*map(float, job.demands), *(-kHighsInf for _ in limited)]
    lp.row_upper_ = [*(kHighsInf for _ in job.sizes), *map(float, limited)]
    lp.a_matrix_.format_ = MatrixFormat.kColwise
    lp.a_matrix_.start_ = [*accumulate(map(len, columns), initial=0)]
    lp.a_matrix_.index_ = [row for column in columns for row, _ in column]
    lp.a_matrix_.value_ = [value for column in columns for _, value in column]
    return lp


def _column(job: Job, pattern: Pattern) -> list[tuple[int, float]]:
    made = [(row, float(count)) for row, count in enumerate(pattern.counts) if count]
    if job.bars[pattern.bar].most is None:
        return made
    limit = sum(bar.most is not None for bar in job.bars[: pattern.bar])
    return [*made, (len(job.sizes) + limit, 1.0)]
