"""Where pieces lie on bars, and in what order sheets are sawn: carried out again cut by cut."""

from __future__ import annotations

from collections import Counter
from itertools import pairwise
from random import Random
from typing import Any

import pytest
from shapely import Polygon

from domain.cutting.bars import plan_bars
from domain.cutting.laid import laid_bar
from domain.cutting.plan import CutSheet
from domain.cutting.request import BarItem, SheetItem
from domain.cutting.sawing import Rect, SheetCut, sawn_sheet, worth_keeping
from domain.cutting.sheets import plan_sheets
from domain.lengths import Length
from tests.domain.test_cutting_wholes import item_of, mitred
from tests.published.cutting_oracle import random_bars, random_sheets, request_of


def places(item: BarItem) -> list[tuple[str, float, float]]:
    (cut,) = plan_bars(item).cuts
    return [(piece.mark, piece.start.mm, piece.end.mm) for piece in laid_bar(item, cut).pieces]


def test_places_by_hand() -> None:
    item = item_of(
        [{"length": 1000}], kerf=4, trim=10, least_offcut=250,
        pieces=[{"mark": "B1", "length": 200, "count": 1}],
        matched=[{"mark": "A", "together": [["A1", 310], ["A2", 120]], "count": 1}],
    )  # fmt: skip
    assert places(item) == [("A1", 10, 320), ("A2", 324, 444), ("B1", 448, 648)]
    laid = laid_bar(item, plan_bars(item).cuts[0])
    # 1000 − 10 − 648 = 342, of which sawing it free takes 4
    assert (laid.free.mm, laid.offcut.mm, laid.kept) == (652, 338, True)
    assert [piece.set for piece in laid.pieces] == [1, 1, None]


def test_an_offcut_too_short_to_keep_and_one_that_the_saw_eats() -> None:
    pieces = [{"mark": "B1", "length": 400, "count": 2}]
    short = item_of([{"length": 900}], kerf=4, least_offcut=100, pieces=pieces)
    laid = laid_bar(short, plan_bars(short).cuts[0])
    assert (laid.offcut.mm, laid.kept) == (92, False)
    eaten = item_of([{"length": 806}], kerf=4, pieces=pieces)
    laid = laid_bar(eaten, plan_bars(eaten).cuts[0])
    assert (laid.offcut.mm, laid.kept) == (0, False)


@pytest.mark.parametrize("seed", range(20))
def test_pieces_keep_a_kerf_apart_and_end_where_the_plan_says(seed: int) -> None:
    item = random_bars(Random(seed), 4)
    for cut in plan_bars(item).cuts:
        laid = laid_bar(item, cut)
        gaps = [after.start - before.end for before, after in pairwise(laid.pieces)]
        assert all(gap == item.kerf for gap in gaps)
        assert laid.pieces[0].start == item.trim
        assert laid.pieces[-1].end + cut.left + item.trim == laid.length
        assert laid.free + laid.offcut + item.trim == laid.length


@pytest.mark.parametrize(("taper", "kerf"), [(30, 3), (45, 0), (12.5, 2.6)])
def test_nested_pieces_lie_a_kerf_apart(taper: float, kerf: float) -> None:
    item = item_of(
        [{"length": 2400}],
        kerf=kerf,
        trim=8,
        nest_width=45,
        pieces=mitred({"A1": (400, 3), "A2": (260, 4)}, taper),
    )
    (cut,) = plan_bars(item).cuts
    laid = laid_bar(item, cut)
    shapes = []
    for piece in laid.pieces:
        long, short = (piece.start.mm, piece.end.mm), (piece.start.mm + taper, piece.end.mm - taper)
        low, high = (short, long) if piece.turned else (long, short)
        shapes.append(Polygon([(low[0], 0), (low[1], 0), (high[1], 45), (high[0], 45)]))
    assert shapes[0].bounds[0] == 8
    assert shapes[-1].bounds[2] == pytest.approx(2400 - 8 - cut.left.mm, abs=1e-5)
    for before, after in pairwise(shapes):
        assert before.distance(after) == pytest.approx(kerf, abs=1e-5)
        assert before.intersection(after).area == pytest.approx(0, abs=1e-6)


def replayed(item: SheetItem, cut: CutSheet) -> list[Rect]:
    """Carry every cut out on the parts that lie there; what they are at last."""
    sawn, kerf = sawn_sheet(item, cut), item.kerf.nm
    parts = [sawn.trimmed]
    for each in sawn.cuts:
        parts.remove(each.of)
        parts += halves(each, kerf)
    assert sorted(parts) == sorted([*(part for part, _ in sawn.pieces), *sawn.offcuts])
    return parts


def halves(cut: SheetCut, kerf: int) -> list[Rect]:
    left, low, right, high = cut.of
    at = cut.at.nm
    if cut.along:
        both = [Rect(left, low, right, low + at), Rect(left, low + at + kerf, right, high)]
    else:
        both = [Rect(left, low, left + at, high), Rect(left + at + kerf, low, right, high)]
    left_over = [part for part in both if part.left < part.right and part.low < part.high]
    assert left_over == [part for part in (cut.near, cut.far) if part]
    return left_over


@pytest.mark.parametrize("seed", range(25))
def test_every_cut_goes_from_edge_to_edge_and_frees_every_piece(seed: int) -> None:
    item = random_sheets(Random(seed))
    sizes = {piece.mark: (piece.length.nm, piece.width.nm) for piece in item.pieces}
    for cut in plan_sheets(item).cuts:
        parts = Counter(replayed(item, cut))
        sawn = sawn_sheet(item, cut)
        assert len(sawn.pieces) == len(cut.placed)
        for part, piece in sawn.pieces:
            assert parts[part] == 1
            length, width = sizes[piece.mark]
            assert (part.length.nm, part.width.nm) == ((width, length) if piece.turned else (length, width))


def test_the_order_of_cuts_by_hand() -> None:
    pieces: list[dict[str, Any]] = [
        {"mark": "B1", "length": 500, "width": 300, "count": 2, "grain": "length"},
        {"mark": "B2", "length": 400, "width": 150, "count": 2, "grain": "length"},
    ]
    stock = [{"length": 1020, "width": 480}]
    item = request_of(sheets=[{"item": "board", "kerf": 4, "trim": 5, "stock": stock, "pieces": pieces}]).sheets[0]
    (cut,) = plan_sheets(item).cuts
    sawn = sawn_sheet(item, cut)
    told = [("rip" if each.along else "cross", each.at.mm) for each in sawn.cuts]
    # the strip of B1, the offcut beyond B2, then B1, and B2 out of what is left
    assert told == [("rip", 300), ("cross", 804), ("cross", 500), ("cross", 500), ("rip", 150), ("cross", 400)]
    kept = worth_keeping(sawn.offcuts, Length.from_mm(100))
    assert [(part.length.mm, part.width.mm) for part in kept] == [(202, 166)]
