"""Cutting plans by OR-Tools' CP-SAT, over every way to cut a bar, listed here; and requests to cut."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator
from random import Random
from typing import Any

import pytest
from ortools.sat.python import cp_model
from shapely import box, unary_union

from domain.cutting.plan import BarPlan, SheetPlan
from domain.cutting.request import BarItem, CuttingRequest, SheetItem, read_cutting_request
from domain.spec.wood import Grain


def request_of(**groups: list[dict[str, Any]]) -> CuttingRequest:
    return read_cutting_request({"format": "dovetally-cutting-request", "version": 1, **groups})


def random_bars(rng: Random, kinds: int) -> BarItem:
    """Bars of a few lengths, with prices or none, some of them limited; pieces of so many lengths."""
    lengths = rng.sample(range(900, 5_000, 50), rng.randint(1, 3))
    priced = rng.random() < 0.7
    stock: list[dict[str, Any]] = [{"length": length} for length in lengths]
    for bar in stock:
        if priced and rng.random() < 0.9:
            bar["price"] = round(bar["length"] * rng.uniform(0.3, 0.6))
        if rng.random() < 0.4:
            bar["count"] = rng.randint(1, 6)
    pieces = [
        {
            "mark": f"P{number}",
            "length": rng.randint(250, 1_400) + rng.choice((0, 0.5)),
            "count": rng.randint(1, 7),
        }
        for number in range(kinds)
    ]
    item = {
        "item": "rail 44 × 21",
        "kerf": rng.choice((0, 2.4, 3.2)),
        "trim": rng.choice((0, 8)),
        "stock": stock,
        "pieces": pieces,
    }
    return request_of(bars=[item]).bars[0]


def random_sheets(rng: Random) -> SheetItem:
    """One or two sizes of sheet, some of them limited; pieces of a few sizes, some with a grain."""
    stock: list[dict[str, Any]] = [{"length": 2310, "width": 1270, "price": 8350}]
    if rng.random() < 0.5:
        size = {"length": rng.randint(500, 1_500), "width": rng.randint(400, 1_200)}
        stock.append(size | {"count": rng.randint(1, 2)})
    pieces = [
        {
            "mark": f"P{number}",
            "length": rng.randint(150, 1_300),
            "width": rng.randint(100, 620),
            "count": rng.randint(1, 5),
            "grain": rng.choice(("any", "length", "width")),
        }
        for number in range(rng.randint(1, 7))
    ]
    item = {"item": "board 16", "kerf": rng.choice((0, 2.8)), "trim": rng.choice((0, 8))}
    return request_of(sheets=[item | {"stock": stock, "pieces": pieces}]).sheets[0]


def mended(item: BarItem, plan: BarPlan) -> dict[str, int]:
    """Hold a plan to its request in plain sums, in nanometres; how many of each mark it cuts."""
    lengths = {piece.mark: piece.length.nm for piece in item.pieces}
    cut: Counter[str] = Counter()
    used: Counter[int] = Counter()
    for bar in plan.cuts:
        number = sum(count for _, count in bar.pieces)
        sawn = sum(lengths[mark] * count for mark, count in bar.pieces) + item.kerf.nm * (number - 1)
        room = item.stock[bar.stock].length.nm - 2 * item.trim.nm
        assert number > 0
        assert sawn + bar.left.nm == room
        assert bar.left.nm >= 0
        used[bar.stock] += bar.times
        for mark, count in bar.pieces:
            cut[mark] += count * bar.times
    assert all(stock.count is None or used[at] <= stock.count for at, stock in enumerate(item.stock))
    priced = any(stock.price is not None for stock in item.stock)
    prices = [(stock.price or 0) if priced else 1 for stock in item.stock]
    assert plan.cost == sum(prices[at] * times for at, times in used.items())
    assert plan.used == used.total()
    return dict(cut)


def least_by_cp_sat(item: BarItem, demands: dict[str, int], effort: float) -> tuple[int, bool]:
    """The least cost of cutting so many of each mark, and whether CP-SAT proved it."""
    pieces = [(piece.length.nm + item.kerf.nm, demands.get(piece.mark, 0)) for piece in item.pieces]
    priced = any(stock.price is not None for stock in item.stock)
    model = cp_model.CpModel()
    cuts: list[tuple[int, tuple[int, ...], Any]] = []
    for stock in item.stock:
        room = stock.length.nm - 2 * item.trim.nm + item.kerf.nm
        most = sum(demands.values()) if stock.count is None else stock.count
        ways = [(way, model.new_int_var(0, most, "")) for way in _ways(pieces, room) if any(way)]
        model.add(sum(times for _, times in ways) <= most)
        cuts += [((stock.price or 0) if priced else 1, way, times) for way, times in ways]
    for index, (_, demand) in enumerate(pieces):
        model.add(sum(way[index] * times for _, way, times in cuts) >= demand)
    model.minimize(sum(cost * times for cost, _, times in cuts))
    solver = cp_model.CpSolver()
    solver.parameters.num_workers = 1
    # work, not seconds: the same on every machine
    solver.parameters.max_deterministic_time = effort
    status = solver.solve(model)
    assert status in {cp_model.OPTIMAL, cp_model.FEASIBLE}
    return round(solver.objective_value), status == cp_model.OPTIMAL


def _ways(pieces: list[tuple[int, int]], room: int) -> Iterator[tuple[int, ...]]:
    if not pieces:
        yield ()
        return
    (size, demand), *others = pieces
    for count in range(min(demand, room // size) + 1):
        yield from ((count, *way) for way in _ways(others, room - count * size))


def sawn(item: SheetItem, plan: SheetPlan) -> dict[str, int]:
    """Hold a plan to its request: inside, no overlap (shapely), cut from edge to edge; how many of each mark."""
    cut: Counter[str] = Counter()
    used: Counter[int] = Counter()
    sizes = {piece.mark: (piece.length.nm, piece.width.nm, piece.grain) for piece in item.pieces}
    for sheet in plan.cuts:
        stock = item.stock[sheet.stock]
        used[sheet.stock] += sheet.times
        trim, kerf = item.trim.nm, item.kerf.nm
        blocks = []
        for piece in sheet.placed:
            length, width, grain = sizes[piece.mark]
            assert (piece.length.nm, piece.width.nm) == (length, width)
            assert grain is Grain.ANY or piece.turned is (grain is Grain.WIDTH)
            along, across = (width, length) if piece.turned else (length, width)
            blocks.append((piece.x.nm, piece.y.nm, piece.x.nm + along, piece.y.nm + across))
            cut[piece.mark] += sheet.times
        room = (trim, trim, stock.length.nm - trim, stock.width.nm - trim)
        assert all(a >= room[0] and b >= room[1] and c <= room[2] and d <= room[3] for a, b, c, d in blocks)
        shapes = [box(a / 1e6, b / 1e6, c / 1e6, d / 1e6) for a, b, c, d in blocks]
        assert sum(shape.area for shape in shapes) == pytest.approx(unary_union(shapes).area, rel=1e-9)
        assert _from_edge_to_edge(blocks, kerf)
    assert all(stock.count is None or used[at] <= stock.count for at, stock in enumerate(item.stock))
    priced = any(stock.price is not None for stock in item.stock)
    prices = [(stock.price or 0) if priced else 1 for stock in item.stock]
    assert plan.cost == sum(prices[at] * times for at, times in used.items())
    assert plan.bound <= plan.cost
    return dict(cut)


def _from_edge_to_edge(blocks: list[tuple[int, int, int, int]], kerf: int) -> bool:
    """Whether a saw gets every piece out by cuts that go right through what lies before it."""
    if len(blocks) < 2:
        return True
    for axis in (0, 1):
        ordered = sorted(blocks, key=lambda block: block[axis])
        end = ordered[0][axis + 2]
        for at, block in enumerate(ordered[1:], start=1):
            if block[axis] >= end + kerf:
                first, second = ordered[:at], ordered[at:]
                return _from_edge_to_edge(first, kerf) and _from_edge_to_edge(second, kerf)
            end = max(end, block[axis + 2])
    return False
