"""The fullest or dearest filling of a bar: a knapsack with so many of each size, over a grid of lengths.

One table serves every stock of a job: what the best filling of each capacity is worth. Lengths that have no
common measure coarse enough for a table are put on a grid: with sizes rounded down, what is best there is worth
at least as much as any real filling, which is what a bound needs; with sizes rounded up, every filling is real.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import reduce
from math import gcd

import numpy as np
from numpy.typing import NDArray

from domain.cutting.lengthwise import Counts, Job, Pattern

MOST_CELLS = 60_000
"""Cells of a table: bars of 6 m in tenths of a millimetre."""


@dataclass(frozen=True, slots=True)
class Fillings:
    """For each of a job's stocks: a bound on what any filling is worth, and the best that is known to fit."""

    bounds: tuple[int, ...]
    patterns: tuple[Pattern, ...]


def best_fillings(job: Job, values: Sequence[int]) -> Fillings:
    """The best fillings where a piece of each size is worth so much, with no more of any than is asked for."""
    cell, exact = _grid(job)
    table = _Table([size // cell for size in job.sizes], values, job.demands, _cells(job, cell))
    bounds = tuple(table.worth(bar.capacity // cell) for bar in job.bars)
    found = [table.filling(bar.capacity // cell) for bar in job.bars]
    if not exact and not _all_fit(job, found):
        careful = _Table([-(-size // cell) for size in job.sizes], values, job.demands, _cells(job, cell))
        found = [
            counts if job.length(counts) <= bar.capacity else careful.filling(bar.capacity // cell)
            for counts, bar in zip(found, job.bars, strict=True)
        ]
    return Fillings(bounds, tuple(Pattern(index, counts) for index, counts in enumerate(found)))


def _all_fit(job: Job, fillings: Sequence[Counts]) -> bool:
    return all(job.length(counts) <= bar.capacity for counts, bar in zip(fillings, job.bars, strict=True))


def _cells(job: Job, cell: int) -> int:
    return max(bar.capacity for bar in job.bars) // cell


def _grid(job: Job) -> tuple[int, bool]:
    """The length of a cell, and whether every size and capacity is a whole number of them."""
    common = reduce(gcd, (*job.sizes, *(bar.capacity for bar in job.bars)))
    longest = max(bar.capacity for bar in job.bars)
    if longest // common <= MOST_CELLS:
        return common, True
    return -(-longest // MOST_CELLS), False


class _Table:
    """What the best filling of every capacity up to the greatest is worth, and how to read the filling back."""

    def __init__(self, sizes: Sequence[int], values: Sequence[int], most: Sequence[int], cells: int) -> None:
        self._kinds = len(sizes)
        self._chunks: list[tuple[int, int, int, NDArray[np.bool_]]] = []
        self._best = np.zeros(cells + 1, dtype=np.int64)
        for index, (size, value, demand) in enumerate(zip(sizes, values, most, strict=True)):
            if value > 0 and size <= cells:
                # a piece rounded down to nothing takes no room at all on the grid
                self._add(index, size, value, min(demand, cells // size) if size else demand)

    def _add(self, index: int, size: int, value: int, number: int) -> None:
        """Up to ``number`` of a size, in chunks of one, two, four and so on."""
        chunk = 1
        while number > 0:
            taken = min(chunk, number)
            self._take(index, taken, taken * size, taken * value)
            number -= taken
            chunk *= 2

    def _take(self, index: int, taken: int, length: int, value: int) -> None:
        room = len(self._best) - length
        offered = self._best[:room] + value
        better = offered > self._best[length:]
        self._best[length:][better] = offered[better]
        self._chunks.append((index, taken, length, better))

    def worth(self, capacity: int) -> int:
        return int(self._best[capacity]) if capacity >= 0 else 0

    def filling(self, capacity: int) -> Counts:
        counts = [0] * self._kinds
        for index, taken, length, better in reversed(self._chunks):
            if capacity >= length and better[capacity - length]:
                counts[index] += taken
                capacity -= length
        return tuple(counts)
