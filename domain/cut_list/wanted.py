"""What is taken or bought for a cut list: the bars and sheets of its cutting plan, else strips or boards.

A wood that its plan can cut whole is bought in the lengths of the plan. Where the plan leaves pieces over, or
there are no lengths to plan with, it is bought as a strip of the very section, or else as boards that are thick
enough, the thinnest of them: all of it, with the rules' waste.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from enum import StrEnum
from fractions import Fraction

from domain.cut_list.part import Sort
from domain.cut_list.timber import TimberLine
from domain.cutting.plan import BarPlan, SheetPlan
from domain.lengths import Length
from domain.ordering.items import Item, ItemKind, wood_of


class BoughtAs(StrEnum):
    """In what form a wood is taken or bought."""

    PLANNED = "planned"
    """The bars or sheets of a cutting plan."""
    STRIP = "strip"
    BOARDS = "boards"
    NOTHING = "nothing"
    """Neither is kept or offered; or the plan is the project's own."""


@dataclass(frozen=True, slots=True)
class Wanted:
    """What a wood of the list takes: how much of each item, in its own units, exact.

    ``missing`` pieces get none.
    """

    line: TimberLine
    bought_as: BoughtAs
    items: Mapping[Item, Fraction] = field(default_factory=dict)
    missing: int = 0


def wanted(
    line: TimberLine,
    plan: BarPlan | SheetPlan | None,
    stock: Sequence[Item],
    kept: Collection[Item],
) -> Wanted:
    """What a wood takes. ``stock`` has the item of each stock of the plan, ``kept`` all that the shop knows."""
    left_over = line.group.pieces if plan is None else sum(each.count for each in plan.unplaced)
    if left_over:
        other = _in_one(line, kept)
        if other is not None:
            return other
    counted: dict[Item, Fraction] = {}
    for cut in () if plan is None else plan.cuts:
        item = stock[cut.stock]
        counted[item] = counted.get(item, Fraction(0)) + cut.times
    return Wanted(line, BoughtAs.PLANNED if counted else BoughtAs.NOTHING, counted, left_over)


def whole_needs(every: Iterable[Wanted]) -> dict[Item, int]:
    """How much of each item in all, rounded up to whole units once, in the items' own order."""
    total: dict[Item, Fraction] = {}
    for each in every:
        for item, quantity in each.items.items():
            total[item] = total.get(item, Fraction(0)) + quantity
    ordered = sorted(total.items(), key=lambda pair: pair[0].order)
    return {item: -(-quantity.numerator // quantity.denominator) for item, quantity in ordered}


def _in_one(line: TimberLine, kept: Collection[Item]) -> Wanted | None:
    """The wood as a strip of its section, or as the thinnest boards that it can be planed from."""
    key = wood_of(line.group.item)
    if line.group.sort is not Sort.BAR or key is None:
        return None
    material, sizes = key
    for item in kept:
        if item.kind is ItemKind.STRIP and item.wood_key == key:
            return Wanted(line, BoughtAs.STRIP, {item: line.measured.gross_length})
    boards = [item for item in kept if item.kind is ItemKind.BOARD and item.material.casefold() == material]
    thick = [item for item in boards if _thickness(item).nm >= min(sizes)]
    if not thick:
        return None
    board = min(thick, key=lambda item: _thickness(item).nm)
    return Wanted(line, BoughtAs.BOARDS, {board: line.measured.as_thick_as(_thickness(board))})


def _thickness(board: Item) -> Length:
    assert board.thickness is not None
    return board.thickness
