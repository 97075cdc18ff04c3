"""``dovetally cutting``: how bars and sheets are cut, as lines of text."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import chain
from typing import TYPE_CHECKING, Any

from domain.cutting.laid import laid_bar
from domain.cutting.plan import BarPlan, SheetPlan
from domain.cutting.request import BarItem, CuttingRequest, SheetItem, read_cutting_request
from domain.lengths import Units
from webapp.terminal.result_tables import Row, columns
from webapp.wording.cutting import bar_pieces, cost_words, sheet_pieces, stock_words, unplaced_words
from webapp.wording.figures import size

if TYPE_CHECKING:
    from domain.cutting.document import Cutting

_BARS: Row = ("Pieces", "", "Bars", "of", "Left over")


def cut_file(document: object) -> tuple[dict[str, Any], Iterator[str], bool]:
    """A cutting request or a project planned: as JSON, as lines, and whether all is cut. Raises BadInput."""
    from domain.cut_list.of_file import asked_of_project
    from domain.cutting.document import cutting_document
    from webapp.usecases.cutting_plans import asked_document, plan_now
    from webapp.usecases.files import is_project, plan_document

    if not is_project(document):
        request = read_cutting_request(document)
        cutting = plan_now(request)
        return cutting_document(cutting), cutting_tables(request, cutting), cutting.everything_placed
    project, takeoff = plan_document(document)
    asked = asked_of_project(project, takeoff)
    cutting = plan_now(asked.request)
    remarks = [remark.text(project.units) for remark in asked.remarks]
    lines = chain(cutting_tables(asked.request, cutting, project.units), remarks)
    return asked_document(asked, cutting, project), lines, cutting.everything_placed


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
            str(size(laid_bar(item, bar).offcut, units)),
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
