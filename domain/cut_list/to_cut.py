"""The cut list as what a cutting plan is asked for: items with their pieces, still without stock."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from domain.cut_list.listing import CutList, Group
from domain.cut_list.part import CutPart, Sort
from domain.cutting.request import MOST_PIECES, BarItem, BarPiece, SheetItem, SheetPiece
from domain.lengths import Length
from domain.problem_codes import ProblemCode
from domain.problems import BadInput, Problem


@dataclass(frozen=True, slots=True)
class ToCut:
    """Everything of a cut list to be planned: whoever plans it adds the stock, the trim and the least offcut."""

    bars: tuple[BarItem, ...]
    sheets: tuple[SheetItem, ...]


def to_cut(listed: CutList) -> ToCut:
    """Every group as an item with rough sizes, as its rules have it sawn, and no stock yet.

    Marks are those that ``CutList.called`` says. Raises BadInput for more pieces than are planned in one go.
    """
    pieces = sum(group.pieces for group in listed.groups)
    if pieces > MOST_PIECES:
        raise BadInput([Problem.of((), pieces, ProblemCode.TOO_MANY_PIECES, most_n=MOST_PIECES)])
    return ToCut(
        tuple(_bars(listed, group) for group in listed.groups if group.sort is Sort.BAR),
        tuple(_sheets(listed, group) for group in listed.groups if group.sort is Sort.SHEET),
    )


def _bars(listed: CutList, group: Group) -> BarItem:
    pieces = tuple(
        BarPiece(mark=mark, length=_length(part.rough.length), count=count)
        for part in group.parts
        for mark, count in _counted(listed, part)
    )
    return BarItem(item=group.item, **_ways(group), stock=(), pieces=pieces)


def _sheets(listed: CutList, group: Group) -> SheetItem:
    pieces = tuple(
        SheetPiece(
            mark=mark,
            length=_length(part.rough.length),
            width=_length(part.rough.width),
            count=count,
            grain=part.grain,
        )
        for part in group.parts
        for mark, count in _counted(listed, part)
    )
    return SheetItem(item=group.item, **_ways(group), stock=(), pieces=pieces)


def _ways(group: Group) -> dict[str, Length]:
    ways = {"kerf": group.kerf, "trim": group.trim, "least_offcut": group.least_offcut}
    return {name: _length(size) for name, size in ways.items()}


def _counted(listed: CutList, part: CutPart) -> Iterator[tuple[str, int]]:
    """A part's mark with its pieces; more than an item's piece may count go on under the mark with a number."""
    most, mark = 10_000, listed.called(part)
    for start in range(0, part.quantity, most):
        number = start // most
        yield mark if not number else f"{mark} ({number + 1})", min(most, part.quantity - start)


def _length(mm: float) -> Length:
    """To a micrometre, as every document says it."""
    return Length.from_mm(round(mm, 3))
