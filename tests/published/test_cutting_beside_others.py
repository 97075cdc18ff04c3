"""Cutting plans beside what others find: every way tried, and the guillotine heuristics of a general library.

``rectpack`` (Apache 2.0) has eighteen of them, after J. Jylänki, "A Thousand Ways to Pack the Bin" (2010), from
memory; each is tried here in three orders of the pieces.
"""

from __future__ import annotations

from collections.abc import Iterator
from functools import cache
from itertools import product
from random import Random
from typing import Any

import pytest
import rectpack
from rectpack import guillotine

from domain.cutting.bars import plan_bars
from domain.cutting.request import BarItem, SheetItem
from domain.cutting.sheets import plan_sheets
from tests.published.cutting_oracle import mended, request_of, sawn
from tests.torture import LONG, torture

CHOICES, SPLITS = ("Baf", "Bssf", "Blsf"), ("Sas", "Las", "Slas", "Llas", "Maxas", "Minas")
HEURISTICS = [getattr(guillotine, f"Guillotine{choice}{split}") for choice in CHOICES for split in SPLITS]
ORDERS = (rectpack.SORT_AREA, rectpack.SORT_LSIDE, rectpack.SORT_SSIDE)


def job_of_sheets(rng: Random) -> SheetItem:
    """Ten to thirty-five pieces of a few sizes out of sheets of one size; all may be turned, or none."""
    length, width = rng.randint(1_500, 2_600), rng.randint(900, 1_350)
    grain = rng.choice(("any", "length"))
    pieces, total = list[dict[str, Any]](), 0
    while total < 10:
        count = rng.randint(1, 5)
        total += count
        sizes = {"length": rng.randint(180, length * 2 // 3), "width": rng.randint(90, width * 2 // 3)}
        pieces.append({"mark": f"P{len(pieces)}", "count": count, "grain": grain, **sizes})
    item = {"item": "board 18", "kerf": rng.choice((0, 3, 4)), "trim": rng.choice((0, 6))}
    stock = [{"length": length, "width": width}]
    return request_of(sheets=[item | {"stock": stock, "pieces": pieces}]).sheets[0]


def fewest_by_heuristics(item: SheetItem) -> int:
    """The fewest sheets that any of the library's heuristics takes."""
    kerf = item.kerf.nm
    sheet = [side.nm - 2 * item.trim.nm + kerf for side in (item.stock[0].length, item.stock[0].width)]
    turning = item.pieces[0].grain == "any"
    fewest = []
    for heuristic, order in product(HEURISTICS, ORDERS):
        packer = rectpack.newPacker(
            mode=rectpack.PackingMode.Offline,
            bin_algo=rectpack.PackingBin.BFF,
            pack_algo=heuristic,
            sort_algo=order,
            rotation=turning,
        )
        for piece in item.pieces:
            for _ in range(piece.count):
                packer.add_rect(piece.length.nm + kerf, piece.width.nm + kerf)
        packer.add_bin(*sheet, count=float("inf"))
        packer.pack()
        assert len(packer.rect_list()) == sum(piece.count for piece in item.pieces)
        fewest.append(len(packer))
    return min(fewest)


@pytest.mark.parametrize("jobs", [6, pytest.param(100, marks=LONG)])
def test_no_heuristic_takes_fewer_sheets(jobs: int) -> None:
    rng, fewer = Random("sheets beside others"), 0
    for _ in range(jobs):
        item = job_of_sheets(rng)
        plan = plan_sheets(item)
        assert sawn(item, plan) == {piece.mark: piece.count for piece in item.pieces}
        theirs = fewest_by_heuristics(item)
        assert plan.bound <= plan.used <= theirs
        fewer += plan.used < theirs
    # where they do as well as ours on every job, the jobs are too easy to tell
    assert jobs < 100 or fewer


def small_job(rng: Random) -> BarItem:
    """Up to three lengths of pieces, up to three of stock, priced unevenly, some of them few."""
    stock: list[dict[str, Any]] = []
    for length in rng.sample(range(600, 3_000, 10), rng.randint(2, 3)):
        stock.append({"length": length, "price": rng.randint(200, 1_900)})
        if rng.random() < 0.4:
            stock[-1]["count"] = rng.randint(1, 2)
        if rng.random() < 0.2:
            del stock[-1]["price"]
            stock[-1]["count"] = 1
    # one that always suffices, dear
    stock.append({"length": 3_000, "price": rng.randint(1_500, 3_500)})
    pieces = [
        {"mark": f"P{at}", "length": rng.randint(210, 1_300), "count": rng.randint(1, 3)}
        for at in range(rng.randint(1, 3))
    ]
    item = {"item": "rail 40 × 20", "kerf": rng.choice((0, 3)), "trim": rng.choice((0, 5))}
    return request_of(bars=[item | {"stock": stock, "pieces": pieces}]).bars[0]


def least_of_all_ways(item: BarItem) -> int:
    """The least cost over every way to cut the bars one after the other, tried out whole."""
    sizes = [piece.length.nm + item.kerf.nm for piece in item.pieces]
    rooms = [stock.length.nm - 2 * item.trim.nm + item.kerf.nm for stock in item.stock]
    prices = [stock.price or 0 for stock in item.stock]

    def fillings(room: int, left: tuple[int, ...]) -> Iterator[tuple[int, ...]]:
        for way in product(*(range(count + 1) for count in left)):
            if any(way) and sum(size * count for size, count in zip(sizes, way, strict=True)) <= room:
                yield way

    @cache
    def least(left: tuple[int, ...], most: tuple[int | None, ...]) -> float:
        if not any(left):
            return 0
        costs = [float("inf")]
        for at, room in enumerate(rooms):
            number = most[at]
            if number != 0:
                rest = (*most[:at], None if number is None else number - 1, *most[at + 1 :])
                for way in fillings(room, left):
                    after = tuple(have - count for have, count in zip(left, way, strict=True))
                    costs.append(prices[at] + least(after, rest))
        return min(costs)

    return round(least(tuple(piece.count for piece in item.pieces), tuple(stock.count for stock in item.stock)))


@pytest.mark.parametrize("jobs", [40, pytest.param(400, marks=LONG)])
def test_mixed_lengths_and_prices_against_every_way(jobs: int) -> None:
    rng = Random("every way")
    for _ in range(jobs):
        item = small_job(rng)
        plan = plan_bars(item)
        assert mended(item, plan) == {piece.mark: piece.count for piece in item.pieces}
        assert (plan.cost, plan.proven) == (least_of_all_ways(item), True)


@torture
def test_five_thousand_pieces_have_an_honest_bound() -> None:
    rng = Random("five thousand")
    pieces = [
        {"mark": f"P{at}", "length": rng.randint(220, 1_900) + rng.choice((0, 0.5)), "count": 25}
        for at in range(200)
    ]
    stock = [{"length": 3_900, "price": 2_130}, {"length": 2_700, "price": 1_390}, {"length": 1_300, "count": 15}]
    item = request_of(bars=[{"item": "x", "kerf": 3, "trim": 8, "stock": stock, "pieces": pieces}]).bars[0]
    plan = plan_bars(item)
    assert mended(item, plan) == {piece.mark: 25 for piece in item.pieces}
    assert plan.bound <= plan.cost <= 1.005 * plan.bound
