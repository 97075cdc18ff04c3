"""Bars cut at least cost: counted by hand."""

from __future__ import annotations

from typing import Any

import pytest

from domain.cutting.bars import plan_bars
from domain.cutting.document import cutting_document, plan_cutting
from domain.cutting.plan import BarPlan, WhyUnplaced
from domain.cutting.request import MOST_PIECES
from domain.lengths import Units
from domain.problems import BadInput, path_text
from tests.published.cutting_oracle import request_of


def bars(stock: list[dict[str, Any]], pieces: dict[str, tuple[float, int]], **more: Any) -> BarPlan:
    listed = [{"mark": mark, "length": length, "count": count} for mark, (length, count) in pieces.items()]
    item = {"item": "rail 44 × 21", "kerf": 0, "stock": stock, "pieces": listed, **more}
    return plan_bars(request_of(bars=[item]).bars[0])


def rows(plan: BarPlan) -> list[tuple[int, int, tuple[tuple[str, int], ...], float]]:
    return [(bar.stock, bar.times, bar.pieces, bar.left.mm) for bar in plan.cuts]


def test_pieces_that_fill_a_bar_to_the_kerf() -> None:
    # 3 × 700 + 2 × 4 = 2108 of 2120 − 2 × 6
    plan = bars([{"length": 2120}], {"A1": (700, 6)}, kerf=4, trim=6)
    assert rows(plan) == [(0, 2, (("A1", 3),), 0.0)]
    assert (plan.used, plan.cost, plan.bound, plan.proven) == (2, 2, 2, True)


def test_a_hundredth_less_and_a_piece_fewer_fits() -> None:
    plan = bars([{"length": 2119.99}], {"A1": (700, 6)}, kerf=4, trim=6)
    assert (plan.used, plan.proven) == (3, True)


def test_offcuts_in_hand_are_free_and_come_first() -> None:
    # the offcut takes 900; 2 × 900 are left for one bar of 2000
    plan = bars([{"length": 2000, "price": 1130}, {"length": 950, "count": 1}], {"A1": (900, 3)})
    assert sorted(rows(plan)) == [(0, 1, (("A1", 2),), 200.0), (1, 1, (("A1", 1),), 50.0)]
    assert (plan.cost, plan.bound) == (1130, 1130)


def test_the_dearer_bar_where_it_spares_more_than_it_costs() -> None:
    # four of 640 come from one bar of 2600 at 17.00, or from two of 1900 at 9.50 each
    stock = [{"length": 1900, "price": 950}, {"length": 2600, "price": 1700}]
    assert bars(stock, {"A1": (640, 4)}).cost == 1700
    assert bars([{**stock[0], "price": 820}, stock[1]], {"A1": (640, 4)}).cost == 1640


def test_marks_of_one_length_share_a_pattern() -> None:
    plan = bars([{"length": 1000}], {"A1": (250, 3), "B2": (250, 5)})
    assert rows(plan) == [(0, 1, (("A1", 3), ("B2", 1)), 0.0), (0, 1, (("B2", 4),), 0.0)]


def test_nobody_is_given_more_than_was_asked_for() -> None:
    plan = bars([{"length": 1000}], {"A1": (300, 4)})
    # three and one would leave 700, but two and two are cut alike
    assert rows(plan) == [(0, 2, (("A1", 2),), 400.0)]


def test_a_piece_that_no_stock_is_long_enough_for_is_named_and_the_rest_is_cut() -> None:
    plan = bars([{"length": 1000}], {"A1": (1001, 2), "A2": (400, 2)}, trim=5)
    assert [(each.mark, each.count, each.code) for each in plan.unplaced] == [("A1", 2, WhyUnplaced.TOO_LONG)]
    assert plan.unplaced[0].why() == "no stock is long enough; the shortest that would do is 1011 mm"
    assert plan.unplaced[0].why(Units.INCH) == "no stock is long enough; the shortest that would do is 39 51/64″"
    assert rows(plan) == [(0, 1, (("A2", 2),), 190.0)]


def test_of_limited_stock_as_much_as_can_be_is_cut() -> None:
    # 900 holds 500 + 400 or 3 × 300; the most by length is both bars full
    plan = bars([{"length": 900, "count": 2}], {"A1": (500, 1), "A2": (400, 1), "A3": (300, 4)})
    assert {(each.mark, each.count, each.code) for each in plan.unplaced} == {("A3", 1, WhyUnplaced.NONE_LEFT)}
    assert [bar.left.mm for bar in plan.cuts] == [0.0, 0.0]


def test_no_stock_at_all() -> None:
    plan = bars([], {"A1": (500, 3)})
    assert [(each.mark, each.count, each.why()) for each in plan.unplaced] == [
        ("A1", 3, "there is no stock to cut it from")
    ]
    assert (plan.used, plan.cost, plan.proven) == (0, 0, True)


def test_a_bar_shorter_than_its_trims_gives_nothing() -> None:
    plan = bars([{"length": 30}], {"A1": (20, 1)}, trim=16)
    assert [each.code for each in plan.unplaced] == [WhyUnplaced.TOO_LONG]


def test_lengths_without_a_common_measure_are_cut_to_the_nanometre() -> None:
    # 16 × 15/32 in and 3 × 7.001 mm in a bar that holds just that: no grid of tenths shows it
    total = 16 * 11.90625 + 3 * 7.001
    assert bars([{"length": total}], {"A1": (11.90625, 16), "A2": (7.001, 3)}).used == 1
    assert bars([{"length": total - 0.000001}], {"A1": (11.90625, 16), "A2": (7.001, 3)}).used == 2


def test_many_pieces_have_an_honest_bound() -> None:
    pieces = {f"P{at}": (310.0 + 17 * at, 20 + at) for at in range(30)}
    plan = bars([{"length": 2400, "price": 1310}, {"length": 3000, "price": 1650}], pieces, kerf=3)
    assert plan.bound <= plan.cost <= 1.01 * plan.bound


@pytest.mark.parametrize(
    ("item", "path"),
    [
        ({"kerf": -1}, "bars[0].kerf"),
        ({"stock": [{"length": 0}]}, "bars[0].stock[0].length"),
        ({"pieces": [{"mark": "A1", "length": 5, "count": 0}]}, "bars[0].pieces[0].count"),
        ({"pieces": [{"mark": "A1", "length": 5, "count": 1}] * 2}, "bars[0].pieces[1].mark"),
        ({"colour": "red"}, "bars[0].colour"),
    ],
)
def test_what_cannot_be_asked_is_named_with_its_place(item: dict[str, Any], path: str) -> None:
    good = {"item": "rail", "kerf": 3, "stock": [{"length": 900}], "pieces": []}
    with pytest.raises(BadInput) as refusal:
        request_of(bars=[good | item])
    assert [path_text(problem.path) for problem in refusal.value.problems] == [path]


def test_more_pieces_than_one_plan_takes() -> None:
    pieces = [{"mark": f"A{at}", "length": 100, "count": MOST_PIECES // 2} for at in range(3)]
    with pytest.raises(BadInput) as refusal:
        request_of(bars=[{"item": "rail", "kerf": 3, "stock": [{"length": 900}], "pieces": pieces}])
    assert "30000: pieces are too many for one plan; give at most 20000" in str(refusal.value.problems[0])


def test_the_open_json() -> None:
    request = request_of(
        bars=[
            {
                "item": "rail",
                "kerf": 2,
                "stock": [{"length": 900}],
                "pieces": [{"mark": "A1", "length": 400.25, "count": 2}],
            }
        ],
        sheets=[
            {
                "item": "board",
                "kerf": 2,
                "trim": 5,
                "stock": [{"length": 700, "width": 300, "price": 410}],
                "pieces": [{"mark": "B1", "length": 280, "width": 600, "count": 1, "grain": "width"}],
            }
        ],
    )
    assert cutting_document(plan_cutting(request)) == {
        "format": "dovetally-cutting",
        "version": 1,
        "bars": [
            {
                "item": "rail",
                "plan": [{"stock": 0, "times": 1, "pieces": [["A1", 2]], "left": 97.5}],
                "used": 1,
                "cost": 1,
                "bound": 1,
                "proven": True,
                "unplaced": [],
            }
        ],
        "sheets": [
            {
                "item": "board",
                "plan": [
                    {
                        "stock": 0,
                        "times": 1,
                        "placed": [{"mark": "B1", "x": 5, "y": 5, "length": 280, "width": 600, "turned": True}],
                    }
                ],
                "used": 1,
                "cost": 410,
                "bound": 410,
                "proven": True,
                "unplaced": [],
            }
        ],
    }
