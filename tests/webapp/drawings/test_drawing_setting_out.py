"""A view of the setting-out sheet: to scale between its break lines, its words apart, its figures from one end."""

from __future__ import annotations

from itertools import combinations

import pytest

from domain.lengths import Units
from domain.setting_out.sheets import SetOut, set_out
from domain.setting_out.views import View
from tests.domain.test_pieces import SHAPES
from tests.webapp.drawings.drawing_samples import KINDS, planned, subpaths, svg
from tests.webapp.papers.paper_samples import DEMOS, demo, project
from webapp.drawings.model import Drawing, TextRole
from webapp.drawings.setting_out import draw_view
from webapp.wording.pieces import pieces_text


def everything() -> list[tuple[SetOut, View]]:
    takeoffs = [takeoff for name in DEMOS for takeoff in demo(name)[1].assemblies]
    takeoffs += [planned(kind) for kind in KINDS]
    takeoffs += [project({"mark": "A"} | shape)[1].assemblies[0] for shape in SHAPES.values()]
    return [(entry, view) for takeoff in takeoffs for entry in set_out(takeoff) for view in entry.views]


def drawn(view: View, units: Units = Units.MM) -> Drawing:
    return draw_view(view, units, "A1 1/2")


def of_cabinet(mark: str) -> list[View]:
    carcass = demo("hall-cabinet")[1].assemblies[0]
    return [view for entry in set_out(carcass) if entry.member.mark == mark for view in entry.views]


@pytest.mark.parametrize("units", Units)
def test_no_two_words_lie_on_each_other_and_all_are_on_the_sheet(units: Units) -> None:
    for entry, view in everything():
        drawing = draw_view(view, units, pieces_text(entry.pieces))
        for one, other in combinations(drawing.texts, 2):
            assert not one.box.overlaps(other.box), f"{drawing.name}: {one.words!r} on {other.words!r}"
        for text in drawing.texts:
            assert text.box.union(drawing.view) == drawing.view


def test_the_side_is_drawn_to_scale_with_figures_from_its_bottom_end() -> None:
    left, right = of_cabinet("A1")
    drawing = drawn(left)
    root = svg(drawing)
    # 860 by 380: not slender, so nothing is taken out
    corners = [point for line in subpaths(root, "outline") for point in line]
    assert (max(x for x, _ in corners), max(y for _, y in corners)) == pytest.approx((860, 380))
    # bottom and shelf lie on lines of their own, 70 and 560 from the bottom end; the top is flush
    assert sorted({round(x) for line in subpaths(root, "joint-line") for x, _ in line}) == [70, 560]
    said = [text.words for text in drawing.texts if text.role is TextRole.FIGURE]
    assert {"70", "89", "560", "579", "860", "380", "slot 569.5", "groove 81", "groove 849"} <= set(said)
    # the groove stops 8 past the bottom's upper face, 89 − 8, and past the top's lower face, 841 + 8
    assert "from 81 to 849 mm from the bottom end" in drawing.describes
    # the right side is its mirror image: the front edge is below instead of above
    assert "back edge below" in drawing.describes
    assert "front edge below" in drawn(right).describes


def test_a_slender_piece_is_broken_where_nothing_happens() -> None:
    stile = next(
        view
        for entry in set_out(demo("hall-cabinet")[1].assemblies[1])
        for view in entry.views
        if entry.member.mark == "B1"
    )
    drawing = drawn(stile)
    root = svg(drawing)
    corners = [x for line in subpaths(root, "outline") for x, _ in line]
    assert max(corners) < 500 < stile.width
    # the upper mid rail's two edges stay 36 apart, as they are
    lines = sorted({round(line[0][0], 3) for line in subpaths(root, "hidden-line") if line[0][0] == line[1][0]})
    near = sorted({round(line[0][0], 3) for line in subpaths(root, "joint-line")})
    assert any(abs(far - near[1] - 36) < 0.01 for far in lines)
    assert {"413", "449", "579", "615", "790"} <= {text.words for text in drawing.texts}


def test_tenons_are_lines_across_the_part_at_their_distance_from_its_edge() -> None:
    takeoff = planned("carcass with tenons")
    views = [view for entry in set_out(takeoff) for view in entry.views if entry.member.mark == "A1"]
    face = views[0]
    rows = {row.joint: row for row in face.fastened}
    assert {"A-J1", "A-J2"} & rows.keys()
    root, texts = svg(drawn(face)), {text.words for text in drawn(face).texts}
    marked = [sorted(line) for line in subpaths(root, "joint-line") if line[0][1] == line[1][1]]
    for row in rows.values():
        for place in row.places:
            height = face.at(row.start, place)
            (low, _), (high, _) = next(line for line in marked if abs(line[0][1] - height) < 1e-3)
            assert high - low == pytest.approx(18)
            assert any(words.endswith(f"tenon {place:g}") for words in texts)


def test_slots_open_as_wide_as_the_cutter_makes_them() -> None:
    (end, _) = [view for view in of_cabinet("A5") if view.place.is_end][:2]
    (slot,) = end.slots
    root = svg(drawn(end))
    heights = [y for path in subpaths(root, "slot") for _, y in path]
    # D − 2·p·tan θ: what the tip leaves at the face
    assert max(heights) - min(heights) == pytest.approx(slot.mouth, abs=0.001)
    assert slot.mouth < slot.tip


def test_a_joint_that_cannot_be_made_has_its_lines_and_no_slots() -> None:
    carcass = {"kind": "carcass", "mark": "A", "width": 600, "height": 500, "depth": 300, "thickness": 5}
    takeoff = project(carcass | {"corner": "top_between", "shelves": [240]})[1].assemblies[0]
    assert not takeoff.makeable
    side = set_out(takeoff)[0].views[0]
    assert (len(side.lines), side.slots) == (3, ())
    assert "A4 from the line 240 on" in drawn(side).describes
