"""Boxes: four walls, mitred or butted, what is let into them, and a lid sawn off.

The walls are made in one height, closed height + lip + kerf, glued up with the lid on, then sawn:
from the bottom come the body up to its lip, the kerf, the lid. Body keys are driven from below and lid
keys from above, so that none is near the saw line or in the lip. A top that is laid over the walls counts to the
box's height and the lid's, not to the walls'.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace

from domain.assemblies.parts_list import PartsList, grooves_stop, over, under
from domain.assemblies.ring import Ring
from domain.faces.face import Backing, Behind, MatingFace, between_ends, short_piece
from domain.faces.region import Region, Void
from domain.lengths import ZERO
from domain.notes import Note, NoteCode
from domain.parts import Elevation, Expansion, JointKind, JointLine, Outline, Point, Side, Spot, rectangle
from domain.problem_codes import ProblemCode
from domain.problems import Problem
from domain.spec.assemblies import Box, BoxCorner, BoxMeasure, BoxTop, Fit, TopFit
from domain.spec.choices import Entry, KeyChoices


@dataclass(frozen=True, slots=True)
class Sizes:
    """A box's sizes in mm: outside, inside, and up its wall. ``height`` and ``lid`` are those of the walls."""

    length: float
    width: float
    height: float
    wall: float
    floor: float
    """From the bottom edge to the bottom panel's upper face."""
    roof: float
    """From the top edge to the top panel's under face; nothing where the top is laid over."""
    cover: float
    """How thick a top is that is laid over the walls."""
    lid: float
    lip: float
    kerf: float

    @property
    def inside_length(self) -> float:
        """Length between the walls."""
        return self.length - 2 * self.wall

    @property
    def inside_width(self) -> float:
        """Width between the walls."""
        return self.width - 2 * self.wall

    @property
    def wall_height(self) -> float:
        """The height that walls are made in."""
        return self.height + self.lip + self.kerf

    @property
    def body(self) -> float:
        """The body's height up to the foot of its lip: all of it where there is no lid."""
        return self.height - self.lid


def sizes_of(spec: Box) -> Sizes:
    """The sizes, whichever way the box was measured: inside height is clear between the panels."""
    floor = (spec.bottom.up + spec.bottom.thickness).mm if spec.bottom else 0.0
    over = _laid_over(spec)
    cover = over.thickness.mm if over else 0.0
    roof = ((spec.top.down or ZERO) + spec.top.thickness).mm if spec.top and not over else 0.0
    inside = spec.measure is BoxMeasure.INSIDE
    walls = 2 * spec.wall.mm if inside else 0.0
    return Sizes(
        length=spec.length.mm + walls,
        width=spec.width.mm + walls,
        height=spec.height.mm + (floor + roof if inside else -cover),
        wall=spec.wall.mm,
        floor=floor,
        roof=roof,
        cover=cover,
        lid=spec.lid.height.mm - cover if spec.lid else 0.0,
        lip=spec.lid.lip.mm if spec.lid else 0.0,
        kerf=spec.lid.kerf.mm if spec.lid else 0.0,
    )


def _laid_over(spec: Box) -> BoxTop | None:
    return spec.top if spec.top is not None and spec.top.fit is TopFit.OVER else None


def _grooved_top(spec: Box) -> BoxTop | None:
    return spec.top if spec.top is not None and spec.top.fit is TopFit.GROOVE else None


def reach_of_top(spec: Box) -> float:
    """How far the top reaches into or over each wall from its inner face, mm."""
    top = _grooved_top(spec)
    return spec.wall.mm if top is None else (top.depth or ZERO).mm


def check(spec: Box) -> Iterator[Problem]:
    """Walls, panels, lid and lining that leave each other room."""
    missing = tuple(_check_top(spec))
    yield from missing
    if missing:
        return
    sizes = sizes_of(spec)
    yield from over(2 * sizes.wall, ("width",), sizes.width, "two walls")
    yield from over(2 * sizes.wall, ("length",), sizes.length, "two walls")
    if spec.bottom is not None:
        yield from under(sizes.wall, ("bottom", "depth"), spec.bottom.depth.mm, "the wall")
        yield from under(sizes.body, ("bottom", "up"), sizes.floor, "the body's height, panel and all")
    room = sizes.lid - sizes.lip if spec.lid else sizes.height - sizes.floor
    if _grooved_top(spec):
        yield from under(sizes.wall, ("top", "depth"), reach_of_top(spec), "the wall")
        yield from under(room, ("top", "down"), sizes.roof, "the height there, with the panel's thickness")
    elif sizes.cover and not spec.lid:
        most = sizes.height + sizes.cover - sizes.floor
        yield from under(most, ("top", "thickness"), sizes.cover, "the height over the bottom")
    if spec.lid is not None:
        closed, high = sizes.height + sizes.cover, sizes.lid + sizes.cover
        yield from over(sizes.cover, ("lid", "height"), high, "the top's thickness")
        yield from under(closed, ("lid", "height"), high, "the closed height")
        what = "the lid's height under its top" if sizes.cover else "the lid's height"
        yield from under(sizes.lid, ("lid", "lip"), sizes.lip, what)
        yield from under(sizes.wall / 2, ("lid", "clearance"), spec.lid.clearance.mm, "half the wall")
    if spec.lining is not None:
        yield from under(
            min(sizes.inside_width, sizes.inside_length) / 2, ("lining",), spec.lining.mm, "half the inside"
        )


def _check_top(spec: Box) -> Iterator[Problem]:
    """A top where there is a lid, and what its fit asks for."""
    if spec.top is None:
        if spec.lid is not None:
            yield Problem.of(("top",), "missing", ProblemCode.TOP_UNDER_LID)
        return
    over_walls = _laid_over(spec) is not None
    for field, size in (("depth", spec.top.depth), ("down", spec.top.down)):
        if over_walls and size is not None:
            yield Problem.of(("top", field), size.mm, ProblemCode.NOT_OF_TOP_OVER)
        if not over_walls and size is None:
            yield Problem.of(("top", field), "missing", ProblemCode.MISSING)


def expand(spec: Box, choices: KeyChoices) -> Expansion:
    """Walls, panels, lining and veneer; corners in one kind, or body and lid apart where a lid is sawn off."""
    sizes = sizes_of(spec)
    parts = PartsList(spec, choices, "Box")
    walls = _walls(spec, parts, sizes)
    _let_in(spec, parts, sizes)
    notes = [*_laid_on(spec, parts, sizes)]
    if _laid_over(spec):
        notes.append(Note.of(NoteCode.TOP_LAID_OVER))
    if spec.bottom or _grooved_top(spec):
        notes.append(Note.of(NoteCode.PANEL_FULL))
        if spec.corner is BoxCorner.BUTT:
            notes[:0] = _grooves_stop(spec)
    joints = _corners(spec, parts, sizes, walls)
    if spec.corner is BoxCorner.MITRE:
        _meet_mitred(parts, sizes, walls, joints)
    else:
        _meet_butted(parts, walls, joints)
    if spec.lid is not None:
        low = sizes.body + sizes.lip
        notes.insert(0, Note.of(NoteCode.SAW_LINE, low=low, high=low + sizes.kerf))
    return parts.expansion(_plan_view(spec, sizes, walls, joints), notes)


def _walls(spec: Box, parts: PartsList, sizes: Sizes) -> tuple[str, str]:
    """Front and back, then the sides; a mitred square box has four equal walls."""
    wall, high = sizes.wall, sizes.wall_height
    if spec.corner is BoxCorner.BUTT:
        front = parts.member("front and back", 2, sizes.length, high, wall)
        return front, parts.member("side", 2, sizes.inside_width, high, wall)
    ends = (45.0, 45.0)
    if sizes.length == sizes.width:
        mark = parts.member("wall", 4, sizes.length, high, wall, ends, sizes.inside_length)
        return mark, mark
    front = parts.member("front and back", 2, sizes.length, high, wall, ends, sizes.inside_length)
    return front, parts.member("side", 2, sizes.width, high, wall, ends, sizes.inside_width)


def _let_in(spec: Box, parts: PartsList, sizes: Sizes) -> None:
    if spec.bottom is not None:
        grown = 2 * spec.bottom.depth.mm
        length, width = sizes.inside_length + grown, sizes.inside_width + grown
        parts.panel("bottom", 1, length, width, spec.bottom.thickness.mm)
    if spec.top is not None:
        grown = 2 * reach_of_top(spec)
        length, width = sizes.inside_length + grown, sizes.inside_width + grown
        parts.panel("top", 1, length, width, spec.top.thickness.mm, spec.top.material)


def _grooves_stop(spec: Box) -> Iterator[Note]:
    if spec.bottom is not None:
        yield grooves_stop("bottom", spec.bottom.fit, "side", spec.bottom.depth.mm)
    if _grooved_top(spec):
        yield grooves_stop("top", Fit.GROOVE, "side", reach_of_top(spec))


def _laid_on(spec: Box, parts: PartsList, sizes: Sizes) -> Iterator[Note]:
    """Lining inside the walls (body and lid apart), veneer on their outside."""
    if spec.lining is not None:
        thick = spec.lining.mm
        heights = [("lining", sizes.height - sizes.floor - sizes.roof)]
        if spec.lid is not None:
            # the lip is the inner half of the body's wall, so the lining parts at its top
            body = sizes.body + sizes.lip - sizes.floor
            heights = [("body lining", body), ("lid lining", sizes.lid - sizes.lip - sizes.roof)]
        for name, high in heights:
            parts.panel(f"{name}, front and back", 2, sizes.inside_length, high, thick)
            parts.panel(f"{name}, side", 2, sizes.inside_width - 2 * thick, high, thick)
        around = 2 * (sizes.inside_length + sizes.inside_width - 2 * thick)
        yield Note.of(NoteCode.LINING_AREA, area_n=around * sum(high for _, high in heights) / 1e6)
    if spec.veneer is not None:
        for name, long in (("front and back", sizes.length), ("side", sizes.width)):
            parts.panel(f"veneer, {name}", 2, long, sizes.wall_height, spec.veneer.mm)
        yield Note.of(NoteCode.VENEER_AREA, area_n=2 * (sizes.length + sizes.width) * sizes.wall_height / 1e6)


def _corners(spec: Box, parts: PartsList, sizes: Sizes, walls: tuple[str, str]) -> tuple[str, ...]:
    members = (walls[1], walls[0]) if spec.corner is BoxCorner.BUTT else walls
    kind = JointKind.EDGE_BUTT if spec.corner is BoxCorner.BUTT else JointKind.EDGE_MITRE
    bottom, top = _bottom_void(spec, sizes), _top_void(spec, sizes)

    def corner(place: str, run: float, voids: tuple[Void, ...], entries: tuple[Entry, ...]) -> str:
        ends = (Entry.TOP, Entry.BOTTOM) if entries == (Entry.TOP,) else (Entry.BOTTOM, Entry.TOP)
        face = _face(spec, sizes, run, voids, ends)
        return parts.joint(kind, place, 4, members, face, entries, entries)

    if spec.lid is None:
        up = tuple(replace(v, v0=sizes.height - v.v1, v1=sizes.height - v.v0) for v in top)
        return (corner("corner", sizes.height, (*bottom, *up), (Entry.BOTH, Entry.BOTTOM, Entry.TOP)),)
    return (
        corner("body corner", sizes.body, bottom, (Entry.BOTTOM,)),
        corner("lid corner", sizes.lid - sizes.lip, top, (Entry.TOP,)),
    )


def _meet_mitred(parts: PartsList, sizes: Sizes, walls: tuple[str, str], joints: tuple[str, ...]) -> None:
    """Front, right side, back, left side, as one goes round and looks down on them."""
    outer, inner = _plan(sizes)
    around = [walls[index % 2] for index in range(4)]
    ring = Ring(parts, around, [(x, 0.0, -y) for x, y in outer], [(x, 0.0, -y) for x, y in inner])
    for joint in joints:
        for corner in range(4):
            ring.meet(joint, walls[0], corner)


def _meet_butted(parts: PartsList, walls: tuple[str, str], joints: tuple[str, ...]) -> None:
    """Sides between front and back, counted from their outer faces."""
    front, back = (parts.single(walls[0]) for _ in range(2))
    right, left = (parts.single(walls[1]) for _ in range(2))
    for joint in joints:
        for side, start, along in ((left, Side.LEFT, Side.RIGHT), (right, Side.RIGHT, Side.LEFT)):
            for wall, end, into in ((front, Side.FRONT, Side.BACK), (back, Side.BACK, Side.FRONT)):
                at_side, at_wall = Spot(side, end, Side.OUTSIDE), Spot(wall, Side.INSIDE, start)
                parts.meet(joint, at_side, at_wall, into.way, along.way)


def _face(spec: Box, sizes: Sizes, run: float, voids: tuple[Void, ...], ends: tuple[Entry, Entry]) -> MatingFace:
    wall = sizes.wall
    # a butted box's sides are the pieces with slots in both ends; of a mitred one, the shorter walls
    butted = spec.corner is BoxCorner.BUTT
    inside = sizes.inside_width if butted else min(sizes.inside_width, sizes.inside_length)
    region = Region(wall, run, voids=voids)
    if spec.corner is BoxCorner.MITRE:
        return MatingFace(region, 45.0, ends, long_point=short_piece(inside + 2 * wall, inside))
    backings = (Backing(wall, Behind.SHOW_FACE), *between_ends(inside))
    return MatingFace(region, 90.0, ends, backings, end_off=0.0)


def _bottom_void(spec: Box, sizes: Sizes) -> tuple[Void, ...]:
    """The bottom's groove, or its rabbet from the edge up; v from the bottom edge."""
    if spec.bottom is None:
        return ()
    low = spec.bottom.up.mm if spec.bottom.fit is Fit.GROOVE else 0.0
    return (Void(sizes.wall - spec.bottom.depth.mm, sizes.wall, low, sizes.floor, "bottom"),)


def _top_void(spec: Box, sizes: Sizes) -> tuple[Void, ...]:
    """The top panel's groove; v from the top edge."""
    top = _grooved_top(spec)
    if top is None:
        return ()
    return (Void(sizes.wall - reach_of_top(spec), sizes.wall, (top.down or ZERO).mm, sizes.roof, "top"),)


def _plan(sizes: Sizes) -> tuple[tuple[Point, ...], tuple[Point, ...]]:
    """Outer and inner corners from above, from the front's left on: x to the right, y to the back."""
    long, wide, wall = sizes.length, sizes.width, sizes.wall
    outer = ((0.0, 0.0), (long, 0.0), (long, wide), (0.0, wide))
    return outer, ((wall, wall), (long - wall, wall), (long - wall, wide - wall), (wall, wide - wall))


def _plan_view(spec: Box, sizes: Sizes, walls: tuple[str, str], joints: tuple[str, ...]) -> Elevation:
    """The walls from above: the corners are what matters."""
    long, wide, wall = sizes.length, sizes.width, sizes.wall
    outer, inner = _plan(sizes)
    if spec.corner is BoxCorner.MITRE:
        members = tuple(
            Outline(walls[i % 2], (outer[i], outer[(i + 1) % 4], inner[(i + 1) % 4], inner[i])) for i in range(4)
        )
        lines = [(outer[i], inner[i]) for i in range(4)]
    else:
        members = (
            rectangle(walls[0], 0.0, 0.0, long, wall),
            rectangle(walls[1], long - wall, wall, long, wide - wall),
            rectangle(walls[0], 0.0, wide - wall, long, wide),
            rectangle(walls[1], 0.0, wall, wall, wide - wall),
        )
        lines = [
            ((x, y), (in_x, y)) for x, in_x in ((0.0, wall), (long, long - wall)) for y in (wall, wide - wall)
        ]
    marks = tuple(JointLine(joint, start, end) for joint in joints for start, end in lines)
    return Elevation("plan", long, wide, members, joints=marks)
