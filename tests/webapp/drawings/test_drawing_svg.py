"""What every drawing has to be as SVG: well formed, finite, named, escaped, legible, light."""

from __future__ import annotations

from dataclasses import replace
from itertools import combinations
from math import isfinite
from re import split

import pytest

from domain.lengths import Units
from tests.webapp.drawings.drawing_samples import KINDS, SVG, planned, svg, svg_text
from webapp.drawings.assembly import draw_assembly, draw_thumbnail
from webapp.drawings.face import draw_face
from webapp.drawings.fit import draw_fit
from webapp.drawings.model import Drawing


def drawings_of(kind: str, units: Units) -> list[Drawing]:
    takeoff = planned(kind)
    fits = [draw_fit(joint.plan, units) for joint in takeoff.joints if joint.plan is not None]
    return [
        draw_assembly(takeoff.expansion, units),
        *(draw_face(joint, units) for joint in takeoff.joints),
        *fits,
    ]


@pytest.mark.parametrize("units", Units)
@pytest.mark.parametrize("kind", KINDS)
class TestEveryDrawing:
    def test_words_do_not_overlap(self, kind: str, units: Units) -> None:
        for drawing in drawings_of(kind, units):
            touching = [
                (one.words, other.words)
                for one, other in combinations(drawing.texts, 2)
                if one.box.overlaps(other.box)
            ]
            assert touching == [], drawing.name

    def test_words_and_lines_lie_within_the_view(self, kind: str, units: Units) -> None:
        for drawing in drawings_of(kind, units):
            view = drawing.view
            for text in drawing.texts:
                assert text.box.union(view) == view
            for shape in drawing.shapes:
                assert all(view.left <= x <= view.right and view.low <= y <= view.high for x, y in shape.points)

    def test_numbers_are_finite_and_short(self, kind: str, units: Units) -> None:
        for drawing in drawings_of(kind, units):
            for element in svg(drawing).iter():
                for name in ("d", "x", "y", "viewBox", "stroke-width", "stroke-dasharray"):
                    numbers = [part for part in split(r"[MLAZ\s]+", element.attrib.get(name, "")) if part]
                    assert all(isfinite(float(number)) for number in numbers)
                    assert all(len(number.partition(".")[2]) <= 4 for number in numbers)

    def test_it_is_named_and_described(self, kind: str, units: Units) -> None:
        for drawing in drawings_of(kind, units):
            root = svg(drawing)
            assert root.attrib["role"] == "img"
            said = {element.attrib.get("id"): element.text for element in root.iter()}
            words = [said[name] for name in root.attrib["aria-labelledby"].split()]
            assert words == [drawing.name, drawing.describes]
            assert all(words)

    def test_it_carries_no_style_and_few_elements(self, kind: str, units: Units) -> None:
        for drawing in drawings_of(kind, units):
            root = svg(drawing)
            assert not any("style" in element.attrib for element in root.iter())
            assert len(list(root.iter(f"{SVG}path"))) <= 14


@pytest.mark.parametrize("kind", KINDS)
def test_a_thumbnail_has_no_words_and_the_sheet_of_all_others(kind: str) -> None:
    drawing = draw_thumbnail(planned(kind).expansion)
    root = svg(drawing)
    assert not list(root.iter(f"{SVG}text"))
    assert drawing.width / drawing.height == pytest.approx(4 / 3)
    view = drawing.view
    for shape in drawing.shapes:
        assert all(view.left <= x <= view.right and view.low <= y <= view.high for x, y in shape.points)


def test_names_come_out_escaped() -> None:
    nasty = '<script>alert("1")</script>\' & "'
    expansion = replace(planned("hexagon").expansion, name=nasty)
    for drawing in (draw_assembly(expansion, Units.MM), draw_thumbnail(expansion)):
        text = svg_text(drawing)
        assert "<script" not in text
        assert svg(drawing).findtext(f"{SVG}title") == f"A: {nasty}"


def test_a_description_that_is_empty_is_not_referred_to() -> None:
    root = svg(draw_thumbnail(planned("hexagon").expansion))
    assert root.attrib["aria-labelledby"] == "d-title"


def test_lettering_grows_with_the_assembly() -> None:
    small, large = (draw_assembly(planned(kind).expansion, Units.MM) for kind in ("butted box", "carcass"))
    assert large.em / small.em == pytest.approx(900 / 280)
