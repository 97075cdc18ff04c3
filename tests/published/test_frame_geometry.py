"""Frames and mating faces against plane geometry by ``shapely`` (GEOS), a general-purpose library."""

from __future__ import annotations

from itertools import pairwise
from math import dist, isclose, pi, sin, tan
from random import Random
from typing import Any

import pytest
import shapely
from shapely import affinity
from shapely.geometry.base import BaseGeometry

from domain.assemblies.expand import expand
from domain.faces.region import Region, Void
from domain.parts import Expansion, Member
from domain.spec.assemblies import MitredFrame
from tests.published import trade
from tests.published.stock import stock_section
from tests.torture import torture

WIDTH, RABBET, ALLOWANCE = 40.0, 9.0, 3.0


def frame(measure: str, sides: int, **sizes: float) -> MitredFrame:
    stock = {"width": WIDTH, "thickness": 20, "rabbet_width": RABBET, "rabbet_depth": 10}
    fields: dict[str, Any] = {"mark": "F", "sides": sides, "measure": measure, "stock": stock}
    return MitredFrame.model_validate(fields | {"fit_allowance": ALLOWANCE} | sizes)


def polygon_round(apothem: float, sides: int) -> BaseGeometry:
    """A regular polygon about a circle of that radius, cut out by its sides one after another."""
    far = 100 * apothem
    shape: BaseGeometry = shapely.box(-far, -far, far, far)
    for index in range(sides):
        half_plane = shapely.box(-far, -apothem, far, far)
        shape = shape.intersection(affinity.rotate(half_plane, 360 * index / sides, origin=(0, 0)))
    return shape


def corners(shape: BaseGeometry) -> list[tuple[float, float]]:
    """Round the shape, the first corner once more at the end."""
    return [(x, y) for x, y in shapely.get_coordinates(shapely.get_exterior_ring(shape))]


def edges(shape: BaseGeometry) -> list[float]:
    return [dist(a, b) for a, b in pairwise(corners(shape))]


def outlines(expansion: Expansion) -> list[BaseGeometry]:
    return [shapely.Polygon(outline.points) for outline in expansion.elevation.members]


def check_tiling(expansion: Expansion, outer: BaseGeometry, inner: BaseGeometry) -> None:
    """The members fill the ring between the two polygons, once."""
    members = outlines(expansion)
    together = shapely.union_all(members)
    ring = outer.area - inner.area
    assert sum(member.area for member in members) == pytest.approx(ring, rel=1e-9)
    assert together.area == pytest.approx(ring, rel=1e-6)
    hull = together.convex_hull
    assert hull.area == pytest.approx(outer.area, rel=1e-9)
    left, low, right, high = hull.bounds
    assert (left, low) == pytest.approx((0, 0), abs=1e-9)
    assert (right, high) == pytest.approx((expansion.elevation.width, expansion.elevation.height))


def check_cut(member: Member, outer: float, inner: float) -> None:
    assert member.length == pytest.approx(outer, rel=1e-9)
    assert member.short_length == pytest.approx(inner, rel=1e-9)


APOTHEM_MORE = {
    # half the outside size, from half of what was measured
    "outside": 0.0,
    "opening": WIDTH,
    "rabbet": WIDTH - RABBET,
    "glass": WIDTH - RABBET + ALLOWANCE / 2,
}


@pytest.mark.parametrize("measure", APOTHEM_MORE)
@pytest.mark.parametrize("sides", [3, 5, 6, 7, 8, 9, 10, 11, 12])
def test_regular_frames(sides: int, measure: str) -> None:
    size = 320.0
    expansion = expand(frame(measure, sides, across=size))
    apothem = size / 2 + APOTHEM_MORE[measure]
    outer, inner = polygon_round(apothem, sides), polygon_round(apothem - WIDTH, sides)
    check_tiling(expansion, outer, inner)
    (member,) = expansion.members
    assert member.quantity == sides
    for outside, sight in zip(edges(outer), edges(inner), strict=True):
        check_cut(member, outside, sight)
    ring = outlines(expansion)
    sight_lines = shapely.Polygon([outline.points[3] for outline in expansion.elevation.members])
    # regular: equal sides, and the sight edge is the same polygon moved in
    for side in edges(sight_lines):
        assert side == pytest.approx(edges(inner)[0], rel=1e-9)
    centre = sight_lines.centroid
    for outline in ring:
        assert outline.area == pytest.approx(ring[0].area, rel=1e-9)
        assert outline.distance(centre) == pytest.approx(apothem - WIDTH, rel=1e-9)
    # the mitre: two ends and half the turn of a corner
    assert member.ends == pytest.approx((90 - 180 / sides,) * 2)
    (joint,) = expansion.joints
    assert joint.quantity == sides
    corner = min(dist(corners(outer)[0], sight) for sight in corners(inner))
    assert joint.face.breadth == pytest.approx(corner, rel=1e-9)
    assert tan(pi / sides) * 2 * apothem == pytest.approx(member.length)


@pytest.mark.parametrize("measure", APOTHEM_MORE)
def test_rectangular_frames(measure: str) -> None:
    wide, high = 420.0, 297.0
    expansion = expand(frame(measure, 4, width=wide, height=high))
    grown = 2 * APOTHEM_MORE[measure]
    outer = shapely.box(0, 0, wide + grown, high + grown)
    inner = outer.buffer(-WIDTH, join_style="mitre")
    check_tiling(expansion, outer, inner)
    lengths = sorted((member.length, member.short_length, member.quantity) for member in expansion.members)
    expected = [(size + grown, size + grown - 2 * WIDTH, 2) for size in (high, wide)]
    assert [tuple(length) for length in lengths] == [pytest.approx(length) for length in expected]
    (glazing,) = expansion.panels
    glass = (wide + grown - 2 * (WIDTH - RABBET) - ALLOWANCE, high + grown - 2 * (WIDTH - RABBET) - ALLOWANCE)
    assert (glazing.length, glazing.width) == pytest.approx(glass)
    if measure == "glass":
        assert glass == pytest.approx((wide, high))


@pytest.mark.parametrize("corner", ["mitre", "butt"])
def test_a_boxs_walls_tile_its_plan(corner: str) -> None:
    rng = Random(corner)
    for _ in range(20):
        spec = trade.random_box(rng).model_copy(update={"corner": corner})
        expansion = expand(spec)
        outer = shapely.box(0, 0, spec.length.mm, spec.width.mm)
        check_tiling(expansion, outer, outer.buffer(-spec.wall.mm, join_style="mitre"))


def test_a_railed_frames_pieces_do_not_overlap() -> None:
    rng = Random("railed")
    for _ in range(20):
        spec = trade.random_railed_frame(rng)
        expansion = expand(spec)
        pieces = outlines(expansion)
        together = shapely.union_all(pieces)
        assert sum(piece.area for piece in pieces) == pytest.approx(together.area, rel=1e-9)
        assert together.bounds == (0, 0, spec.width.mm, spec.height.mm)
        # four openings are left, and with panels each of them holds one
        openings = shapely.box(*together.bounds).difference(together)
        assert len(shapely.get_parts(openings)) == 4
        panels = [shapely.Polygon(outline.points) for outline in expansion.elevation.panels]
        assert sum(panel.area for panel in panels) == pytest.approx(openings.area if spec.panel else 0.0)
        made = sum(member.quantity * member.length * member.width for member in expansion.members)
        assert made == pytest.approx(together.area, rel=1e-9)


def random_region(rng: Random) -> tuple[Region, BaseGeometry]:
    """A region and the same wood as a polygon: a moulded front, a rabbet, perhaps a groove."""
    width, run = trade.tenths(rng, 20, 90), trade.tenths(rng, 12, 60)
    front = trade.random_front(rng, width, run, 2.0) if rng.random() < 0.7 else None
    voids, cut = [], []
    if rng.random() < 0.6:
        # a rabbet may even reach above a low front edge
        voids.append((width - trade.tenths(rng, 3, 9), width, 0.0, trade.tenths(rng, 3, run * 0.8)))
    if rng.random() < 0.5:
        low = trade.tenths(rng, 2, run / 2)
        voids.append((0.0, trade.tenths(rng, 2, 8), low, low + trade.tenths(rng, 2, run / 4)))
    outline = [(0.0, run), (width, run)] if front is None else [(x, v) for x, v in front]
    wood: BaseGeometry = shapely.make_valid(shapely.Polygon([(0.0, 0.0), *outline, (width, 0.0)]))
    for void in voids:
        cut.append(Void(*void))
        wood = wood.difference(shapely.box(void[0], void[2], void[1], void[3]))
    ceiling = None if front is None else tuple((x, v) for x, v in front)
    return Region(width, run, ceiling=ceiling, voids=tuple(cut)), wood


def gaps_by_shapely(wood: BaseGeometry, width: float, top: float) -> list[tuple[float, float]]:
    """What is missing of the strip up to ``top``, projected onto x; the gaps that stay."""
    missing = shapely.box(0, 0, width, top).difference(wood)
    parts = [part for part in getattr(missing, "geoms", [missing]) if part.area > 1e-9]
    blocked = shapely.union_all([shapely.LineString([(p.bounds[0], 0), (p.bounds[2], 0)]) for p in parts])
    line = shapely.LineString([(0, 0), (width, 0)]).difference(blocked)
    pieces = getattr(line, "geoms", [line])
    return sorted((piece.bounds[0], piece.bounds[2]) for piece in pieces if piece.length > 1e-6)


def check_region(region: Region, wood: BaseGeometry, rng: Random) -> None:
    assert region.area() == pytest.approx(wood.area, abs=1e-6)
    for _ in range(4):
        top = rng.uniform(1, region.run)
        found = [gap for gap in region.clear_gaps(top) if gap[1] - gap[0] > 1e-6]
        expected = gaps_by_shapely(wood, region.width, top)
        assert found == [pytest.approx(gap, abs=1e-6) for gap in expected]
    assert region.clear_gaps(region.run + 0.1) == ()
    for _ in range(4):
        x0 = rng.uniform(0, region.width - 1)
        x1 = rng.uniform(x0 + 0.5, region.width)
        clear = region.clear_run(x0, x1)
        missing = shapely.box(x0, 0, x1, region.run + 1).difference(wood)
        assert isclose(clear, missing.bounds[1], abs_tol=1e-6)


@pytest.mark.parametrize("seed", range(60))
def test_regions(seed: int) -> None:
    """Gaps, clear run and area, seen from the back and from the moulded front."""
    rng = Random(seed)
    region, wood = random_region(rng)
    check_region(region, wood, rng)
    turned = affinity.affine_transform(wood, [1, 0, 0, -1, 0, region.run])
    check_region(region.from_other_end(), turned, rng)
    assert region.from_other_end().from_other_end().clear_gaps(5) == region.clear_gaps(5)


@torture
def test_many_regions() -> None:
    rng = Random("torture regions")
    for _ in range(10_000):
        region, wood = random_region(rng)
        check_region(region, wood, rng)
        turned = affinity.affine_transform(wood, [1, 0, 0, -1, 0, region.run])
        check_region(region.from_other_end(), turned, rng)


@pytest.mark.parametrize("sides", range(3, 13))
def test_a_mitred_face_is_the_stocks_section_stretched(sides: int) -> None:
    """Area of the mitred face: the section's, divided by sin φ."""
    rng = Random(sides)
    for _ in range(10):
        spec = trade.random_frame(rng, sides)
        (joint,) = expand(spec).joints
        phi = pi / 2 - pi / sides
        assert joint.face.mating_area == pytest.approx(stock_section(spec.stock).area / sin(phi), rel=1e-9)
