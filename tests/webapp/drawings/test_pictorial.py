"""Boxes and carcasses as a body: true in front, half as deep behind, and every entry marked where it is."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from itertools import combinations
from math import isfinite, sqrt
from typing import Any

import pytest
from shapely import LineString, Point, Polygon

from domain.lengths import Units
from domain.spec.assemblies import Assembly
from domain.spec.rules import Rules
from domain.takeoff.build import take_off_assembly
from domain.takeoff.takeoff import AssemblyTakeoff
from tests.webapp.drawings.drawing_samples import (
    ASSEMBLY,
    BOTTOM,
    KINDS,
    SVG,
    planned,
    sections,
    subpaths,
    svg,
    svg_text,
)
from webapp.drawings.clipping import clipped
from webapp.drawings.model import Drawing, Role
from webapp.drawings.pictorial import draw_pictorial, project

CARCASS = {"kind": "carcass", "width": 800, "height": 900, "depth": 350, "thickness": 18}
BODIES: dict[str, dict[str, Any]] = {
    name: KINDS[name] for name in ("box with lid", "butted box", "carcass", "mitred carcass")
} | {
    "square box": {"kind": "box", "length": 120, "width": 120, "height": 300, "wall": 12, "corner": "mitre"},
    "glazed box": {"kind": "box", "length": 300, "width": 200, "height": 60, "wall": 16, "corner": "mitre"}
    | {"bottom": BOTTOM, "top": {"material": "glass", "thickness": 3, "depth": 5, "down": 8}},
    "top laid over": CARCASS | {"corner": "top_over"},
    "carcass on a plinth frame": CARCASS | {"corner": "mitre", "plinth": 90},
    "low and deep": CARCASS | {"corner": "top_between", "height": 160, "depth": 700},
    "many shelves": CARCASS
    | {"height": 2400, "width": 1800, "corner": "top_between"}
    | {"shelves": [200 + 180 * row for row in range(12)], "partitions": [440, 900, 1300]},
}


def taken_off(name: str) -> tuple[Assembly, AssemblyTakeoff]:
    fields = {"mark": "A"} | BODIES[name]
    if fields["kind"] == "box":
        fields = {"measure": "outside"} | fields
    spec = ASSEMBLY.validate_python(fields)
    return spec, take_off_assembly(spec, sections(), Rules())


def drawn(name: str, units: Units = Units.MM) -> Drawing:
    drawing = draw_pictorial(*taken_off(name), units)
    assert drawing is not None
    return drawing


def entries(takeoff: AssemblyTakeoff) -> Iterator[str]:
    for joint in takeoff.joints:
        for entry in dict.fromkeys(slot.entry for slot in joint.slots):
            yield f"{joint.joint.mark.removeprefix('A-')} {entry.value}"


@pytest.mark.parametrize("units", Units)
@pytest.mark.parametrize("name", BODIES)
class TestEveryBody:
    def test_words_do_not_overlap_and_lie_within_the_view(self, name: str, units: Units) -> None:
        drawing = drawn(name, units)
        pairs = combinations(drawing.texts, 2)
        assert [(one.words, other.words) for one, other in pairs if one.box.overlaps(other.box)] == []
        view = drawing.view
        assert all(text.box.union(view) == view for text in drawing.texts)
        for shape in drawing.shapes:
            assert all(view.left <= x <= view.right and view.low <= y <= view.high for x, y in shape.points)
            assert all(isfinite(number) for point in shape.points for number in point)

    def test_every_joint_has_a_mark_for_each_side_that_keys_go_in_from(self, name: str, units: Units) -> None:
        words = [text.words for text in drawn(name, units).texts]
        wanted = list(entries(taken_off(name)[1]))
        assert wanted
        assert set(wanted) <= set(words)

    def test_it_is_named_described_and_light(self, name: str, units: Units) -> None:
        drawing = drawn(name, units)
        root = svg(drawing)
        assert root.findtext(f"{SVG}title") == drawing.name
        assert "Cabinet projection" in str(root.findtext(f"{SVG}desc"))
        assert len(list(root.iter(f"{SVG}path"))) <= 10


@pytest.mark.parametrize("name", BODIES)
def test_leaders_lead_to_a_key(name: str) -> None:
    root = svg(drawn(name))
    keys = [Polygon(points) for css in ("key", "thin") for points in subpaths(root, css) if len(points) == 6]
    takeoff = taken_off(name)[1]
    marks = list(entries(takeoff))
    ends = [Point(end) for line in subpaths(root, "dimension") for end in line]
    led_to = [end for end in ends if any(key.buffer(0.01).covers(end) for key in keys)]
    assert len(led_to) >= len(marks)


@pytest.mark.parametrize("name", BODIES)
def test_there_is_a_cross_section_for_every_slot(name: str) -> None:
    root = svg(drawn(name))
    found = [points for css in ("key", "thin") for points in subpaths(root, css) if len(points) == 6]
    takeoff = taken_off(name)[1]
    assert len(found) == sum(joint.joint.quantity * len(joint.slots) for joint in takeoff.joints)


@pytest.mark.parametrize("name", ["box with lid", "butted box", "square box", "top laid over", "mitred carcass"])
def test_overall_sizes_are_true_in_front_and_half_in_depth(name: str) -> None:
    spec, _ = taken_off(name)
    fields = spec.model_dump(mode="json")
    points = [point for line in subpaths(svg(drawn(name)), "outline") for point in line]
    if fields["kind"] == "box":
        wide, deep, high = fields["length"], fields["width"], fields["height"]
        lid = fields["lid"]
        high += lid["lip"] + lid["kerf"] if lid else 0
    else:
        wide, deep, high = fields["width"], fields["depth"], fields["height"]
    # cabinet projection: receding lines at 45° and half scale (ISO 5456-3, cabinet axonometry)
    recede = deep / 2 * sqrt(0.5)
    assert max(x for x, _ in points) == pytest.approx(wide + recede, abs=0.01)
    assert max(y for _, y in points) == pytest.approx(high + recede, abs=0.01)
    assert (min(x for x, _ in points), min(y for _, y in points)) == (0, 0)
    words = [text.words for text in drawn(name).texts]
    assert {f"{wide:g}", f"{deep:g}", f"{high:g}"} <= set(words)


def test_keys_lie_where_the_takeoff_has_them() -> None:
    _, takeoff = taken_off("butted box")
    (joint,) = takeoff.joints
    found = [
        Polygon(points).centroid
        for css in ("key", "thin")
        for points in subpaths(svg(drawn("butted box")), css)
        if len(points) == 6
    ]
    # the face of a butted corner lies 14 from front and back, and u counts from the outside of the side
    for slot in joint.slots:
        z = 90.0 if slot.entry.value == "top" else 0.0
        for x in (slot.centre, 280 - slot.centre):
            for y in (14.0, 180 - 14.0):
                at = Point(project((x, y, z)))
                assert min(at.distance(centre) for centre in found) < 0.01


def test_keys_from_above_are_seen_and_keys_from_below_are_turned_away() -> None:
    root = svg(drawn("butted box"))
    assert len(subpaths(root, "key")) == 4
    assert len([points for points in subpaths(root, "thin") if len(points) == 6]) == 4


def test_the_saw_line_lies_a_kerf_wide_at_the_lid() -> None:
    root = svg(drawn("box with lid"))
    fronts = [line for line in subpaths(root, "hidden-line") if line[0][1] == line[1][1]]
    # 110 closed with a lid of 40: the body's 70 and the lip's 6, then the saw's 2
    assert sorted(start[1] for start, _ in fronts) == pytest.approx([76, 78])
    assert "saw line" in [text.words for text in drawn("box with lid").texts]
    assert not any(shape.role is Role.HIDDEN for shape in drawn("butted box").shapes)


def test_a_joint_that_cannot_be_made_has_no_key() -> None:
    spec, takeoff = taken_off("butted box")
    unmade = replace(takeoff, joints=tuple(replace(joint, plan=None, slots=()) for joint in takeoff.joints))
    drawing = draw_pictorial(spec, unmade, Units.MM)
    assert drawing is not None
    assert not any(shape.role is Role.KEY for shape in drawing.shapes)
    assert [text.words for text in drawing.texts] == ["280", "90", "180"]


@pytest.mark.parametrize("name", ["moulded frame", "railed frame", "single joint"])
def test_what_is_flat_has_no_pictorial_view(name: str) -> None:
    spec = ASSEMBLY.validate_python(
        {"mark": "A"} | ({"measure": "outside"} if name == "moulded frame" else {}) | KINDS[name]
    )
    assert draw_pictorial(spec, planned(name), Units.MM) is None


def test_names_come_out_escaped() -> None:
    nasty = '<script>alert("1")</script>\' & "'
    spec, takeoff = taken_off("carcass")
    named = replace(takeoff, expansion=replace(takeoff.expansion, name=nasty))
    drawing = draw_pictorial(spec, named, Units.MM)
    assert drawing is not None
    assert "<script" not in svg_text(drawing)
    assert nasty in str(svg(drawing).findtext(f"{SVG}title"))


class TestClipping:
    @pytest.mark.parametrize("turned", [False, True])
    @pytest.mark.parametrize(
        "line", [((-3, 1), (9, 2)), ((1, 1), (2, 3)), ((-1, -1), (6, 6)), ((0, 5), (5, 5)), ((2, -4), (2, 9))]
    )
    def test_it_is_what_shapely_cuts(self, line: Any, turned: bool) -> None:
        corners = [(0.0, 0.0), (4.0, 1.0), (5.0, 4.0), (1.0, 4.0)]
        expected = LineString(line).intersection(Polygon(corners))
        found = clipped(line, corners[::-1] if turned else corners)
        if expected.is_empty:
            assert found is None
        else:
            assert found is not None
            assert LineString(found).hausdorff_distance(expected) < 1e-9
