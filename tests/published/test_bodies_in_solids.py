"""Every piece and panel where it stands, as solids of ``manifold3d`` (a general-purpose library).

A body is turned into a solid by a way of this test's own: its section pushed along, trimmed by planes, its
channels cut out as blocks. What is put together shares no wood, every panel lies in its groove or rabbet and no
farther, and the outsides are those of geometry that knows nothing of bodies (``test_set_ups_in_solids``) and of
the elevation that is drawn.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace
from itertools import combinations
from typing import Any

import numpy as np
import pytest
from manifold3d import CrossSection, FillRule, Manifold, OpType
from pydantic import TypeAdapter
from shapely import Polygon
from shapely.ops import unary_union

from domain.assemblies.expand import expand
from domain.notes import NoteCode
from domain.parts import Expansion, Member, Panel, Single
from domain.space.apart import apart
from domain.space.bodies import bodies, seams
from domain.space.body import Body
from domain.space.solid import cells, edges
from domain.spec.assemblies import Assembly, Fit
from tests.published.assorted import assorted
from tests.published.test_set_ups_in_solids import CASES

ASSEMBLY: TypeAdapter[Assembly] = TypeAdapter(Assembly)
FAR = 5000.0
SEEDS = range(60)


def put_together(fields: dict[str, Any]) -> tuple[Expansion, tuple[Body, ...]]:
    spec = ASSEMBLY.validate_python(fields)
    expansion = expand(spec)
    return expansion, bodies(spec, expansion)


def stock(body: Body) -> Manifold:
    """The body before its channels are cut, in its own ways: x along, y across, z through."""
    section = CrossSection([list(body.section)], FillRule.EvenOdd)
    # (across, through, height) -> (height, across, through)
    pushed = section.extrude(2 * FAR).transform([[0, 0, 1, -FAR], [1, 0, 0, 0], [0, 1, 0, 0]])
    for end, sign in zip(body.ends, (1.0, -1.0), strict=True):
        normal = np.array([1.0, -end.by_width, -end.by_thickness]) * sign
        long = float(np.linalg.norm(normal))
        pushed = pushed.trim_by_plane(tuple(normal / long), float(end.at * sign / long))
    return pushed


def placed(body: Body, solid: Manifold) -> Manifold:
    rows = np.column_stack([*body.ways, body.origin])
    return solid.transform(rows.tolist())


def cut(body: Body) -> Manifold:
    """The body with its channels cut out."""
    solid = stock(body)
    wide, thick = max(y for y, _ in body.section), max(z for _, z in body.section)
    for channel in body.channels:
        start = -FAR if channel.begins is None else channel.begins
        stop = FAR if channel.ends is None else channel.ends
        low, high = [start, 0.0, 0.0], [stop, 0.0, 0.0]
        surface, beside = (1, 2) if channel.surface in body.sides.edges else (2, 1)
        names = {1: body.sides.edges, 2: body.sides.faces}
        sizes = {1: wide, 2: thick}
        far_side = channel.surface is names[surface][1]
        low[surface], high[surface] = (
            (sizes[surface] - channel.depth, sizes[surface] + 1) if far_side else (-1.0, channel.depth)
        )
        counted = channel.offset, channel.offset + channel.width
        if channel.edge is names[beside][1]:
            counted = sizes[beside] - counted[1], sizes[beside] - counted[0]
        low[beside], high[beside] = counted
        block = Manifold.cube([b - a for a, b in zip(low, high, strict=True)]).translate(low)
        solid = solid - block
    return placed(body, solid)


def from_cells(body: Body) -> list[Manifold]:
    return [Manifold.hull_points(np.array(cell.corners)) for cell in cells(body)]


def volume(solids: Iterable[Manifold]) -> float:
    return float(sum(solid.volume() for solid in solids))


@pytest.mark.parametrize("seed", SEEDS)
class TestAssorted:
    def test_every_piece_and_panel_of_one_copy_is_there_once(self, seed: int) -> None:
        expansion, every = put_together(assorted(seed))
        parts: list[Member | Panel] = [*expansion.members, *expansion.panels]
        wanted = [Single(part.mark, index) for part in parts for index in range(part.quantity)]
        assert sorted(map(repr, wanted)) == sorted(repr(body.piece) for body in every)

    def test_they_share_no_wood(self, seed: int) -> None:
        _, every = put_together(assorted(seed))
        solids = [(body.piece, cut(body)) for body in every]
        shared = {
            (one, other): round((first ^ second).volume(), 3)
            for (one, first), (other, second) in combinations(solids, 2)
        }
        assert {pair: both for pair, both in shared.items() if both > 1e-2} == {}

    def test_apart_they_share_no_wood_either(self, seed: int) -> None:
        spec = ASSEMBLY.validate_python(assorted(seed))
        expansion = expand(spec)
        every = bodies(spec, expansion)
        moves = apart(every, seams(expansion, every), 35.0)
        solids = [cut(body).translate(moves[body.piece]) for body in every]
        assert all((one ^ other).volume() < 1e-2 for one, other in combinations(solids, 2))

    def test_cells_fill_a_body_and_share_nothing(self, seed: int) -> None:
        for body in put_together(assorted(seed))[1]:
            solid, parts = cut(body), from_cells(body)
            assert volume(parts) == pytest.approx(solid.volume(), rel=1e-6)
            assert (Manifold.batch_boolean(parts, OpType.Add) ^ solid).volume() == pytest.approx(
                solid.volume(), rel=1e-5
            )

    def test_planes_of_a_cell_hold_its_corners(self, seed: int) -> None:
        for body in put_together(assorted(seed))[1]:
            for cell in cells(body):
                points = np.array(cell.corners)
                for normal, reach in cell.planes:
                    assert (points @ np.array(normal)).max() == pytest.approx(reach, abs=1e-6)

    def test_edges_are_the_solid_s(self, seed: int) -> None:
        # the creases of a solid's own triangle mesh, summed up by length
        for body in put_together(assorted(seed))[1]:
            long = sum(float(np.linalg.norm(np.subtract(*edge))) for edge in edges(body))
            assert long == pytest.approx(creases(cut(body)), rel=1e-3)

    def test_the_outside_is_the_elevation_s(self, seed: int) -> None:
        fields = assorted(seed)
        if fields["kind"] == "single_joint" and fields["angle"] != 90:
            return  # its elevation is drawn straight on
        expansion, every = put_together(fields)
        drawn = unary_union([Polygon(outline.points) for outline in expansion.elevation.members])
        marks = {outline.mark for outline in expansion.elevation.members}
        # from above, y goes to the back
        down = (0, 2, -1.0) if expansion.elevation.view == "plan" else (0, 1, 1.0)
        shadows = []
        for body in every:
            if body.piece.mark in marks:
                points = np.asarray(placed(body, stock(body)).to_mesh().vert_properties, dtype=float)
                flat = np.column_stack([points[:, down[0]], points[:, down[1]] * down[2]])
                shadows.append(Polygon(CrossSection.hull_points(flat).to_polygons()[0]))
        assert unary_union(shadows).symmetric_difference(drawn).area == pytest.approx(0, abs=1.0)

    def test_a_panel_in_a_groove_or_rabbet_cannot_grow(self, seed: int) -> None:
        # a millimetre more all round and it would stand in wood: it reaches to the bottom of every channel
        expansion, every = put_together(assorted(seed))
        let_in = {panel.mark for panel in expansion.panels if panel.name in {"panel", "bottom", "top", "back"}}
        let_in -= {panel.mark for panel in expansion.panels if laid_over(panel.name, assorted(seed))}
        wood = [cut(body) for body in every if not body.is_panel]
        for body in every:
            if body.piece.mark in let_in:
                for axis in (0, 1):
                    way = np.array(body.ways[axis])
                    solid = placed(body, stock(body))
                    for sign in (1, -1):
                        pushed = solid.translate(tuple(sign * way))
                        assert volume(pushed ^ each for each in wood) > 1

    def test_a_top_laid_over_the_walls_lies_on_them_and_is_flush(self, seed: int) -> None:
        expansion, every = put_together(assorted(seed))
        tops = {panel.mark for panel in expansion.panels if laid_over(panel.name, assorted(seed))}
        wood = [cut(body) for body in every if not body.is_panel]
        low, high = np.array([each.bounding_box() for each in wood]).reshape(-1, 2, 3).swapaxes(0, 1)
        for body in every:
            if body.piece.mark in tops:
                solid = placed(body, stock(body))
                box = np.array(solid.bounding_box())
                assert box[[0, 2, 3, 5]] == pytest.approx([*low.min(axis=0)[[0, 2]], *high.max(axis=0)[[0, 2]]])
                assert volume(solid.translate((0, -1, 0)) ^ each for each in wood) > 1


def laid_over(name: str, fields: dict[str, Any]) -> bool:
    return name == "top" and fields["kind"] == "box" and fields["top"].get("fit") == "over"


def creases(solid: Manifold) -> float:
    """How long the edges of a solid are where its surface turns: read off its triangles."""
    mesh = solid.as_original().simplify(1e-6).to_mesh64()
    points, triangles = np.asarray(mesh.vert_properties)[:, :3], np.asarray(mesh.tri_verts)
    keys = np.unique(np.round(points, 5), axis=0, return_inverse=True)[1].reshape(-1)
    normals: dict[tuple[int, int], list[Any]] = {}
    where = {int(key): points[index] for index, key in enumerate(keys)}
    for triangle in triangles:
        a, b, c = points[triangle]
        normal = np.cross(b - a, c - a)
        normal = normal / np.linalg.norm(normal)
        ids = [int(keys[vertex]) for vertex in triangle]
        for one, other in zip(ids, [*ids[1:], ids[0]], strict=True):
            normals.setdefault((min(one, other), max(one, other)), []).append(normal)
    return sum(
        float(np.linalg.norm(where[one] - where[other]))
        for (one, other), (first, *rest) in normals.items()
        if any(abs(first @ each) < 1 - 1e-7 for each in rest)
    )


@pytest.mark.parametrize("name", [name for name in CASES if "single mitre" not in name])
def test_pieces_stand_where_other_geometry_has_them(name: str) -> None:
    spec, build, _ = CASES[name]
    copy, every = build(spec), put_together(spec)[1]
    # the other geometry counts a single joint's x from the mating face
    shift = (-spec["behind"][0], 0, 0) if spec["kind"] == "single_joint" else (0, 0, 0)
    if spec.get("sides", 4) != 4:
        low = np.min([wood.solid.bounding_box()[:3] for wood in copy["A1"]], axis=0)
        shift = (low[0], low[1], 0)
    for body in every:
        theirs = copy[body.piece.mark][body.piece.index].solid
        ours = placed(body, stock(body)).translate(shift)
        assert ours.volume() == pytest.approx(theirs.volume(), rel=1e-6)
        assert (ours ^ theirs).volume() == pytest.approx(theirs.volume(), rel=1e-5)


@pytest.mark.parametrize("sides", range(3, 13))
def test_a_prism_has_its_own_edges_and_no_other(sides: int) -> None:
    # Euler: a prism over n corners has 3n edges
    stock = {"width": 42, "thickness": 24, "rabbet_width": 7, "rabbet_depth": 9}
    frame = {"kind": "mitred_frame", "mark": "A", "measure": "outside", "stock": stock}
    sizes = {"width": 390, "height": 410} if sides == 4 else {"sides": sides, "across": 390}
    *pieces, glazing = put_together(frame | sizes)[1]
    assert len(edges(glazing)) == 3 * sides
    # the rabbet makes six corners of the stock's four
    assert {len(edges(piece)) for piece in pieces} == {3 * 6}


def test_a_channel_that_stops_runs_on_by_its_own_depth_and_no_farther() -> None:
    # a door by hand: bottom rail 60, opening 720 − 45 − 60 = 615, groove 10 deep: from 50 to 685 up the stile
    door = {"kind": "railed_frame", "mark": "A", "width": 600, "height": 720, "thickness": 20, "stile": 45}
    door |= {
        "top_rail": 45,
        "bottom_rail": 60,
        "panel": {"fit": "groove", "depth": 10, "width": 6, "thickness": 6},
    }
    stile, _, rail, *_ = put_together(door)[1]
    (groove,) = stile.channels
    assert (groove.fit, groove.begins, groove.ends) == (Fit.GROOVE, 50, 685)
    assert (groove.offset, groove.width, groove.depth) == (7, 6, 10)
    (through,) = rail.channels
    assert (through.begins, through.ends) == (None, None)


LET_IN = {
    "door": {"kind": "railed_frame", "mark": "A", "width": 523, "height": 711, "thickness": 23, "stile": 57}
    | {"top_rail": 53, "bottom_rail": 71, "panel": {"fit": "groove", "depth": 9, "width": 7, "thickness": 7}},
    "butted box": {"kind": "box", "mark": "A", "measure": "outside", "length": 293, "width": 187, "height": 109}
    | {"wall": 17, "corner": "butt", "bottom": {"fit": "groove", "thickness": 5, "depth": 6, "up": 7}}
    | {"top": {"material": "ash", "thickness": 3, "depth": 4, "down": 5}},
    "carcass, groove": {"kind": "carcass", "mark": "A", "width": 613, "height": 711, "depth": 287, "thickness": 19}
    | {"corner": "top_between", "back": {"fit": "groove", "thickness": 6, "depth": 8, "inset": 11}},
    "carcass, rabbet": {"kind": "carcass", "mark": "A", "width": 613, "height": 711, "depth": 287, "thickness": 19}
    | {"corner": "top_over", "plinth": 71, "back": {"fit": "rabbet", "thickness": 6, "depth": 8}},
}


@pytest.mark.parametrize("name", LET_IN)
def test_grooves_run_on_as_the_note_says_take_the_panels_and_a_millimetre_less_does_not(name: str) -> None:
    expansion, every = put_together(LET_IN[name])
    said = {
        str(figures["panel_text"]): float(figures["depth"])
        for figures in (dict(note.figures) for note in expansion.notes if note.code is NoteCode.GROOVES_STOP)
    }
    names = {panel.mark: panel.name for panel in expansion.panels}
    wood = [body for body in every if not body.is_panel]
    for body in every:
        if body.is_panel:
            depth, panel = said[names[body.piece.mark]], placed(body, stock(body))
            stopped = [
                one for piece in wood for one in piece.channels if one.depth == depth and one.begins is not None
            ]
            assert stopped
            assert volume(panel ^ cut(piece) for piece in wood) == pytest.approx(0, abs=1e-3)
            assert volume(panel ^ cut(run_on(piece, depth, -1.0)) for piece in wood) > 1


def run_on(body: Body, depth: float, more: float) -> Body:
    """The piece with its channels of this depth stopped ``more`` mm farther on."""
    return replace(
        body,
        channels=tuple(
            replace(
                one,
                begins=None if one.begins is None else one.begins - more,
                ends=None if one.ends is None else one.ends + more,
            )
            if one.depth == depth
            else one
            for one in body.channels
        ),
    )
