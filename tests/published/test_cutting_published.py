"""Published cutting instances, each to its known optimum: shared/published/cutting-stock and cutting-sheets."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest

from domain.cutting.bars import plan_bars
from domain.cutting.sheets import plan_sheets
from tests.published.cutting_oracle import mended, request_of, sawn

PUBLISHED = Path(__file__).parents[2] / "shared" / "published"
LENGTHS = ("roll5600", "t60_00", "t60_01", "u120_00", "u120_01")
SHEETS = ("cgcut3-sheets", "gcut1-sheets", "gcut2-sheets", "gcut3-sheets")
NOT_PROVEN = {"gcut1-sheets": 4}
"""Where our bound stays under the number that is known to be the least."""


def instance(folder: str, name: str) -> dict[str, Any]:
    known: dict[str, Any] = json.loads((PUBLISHED / folder / f"{name}.json").read_text("utf-8"))
    return known


@pytest.mark.parametrize("name", LENGTHS)
def test_lengths_to_the_known_optimum_and_proven(name: str) -> None:
    known = instance("cutting-stock", name)
    pieces = [
        {"mark": f"P{at}", "length": each["length"], "count": each["quantity"]}
        for at, each in enumerate(known["items"])
    ]
    stock = [{"length": known["stock_length"]}]
    item = request_of(bars=[{"item": name, "kerf": known["kerf"], "stock": stock, "pieces": pieces}]).bars[0]
    plan = plan_bars(item)
    assert mended(item, plan) == {piece.mark: piece.count for piece in item.pieces}
    assert (plan.used, plan.proven) == (known["optimal_bins"], True)


@pytest.mark.parametrize("price", [None, 2150])
def test_a_kerf_is_one_more_on_every_piece_and_on_the_bar(price: int | None) -> None:
    """With the kerf taken off every piece and off the bar, the known optimum holds as it stands."""
    known = instance("cutting-stock", "u120_00")
    pieces = [
        {"mark": f"P{at}", "length": 10 * each["length"] - 3.2, "count": each["quantity"]}
        for at, each in enumerate(known["items"])
    ]
    stock = [{"length": 10 * known["stock_length"] - 3.2 + 2 * 7, **({} if price is None else {"price": price})}]
    item = request_of(bars=[{"item": "x", "kerf": 3.2, "trim": 7, "stock": stock, "pieces": pieces}]).bars[0]
    plan = plan_bars(item)
    mended(item, plan)
    assert (plan.cost, plan.proven) == (known["optimal_bins"] * (price or 1), True)


@pytest.mark.parametrize("name", SHEETS)
def test_sheets_to_the_known_fewest(name: str) -> None:
    known = instance("cutting-sheets", name)
    pieces = [
        {"mark": f"P{at}", "length": piece["length"], "width": piece["width"], "count": piece["count"]}
        | {"grain": "length"}
        for at, piece in enumerate(known["pieces"])
    ]
    stock = [known["sheet"]]
    item = request_of(sheets=[{"item": name, "kerf": 0, "stock": stock, "pieces": pieces}]).sheets[0]
    plan = plan_sheets(item)
    assert sawn(item, plan) == {piece.mark: piece.count for piece in item.pieces}
    assert plan.used == known["best"]
    assert plan.bound == NOT_PROVEN.get(name, known["best"])
