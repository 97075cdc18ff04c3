"""What no plan for sheets can cost less than: by area, and by what of a piece cannot lie beside what of another.

A dual feasible function gives each length of a whole a share, so that lengths which fit into the whole together
never have shares of more than one. The product of a share along the sheet and one across is then a piece's share
of a sheet (S. P. Fekete and J. Schepers, "New classes of fast lower bounds for bin packing problems", Mathematical
Programming 91 (2001) 11-31, from memory). What may be turned counts the lesser of its ways. It holds for any
packing, and so for cuts from edge to edge.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence

from domain.cutting.guillotine import Kind, Sheet
from domain.cutting.whole_bars import Row, least_cost_of_bars

Share = Callable[[int], int]
"""The share of a length, in parts of ``PARTS``."""

PARTS = 1 << 20
MOST_THRESHOLDS = 12


def least_cost_of_sheets(kinds: Sequence[Kind], sheets: Sequence[Sheet]) -> int:
    """A bound on the cost of any plan for all these pieces."""
    return least_cost_of_bars(
        [sheet.cost for sheet in sheets], [sheet.most for sheet in sheets], [*_rows(kinds, sheets)]
    )


def _rows(kinds: Sequence[Kind], sheets: Sequence[Sheet]) -> Iterator[Row]:
    yield Row(tuple(sheet.area for sheet in sheets), sum(kind.area * kind.count for kind in kinds))
    length, width = max(sheet.length for sheet in sheets), max(sheet.width for sheet in sheets)
    along = _shares(length, sorted({way[0] for kind in kinds for way in kind.ways}))
    across = _shares(width, sorted({way[1] for kind in kinds for way in kind.ways}))
    best: dict[tuple[int, ...], int] = {}
    for of_length in along:
        for of_width in across:
            needed = sum(kind.count * min(of_length(a) * of_width(b) for a, b in kind.ways) for kind in kinds)
            worths = tuple(of_length(sheet.length) * of_width(sheet.width) for sheet in sheets)
            best[worths] = max(best.get(worths, 0), needed)
    # the strongest few: each costs a little at every step of the search for whole sheets
    ranked = sorted(best.items(), key=lambda each: -each[1] / max(1, max(each[0])))
    yield from (Row(worths, needed) for worths, needed in ranked[:6])


def _shares(whole: int, lengths: Sequence[int]) -> list[Share]:
    """Shares of the whole: as it is; rounded to halves, thirds and so on; without what is under a threshold."""
    halves = [length for length in lengths if 2 * length <= whole]
    step = max(1, len(halves) // MOST_THRESHOLDS)
    return [
        lambda length: length * PARTS // whole,
        *(_rounded(whole, parts) for parts in range(1, 6)),
        *(_without_small(whole, threshold) for threshold in halves[::step]),
    ]


def _rounded(whole: int, parts: int) -> Share:
    """Lengths of which only so many fit count as so much of the whole; a length between keeps its own share."""

    def share(length: int) -> int:
        if length * (parts + 1) % whole == 0:
            return length * PARTS // whole
        return length * (parts + 1) // whole * PARTS // parts

    return share


def _without_small(whole: int, threshold: int) -> Share:
    """What leaves less than the threshold counts as the whole, what is smaller than it as nothing."""

    def share(length: int) -> int:
        if length > whole - threshold:
            return PARTS
        return length * PARTS // whole if length >= threshold else 0

    return share
