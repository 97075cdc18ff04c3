"""Sections through bodies against ``manifold3d`` (a general-purpose library): the same wood, the same outline.

The solids are those of ``test_bodies_in_solids``, built by a way of their own; manifold slices them.
"""

from __future__ import annotations

import random

import numpy as np
import pytest
from shapely import LineString, Polygon
from shapely.ops import unary_union

from domain.parts import Vector
from domain.space.cuts import Plane, cut, outline
from domain.space.placing import AWAY, DOWN, NEAR, RIGHT, UP
from tests.published.assorted import assorted
from tests.published.test_bodies_in_solids import cut as solid_of
from tests.published.test_bodies_in_solids import put_together

WAYS: tuple[tuple[Vector, Vector], ...] = ((RIGHT, UP), (AWAY, UP), (RIGHT, AWAY), (UP, NEAR), (DOWN, NEAR))


@pytest.mark.parametrize("seed", range(24))
def test_a_section_is_the_solid_s(seed: int) -> None:
    rng = random.Random(seed)
    _, every = put_together(assorted(seed))
    met = 0
    for body in every:
        # a corner of the body and the middle opposite: the plane goes through its wood more often than not
        share = rng.uniform(0.05, 0.95), rng.uniform(0.05, 0.95), rng.uniform(0.05, 0.95)
        through = body.point(share[0] * body.length, share[1] * body.width, share[2] * body.thickness)
        plane = Plane(through, *rng.choice(WAYS))
        turned = np.array([plane.right, plane.up, plane.normal])
        matrix = np.column_stack([turned, -turned @ np.array(through)])
        sliced = solid_of(body).transform(matrix.tolist()).slice(0.0)
        polygons = cut(body, plane)
        wood = unary_union([Polygon(points) for points in polygons])
        assert sum(Polygon(points).area for points in polygons) == pytest.approx(sliced.area(), rel=1e-5, abs=1e-3)
        assert wood.area == pytest.approx(sliced.area(), rel=1e-5, abs=1e-3)
        long = sum(LineString(side).length for side in outline(polygons))
        rings = [np.array(ring) for ring in sliced.to_polygons()]
        around = sum(float(np.linalg.norm(ring - np.roll(ring, 1, axis=0), axis=1).sum()) for ring in rings)
        assert long == pytest.approx(around, rel=1e-4, abs=1e-2)
        met += bool(polygons)
    assert met
