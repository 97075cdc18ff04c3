"""What no cutting plan can cost less than, in whole numbers.

Whatever a piece of each size is said to be worth, all pieces together are worth so much; if no filling of a bar
is worth more than the bar costs, the bars cost at least that. Where a filling is worth more, worths are made
smaller until none is (A. A. Farley, "A note on bounding a class of linear programming problems, including cutting
stock problems", Operations Research 38 (1990) 922-923, from memory); for a stock of which there are only so many,
what is worth more is taken off as often as there are bars of it.
"""

from __future__ import annotations

from collections.abc import Sequence
from fractions import Fraction
from math import ceil

from domain.cutting.filling import Fillings
from domain.cutting.lengthwise import Job
from domain.cutting.whole_bars import Row

FINENESS = 1 << 20
"""Worths are whole numbers of this part of a minor unit, so that sums of them are exact."""


def whole(worths: Sequence[float]) -> list[int]:
    """Worths from a solver, as whole numbers; none below nothing."""
    return [max(0, round(worth * FINENESS)) for worth in worths]


def row_of(job: Job, values: Sequence[int], fillings: Fillings) -> Row:
    """What bars are worth at most, and all pieces together, where pieces have these whole values."""
    return Row(fillings.bounds, sum(value * demand for value, demand in zip(values, job.demands, strict=True)))


def least_cost(job: Job, row: Row) -> int:
    """A bound on the cost of any plan, from what bars and pieces are worth by a solver's ``whole`` worths."""
    share = Fraction(1)
    for bar, worth in zip(job.bars, row.worths, strict=True):
        if bar.most is None and worth > bar.cost * FINENESS:
            share = min(share, Fraction(bar.cost * FINENESS, worth))
    taken = sum(
        (max(Fraction(0), worth * share - bar.cost * FINENESS) * bar.most)
        for bar, worth in zip(job.bars, row.worths, strict=True)
        if bar.most is not None
    )
    return max(0, ceil((row.needed * share - taken) / FINENESS))
