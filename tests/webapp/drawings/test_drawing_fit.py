"""Key and slots in section: the drawing's own areas say whether the key is squeezed, loose or bottomed."""

from __future__ import annotations

import re
from dataclasses import replace
from itertools import combinations

import pytest
from shapely import LineString, box
from shapely import Polygon as Area

from domain.lengths import Mm, Units
from domain.planning.plans import SectionPlan
from tests.webapp.drawings.drawing_samples import planned, svg_text
from webapp.drawings.fit import draw_fit
from webapp.drawings.model import Drawing, Polygon, Role


@pytest.fixture
def plan() -> SectionPlan:
    (joint,) = planned("moulded frame").joints
    assert joint.plan is not None
    return joint.plan


def key_and_wood(drawing: Drawing) -> tuple[Area, list[Area]]:
    """The key and the two pieces at true scale."""
    keys, wood = (areas(drawing, role) for role in (Role.KEY, Role.WOOD))
    return keys[0], wood[:2]


def detail(drawing: Drawing) -> tuple[Area, list[Area], Area, float]:
    """The key, the wood, the square of the detail, and the factor that is written under it."""
    keys, wood = (areas(drawing, role) for role in (Role.KEY, Role.WOOD))
    (square,) = areas(drawing, Role.THIN)
    found = re.search(r"A × (\d+): ", words(drawing))
    assert found is not None
    return keys[1], wood[2:], square, float(found[1])


def areas(drawing: Drawing, role: Role) -> list[Area]:
    return [Area(shape.points) for shape in drawing.shapes if isinstance(shape, Polygon) and shape.role is role]


def across_the_middle(square: Area) -> LineString:
    left, low, right, high = square.bounds
    return LineString([(left, (low + high) / 2), (right, (low + high) / 2)])


def words(drawing: Drawing) -> str:
    return " ".join(text.words for text in drawing.texts)


def test_a_clamped_key_overlaps_the_wood_by_the_squeeze(plan: SectionPlan) -> None:
    drawing = draw_fit(plan, Units.MM)
    key, wood = key_and_wood(drawing)
    squeeze = (plan.projection - plan.snug_projection) * plan.section.slope
    for piece in wood:
        # two flanks, each as deep as the key's half and squeezed by the same amount all along
        assert key.intersection(piece).area == pytest.approx(2 * squeeze * plan.section.half_depth.mm, rel=1e-6)
    assert f"squeeze {squeeze:.3f} mm" in words(drawing)


def test_a_snug_key_just_touches(plan: SectionPlan) -> None:
    key, wood = key_and_wood(draw_fit(replace(plan, projection=plan.snug_projection), Units.MM))
    assert all(key.intersection(piece).area < 1e-9 for piece in wood)
    assert all(key.distance(piece) < 1e-9 for piece in wood)


def test_a_loose_key_has_room_and_says_how_far_the_joint_opens(plan: SectionPlan) -> None:
    drawing = draw_fit(replace(plan, projection=Mm(plan.snug_projection - 0.1)), Units.MM)
    key, wood = key_and_wood(drawing)
    assert all(key.distance(piece) > 0 for piece in wood)
    assert "can open 0.2 mm" in words(drawing)


def test_a_key_that_bottoms_holds_the_faces_apart(plan: SectionPlan) -> None:
    shallow = plan.section.half_depth.mm - 0.3
    drawing = draw_fit(replace(plan, projection=Mm(shallow)), Units.MM)
    _, (upper, lower) = key_and_wood(drawing)
    assert upper.distance(lower) == pytest.approx(0.6)
    assert "0.6 mm apart" in words(drawing)


def test_the_section_is_symmetrical_about_both_axes(plan: SectionPlan) -> None:
    key, _ = key_and_wood(draw_fit(plan, Units.MM))
    for mirrored in (
        Area([(-x, y) for x, y in key.exterior.coords]),
        Area([(x, -y) for x, y in key.exterior.coords]),
    ):
        assert mirrored.symmetric_difference(key).area < 1e-9


def test_sections_are_told_apart_by_hatching(plan: SectionPlan) -> None:
    hatchings = []
    for index in range(7):
        shapes = draw_fit(plan, Units.MM, section_index=index).shapes
        hatchings.append(tuple(shape for shape in shapes if shape.role is Role.KEY_HATCH))
    assert len(set(hatchings)) == 7


@pytest.mark.parametrize("deeper", [0.02, 0.1, 0.37, 0.8])
def test_the_detail_draws_the_squeeze_as_many_times_as_large_as_it_says(plan: SectionPlan, deeper: float) -> None:
    drawing = draw_fit(replace(plan, projection=Mm(plan.snug_projection + deeper)), Units.MM)
    key, wood, square, factor = detail(drawing)
    drawn = across_the_middle(square).intersection(key).intersection(wood[0]).length
    assert drawn == pytest.approx(factor * deeper * plan.section.slope, abs=1e-6)
    assert 0.6 * drawing.em < drawn < 1.6 * drawing.em


@pytest.mark.parametrize("short", [0.02, 0.07, 0.13])
def test_the_detail_of_a_loose_key_draws_the_room_at_one_flank(plan: SectionPlan, short: float) -> None:
    drawing = draw_fit(replace(plan, projection=Mm(plan.snug_projection - short)), Units.MM)
    key, wood, square, factor = detail(drawing)
    line = across_the_middle(square)
    room = line.intersection(key).distance(line.intersection(wood[0]))
    assert room == pytest.approx(factor * short * plan.section.slope, abs=1e-6)


@pytest.mark.parametrize("gap", [0.03, 0.2, 0.6])
def test_the_detail_of_faces_held_apart_draws_the_gap_between_them(plan: SectionPlan, gap: float) -> None:
    drawing = draw_fit(replace(plan, projection=Mm(plan.section.half_depth.mm - gap / 2)), Units.MM)
    _, (upper, lower), _, factor = detail(drawing)
    assert upper.distance(lower) == pytest.approx(factor * gap, abs=1e-6)


def test_what_needs_no_detail_has_none(plan: SectionPlan) -> None:
    snug = draw_fit(replace(plan, projection=plan.snug_projection), Units.MM)
    wide_open = draw_fit(replace(plan, projection=Mm(plan.section.half_depth.mm - 1)), Units.MM)
    for drawing in (snug, wide_open):
        assert len(areas(drawing, Role.KEY)) == 1
        assert "A ×" not in words(drawing)


@pytest.mark.parametrize("units", Units)
@pytest.mark.parametrize("deeper", [-1.0, -0.3, -0.16, -0.05, 0.0, 0.002, 0.1, 0.9])
def test_words_keep_clear_of_each_other_and_of_the_detail(plan: SectionPlan, deeper: float, units: Units) -> None:
    drawing = draw_fit(replace(plan, projection=Mm(plan.snug_projection + deeper)), units)
    assert not any(one.box.overlaps(other.box) for one, other in combinations(drawing.texts, 2))
    for square in areas(drawing, Role.THIN):
        assert not any(square.intersects(box(*text.box)) for text in drawing.texts)


def test_it_is_black_and_white(plan: SectionPlan) -> None:
    drawn = svg_text(draw_fit(plan, Units.MM))
    paints = set(re.findall(r'(?:fill|stroke)="([^"]*)"', drawn))
    assert paints == {"none", "#fff", "currentColor"}
