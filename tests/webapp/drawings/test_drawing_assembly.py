"""The elevation: every mark is there, sizes are true, and what is symmetrical is drawn so."""

from __future__ import annotations

import pytest
from shapely import Polygon
from shapely.affinity import scale
from shapely.ops import unary_union

from domain.lengths import Units
from tests.webapp.drawings.drawing_samples import KINDS, planned, subpaths, svg
from webapp.drawings.assembly import draw_assembly, draw_thumbnail
from webapp.drawings.model import TextRole


@pytest.mark.parametrize("kind", KINDS)
class TestEveryAssembly:
    def test_every_mark_of_the_elevation_is_written(self, kind: str) -> None:
        expansion = planned(kind).expansion
        elevation = expansion.elevation
        written = {word for text in draw_assembly(expansion, Units.MM).texts for word in text.words.split()}
        assert {outline.mark for outline in (*elevation.members, *elevation.panels)} <= written
        assert {line.mark.removeprefix("A-") for line in elevation.joints} <= written

    def test_members_are_drawn_to_scale(self, kind: str) -> None:
        elevation = planned(kind).expansion.elevation
        drawn = subpaths(svg(draw_assembly(planned(kind).expansion, Units.MM)), "outline")
        assert len(drawn) == len(elevation.members)
        for points, outline in zip(drawn, elevation.members, strict=True):
            assert points == [pytest.approx(point, abs=0.001) for point in outline.points]

    def test_the_thumbnail_is_the_same_outline(self, kind: str) -> None:
        expansion = planned(kind).expansion
        large, small = (svg(draw) for draw in (draw_assembly(expansion, Units.MM), draw_thumbnail(expansion)))
        assert subpaths(small, "outline") == subpaths(large, "outline")

    def test_overall_sizes_are_written(self, kind: str) -> None:
        elevation = planned(kind).expansion.elevation
        words = [text.words for text in draw_assembly(planned(kind).expansion, Units.MM).texts]
        assert f"{round(elevation.width, 2):g}" in words
        assert f"{round(elevation.height, 2):g}" in words


@pytest.mark.parametrize("kind", ["moulded frame", "hexagon", "box with lid", "butted box", "triangle"])
def test_a_frame_is_its_own_mirror_image(kind: str) -> None:
    expansion = planned(kind).expansion
    pieces = [Polygon(points) for points in subpaths(svg(draw_thumbnail(expansion)), "outline")]
    drawn = unary_union([piece.buffer(0.001) for piece in pieces])
    mirrored = scale(drawn, -1, 1, origin=(expansion.elevation.width / 2, 0.0))
    assert drawn.buffer(0.001).covers(mirrored)


@pytest.mark.parametrize(
    ("kind", "inner"),
    [
        ("moulded frame", {"310", "210"}),  # 400 and 300 less two widths of 45
        ("hexagon", {"340"}),  # 420 across flats less two widths of 40
        ("box with lid", {"248", "148"}),  # 280 and 180 less two walls of 16
        ("carcass", {"382"}),  # from the left side at 18 to the partition at 400
    ],
)
def test_the_clear_opening_is_written(kind: str, inner: set[str]) -> None:
    words = {
        text.words
        for text in draw_assembly(planned(kind).expansion, Units.MM).texts
        if text.role is TextRole.FIGURE
    }
    assert inner <= words
