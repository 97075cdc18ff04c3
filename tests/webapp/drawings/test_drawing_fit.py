"""Key and slots in section: the drawing's own areas say whether the key is squeezed, loose or bottomed."""

from __future__ import annotations

from dataclasses import replace

import pytest
from drawing_samples import planned
from shapely import Polygon as Area

from domain.lengths import Units
from domain.planning.plans import SectionPlan
from webapp.drawings.fit import draw_fit
from webapp.drawings.model import Drawing, Polygon, Role


@pytest.fixture
def plan() -> SectionPlan:
    (joint,) = planned("moulded frame").joints
    assert joint.plan is not None
    return joint.plan


def key_and_wood(drawing: Drawing) -> tuple[Area, list[Area]]:
    shapes = [shape for shape in drawing.shapes if isinstance(shape, Polygon)]
    (key,) = [Area(shape.points) for shape in shapes if shape.role is Role.KEY]
    return key, [Area(shape.points) for shape in shapes if shape.role is Role.WOOD]


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
    drawing = draw_fit(replace(plan, projection=plan.snug_projection - 0.1), Units.MM)
    key, wood = key_and_wood(drawing)
    assert all(key.distance(piece) > 0 for piece in wood)
    assert "can open 0.2 mm" in words(drawing)


def test_a_key_that_bottoms_holds_the_faces_apart(plan: SectionPlan) -> None:
    shallow = plan.section.half_depth.mm - 0.3
    drawing = draw_fit(replace(plan, projection=shallow), Units.MM)
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
