"""Mitred frames by hand: outside = opening + 2W = rabbet + 2(W − rabbet width); side = 2·r·tan(180°/n)."""

from __future__ import annotations

from math import sqrt

import pytest

from domain.faces.region import Region, Void
from domain.spec.choices import Entry
from tests.domain.builders import (
    Json,
    assert_hangs_together,
    expanded,
    frame,
    joint_lines,
    member_lines,
    panel_lines,
    polygon,
    project,
    refused,
)

PLAIN = {"width": 45, "thickness": 20}
RABBETED = PLAIN | {"rabbet_width": 6, "rabbet_depth": 10}

# 400 × 300 outside in stock 45 wide: short points 400 − 90 and 300 − 90
RECTANGLE = [("A1", "top and bottom", 2, 400, 310, 45, 20), ("A2", "side", 2, 300, 210, 45, 20)]


@pytest.mark.parametrize(
    "sizes",
    [
        {"measure": "outside", "width": 400, "height": 300},
        {"measure": "opening", "width": 310, "height": 210},  # + 2·45
        {"measure": "rabbet", "width": 322, "height": 222},  # + 2·(45 − 6)
        {"measure": "glass", "width": 319, "height": 219},  # + 3 to fit
        {"measure": "glass", "width": 320, "height": 220, "fit_allowance": 2},
    ],
)
def test_a_rectangle_comes_out_the_same_whichever_way_it_is_measured(sizes: Json) -> None:
    made = expanded(frame(stock=RABBETED, **sizes))
    assert member_lines(made) == RECTANGLE
    allowance = sizes.get("fit_allowance", 3)
    assert panel_lines(made) == [("A3", "glazing", 1, 322 - allowance, 222 - allowance, 0, 10)]
    assert_hangs_together(made)


def test_a_rectangle_has_four_like_corners() -> None:
    made = expanded(frame(quantity=3, material="ash"))
    # 45 / sin 45° = 45·√2 = 63.640
    assert joint_lines(made) == [("A-J1", "mitre", 12, ("A1", "A2"), 45, 63.64, 20)]
    assert [(one.quantity, one.ends, one.material) for one in made.members] == [(6, (45, 45), "ash")] * 2
    assert made.panels == ()
    (joint,) = made.joints
    assert (joint.face.ends, joint.entries, joint.face.backings) == ((Entry.BACK, Entry.FRONT), (Entry.BACK,), ())


def test_a_square_has_four_like_members() -> None:
    made = expanded(frame(width=300, quantity=2))
    assert member_lines(made) == [("A1", "side", 8, 300, 210, 45, 20)]
    assert joint_lines(made) == [("A-J1", "mitre", 8, ("A1", "A1"), 45, 63.64, 20)]
    assert_hangs_together(made)


@pytest.mark.parametrize(
    ("sides", "across", "width", "long", "short", "angle", "breadth"),
    [
        # across·tan(180°/n), (across − 2W)·tan(180°/n), 90° − 180°/n, W / sin φ
        (3, 300, 30, 519.615, 415.692, 30, 60),  # 300√3, 240√3, 30/½
        (5, 400, 40, 290.617, 232.494, 54, 49.443),  # tan 36° = 0.726543, sin 54° = 0.809017
        (6, 420, 50, 242.487, 184.752, 60, 57.735),  # 420/√3, 320/√3, 100/√3
        (8, 400, 40, 165.685, 132.548, 67.5, 43.296),  # tan 22.5° = √2 − 1; sin 67.5° = 0.923880
        (12, 500, 60, 133.975, 101.821, 75, 62.117),  # tan 15° = 2 − √3; sin 75° = 0.965926
    ],
)
def test_a_regular_frame_by_its_number_of_sides(
    sides: int, across: float, width: float, long: float, short: float, angle: float, breadth: float
) -> None:
    made = expanded(polygon(sides, across, stock={"width": width, "thickness": 20}, quantity=2))
    assert member_lines(made) == [("A1", "side", 2 * sides, long, short, width, 20)]
    assert joint_lines(made) == [("A-J1", "mitre", 2 * sides, ("A1", "A1"), angle, breadth, 20)]
    assert len(made.elevation.members) == sides
    assert_hangs_together(made)


def test_a_polygon_is_measured_the_same_ways() -> None:
    stock = {"width": 50, "thickness": 22, "rabbet_width": 8, "rabbet_depth": 8}
    ways = [("outside", 420), ("opening", 320), ("rabbet", 336), ("glass", 333)]  # 420 − 100, 420 − 84, less 3
    lengths = [expanded(polygon(6, across, measure=way, stock=stock)).members[0].length for way, across in ways]
    assert lengths == pytest.approx([420 / sqrt(3)] * 4)


@pytest.mark.parametrize(
    ("sides", "across", "width", "length", "high"),
    [
        # hexagon: 420 − 2·(50 − 6) − 3 = 329 from flat to flat, 2·329/√3 from point to point
        (6, 420, 50, 2 * 329 / sqrt(3), 329),
        # octagon: flats all round, 400 − 2·34 − 3
        (8, 400, 40, 329, 329),
        # triangle: 300 − 2·24 − 3 = 249 is twice the apothem: side 249·√3, height 3·124.5
        (3, 300, 30, 249 * sqrt(3), 373.5),
    ],
)
def test_a_polygons_glazing_is_listed_as_the_blank_it_is_cut_from(
    sides: int, across: float, width: float, length: float, high: float
) -> None:
    stock = {"width": width, "thickness": 20, "rabbet_width": 6, "rabbet_depth": 8}
    made = expanded(polygon(sides, across, stock=stock))
    assert panel_lines(made) == [("A2", "glazing", 1, round(length, 3), round(high, 3), 0, 8)]


def test_the_mating_face_is_the_stocks_own_cross_section() -> None:
    front = [[0, 18], [2, 20], [30, 20], [45, 14]]
    (joint,) = expanded(frame(stock=RABBETED | {"front": front})).joints
    assert joint.face.region == Region(
        45, 20, ceiling=((0, 18), (2, 20), (30, 20), (45, 14)), voids=(Void(39, 45, 0, 10),)
    )
    # 2·19 + 28·20 + 15·17 = 853, less 60
    assert joint.face.mating_area == pytest.approx(793 * sqrt(2))


def test_the_elevation_shows_the_frame_from_the_front() -> None:
    made = expanded(frame(stock=RABBETED)).elevation
    assert (made.view, made.width, made.height) == ("front", 400, 300)
    bottom = next(one for one in made.members if one.mark == "A1")
    assert bottom.points == ((0, 0), (400, 0), (355, 45), (45, 45))
    assert [one.points for one in made.panels] == [((45, 45), (355, 45), (355, 255), (45, 255))]
    assert [(one.start, one.end) for one in made.joints] == [
        ((0, 0), (45, 45)),
        ((400, 0), (355, 45)),
        ((400, 300), (355, 255)),
        ((0, 300), (45, 255)),
    ]


@pytest.mark.parametrize(
    ("change", "problems"),
    [
        ({"width": None}, {"width": "is needed for 4 sides"}),
        ({"across": 300}, {"across": "is not for 4 sides; give width and height"}),
        ({"sides": 6}, {
            "width": "is not for 6 sides; give across",
            "height": "is not for 6 sides; give across",
            "across": "is needed for 6 sides",
        }),
        ({"width": 90}, {"width": "leaves no opening in this stock; must be more than 90 mm"}),
        ({"height": 50}, {"height": "leaves no opening in this stock; must be more than 90 mm"}),
        ({"stock": PLAIN | {"rabbet_width": 45, "rabbet_depth": 10}},
         {"stock.rabbet_width": "must be less than the stock's width, 45 mm"}),
        ({"stock": PLAIN | {"rabbet_width": 6, "rabbet_depth": 20}},
         {"stock.rabbet_depth": "must be less than the stock's thickness, 20 mm"}),
        ({"stock": PLAIN | {"rabbet_width": 6}},
         {"stock.rabbet_depth": "a rabbet needs both its width and its depth"}),
        ({"stock": PLAIN | {"rabbet_depth": 6}},
         {"stock.rabbet_width": "a rabbet needs both its width and its depth"}),
        ({"stock": RABBETED, "fit_allowance": 12},
         {"fit_allowance": "must be less than twice the rabbet's width, 12 mm, or the glazing falls through"}),
        ({"stock": PLAIN | {"front": [[1, 20], [45, 20]]}},
         {"stock.front[0][0]": "the profile must start at x = 0, the outer edge"}),
        ({"stock": PLAIN | {"front": [[0, 20], [44, 20]]}},
         {"stock.front[1][0]": "the profile must end at the width, x = 45 mm"}),
        ({"stock": PLAIN | {"front": [[0, 20], [30, 20], [20, 18], [45, 18]]}},
         {"stock.front[2][0]": "x must not go back"}),
        ({"stock": PLAIN | {"front": [[0, 20], [45, 21]]}},
         {"stock.front[1][1]": "must be at most the thickness, 20 mm"}),
        ({"stock": RABBETED | {"front": [[0, 20], [45, 9]]}},
         {"stock.front[1][1]": "must be more than the rabbet's depth, 10 mm"}),
        # 5 at the rabbet's edge, though 20 at the front's own end
        ({"stock": RABBETED | {"front": [[0, 20], [39, 5], [45, 20]]}},
         {"stock.front": "must be more than the rabbet's depth at x = 39 mm, 10 mm"}),
    ],
)  # fmt: skip
def test_sizes_that_clash_are_named(change: Json, problems: dict[str, str]) -> None:
    asked = {name: value for name, value in frame(**change).items() if value is not None}
    assert refused(project(asked)) == {f"assemblies[0].{path}": allowed for path, allowed in problems.items()}


def test_a_polygon_without_an_opening_is_refused() -> None:
    assert refused(project(polygon(6, 90))) == {
        "assemblies[0].across": "leaves no opening in this stock; must be more than 90 mm"
    }
