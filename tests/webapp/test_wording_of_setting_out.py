"""The setting-out sheet in words: what edges are called, where parts come, how grooves run; by hand."""

from __future__ import annotations

from typing import Any

import pytest

from domain.lengths import Units
from domain.takeoff.pieces import PieceName
from tests.webapp.papers.paper_samples import demo, project
from webapp.papers.setting_out import setting_out_data
from webapp.wording.pieces import pieces_text

CARCASS = {"kind": "carcass", "mark": "A", "width": 600, "height": 700, "depth": 300, "thickness": 18}
BACK = {"back": {"fit": "groove", "thickness": 6, "depth": 8, "inset": 12}}


def said(*assemblies: dict[str, Any], units: Units = Units.MM) -> dict[str, Any]:
    """Every entry by its pieces, plain spaces for those that do not break."""
    data = setting_out_data(project(*assemblies)[1], units)
    return {" ".join(one["pieces"].split()): one for each in data["assemblies"] for one in each["pieces"]}


def views(entry: dict[str, Any]) -> dict[str, Any]:
    return {view["name"]: view for view in entry["views"]}


def test_a_side_under_a_top_that_lies_over_it() -> None:
    entries = said(CARCASS | {"corner": "top_over", "shelves": [340], "plinth": 70} | BACK)
    face = views(entries["A1 1/2"])["inside face"]
    # the sides end under the top, 700 − 18; the groove runs out there and stops 8 below the bottom's upper face
    assert face["channels"] == [
        "Groove 6 mm wide, 8 mm deep, 12 mm from the back edge: stops 80 mm from the bottom end,"
        " 8 mm past the part that meets it there, runs out at the top end."
    ]
    where = {row[0]: row[2] for row in face["rows"]}
    assert where == {"A-J3": "340 to 358 mm from the bottom end", "A-J2": "70 to 88 mm from the bottom end"} | {
        "A-J4": "0 to 18 mm from the front edge"
    }
    assert "top end" in views(entries["A1 1/2"])
    (shelf,) = [row for row in face["rows"] if row[0] == "A-J3"]
    assert (
        shelf[4]
        == "inside face to the machine, front down; counted from: line 340 mm from the bottom end, A4 above it"
    )
    # the top has the sides' ends on its face, flush with its own ends
    top = views(entries["A2 1/1"])["inside face"]
    assert [row[2] for row in top["rows"]] == ["0 to 18 mm from the left end", "0 to 18 mm from the right end"]
    assert top["channels"] == [
        "Groove 6 mm wide, 8 mm deep, 12 mm from the back edge: from 10 to 590 mm from the left end,"
        " which is 8 mm past the parts that meet it there, no farther."
    ]


def test_a_box_s_edges_are_called_by_what_its_joints_count_from() -> None:
    box = {"kind": "box", "mark": "A", "measure": "outside", "length": 280, "width": 180, "height": 90, "wall": 14}
    bottom = {"bottom": {"fit": "rabbet", "depth": 6, "thickness": 5}}
    entries = said(box | {"corner": "butt"} | bottom)
    assert list(entries) == ["A1 1/2, 2/2", "A2 1/2, 2/2"]
    side = views(entries["A2 1/2, 2/2"])
    assert list(side) == ["inside face", "front end", "back end"]
    assert side["inside face"]["channels"] == [
        "Rabbet 5 mm wide, 6 mm deep, along the lower edge: runs out at both ends."
    ]
    (row,) = side["front end"]["rows"]
    assert row[4].endswith("; counted from: reference edge (outside face)")
    assert "outside face" in side["front end"]["drawing"]["svg"]
    mitred = said(box | {"corner": "mitre"})
    (row,) = views(mitred["A1 1/2, 2/2"])["left end, mitred"]["rows"]
    assert row[4].endswith("; counted from: mitre tip")


def test_a_piece_entered_from_both_edges_is_turned_over() -> None:
    entries = said(CARCASS | {"corner": "top_between"})
    (row, *_) = views(entries["A2 1/1"])["left end"]["rows"]
    assert row[4] == "square end, back down, then front down; counted from: reference edge (upper face)"
    assert row[3].count("mm from the") == 2


def test_a_door_s_stiles_mirror_each_other_over_all_copies() -> None:
    door = demo("hall-cabinet")[1].assemblies[2]
    data = setting_out_data(demo("hall-cabinet")[1], Units.MM)["assemblies"][2]["pieces"]
    assert door.expansion.quantity == 2
    titles = [(" ".join(one["pieces"].split()), one["said"]) for one in data[:2]]
    assert titles == [("C1 1/4, 3/4", "left stile"), ("C1 2/4, 4/4", "right stile, mirror image of C1 1/4")]


@pytest.mark.parametrize(
    ("numbers", "words"),
    [
        ([1], "A1 1/90"),
        ([1, 3], "A1 1/90, 3/90"),
        ([1, 2, 5, 6], "A1 1/90, 2/90, 5/90, 6/90"),
        (list(range(1, 91)), "A1 1/90, 2/90 … 90/90"),
        (list(range(2, 91, 2)), "A1 2/90, 4/90 … 90/90"),
        ([1, 2, 5, 6, 9, 10, 13, 14], "A1 1/90, 2/90, 5/90, 6/90, 9/90, 10/90, 13/90, 14/90"),
        (
            [n for n in range(1, 41) if n % 4 in {1, 2}],
            "A1 1/90, 2/90, 5/90, 6/90, 9/90, 10/90, 13/90, 14/90, 17/90, 18/90, 21/90, 22/90 and 8 more",
        ),
    ],
)
def test_pieces_are_named_in_their_order(numbers: list[int], words: str) -> None:
    names = [PieceName("A1", number, 90) for number in numbers]
    assert pieces_text(names).replace("\xa0", " ") == words
