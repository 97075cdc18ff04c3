"""The cabinet of the demo can be built: its front fits its carcass, worked out by hand from the sizes that ship.

Heights from the floor, widths from the outside left, in mm. The front frame stands on the plinth's height, as
wide as the carcass: 64 + 756 = 820.
"""

from __future__ import annotations

import json
from functools import cache

from domain.parts import Outline
from tests.domain.builders import Json, expanded
from tests.workshop import SHIPPED

FLOOR, CEILING = 64 + 18, 820 - 18
OPENINGS = {
    # 44 of stile, then the left drawer's opening takes what 752 − 40 − 356 leaves: 356
    "left drawer": (44, 400, 652, 776),  # 820 − 44 = 776, less 124
    "right drawer": (440, 796, 652, 776),
    "doors": (44, 796, 122, 614),  # 64 + 58 of bottom rail; the rail between is 38 high: 652 − 38
}
"""Left, right, low, high of what the front frame leaves open."""


@cache
def cabinet() -> dict[str, Json]:
    document = json.loads((SHIPPED / "hall-cabinet.json").read_text(encoding="utf-8"))
    return {assembly["name"]: assembly for assembly in document["assemblies"]}


def outlines(name: str) -> dict[str, list[Outline]]:
    """What the elevation draws, by the members' names."""
    made = expanded(cabinet()[name])
    names = {member.mark: member.name for member in made.members}
    found: dict[str, list[Outline]] = {}
    for outline in made.elevation.members:
        found.setdefault(names[outline.mark], []).append(outline)
    return found


def extent(outline: Outline, up: float = 0.0) -> tuple[float, float, float, float]:
    """Left, right, low, high, ``up`` higher."""
    xs, ys = [x for x, _ in outline.points], [y for _, y in outline.points]
    return min(xs), max(xs), min(ys) + up, max(ys) + up


def test_the_front_frame_covers_the_carcass() -> None:
    carcass, frame = cabinet()["Carcass"], cabinet()["Face frame"]
    assert (frame["width"], frame["height"] + carcass["plinth"]) == (carcass["width"], carcass["height"])
    bars = outlines("Face frame")
    (top,), (middle,), (bottom,), (between,) = (
        bars[name] for name in ("top rail", "mid rail", "bottom rail", "mid stile")
    )
    assert [extent(bar, 64)[2:] for bar in (top, middle, bottom)] == [(776, 820), (614, 652), (64, 122)]
    assert extent(between, 64)[:2] == (400, 440)


def test_no_shelf_and_no_partition_stands_in_a_drawer_opening() -> None:
    boards = outlines("Carcass")
    for left, right, low, high in (OPENINGS["left drawer"], OPENINGS["right drawer"]):
        for board in (*boards["shelf"], *boards["partition"]):
            start, end, under, above = extent(board)
            assert end <= left or start >= right or above <= low or under >= high, board
    # a drawer stands on the upper shelf, whose upper face is hidden by the rail: 624 + 18 = 642 < 652
    assert sorted({extent(shelf)[2:] for shelf in boards["shelf"]}) == [(350, 368), (624, 642)]
    # and the partition between the drawers lies behind the middle of the mid stile: 400 + 40/2 = 411 + 18/2
    assert extent(boards["partition"][0]) == (411, 429, FLOOR, CEILING)


def test_a_drawer_runs_in_all_the_way() -> None:
    # behind its opening lie the bay's sides (18 and 411, 429 and 822), the shelf and the top (802)
    left, right = OPENINGS["left drawer"], OPENINGS["right drawer"]
    assert 18 <= left[0] < left[1] <= 411
    assert 429 <= right[0] < right[1] <= 822
    assert 642 <= left[2] < left[3] <= CEILING


def test_the_doors_fill_their_opening_with_even_gaps() -> None:
    door, (left, right, low, high) = cabinet()["Door"], OPENINGS["doors"]
    assert door["quantity"] == 2
    # 492 high, 2 above and 2 below; 752 wide for two doors: 7 for three gaps, 2 1/3 each
    assert high - low - door["height"] == 4
    assert right - left - 2 * door["width"] == 7
    # the lower shelf lies behind the doors, and they close on the partition's edge
    assert low < 350 < 368 < high
    middle = left + (right - left) / 2
    assert middle == 420
    assert 411 < middle < 429
