"""Pieces that come from one length, and mitred pieces nested tip to tip: counted by hand, and laid by shapely."""

from __future__ import annotations

from collections.abc import Mapping
from random import Random
from typing import Any

import pytest
from shapely import Polygon
from shapely.affinity import translate

from domain.cutting.bars import plan_bars
from domain.cutting.plan import BarPlan, WhyUnplaced
from domain.cutting.request import BarItem
from domain.problems import BadInput, path_text
from tests.published.cutting_oracle import request_of


def item_of(stock: list[dict[str, Any]], **more: Any) -> BarItem:
    base = {"item": "rail 44 × 21", "kerf": 0, "stock": stock, "pieces": []}
    return request_of(bars=[base | more]).bars[0]


def test_a_set_is_cut_from_one_length_in_its_order() -> None:
    # round a box: 310 + 170 + 310 + 170 and three kerfs of 3 are 969
    item = item_of(
        [{"length": 989}],
        kerf=3,
        trim=10,
        pieces=[{"mark": "B1", "length": 400, "count": 2}],
        matched=[{"mark": "A", "together": [["A1", 310], ["A2", 170], ["A1", 310], ["A2", 170]], "count": 2}],
    )
    plan = plan_bars(item)
    assert [(bar.times, bar.pieces, bar.left.mm) for bar in plan.cuts] == [
        (2, (("A1", 1), ("A2", 1), ("A1", 1), ("A2", 1)), 0.0),
        (1, (("B1", 2),), 166.0),
    ]
    assert [bar.asked for bar in plan.cuts] == [(("A", 1),), (("B1", 2),)]


def test_a_hair_less_and_a_set_is_too_long_as_one() -> None:
    item = item_of(
        [{"length": 699}], kerf=4, matched=[{"mark": "A", "together": [["A1", 348], ["A2", 348]], "count": 1}]
    )
    plan = plan_bars(item)
    assert [(each.mark, each.code) for each in plan.unplaced] == [("A", WhyUnplaced.TOO_LONG)]
    assert plan.unplaced[0].why() == "no stock is long enough; the shortest that would do is 700 mm"


def mitred(lengths: Mapping[str, tuple[float, int]], taper: float) -> list[dict[str, Any]]:
    return [
        {"mark": mark, "length": length, "short_length": length - 2 * taper, "count": count}
        for mark, (length, count) in lengths.items()
    ]


def test_nested_by_hand() -> None:
    # 45 wide at 45°: 4 × (300 + 210) / 2 + 45 = 1065, where as they are long it were 1200
    pieces = mitred({"A1": (300, 4)}, 45)
    assert plan_bars(item_of([{"length": 1065}], nest_width=45, pieces=pieces)).used == 1
    assert plan_bars(item_of([{"length": 1064.999999}], nest_width=45, pieces=pieces)).used == 2
    assert plan_bars(item_of([{"length": 1065}], pieces=pieces)).used == 2


def test_a_piece_by_itself_takes_its_length() -> None:
    pieces = mitred({"A1": (300, 1)}, 30)
    plan = plan_bars(item_of([{"length": 300}], kerf=3, nest_width=52, pieces=pieces))
    assert [(bar.pieces, bar.left.mm) for bar in plan.cuts] == [((("A1", 1),), 0.0)]


def lay_tip_to_tip(item: BarItem, plan: BarPlan) -> None:
    """Lay every bar as trapezoids, each as near to the one before as the saw allows, and see what it comes to."""
    pieces = {piece.mark: piece for piece in item.pieces}
    assert item.nest_width is not None
    width, kerf = item.nest_width.mm, item.kerf.mm
    for bar in plan.cuts:
        end = float("-inf")
        laid: list[Polygon] = []
        for turned, mark in enumerate(mark for mark, count in bar.pieces for _ in range(count)):
            piece = pieces[mark]
            assert piece.short_length is not None
            long, taper = piece.length.mm, (piece.length.mm - piece.short_length.mm) / 2
            low, high = ((0, long), (taper, long - taper))[:: -1 if turned % 2 else 1]
            shape = Polygon([(low[0], 0), (low[1], 0), (high[1], width), (high[0], width)])
            start = 0.0 if not laid else end
            shape = translate(shape, start)
            if laid:
                # pushed up until the saw just passes between
                shape = translate(shape, kerf * (width**2 + taper**2) ** 0.5 / width)
                assert shape.distance(laid[-1]) == pytest.approx(kerf, abs=2e-6)
            laid.append(shape)
            # where the next one's left side would meet this one's right
            end = shape.bounds[2] - taper
        room = item.stock[bar.stock].length.mm - 2 * item.trim.mm
        farthest = max(shape.bounds[2] for shape in laid) - min(shape.bounds[0] for shape in laid)
        assert farthest <= room + 1e-6
        assert bar.left.mm == pytest.approx(room - farthest, abs=1e-4)
        assert bar.left.mm <= room - farthest + 1e-6


@pytest.mark.parametrize("seed", range(12))
def test_nested_bars_laid_again_as_trapezoids(seed: int) -> None:
    rng = Random(seed)
    width, taper = rng.randint(30, 90), rng.choice((12.5, 30, 45.123457))
    lengths = {f"P{at}": (rng.randint(240, 900), rng.randint(1, 5)) for at in range(rng.randint(1, 4))}
    stock: list[dict[str, Any]] = [{"length": 2300, "price": 1210}, {"length": rng.randint(950, 1800), "count": 2}]
    more: dict[str, Any] = {"kerf": rng.choice((0, 2.6, 3.4)), "trim": rng.choice((0, 9))}
    pieces = mitred(lengths, taper)
    nested = item_of(stock, nest_width=width, pieces=pieces, **more)
    plan = plan_bars(nested)
    lay_tip_to_tip(nested, plan)
    cut = {
        mark: sum(bar.times * n for bar in plan.cuts for each, n in bar.pieces if each == mark) for mark in lengths
    }
    assert cut == {mark: count for mark, (_, count) in lengths.items()}
    assert plan.cost <= plan_bars(item_of(stock, pieces=pieces, **more)).cost


@pytest.mark.parametrize(
    ("more", "path"),
    [
        ({"nest_width": 40, "pieces": [{"mark": "A1", "length": 300, "count": 1}]}, "bars[0].nest_width"),
        ({"nest_width": 40, "pieces": [*mitred({"A1": (300, 1)}, 40), {"mark": "A2", "length": 9, "count": 1}]},
         "bars[0].nest_width"),
        ({"nest_width": 2, "kerf": 3, "pieces": mitred({"A1": (300, 1)}, 2)}, "bars[0].nest_width"),
        ({"pieces": [{"mark": "A1", "length": 300, "short_length": 301, "count": 1}]},
         "bars[0].pieces[0].short_length"),
        ({"matched": [{"mark": "A", "together": [["A1", 30], ["A1", 31]], "count": 1}]},
         "bars[0].matched[0].together[1]"),
        ({"matched": [{"mark": "A", "together": [["A1", 30]], "count": 1}]}, "bars[0].matched[0].together"),
    ],
)  # fmt: skip
def test_what_cannot_be_laid_so_is_named(more: dict[str, Any], path: str) -> None:
    with pytest.raises(BadInput) as refusal:
        item_of([{"length": 900}], **more)
    assert [path_text(problem.path) for problem in refusal.value.problems] == [path]
