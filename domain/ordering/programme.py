"""The best order as an integer programme, where minimum orders bind: solved by HiGHS, judged in whole numbers.

A number for every pack, and for every supplier whether it is bought from. Packs cover what is short, a
supplier bought from reaches its minimum, and one not bought from sells nothing. No best order has more of
a pack than would cover its item alone and reach its supplier's minimum alone: one less would do.

Cost, packs and left over are three programmes, each with the aims before it held to what was found. HiGHS
reckons in floating point, so what it answers is rounded and weighed again in whole numbers, and counts
only if it is an order; a bound of its counts as a proof where it leaves no whole number below what is
known. It is given no order to start from: with one, presolve of version 1.16 may lose its own objective.
Its work is limited in nodes of its search, not in seconds: the same request ends the same way.
"""

from __future__ import annotations

from itertools import accumulate
from typing import TYPE_CHECKING

from domain.ordering.covering import Numbers
from domain.ordering.market import Market, aims_of
from domain.ordering.order import Doubt

if TYPE_CHECKING:
    from highspy import HighsLp

MOST_WORK = (1_000_000, 40_000, 40_000)
"""Nodes times variables, and twenty more, that each of the three programmes may take: mostly a second or two.

Cost counts most. A node of the other two takes much longer, for they are held to it.
"""

_DOUBTS = (Doubt.CHEAPER, Doubt.FEWER_PACKS, Doubt.LESS_LEFT_OVER)
_SCALE = 1 / 128
"""Aims are whole numbers; the solver gets them smaller, so that its tolerances are a trifle beside its slack."""
_OPTIONS = {
    "output_flag": False,
    "threads": 1,
    "mip_rel_gap": 0.0,
    "mip_abs_gap": 0.5 * _SCALE,
    "mip_feasibility_tolerance": 1e-7,
    # a good order is known from the covers; looking for better ones outside the search took longer than it spared
    "mip_heuristic_effort": 0.0,
}
_LEEWAY = 0.01
"""How far above a better whole number a bound must be to rule it out."""
_TELLABLE = 10**11
"""Sums from here on are too near the end of a double's digits for its bound to be a proof."""


def best_order(market: Market, known: Numbers) -> tuple[Numbers, Doubt | None]:
    """The best order found, starting from one that is ``known``, and what could not be proven of it."""
    programme = _Programme(market, known)
    for aim, doubt in enumerate(_DOUBTS):
        if not programme.proves(aim):
            return programme.numbers, doubt
    return programme.numbers, None


class _Programme:
    """The three programmes over one request, and the best order known."""

    def __init__(self, market: Market, known: Numbers) -> None:
        # highspy's own Highs writes a line to stdout before it can be told not to
        from highspy._core import _Highs

        self._market = market
        self.numbers = known
        shipping = [each.shipping for each in market.suppliers]
        nothing = [0] * len(shipping)
        self._aims = (
            [*(pack.price for pack in market.packs), *shipping],
            [*(1 for _ in market.packs), *nothing],
            [*(pack.size for pack in market.packs), *nothing],
        )
        self._lp = self._whole()
        self._solver = _Highs()
        for name, value in _OPTIONS.items():
            self._solver.setOptionValue(name, value)

    def proves(self, aim: int) -> bool:
        """Look for an order that is better in this aim, the ones before held; True where none is left out."""
        from highspy import HighsModelStatus

        if aim:
            self._hold(aim - 1)
        self._lp.col_cost_ = [_SCALE * each for each in self._aims[aim]]
        self._solver.setOptionValue("mip_max_nodes", MOST_WORK[aim] // (len(self._aims[aim]) + 20))
        self._solver.passModel(self._lp)
        self._solver.run()
        self._keep([round(value) for value in self._solver.getSolution().col_value])
        if self._solver.getModelStatus() != HighsModelStatus.kOptimal:
            return False
        known = self._known()[aim]
        return known < _TELLABLE and self._solver.getInfo().mip_dual_bound / _SCALE > known - 1 + _LEEWAY

    def _known(self) -> tuple[int, int, int]:
        weight = self._market.weigh(self.numbers)
        assert weight is not None
        return aims_of(weight)

    def _hold(self, aim: int) -> None:
        """Hold later orders to what is known in this aim, with half a unit of slack: no rounding shuts it out."""
        known = self._known()[aim]
        lower, upper = list(self._lp.row_lower_), list(self._lp.row_upper_)
        lower[aim], upper[aim] = known - 0.5, known + 0.5
        self._lp.row_lower_, self._lp.row_upper_ = lower, upper

    def _keep(self, values: list[int]) -> None:
        """Take what the solver found, if it is an order, and better than the one known."""
        numbers = tuple(
            (index, number) for index, number in enumerate(values[: len(self._market.packs)]) if number
        )
        weight = self._market.weigh(numbers)
        if weight is not None and self._market.covers(numbers) and aims_of(weight) < self._known():
            self.numbers = numbers

    def _whole(self) -> HighsLp:
        """Everything but the aim: first a row for each aim that may be held, then those that make it an order."""
        from highspy import HighsLp, HighsVarType, MatrixFormat, kHighsInf

        rows = [(dict(enumerate(aim)), -kHighsInf) for aim in self._aims[:2]] + self._rows()
        most = self._most()
        lp = HighsLp()
        lp.num_col_, lp.num_row_ = len(most), len(rows)
        lp.col_lower_, lp.col_upper_ = [0.0] * len(most), [float(each) for each in most]
        lp.integrality_ = [HighsVarType.kInteger] * len(most)
        lp.row_lower_, lp.row_upper_ = [least for _, least in rows], [kHighsInf] * len(rows)
        entries = [[(place, value) for place, value in row.items() if value] for row, _ in rows]
        lp.a_matrix_.format_ = MatrixFormat.kRowwise
        lp.a_matrix_.start_ = [*accumulate(map(len, entries), initial=0)]
        lp.a_matrix_.index_ = [place for row in entries for place, _ in row]
        lp.a_matrix_.value_ = [float(value) for row in entries for _, value in row]
        return lp

    def _rows(self) -> list[tuple[dict[int, int], float]]:
        """What each variable counts for in a row, and the row's least."""
        market = self._market
        rows: list[tuple[dict[int, int], float]] = [
            ({choice.index: choice.size for choice in demand.choices}, demand.amount) for demand in market.demands
        ]
        bought = len(market.packs)
        for number, supplier in enumerate(market.suppliers):
            sold = {
                index: pack.price for index, pack in enumerate(market.packs) if market.supplier_of[index] == number
            }
            rows.append((sold | {bought + number: -supplier.minimum_order}, 0))
        for index, most in enumerate(self._most()[:bought]):
            rows.append(({index: -1, bought + market.supplier_of[index]: most}, 0))
        return rows

    def _most(self) -> list[int]:
        market = self._market
        amounts = {choice.index: demand.amount for demand in market.demands for choice in demand.choices}
        most = []
        for index, pack in enumerate(market.packs):
            alone = -(-amounts.get(index, 0) // pack.size)
            minimum = market.suppliers[market.supplier_of[index]].minimum_order
            most.append(max(alone, -(-minimum // pack.price)) if pack.price else alone)
        return [*most, *(1 for _ in market.suppliers)]
