"""``dovetally cutting``: how bars and sheets are cut, as lines of text."""

from __future__ import annotations

from collections.abc import Iterator

from domain.cutting.document import Cutting
from domain.cutting.plan import BarPlan, SheetPlan
from domain.cutting.request import BarItem, CuttingRequest, SheetItem
from domain.lengths import Units
from webapp.terminal.result_tables import Row, columns
from webapp.wording.cutting import bar_pieces, cost_words, sheet_pieces, stock_words, unplaced_words
from webapp.wording.figures import size

_BARS: Row = ("Pieces", "", "Bars", "of", "Left of each")


def cutting_tables(request: CuttingRequest, cutting: Cutting, units: Units = Units.MM) -> Iterator[str]:
    """Every item with what is cut from what, what cannot be cut, and what it costs."""
    for item, plan in zip(request.bars, cutting.bars, strict=True):
        yield item.item
        yield from _bars(item, plan, units)
        yield from _end(item, plan, request.currency, units)
    for board, layout in zip(request.sheets, cutting.sheets, strict=True):
        yield board.item
        yield from _sheets(board, layout, units)
        yield from _end(board, layout, request.currency, units)


def _bars(item: BarItem, plan: BarPlan, units: Units) -> Iterator[str]:
    rows = [
        (
            bar_pieces(bar),
            "",
            str(bar.times),
            stock_words(item.stock[bar.stock], units),
            str(size(bar.left, units)),
        )
        for bar in plan.cuts
    ]
    if rows:
        yield from columns([_BARS, *rows])


def _sheets(item: SheetItem, plan: SheetPlan, units: Units) -> Iterator[str]:
    for sheet in plan.cuts:
        yield f"  {sheet.times} × {stock_words(item.stock[sheet.stock], units)}"
        yield from (f"    {piece}" for piece in sheet_pieces(sheet, units))


def _end(item: BarItem | SheetItem, plan: BarPlan | SheetPlan, currency: str, units: Units) -> Iterator[str]:
    for unplaced in plan.unplaced:
        yield f"  {unplaced_words(unplaced, units)}"
    yield f"  {cost_words(plan, item, currency)}"
    yield ""
