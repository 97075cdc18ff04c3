"""Sheets cut from edge to edge: counted by hand."""

from __future__ import annotations

from typing import Any

from domain.cutting.plan import SheetPlan, WhyUnplaced
from domain.cutting.sheets import plan_sheets
from domain.lengths import Units
from tests.published.cutting_oracle import request_of, sawn


def sheets(
    stock: list[dict[str, Any]], pieces: dict[str, tuple[float, float, int]], grain: str = "any", **more: Any
) -> SheetPlan:
    listed = [
        {"mark": mark, "length": length, "width": width, "count": count, "grain": grain}
        for mark, (length, width, count) in pieces.items()
    ]
    item = request_of(sheets=[{"item": "board 15", "kerf": 0, "stock": stock, "pieces": listed, **more}]).sheets[0]
    plan = plan_sheets(item)
    missing = sum(each.count for each in plan.unplaced)
    assert sum(sawn(item, plan).values()) + missing == sum(piece.count for piece in item.pieces)
    return plan


def test_four_quarters_with_their_kerf_and_trim() -> None:
    # 2 × 300 + 4 = 604 = 620 − 2 × 8, and 2 × 150 + 4 = 304 = 320 − 2 × 8
    plan = sheets([{"length": 620, "width": 320}], {"B1": (300, 150, 4)}, kerf=4, trim=8)
    assert (plan.used, plan.cost, plan.bound) == (1, 1, 1)
    places = {(piece.x.mm, piece.y.mm) for piece in plan.cuts[0].placed}
    assert places == {(8, 8), (312, 8), (8, 162), (312, 162)}


def test_a_hair_less_takes_a_second_sheet() -> None:
    assert sheets([{"length": 619.99, "width": 320}], {"B1": (300, 150, 4)}, kerf=4, trim=8).used == 2


def test_grain_says_how_a_piece_lies() -> None:
    stock = [{"length": 800, "width": 400}]
    along = sheets(stock, {"B1": (390, 200, 1)}, "length").cuts[0].placed[0]
    across = sheets(stock, {"B1": (390, 200, 1)}, "width").cuts[0].placed[0]
    assert (along.turned, along.along.mm, along.across.mm) == (False, 390, 200)
    assert (across.turned, across.along.mm, across.across.mm) == (True, 200, 390)
    assert (across.length.mm, across.width.mm) == (390, 200)


def test_a_grain_that_fits_no_sheet_is_named_with_the_sheet_that_would_do() -> None:
    plan = sheets([{"length": 800, "width": 400}], {"B1": (390, 500, 2), "B2": (100, 100, 1)}, "length", trim=5)
    assert [(each.mark, each.count, each.code) for each in plan.unplaced] == [("B1", 2, WhyUnplaced.GRAIN)]
    assert plan.unplaced[0].why() == (
        "it would fit turned, which its grain forbids; the smallest sheet that would do is 400 mm x 510 mm"
    )
    assert plan.used == 1


def test_a_piece_larger_than_every_sheet_and_a_sheet_too_few() -> None:
    plan = sheets([{"length": 800, "width": 400, "count": 1}], {"B1": (801, 100, 1), "B2": (500, 300, 2)})
    assert [(each.mark, each.count, each.code) for each in plan.unplaced] == [
        ("B1", 1, WhyUnplaced.TOO_LARGE),
        ("B2", 1, WhyUnplaced.NO_SHEET_LEFT),
    ]
    assert (
        plan.unplaced[1].why(Units.INCH) == "no sheet is left over for it; one of 19 11/16″ x 11 13/16″ would do"
    )


def test_the_offcut_in_hand_and_the_cheaper_sheet() -> None:
    stock = [{"length": 1000, "width": 500, "price": 3100}, {"length": 520, "width": 510, "count": 1}]
    plan = sheets(stock, {"B1": (500, 250, 6)})
    # two on the offcut, four on one sheet
    assert (plan.cost, plan.bound, plan.used) == (3100, 3100, 2)


def test_sheets_that_are_cut_alike_stand_in_one_row() -> None:
    plan = sheets([{"length": 1000, "width": 500}], {"B1": (500, 250, 8)})
    assert [(sheet.times, len(sheet.placed)) for sheet in plan.cuts] == [(2, 4)]


def test_no_stock_at_all() -> None:
    plan = sheets([], {"B1": (500, 250, 8)})
    assert [(each.mark, each.count, each.code) for each in plan.unplaced] == [("B1", 8, WhyUnplaced.NO_STOCK)]
