"""Cutting plans as open JSON, version 1: lengths in mm, rounded to 0.001, money in whole minor units."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from domain.cutting.bars import plan_bars
from domain.cutting.plan import BarPlan, CutBar, CutSheet, Placed, SheetPlan, Unplaced
from domain.cutting.request import CuttingRequest
from domain.cutting.sheets import plan_sheets
from domain.takeoff.document import json_mm

FORMAT = "dovetally-cutting"
VERSION = 1


@dataclass(frozen=True, slots=True)
class Cutting:
    """The plans of a request, in its order."""

    bars: tuple[BarPlan, ...]
    sheets: tuple[SheetPlan, ...]

    @property
    def everything_placed(self) -> bool:
        """True where every piece comes out of some stock."""
        plans: tuple[BarPlan | SheetPlan, ...] = (*self.bars, *self.sheets)
        return not any(plan.unplaced for plan in plans)


def plan_cutting(request: CuttingRequest) -> Cutting:
    """Plan every item of a request by itself."""
    return Cutting(tuple(map(plan_bars, request.bars)), tuple(map(plan_sheets, request.sheets)))


def cutting_document(cutting: Cutting) -> dict[str, Any]:
    """The plans as a JSON-ready dictionary. ``stock`` is a stock's place in the request."""
    return {
        "format": FORMAT,
        "version": VERSION,
        "bars": [_plan(plan, [_bar(bar) for bar in plan.cuts]) for plan in cutting.bars],
        "sheets": [_plan(plan, [_sheet(sheet) for sheet in plan.cuts]) for plan in cutting.sheets],
    }


def _plan(plan: BarPlan | SheetPlan, rows: Sequence[dict[str, Any]]) -> dict[str, Any]:
    return {
        "item": plan.item,
        "plan": list(rows),
        "used": plan.used,
        "cost": plan.cost,
        "bound": plan.bound,
        "proven": plan.proven,
        "unplaced": [_unplaced(unplaced) for unplaced in plan.unplaced],
    }


def _bar(bar: CutBar) -> dict[str, Any]:
    pieces = [[mark, count] for mark, count in bar.pieces]
    return {"stock": bar.stock, "times": bar.times, "pieces": pieces, "left": json_mm(bar.left.mm)}


def _sheet(sheet: CutSheet) -> dict[str, Any]:
    return {"stock": sheet.stock, "times": sheet.times, "placed": [_placed(piece) for piece in sheet.placed]}


def _placed(piece: Placed) -> dict[str, Any]:
    sizes = {"x": piece.x, "y": piece.y, "length": piece.length, "width": piece.width}
    return {"mark": piece.mark, **{name: json_mm(size.mm) for name, size in sizes.items()}, "turned": piece.turned}


def _unplaced(unplaced: Unplaced) -> dict[str, Any]:
    return {"mark": unplaced.mark, "count": unplaced.count, "why": unplaced.why()}
