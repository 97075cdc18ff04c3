"""The measured key's drawing is to scale: key inside slot, flank on flank, checked with shapely's geometry."""

from __future__ import annotations

import pytest
from shapely.geometry import Polygon as Area

from domain.lengths import Length
from domain.planning.fit import snug_projection
from domain.spec.catalogue import Section
from webapp.drawings.key_section import draw_key_section
from webapp.drawings.model import Line, Polygon, Role
from webapp.usecases.demo import demo_catalogue


def key_area(section: Section) -> Area:
    drawing = draw_key_section(section, tip=section.tip_diameter)
    (key,) = [shape for shape in drawing.shapes if isinstance(shape, Polygon) and shape.role is Role.KEY]
    return Area(key.points)


@pytest.mark.parametrize("section", demo_catalogue(), ids=lambda section: section.name)
def test_the_key_is_as_measured_and_lies_flank_on_flank_in_the_slots(section: Section) -> None:
    key = key_area(section)
    left, low, right, high = key.bounds
    assert right - left == pytest.approx(section.overall_width)
    assert (high, -low) == pytest.approx((section.half_depth.mm,) * 2)
    # two trapezia between waist and overall width
    assert key.area == pytest.approx((section.waist.mm + section.overall_width) * section.half_depth.mm)
    snug = snug_projection(section, section.tip_diameter.mm)
    a, d = section.waist.mm / 2, section.tip_diameter.mm / 2
    slots = Area([(-a, 0), (-d, snug), (d, snug), (a, 0), (d, -snug), (-d, -snug)])
    assert slots.buffer(1e-9).contains(key)
    assert key.boundary.intersection(slots.boundary.buffer(1e-6)).length > 4 * section.half_depth.mm


@pytest.mark.parametrize("tip", [None, 5, 11.45])
def test_a_small_picture_has_no_dimensions(tip: float | None) -> None:
    drawing = draw_key_section(demo_catalogue()[0], tip=None if tip is None else Length.from_mm(tip))
    assert drawing.texts == ()
    assert not [shape for shape in drawing.shapes if isinstance(shape, Line) and shape.role is Role.DIMENSION]
