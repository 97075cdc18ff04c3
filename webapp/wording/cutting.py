"""A cutting plan in words: what is sawn from which stock, what is left, what it costs and what is proven."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

from domain.cutting.plan import BarPlan, CutBar, CutSheet, Placed, SheetPlan, Unplaced
from domain.cutting.request import BarItem, BarStock, CuttingRequest, SheetItem, SheetStock, is_priced
from domain.lengths import Units
from webapp.wording.figures import size
from webapp.wording.money import format_money

if TYPE_CHECKING:
    from domain.cutting.document import Cutting


def stock_words(stock: BarStock | SheetStock, units: Units) -> str:
    """A stock by its sizes, as it is sold."""
    if isinstance(stock, SheetStock):
        return f"{size(stock.length, units).bare} × {size(stock.width, units)}"
    return str(size(stock.length, units))


def bar_pieces(bar: CutBar) -> str:
    """The pieces of a bar in the order they are sawn: "A1 × 3, A2"."""
    return ", ".join(mark if count == 1 else f"{mark} × {count}" for mark, count in bar.pieces)


def sheet_pieces(sheet: CutSheet, units: Units) -> tuple[str, ...]:
    """Every piece of a sheet with its place from the sheet's corner."""
    return tuple(_placed(piece, units) for piece in sheet.placed)


def cost_words(plan: BarPlan | SheetPlan, item: BarItem | SheetItem, currency: str) -> str:
    """What is used and costs how much, and whether that is proven to be the least."""
    if not plan.cuts:
        return "Nothing can be cut."
    noun = ("bar" if isinstance(item, BarItem) else "sheet") + ("" if plan.used == 1 else "s")
    priced = is_priced(item.stock)
    cost = f", {format_money(plan.cost, currency)}" if priced else ""
    used = f"{plan.used} {noun}{cost}"
    if plan.proven:
        return f"{used}: proven to be the least."
    least = format_money(plan.bound, currency) if priced else str(plan.bound)
    return f"{used}: no better plan was found; none takes less than {least}."


def total_cost(request: CuttingRequest, cutting: Cutting) -> int | None:
    """What all woods that have prices cost together, in minor units; None where none has."""
    items: Sequence[BarItem | SheetItem] = (*request.bars, *request.sheets)
    plans: Sequence[BarPlan | SheetPlan] = (*cutting.bars, *cutting.sheets)
    costs = [plan.cost for item, plan in zip(items, plans, strict=True) if is_priced(item.stock)]
    return sum(costs) if costs else None


def unplaced_words(unplaced: Unplaced, units: Units) -> str:
    """Pieces that are in no plan, and why."""
    return f"{unplaced.mark}, {unplaced.count} off, cannot be cut: {unplaced.why(units)}"


def _placed(piece: Placed, units: Units) -> str:
    at = f"at {size(piece.x, units).bare}, {size(piece.y, units)}"
    turned = ", turned" if piece.turned else ""
    return f"{piece.mark} {at}: {size(piece.length, units).bare} × {size(piece.width, units)}{turned}"
