"""Every kind as the thing that it is, together and apart: real sections, entries marked, nothing seen through.

What is in sight is held against rays cast through solids of ``manifold3d`` (a general-purpose library).
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace
from functools import cache
from itertools import combinations
from math import asin, atan2, cos, dist, isfinite, sin
from random import Random
from typing import Any

import numpy as np
import numpy.typing as npt
import pytest
from manifold3d import CrossSection, Manifold, OpType
from shapely import Point, Polygon

from domain.lengths import Units
from domain.notes import NoteCode
from domain.parts import Member, Panel, Side, Vector
from domain.space.bodies import bodies, seams
from domain.space.body import Body, dot
from domain.space.solid import Cell, cells, edges
from domain.spec.assemblies import Assembly
from domain.spec.catalogue import KeyEnd
from domain.spec.rules import Rules
from domain.takeoff.build import take_off_assembly
from domain.takeoff.nipped import nipped
from domain.takeoff.takeoff import AssemblyTakeoff
from tests.published.assorted import assorted
from tests.published.test_bodies_in_solids import cut
from tests.webapp.drawings.drawing_samples import (
    ASSEMBLY,
    BOTTOM,
    KINDS,
    SVG,
    sections,
    subpaths,
    svg,
    svg_text,
)
from webapp.drawings.driven import driven_keys
from webapp.drawings.key_solid import Solid
from webapp.drawings.milled import CHORDS, left_of
from webapp.drawings.model import Drawing, Role, TextRole
from webapp.drawings.pictorial import View, draw_apart, draw_together, pictorial, taken_apart
from webapp.drawings.sight import EYE, Sight, project

CARCASS = {"kind": "carcass", "width": 800, "height": 900, "depth": 350, "thickness": 18}
SHAPES: dict[str, dict[str, Any]] = KINDS | {
    # entered from above and from below, so that keys of both are looked for
    "butted box": KINDS["butted box"] | {"keys": {"entry": "both"}},
    "square box": {"kind": "box", "length": 120, "width": 120, "height": 300, "wall": 12, "corner": "mitre"},
    "glazed box": {"kind": "box", "length": 300, "width": 200, "height": 60, "wall": 16, "corner": "mitre"}
    | {"bottom": BOTTOM, "top": {"material": "glass", "thickness": 3, "depth": 5, "down": 8}},
    "carcass with screws": CARCASS | {"corner": "mitre", "depth": 500, "keys": {"middle": "screws"}},
    "top laid over": CARCASS | {"corner": "top_over"},
    "carcass on a plinth frame": CARCASS | {"corner": "mitre", "plinth": 90},
    "low and deep": CARCASS | {"corner": "top_between", "height": 160, "depth": 700},
    "many shelves": CARCASS
    | {"height": 2400, "width": 1800, "corner": "top_between"}
    | {"shelves": [200 + 180 * row for row in range(12)], "partitions": [440, 900, 1300]},
}
MADE = [name for name in SHAPES if name != "too small"]


@cache
def taken_off(name: str) -> tuple[Assembly, AssemblyTakeoff]:
    fields = {"mark": "A"} | SHAPES[name]
    if fields["kind"] in {"box", "mitred_frame"}:
        fields = {"measure": "outside"} | fields
    spec = ASSEMBLY.validate_python(fields)
    return spec, take_off_assembly(spec, sections(), Rules())


@cache
def drawn(name: str, units: Units = Units.MM) -> Drawing:
    return draw_together(*taken_off(name), units)


@cache
def drawn_apart(name: str) -> Drawing:
    return draw_apart(*taken_off(name))


def entries(takeoff: AssemblyTakeoff) -> Iterator[str]:
    for joint in takeoff.joints:
        for entry in dict.fromkeys(slot.entry for slot in joint.slots):
            yield f"{joint.joint.mark.removeprefix('A-')} {entry.value}"


def assert_words_are_clear(drawing: Drawing) -> None:
    pairs = combinations(drawing.texts, 2)
    assert [(one.words, other.words) for one, other in pairs if one.box.overlaps(other.box)] == []
    view = drawing.view
    assert all(text.box.union(view) == view for text in drawing.texts)
    for shape in drawing.shapes:
        assert all(view.left <= x <= view.right and view.low <= y <= view.high for x, y in shape.points)
        assert all(isfinite(number) for point in shape.points for number in point)


@pytest.mark.parametrize("units", Units)
@pytest.mark.parametrize("name", SHAPES)
class TestTogether:
    def test_words_do_not_overlap_and_lie_within_the_view(self, name: str, units: Units) -> None:
        assert_words_are_clear(drawn(name, units))

    def test_every_joint_has_a_mark_for_each_side_that_keys_go_in_from(self, name: str, units: Units) -> None:
        words = [text.words for text in drawn(name, units).texts]
        wanted = list(entries(taken_off(name)[1]))
        assert wanted or name == "too small"
        assert set(wanted) <= set(words)

    def test_it_is_named_described_and_light(self, name: str, units: Units) -> None:
        drawing = drawn(name, units)
        root = svg(drawing)
        assert root.findtext(f"{SVG}title") == drawing.name
        assert "Axonometric view (ISO 5456-3)" in str(root.findtext(f"{SVG}desc"))
        assert len(list(root.iter(f"{SVG}path"))) <= 10


@pytest.mark.parametrize("name", SHAPES)
class TestApart:
    def test_every_part_s_mark_is_there_once_and_clear_of_others(self, name: str) -> None:
        _, takeoff = taken_off(name)
        drawing = drawn_apart(name)
        assert_words_are_clear(drawing)
        parts: list[Member | Panel] = [*takeoff.expansion.members, *takeoff.expansion.panels]
        found = [text.words for text in drawing.texts if text.role is TextRole.MEMBER]
        assert sorted(found) == sorted(part.mark for part in parts)

    def test_keys_are_shown_wherever_there_are_any(self, name: str) -> None:
        _, takeoff = taken_off(name)
        drawing = drawn_apart(name)
        assert any(shape.role is Role.KEY for shape in drawing.shapes) == any(
            joint.slots for joint in takeoff.joints
        )

    def test_it_is_named_described_and_light(self, name: str) -> None:
        drawing = drawn_apart(name)
        root = svg(drawing)
        assert str(root.findtext(f"{SVG}title")).endswith("taken apart")
        assert "along its joints" in str(root.findtext(f"{SVG}desc"))
        assert len(list(root.iter(f"{SVG}path"))) <= 10


# --- the projection, by turning the space


def turned(points: Sequence[Vector]) -> npt.NDArray[np.float64]:
    """Turn the assembly about its upright axis, tip it towards the eye, look at it square on (ISO 5456-3)."""
    swing, tip = atan2(EYE[0], EYE[2]), asin(EYE[1])
    about = np.array([[cos(swing), 0, -sin(swing)], [0, 1, 0], [sin(swing), 0, cos(swing)]])
    tipped = np.array([[1, 0, 0], [0, cos(tip), -sin(tip)], [0, sin(tip), cos(tip)]])
    return np.asarray((tipped @ about @ np.array(points).T).T[:, :2], dtype=float)


def test_the_projection_is_an_orthogonal_axonometry() -> None:
    draw = Random(1)
    points = [(draw.uniform(-9, 9), draw.uniform(-9, 9), draw.uniform(-9, 9)) for _ in range(50)]
    assert np.allclose(turned(points), [project(point) for point in points])
    # the eye lies nowhere: all that it looks along is one point
    assert project(EYE) == pytest.approx((0.0, 0.0))


@pytest.mark.parametrize("name", ["box with lid", "butted box", "square box", "top laid over", "mitred carcass"])
def test_it_is_as_large_as_its_outside_sizes(name: str) -> None:
    fields = taken_off(name)[0].model_dump(mode="json")
    if fields["kind"] == "box":
        wide, deep, high = fields["length"], fields["width"], fields["height"]
        lid = fields["lid"]
        high += lid["lip"] + lid["kerf"] if lid else 0
    else:
        wide, deep, high = fields["width"], fields["depth"], fields["height"]
    points = [point for line in subpaths(svg(drawn(name)), "outline") for point in line]
    block = turned([(x, y, z) for x in (0, wide) for y in (0, high) for z in (0, deep)])
    for axis in (0, 1):
        found = [point[axis] for point in points]
        assert max(found) - min(found) == pytest.approx(np.ptp(block[:, axis]), abs=0.01)
    words = [text.words for text in drawn(name).texts]
    assert {f"{wide:g}", f"{deep:g}", f"{high:g}"} <= set(words)


# --- keys and saw


@pytest.mark.parametrize("name", MADE)
def test_leaders_lead_to_a_key(name: str) -> None:
    root = svg(drawn(name))
    keys = [Polygon(points) for css in ("key", "thin") for points in subpaths(root, css) if len(points) == 6]
    marks = list(entries(taken_off(name)[1]))
    ends = [Point(end) for line in subpaths(root, "dimension") for end in line]
    led_to = [end for end in ends if any(key.buffer(0.01).covers(end) for key in keys)]
    assert len(led_to) >= len(marks)


@pytest.mark.parametrize("name", SHAPES)
def test_there_is_a_cross_section_for_every_slot(name: str) -> None:
    root = svg(drawn(name))
    found = [points for css in ("key", "thin") for points in subpaths(root, css) if len(points) == 6]
    takeoff = taken_off(name)[1]
    assert len(found) == sum(joint.joint.quantity * len(joint.slots) for joint in takeoff.joints)


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
        y = 90.0 if slot.entry.value == "top" else 0.0
        for x in (slot.centre, 280 - slot.centre):
            for z in (-14.0, 14.0 - 180):
                at = Point(project((x, y, z)))
                assert min(at.distance(centre) for centre in found) < 0.01


def test_keys_from_above_are_seen_and_keys_from_below_are_turned_away() -> None:
    root = svg(drawn("butted box"))
    assert len(subpaths(root, "key")) == 4
    assert len([points for points in subpaths(root, "thin") if len(points) == 6]) == 4


def test_the_saw_line_lies_a_kerf_wide_at_the_lid() -> None:
    # 110 closed with a lid of 40: the body's 70 and the lip's 6, then the saw's 2; the front is 280 long
    lines = subpaths(svg(drawn("box with lid")), "hidden-line")
    for height in (76.0, 78.0):
        wanted = [project((0.0, height, 0.0)), project((280.0, height, 0.0))]
        assert any(np.allclose(sorted(line), sorted(wanted), atol=0.01) for line in lines)
    assert not any(shape.role is Role.HIDDEN for shape in drawn("butted box").shapes)


def test_a_lid_stands_clear_of_its_box_with_the_lip_on_the_body() -> None:
    view = taken_apart(*taken_off("box with lid"))
    pieces = [body for body in view.bodies if not body.is_panel]
    # the wall is 118: 76 stay with the body, lip and all, 40 with the lid, 2 go to the saw
    assert sorted(body.width for body in pieces) == [40] * 4 + [76] * 4
    lips = {(body.width, channel.surface) for body in pieces for channel in body.channels if channel.width == 6}
    assert lips == {(76, Side.OUTSIDE), (40, Side.INSIDE)}


def test_a_joint_that_cannot_be_made_has_no_key() -> None:
    spec, takeoff = taken_off("butted box")
    unmade = replace(takeoff, joints=tuple(replace(joint, plan=None, slots=()) for joint in takeoff.joints))
    for drawing in (draw_together(spec, unmade, Units.MM), draw_apart(spec, unmade)):
        assert not any(shape.role is Role.KEY for shape in drawing.shapes)
    assert [text.words for text in draw_together(spec, unmade, Units.MM).texts] == ["280", "90", "180"]


def test_names_come_out_escaped() -> None:
    nasty = '<script>alert("1")</script>\' & "'
    spec, takeoff = taken_off("carcass")
    named = replace(takeoff, expansion=replace(takeoff.expansion, name=nasty))
    for drawing in (draw_together(spec, named, Units.MM), draw_apart(spec, named)):
        assert "<script" not in svg_text(drawing)
        assert nasty in str(svg(drawing).findtext(f"{SVG}title"))


@pytest.mark.parametrize(
    ("end", "said"),
    [(KeyEnd.ROUND, "a round end."), (KeyEnd.SQUARE, "a square end.")],
)
def test_it_says_how_the_keys_lead(end: KeyEnd, said: str) -> None:
    spec, _ = taken_off("butted box")
    keys = tuple(section.model_copy(update={"end": end}) for section in sections())
    drawing = draw_apart(spec, take_off_assembly(spec, keys, Rules()))
    assert drawing.describes.endswith(f"Keys lead with {said}")


# --- round ends, and corners cut off panels


def solid_of(cells: Sequence[Cell]) -> Manifold:
    return Manifold.batch_boolean([Manifold.hull_points(np.array(cell.corners)) for cell in cells], OpType.Add)


@pytest.mark.parametrize("name", ["butted box", "mitred carcass", "hexagon"])
def test_a_round_end_is_turned_about_the_cutter_s_axis_as_long_as_the_key(name: str) -> None:
    """Against frustums of ``manifold3d`` pushed along the key: twice as many facets as half a turn has chords."""
    spec, takeoff = taken_off(name)
    for driven in driven_keys(takeoff, seams(takeoff.expansion, bodies(spec, takeoff.expansion))):
        plan, key, drawn_key = driven.joint.plan, driven.keys[-1], driven.solids[-1]
        assert plan is not None
        wide, waist, half = plan.overall_width / 2, plan.waist / 2, plan.section.half_depth.mm
        cone = Manifold.cylinder(half, waist, wide, 2 * CHORDS)
        straight = CrossSection([[(waist, 0), (wide, half), (-wide, half), (-waist, 0)]]).extrude(
            key.length - wide
        )
        # (across, up, along) -> along the key, into the wood, across
        straight = straight.transform([[0, 0, 1, 0], [0, 1, 0, 0], [1, 0, 0, 0]])
        round_end = cone.transform([[0, 1, 0, key.length - wide], [0, 0, 1, 0], [1, 0, 0, 0]])
        one = straight + round_end.trim_by_plane((1, 0, 0), key.length - wide)
        whole = (one + one.mirror((0, 1, 0))).transform(np.column_stack([*key.ways, key.origin]).tolist())
        found = solid_of(drawn_key.cells)
        assert (whole - found).volume() + (found - whole).volume() < 1e-4 * whole.volume()
        for cell in drawn_key.cells:
            assert all(
                dot(corner, normal) < reach + 1e-6 for corner in cell.corners for normal, reach in cell.planes
            )
        # all but the deepest are cut off square
        for one_key, other in zip(driven.keys[:-1], driven.solids[:-1], strict=True):
            assert solid_of(other.cells).volume() == pytest.approx(solid_of(cells(one_key)).volume())


CROSSED = {"kind": "box", "length": 300, "width": 200, "height": 120, "wall": 12} | {
    "bottom": {"fit": "groove", "thickness": 5, "depth": 5, "up": 6},
    "top": {"material": "oak", "thickness": 4, "depth": 4, "down": 4},
    "lid": {"height": 30, "kerf": 3, "lip": 5},
}
NIPPED: dict[str, dict[str, Any]] = {
    "mitred box": CROSSED | {"corner": "mitre"},
    "butted box": CROSSED | {"corner": "butt"},
    "carcass": CARCASS
    | {"corner": "top_between", "depth": 300, "back": {"fit": "groove", "thickness": 6, "depth": 8, "inset": 17}},
    "mitred carcass": CARCASS
    | {"corner": "mitre", "depth": 300, "back": {"fit": "rabbet", "thickness": 6, "depth": 8, "inset": 3}},
}


@pytest.mark.parametrize("name", NIPPED)
def test_a_panel_is_drawn_without_the_corners_that_the_notes_cut_off(name: str) -> None:
    """And so neither slot nor key, swept and hulled as solids, is in its way."""
    fields = {"mark": "A", "measure": "outside"} | NIPPED[name]
    if fields["kind"] == "carcass":
        del fields["measure"]
    spec = ASSEMBLY.validate_python(fields)
    takeoff = take_off_assembly(spec, sections(), Rules())
    whole = bodies(spec, takeoff.expansion)
    found = seams(takeoff.expansion, whole)
    cut_off = {body.piece: body for body in nipped(whole, takeoff, found)}
    notes = [
        dict(note.figures) | {"quantity": joint.joint.quantity, "square": note.code is NoteCode.CROSSES_SQUARE}
        for joint in takeoff.joints
        for note in joint.notes
        if note.code in {NoteCode.CROSSES_SQUARE, NoteCode.CROSSES_MITRED}
    ]
    assert notes
    thick = {body.piece: min(body.length, body.width, body.thickness) for body in whole if body.is_panel}
    lost = {body.piece: cut(body).volume() - cut(cut_off[body.piece]).volume() for body in whole}
    assert all(gone == pytest.approx(0, abs=1e-6) for piece, gone in lost.items() if piece not in thick)
    corners_lost = {
        (float(each["across"]), float(each.get("along", each["across"])), bool(each["square"])) for each in notes
    }
    areas = [across * along * (1 if square else 0.5) for across, along, square in corners_lost]
    for piece in thick:
        if lost[piece] > 1e-6:
            each_corner = lost[piece] / thick[piece] / 4
            assert any(each_corner == pytest.approx(area, rel=1e-6) for area in areas)
    panels = [cut(cut_off[piece]) for piece in thick]
    for driven in driven_keys(takeoff, found):
        keys = [solid_of(key.cells) for key in driven.solids]
        assert all((key ^ panel).volume() < 1e-6 for key in keys for panel in panels)
    assert sum(gone > 1e-6 for gone in lost.values()) >= 1
    drawn_whole, drawn_cut = (
        pictorial(View("", "", [body for body in some if body.is_panel])) for some in (whole, cut_off.values())
    )
    assert len(drawn_cut.shapes) > len(drawn_whole.shapes)


# --- slots in pieces drawn apart


@pytest.mark.parametrize("name", ["butted box", "mitred carcass", "hexagon", "single joint from both edges"])
def test_a_slot_s_edges_lie_in_its_wood_and_open_the_entry_edge(name: str) -> None:
    spec, takeoff = taken_off(name)
    placed = {body.piece: body for body in bodies(spec, takeoff.expansion)}
    for each in driven_keys(takeoff, seams(takeoff.expansion, tuple(placed.values()))):
        assert each.joint.plan is not None
        for slot in each.slots:
            (whole,) = cells(placed[slot.piece])
            for point in (end for edge in slot.edges for end in edge):
                assert all(dot(point, normal) < reach + 1e-6 for normal, reach in whole.planes)
            # the mouth is D − 2p·tan θ wide, on one of the piece's own edges
            wide = float(each.joint.plan.cutter.tip_diameter)
            wide -= 2 * each.joint.plan.projection * each.joint.plan.section.slope
            assert slot.opening is not None
            assert dist(*slot.opening) == pytest.approx(wide)
            cut_up = [list(left_of(edge, [slot.opening])) for edge in edges(placed[slot.piece])]
            assert sum(len(parts) == 2 for parts in cut_up) == 1
            assert sum(dist(*part) for parts in cut_up for part in parts) == pytest.approx(
                sum(dist(*edge) for edge in edges(placed[slot.piece])) - wide
            )


def test_slots_are_drawn_on_the_pieces_they_are_in() -> None:
    view = taken_apart(*taken_off("box with lid"))
    # two corners of four, body and lid, and each in two walls
    assert len(view.slots) == 4 * 2 * 2
    bare = pictorial(replace(view, slots=()))
    assert len(pictorial(view).shapes) > len(bare.shapes)
    lid = [slot for slot in view.slots if slot.low > 118]
    assert len(lid) == 8


def test_tenons_hang_between_their_mortises_as_large_as_the_note_has_them() -> None:
    spec, takeoff = taken_off("carcass with tenons")
    view = taken_apart(spec, takeoff)
    count = sum(joint.joint.quantity * len(joint.plan.fastenings) for joint in takeoff.joints if joint.plan)
    assert count > 8
    # 18 thick: a third of it, 16 wide; mortises on both mating faces, the faces a tenon and a half apart
    tenons = [key for key in view.keys if sorted({round(dist(*edge), 3) for edge in key.edges})[:2] == [6, 16]]
    assert len(tenons) == count
    mouths = [slot for slot in view.slots if slot.opening is None]
    assert len(mouths) == 2 * count
    assert all(sorted(dist(*edge) for edge in mouth.edges) == pytest.approx([6, 6, 16, 16]) for mouth in mouths)
    assert "Loose tenons are drawn as large as the wood has room for." in draw_apart(spec, takeoff).describes


def test_screws_are_drawn_as_their_axes_from_piece_to_piece() -> None:
    spec, takeoff = taken_off("carcass with screws")
    view = taken_apart(spec, takeoff)
    count = sum(joint.joint.quantity * len(joint.plan.fastenings) for joint in takeoff.joints if joint.plan)
    assert len(view.axes) == count > 0
    lengths = {round(dist(*axis), 3) for axis in view.axes}
    assert min(lengths) > 20
    drawing = draw_apart(spec, takeoff)
    assert any(shape.role is Role.CENTRE for shape in drawing.shapes)
    assert drawing.describes.endswith("Where screws go, their axis is drawn.")


# --- what is in sight, by rays through solids


class Rays:
    """The triangles of every body's solid, and how a ray from a point to the eye meets them."""

    def __init__(self, solids: Sequence[Manifold]) -> None:
        corners = []
        for solid in solids:
            mesh = solid.to_mesh64()
            points = np.asarray(mesh.vert_properties, dtype=float)[:, :3]
            corners.append(points[np.asarray(mesh.tri_verts)])
        triangles = np.concatenate(corners)
        self.a = triangles[:, 0]
        self.one, self.two = triangles[:, 1] - self.a, triangles[:, 2] - self.a

    def hides(self, point: npt.NDArray[np.float64]) -> bool | None:
        """Whether wood stands before it (Möller and Trumbore); None where the ray meets a triangle's edge."""
        way = np.array(EYE)
        across = np.cross(way, self.two)
        turn = np.einsum("ij,ij->i", self.one, across)
        level = np.abs(turn) < 1e-9
        share = 1 / np.where(level, 1, turn)
        off = point - self.a
        u = share * np.einsum("ij,ij->i", off, across)
        other = np.cross(off, self.one)
        v, far = share * (other @ way), share * np.einsum("ij,ij->i", self.two, other)
        inside = np.minimum(np.minimum(u, v), 1 - u - v)
        ahead = ~level & (far > 0.05)
        close = ~level & (far > 0) & (far <= 0.05) & (inside > -1e-4)
        if (ahead & (np.abs(inside) < 1e-4)).any() or close.any():
            return None
        return bool((ahead & (inside > 0)).any())


def assert_sight(bodies: Sequence[Body], keys: Sequence[Solid], draw: Random, most: int) -> int:
    """Points on edges, chance ones, are in sight where no ray to the eye is stopped; how many were settled."""
    wood = [*(cell for body in bodies for cell in cells(body)), *(cell for key in keys for cell in key.cells)]
    sight, settled = Sight(wood), 0
    rays = Rays([*map(cut, bodies), *(solid_of(key.cells) for key in keys)])
    every = [edge for body in bodies for edge in edges(body)] + [edge for key in keys for edge in key.edges]
    for start, end in draw.sample(every, min(most, len(every))):
        one, other = np.array(start), np.array(end)
        long = float(np.linalg.norm(other - one))
        shares = [
            (np.linalg.norm(np.array(low) - one) / long, np.linalg.norm(np.array(high) - one) / long)
            for low, high in sight.seen([(start, end)])[0]
        ]
        share = draw.uniform(0.02, 0.98)
        if any(abs(share - bound) * long < 0.1 for bounds in shares for bound in bounds):
            continue
        hidden = rays.hides(one + share * (other - one) + 0.01 * np.array(EYE))
        if hidden is not None:
            assert hidden != any(low < share < high for low, high in shares)
            settled += 1
    return settled


@pytest.mark.parametrize("seed", range(30))
def test_an_edge_is_in_sight_where_no_wood_stands_before_it(seed: int) -> None:
    spec = ASSEMBLY.validate_python(assorted(seed))
    takeoff = take_off_assembly(spec, sections(), Rules())
    draw = Random(seed)
    apart = taken_apart(spec, takeoff)
    for some, keys in ((bodies(spec, takeoff.expansion), ()), (apart.bodies, ()), (apart.bodies, apart.keys)):
        assert assert_sight(some, keys, draw, 120) > 10
