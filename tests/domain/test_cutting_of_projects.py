"""A project's parts as a cutting request: its own stock, sets from one length, mitres tip to tip."""

from __future__ import annotations

from typing import Any

from domain.cut_list.listing import cut_list
from domain.cut_list.of_file import asked_of_project, woods_of
from domain.cut_list.stocked import CuttingNote, ShopStock, Stocked, stocked
from domain.cutting.bars import plan_bars
from domain.cutting.document import plan_cutting
from domain.cutting.request import BarStock
from domain.lengths import Length
from domain.spec.project import Project, read_project
from domain.spec.rules import Rules
from domain.takeoff.build import take_off
from tests.domain.builders import section
from tests.domain.cut_lists import job

FRAME: dict[str, Any] = {
    "kind": "mitred_frame", "mark": "A", "quantity": 3, "material": "ash", "measure": "outside",
    "width": 430, "height": 320, "stock": {"width": 48, "thickness": 21},
}  # fmt: skip
BOX: dict[str, Any] = {
    "kind": "box", "mark": "B", "quantity": 2, "material": "walnut", "one_length": True, "measure": "outside",
    "length": 290, "width": 190, "height": 95, "wall": 13, "corner": "mitre",
}  # fmt: skip
SHELVES: dict[str, Any] = {
    "kind": "carcass", "mark": "C", "material": "birch plywood", "width": 700, "height": 800, "depth": 300,
    "thickness": 18, "corner": "top_over",
}  # fmt: skip


def project_of(*assemblies: dict[str, Any], **more: Any) -> Project:
    return read_project(
        {"format": "dovetally-project", "version": 1, "name": "Hall", "assemblies": list(assemblies), **more}
    )


def asked(*assemblies: dict[str, Any], **more: Any) -> Stocked:
    project = project_of(*assemblies, **more)
    return asked_of_project(project, take_off(project, (section(),), Rules()))


def test_parts_become_pieces_of_the_stock_that_the_project_names() -> None:
    stock = [
        {
            "item": "ASH 48 × 21",
            "kerf": 2.8,
            "trim": 6,
            "least_offcut": 240,
            "stock": [{"length": 2300, "price": 1180}],
        }
    ]
    found = asked(FRAME, stock=stock, currency="SEK")
    (item,) = found.request.bars
    assert [(piece.mark, piece.length.mm, piece.count) for piece in item.pieces] == [
        ("A1", 430, 6),
        ("A2", 320, 6),
    ]
    assert (item.kerf.mm, item.trim.mm, item.least_offcut.mm) == (2.8, 6, 240)
    assert (item.stock[0].length.mm, item.stock[0].price, found.request.currency) == (2300, 1180, "SEK")
    assert (found.remarks, found.shops) == ((), frozenset())


def test_the_rules_kerf_where_nothing_else_is_said_and_an_entry_without_a_name_for_every_wood() -> None:
    stock = [{"stock": [{"length": 2300}, {"length": 2400, "width": 1200}]}]
    found = asked(FRAME, SHELVES, stock=stock)
    assert [item.kerf.mm for item in found.request.bars] == [3.2]
    assert [[each.length.mm for each in item.stock] for item in found.request.bars] == [[2300]]
    assert [[each.width.mm for each in item.stock] for item in found.request.sheets] == [[1200]]


def test_trim_and_least_offcut_are_the_rules_unless_an_entry_says_otherwise() -> None:
    rules = {"trim": 9, "least_offcut": 410}
    plain = {"stock": [{"length": 2300}, {"length": 2400, "width": 1200}]}
    found = asked(FRAME, SHELVES, stock=[plain], rules=rules).request
    said = {(item.trim.mm, item.least_offcut.mm) for item in (*found.bars, *found.sheets)}
    assert said == {(9, 410)}
    otherwise = asked(FRAME, SHELVES, stock=[plain | {"trim": 0, "least_offcut": 0}], rules=rules).request
    assert {(item.trim.mm, item.least_offcut.mm) for item in (*otherwise.bars, *otherwise.sheets)} == {(0, 0)}
    usual = asked(FRAME, SHELVES, stock=[plain]).request
    assert {(item.trim.mm, item.least_offcut.mm) for item in (*usual.bars, *usual.sheets)} == {(0, 300)}


def test_a_wood_without_stock_is_said_once_and_the_rest_is_planned() -> None:
    found = asked(FRAME, BOX, stock=[{"item": "ash 48 × 21", "stock": [{"length": 2300}]}])
    assert [(each.item, each.code) for each in found.remarks] == [("walnut 95 × 13", CuttingNote.NO_STOCK)]
    assert found.remarks[0].text() == (
        "There is no stock of walnut 95 × 13: give the lengths or sheets that it is cut from; 8 wait."
    )
    plans = plan_cutting(found.request).bars
    assert [bool(plan.cuts) for plan in plans] == [True, False]


def test_round_a_box_the_sides_come_from_one_length() -> None:
    found = asked(BOX, stock=[{"stock": [{"length": 1000}]}])
    (item,) = found.request.bars
    (match,) = item.matched
    assert [(mark, length.mm) for mark, length in match.together] == [("B1", 290), ("B2", 190)] * 2
    assert (item.pieces, match.count) == ((), 2)
    assert [(bar.times, bar.pieces) for bar in plan_bars(item).cuts] == [
        (2, (("B1", 1), ("B2", 1), ("B1", 1), ("B2", 1)))
    ]


def test_mitres_lie_tip_to_tip_where_that_is_asked_for_and_the_wood_allows_it() -> None:
    stock = [{"nested": True, "stock": [{"length": 2300}]}]
    (item,) = asked(FRAME, stock=stock).request.bars
    assert item.nest_width == Length.from_mm(48)
    # long less short is twice the width at 45°
    assert {piece.length - piece.short_length for piece in item.pieces if piece.short_length} == {
        Length.from_mm(96)
    }
    rabbeted = FRAME | {"stock": {"width": 48, "thickness": 21, "rabbet_width": 7, "rabbet_depth": 9}}
    found = asked(rabbeted, stock=stock)
    assert found.request.bars[0].nest_width is None
    # the frame's glazing has no stock either
    assert (found.remarks[0].item, found.remarks[0].code) == ("ash 48 × 21", CuttingNote.NOT_NESTED)


def test_a_hexagon_is_nested_though_its_angle_leaves_no_whole_numbers() -> None:
    hexagon = FRAME | {"sides": 6, "across": 400}
    del hexagon["width"], hexagon["height"]
    (item,) = asked(hexagon, stock=[{"nested": True, "stock": [{"length": 2300}]}]).request.bars
    assert item.nest_width is not None
    assert plan_bars(item).proven


def test_the_shops_stock_where_the_project_names_none() -> None:
    project = project_of(FRAME, BOX, stock=[{"item": "ash 48 × 21", "stock": [{"length": 2300}]}])
    listed = cut_list([job(project)])
    offered = {
        name: (BarStock(length=Length.from_mm(1900), count=2),) for name in ("ash 48 × 21", "walnut 95 × 13")
    }
    found = stocked(listed, [project.stock], "EUR", ShopStock(bars=offered))
    assert [item.stock[0].length.mm for item in found.request.bars] == [2300, 1900]
    assert found.shops == {"walnut 95 × 13"}


def test_several_projects_are_cut_from_what_any_of_them_names() -> None:
    one = project_of(FRAME, stock=[{"stock": [{"length": 2300}]}])
    other = project_of(FRAME | {"quantity": 1}, stock=[{"trim": 4, "stock": [{"length": 2300}, {"length": 1800}]}])
    listed = cut_list([job(one), job(other)])
    (item,) = stocked(listed, [one.stock, other.stock], "EUR").request.bars
    assert [stock.length.mm for stock in item.stock] == [2300, 1800]
    assert item.trim.mm == 4
    assert [piece.mark for piece in item.pieces] == ["1 A1", "1 A2", "2 A1", "2 A2"]


def test_what_is_asked_written_into_the_project_asks_the_same() -> None:
    stock = [
        {
            "nested": True,
            "trim": 5,
            "least_offcut": 150,
            "stock": [{"length": 2300, "price": 990}, {"length": 2400, "width": 1200}],
        }
    ]
    project = project_of(FRAME, SHELVES, BOX, stock=stock)
    takeoff = take_off(project, (section(),), Rules())
    first = asked_of_project(project, takeoff).request
    again = asked_of_project(project.model_copy(update={"stock": woods_of(first)}), takeoff).request
    assert again == first
