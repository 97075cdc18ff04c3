"""Sections through an assembly, to scale: the wood's rabbet and grooves, a box's heights, a carcass's depth.

Beside the elevation or plan (``assembly.py``) they show what that looks past, so that together they show every
size that a form asks for.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from functools import lru_cache

from domain.assemblies.bays import boards_of
from domain.assemblies.box import Sizes as BoxSizes
from domain.assemblies.box import sizes_of as box_sizes
from domain.assemblies.carcass_sizes import sizes_of as carcass_sizes
from domain.assemblies.frame_layout import layout_of
from domain.lengths import ZERO, Units
from domain.parts import Expansion, Point
from domain.space.bodies import bodies
from domain.space.body import Body
from domain.space.cuts import FAR, Plane, cut, outline
from domain.space.placing import AWAY, DOWN, NEAR, RIGHT, UP
from domain.spec.assemblies import Assembly, Box, BoxLid, Carcass, Fit, MitredFrame, RailedFrame, SingleJoint
from webapp.drawings.dimensions import UNIT_WORDS, across, extension, fine_figure, size_figure, split, upright
from webapp.drawings.hatching import PANEL, WOOD, WOOD_FACING, Hatching, hatch
from webapp.drawings.model import Drawing, Line, Polygon, Role, Shape, Text, TextRole, finished

EMS = 15
"""A section's longer side is about this many em long: fewer than an elevation's, for it has fewer figures."""
BEYOND = 0.7
"""How much is shown beyond a bar, of the bar's width."""


def draw_sections(spec: Assembly, expansion: Expansion, units: Units) -> tuple[Drawing, ...]:
    """What the elevation looks past, in one section or two."""
    match spec:
        case MitredFrame():
            return (_through_stock(spec, expansion, units),)
        case RailedFrame():
            return (_through_rail(spec, expansion, units),)
        case Box():
            return (_through_box(spec, expansion, units),)
        case Carcass():
            return _from_the_side(spec, expansion, units), _from_above(spec, expansion, units)
        case SingleJoint():
            return (_along_pieces(spec, expansion, units),)


@dataclass
class _Sheet:
    """A section while it is drawn. Dimensions stand in rows, counted from 1, that far off the wood."""

    em: float
    units: Units
    parts: list[Shape | Text] = field(default_factory=list)

    def wood(self, placed: Iterable[Body], plane: Plane, to: float = FAR) -> None:
        """What the plane cuts of these bodies; where the wood goes on past ``to``, it has no outline."""
        members = 0
        for body in placed:
            polygons = cut(body, plane, to)
            hatching = PANEL if body.is_panel else (WOOD, WOOD_FACING)[members % 2]
            members += bool(polygons) and not body.is_panel
            self.parts += _cut_wood(polygons, hatching, self.em, to)

    def behind(self, placed: Iterable[Body], plane: Plane, role: Role) -> None:
        """The bounds of bodies that the plane misses, as they are seen in it."""
        for body in placed:
            if not cut(body, plane):
                corners = [
                    plane.seen(body.point(end.along(*point), *point))
                    for end in body.ends
                    for point in body.section
                ]
                xs, ys = [x for x, _ in corners], [y for _, y in corners]
                box = ((min(xs), min(ys)), (max(xs), min(ys)), (max(xs), max(ys)), (min(xs), max(ys)))
                self.parts.append(Polygon(role, box))

    def wide(self, low: float, high: float, edge: float, row: float) -> None:
        """A width, so many rows below the wood's ``edge``; above it where ``row`` is less than nothing."""
        if high - low < 1e-6:
            return
        y = edge - 1.6 * row * self.em
        for x in (low, high):
            self.parts.append(extension((x, edge), (x, y - (0.3 if row > 0 else -0.3) * self.em)))
        self.parts += across(low, high, y, size_figure(high - low, self.units), self.em, above=row < 0)

    def high(self, low: float, high: float, edge: float, row: float, words: str = "") -> None:
        """A height, so many rows to the left of the wood's ``edge``; to its right where ``row`` is negative."""
        if high - low < 1e-6:
            return
        x = edge - 1.6 * row * self.em
        for y in (low, high):
            self.parts.append(extension((edge, y), (x - (0.3 if row > 0 else -0.3) * self.em, y)))
        figure = size_figure(high - low, self.units)
        self.parts += upright(low, high, x, words + figure, self.em, left=row > 0)

    def line(self, role: Role, start: Point, end: Point) -> None:
        """A line by itself."""
        self.parts.append(Line(role, start, end))

    def words(self, middle: Point, lines: Sequence[str]) -> None:
        """Lines of words about a place."""
        (x, y), step = middle, 1.3 * self.em
        for place, words in enumerate(lines):
            at = (x, y + (len(lines) - 1) / 2 * step - place * step)
            self.parts.append(Text(TextRole.WORDS, at, words, self.em))

    def drawing(self, name: str, describes: str) -> Drawing:
        """The finished section."""
        shapes, texts = split(self.parts)
        return finished(name, f"{describes} {UNIT_WORDS[self.units]}", self.em, shapes, texts)


# most sizes that are typed change nothing of the stock's own section
@lru_cache(maxsize=500)
def _cut_wood(
    polygons: tuple[tuple[Point, ...], ...], hatching: Hatching, em: float, to: float
) -> tuple[Shape, ...]:
    """Hatched wood, and its outline but where it goes on past ``to``."""
    shapes: list[Shape] = []
    for points in polygons:
        shapes.append(Polygon(Role.WOOD, points))
        shapes += hatch(points, hatching, em)
    for start, end in outline(polygons):
        if not (start[0] > to - 1e-6 and end[0] > to - 1e-6):
            shapes.append(Line(Role.OUTLINE, start, end))
    return tuple(shapes)


# --- frames


def _through_stock(spec: MitredFrame, expansion: Expansion, units: Units) -> Drawing:
    """Through the lower side, its outer edge on the left and its back below, as far as the glass begins."""
    stock = spec.stock
    wide, thick = stock.width.mm, stock.thickness.mm
    to = wide * (1 + BEYOND)
    sheet = _Sheet(max(to, thick) / EMS, units)
    middle = expansion.elevation.width / 2
    sheet.wood(bodies(spec, expansion), Plane((middle, 0.0, 0.0), UP, NEAR), to)
    deep = stock.rabbet_depth.mm if stock.rabbet_width else 0.0
    sheet.wide(wide - stock.rabbet_width.mm, wide, 0.0, 1)
    sheet.wide(0.0, wide, 0.0, 2.2 if stock.rabbet_width else 1)
    sheet.high(0.0, thick, 0.0, 1)
    sheet.high(0.0, deep, to if stock.rabbet_width else wide, -1)
    let_in = " with its rabbet and what lies in it" if stock.rabbet_width else ""
    return sheet.drawing(
        "Section through the stock", f"The stock{let_in}, the outer edge on the left, the back below."
    )


def _through_rail(spec: RailedFrame, expansion: Expansion, units: Units) -> Drawing:
    """Through the top rail, its outer edge on the left and its back below, as far as the panel begins."""
    wide, thick = spec.top_rail.mm, spec.thickness.mm
    to = wide * (1 + BEYOND)
    sheet = _Sheet(max(to, thick) / EMS, units)
    first = max(layout_of(spec).openings, key=lambda opening: (opening.high.nm, -opening.left.nm))
    middle = (first.left + first.right).mm / 2
    sheet.wood(bodies(spec, expansion), Plane((middle, spec.height.mm, 0.0), DOWN, NEAR), to)
    sheet.high(0.0, thick, 0.0, 1)
    panel = spec.panel
    if panel is not None:
        back = (spec.thickness - panel.width).mm / 2 if panel.fit is Fit.GROOVE else 0.0
        sheet.wide(wide - panel.depth.mm, wide, 0.0, 1)
        sheet.high(back, back + panel.width.mm, to, -1)
        if panel.thickness != panel.width:
            spare = (panel.width - panel.thickness).mm
            low = back + (spare / 2 if panel.fit is Fit.GROOVE else spare)
            sheet.high(low, low + panel.thickness.mm, to, -3.6)
    sheet.wide(0.0, wide, 0.0, 2.2 if panel else 1)
    let_in = f" with the panel's {panel.fit.value}" if panel else ""
    return sheet.drawing(
        "Section through the top rail", f"The top rail{let_in}, the outer edge on the left, the back below."
    )


# --- a box


def _through_box(spec: Box, expansion: Expansion, units: Units) -> Drawing:
    """From front to back, as it is glued up: with the saw's kerf and the lip, where a lid is sawn off."""
    sizes = box_sizes(spec)
    wide, tall = sizes.width, sizes.wall_height + sizes.cover
    sheet = _Sheet(max(wide, tall) / EMS, units)
    plane = Plane((sizes.length / 2, 0.0, 0.0), AWAY, UP)
    placed = bodies(spec, expansion)
    sheet.behind((body for body in placed if not body.is_panel), plane, Role.THIN)
    sheet.wood(placed, plane)
    veneer = spec.veneer.mm if spec.veneer else 0.0
    sheet.wide(0.0, wide, 0.0, 2.2)
    sheet.wide(0.0, sizes.wall, 0.0, 1)
    sheet.high(0.0, tall, -veneer, 1)
    _bottom_and_top(sheet, spec, sizes)
    if spec.lid is not None:
        _sawn(sheet, spec.lid, sizes, tall)
    glued = ", as it is glued up, before its lid is sawn off" if spec.lid else ""
    return sheet.drawing("Section from front to back", f"The box from its front, on the left, to its back{glued}.")


def _bottom_and_top(sheet: _Sheet, spec: Box, sizes: BoxSizes) -> None:
    wide, top_edge = sizes.width, sizes.wall_height
    at = wide - sizes.wall
    if spec.bottom is not None:
        up = spec.bottom.up.mm if spec.bottom.fit is Fit.GROOVE else 0.0
        sheet.wide(at, at + spec.bottom.depth.mm, 0.0, 1)
        sheet.high(0.0, up, wide * 0.3, 0)
        sheet.high(up, up + spec.bottom.thickness.mm, wide * 0.6, 0)
    if spec.top is not None:
        down, thick = (spec.top.down or ZERO).mm, spec.top.thickness.mm
        low = top_edge if sizes.cover else top_edge - down - thick
        sheet.wide(at, at + (spec.top.depth or ZERO).mm, top_edge, -1)
        sheet.high(low + thick, low + thick + down, wide * 0.3, 0)
        sheet.high(low, low + thick, wide * 0.6, 0)
    if spec.lining is not None:
        sheet.wide(sizes.wall, sizes.wall + spec.lining.mm, top_edge * 0.7, -0.01)
    if spec.veneer is not None:
        sheet.wide(-spec.veneer.mm, 0.0, top_edge * 0.3, -0.01)


def _sawn(sheet: _Sheet, lid: BoxLid, sizes: BoxSizes, tall: float) -> None:
    """The saw's kerf through both walls, the lip's rabbets dashed, and what is left of both heights."""
    wide, low = sizes.width, sizes.body + sizes.lip
    high = low + sizes.kerf
    for y in (low, high):
        for start, end in ((0.0, sizes.wall), (wide - sizes.wall, wide)):
            sheet.line(Role.WALL, (start, y), (end, y))
    if sizes.lip:
        half = sizes.wall / 2
        for outer, mid, inner in ((0.0, half, sizes.wall), (wide, wide - half, wide - sizes.wall)):
            inwards = 1 if inner > outer else -1
            lid_mid = mid + inwards * lid.clearance.mm
            sheet.line(Role.HIDDEN, (outer, low - sizes.lip), (mid, low - sizes.lip))
            sheet.line(Role.HIDDEN, (mid, low - sizes.lip), (mid, low))
            sheet.line(Role.HIDDEN, (inner, high + sizes.lip), (lid_mid, high + sizes.lip))
            sheet.line(Role.HIDDEN, (lid_mid, high), (lid_mid, high + sizes.lip))
    sheet.high(0.0, low - sizes.lip, wide, -1)
    sheet.high(high, tall, wide, -1)
    told = [f"saw {size_figure(lid.kerf.mm, sheet.units)}"]
    if sizes.lip:
        told.append(f"lip {size_figure(sizes.lip, sheet.units)}")
    if lid.clearance:
        told.append(f"clear {fine_figure(lid.clearance.mm, sheet.units)}")
    sheet.words((wide / 2, (low + high) / 2), told)


# --- a carcass


def _from_the_side(spec: Carcass, expansion: Expansion, units: Units) -> Drawing:
    """Through the first bay, the front on the left; shelves of other bays are dashed."""
    sizes = carcass_sizes(spec)
    first = min((each.at.mm for each in spec.partitions), default=sizes.width - sizes.thickness)
    sheet = _Sheet(max(sizes.depth, sizes.height) / EMS, units)
    placed = bodies(spec, expansion)
    plane = Plane(((sizes.thickness + first) / 2, 0.0, sizes.depth), AWAY, UP)
    shelves = {member.mark for member in expansion.members if member.name == "shelf"}
    sheet.behind((body for body in placed if body.piece.mark not in shelves), plane, Role.THIN)
    sheet.wood(placed, plane)
    sheet.behind((body for body in placed if body.piece.mark in shelves), plane, Role.HIDDEN)
    sheet.wide(0.0, sizes.depth, 0.0, 2.2 if sizes.toe else 1)
    sheet.wide(0.0, sizes.toe, 0.0, 1)
    if spec.back is not None:
        sheet.wide(sizes.depth - spec.back.inset.mm, sizes.depth, sizes.height, -1)
        back = sizes.depth - spec.back.inset.mm - spec.back.thickness.mm
        sheet.wide(back, back + spec.back.thickness.mm, sizes.height, -2.2)
    sheet.high(0.0, sizes.height, 0.0, 1)
    sheet.high(0.0, sizes.plinth, sizes.depth, -1)
    sheet.high(sizes.ceiling, sizes.height, sizes.depth, -1)
    for low, setback in sorted({(board.low, board.setback) for board in boards_of(spec) if board.setback}):
        sheet.wide(0.0, setback, low + sizes.thickness, -0.01)
    return sheet.drawing(
        "Section from front to back",
        "The carcass from its front, on the left, to its back, through the first bay.",
    )


def _from_above(spec: Carcass, expansion: Expansion, units: Units) -> Drawing:
    """Cut level where most is clear of shelves, the front below."""
    sizes = carcass_sizes(spec)
    sheet = _Sheet(max(sizes.width, sizes.depth) / EMS, units)
    plane = Plane((0.0, _clear_height(spec), sizes.depth), RIGHT, AWAY)
    placed = bodies(spec, expansion)
    sheet.behind((body for body in placed if body.point(0.0, 0.0, 0.0)[1] < plane.through[1]), plane, Role.THIN)
    sheet.wood(placed, plane)
    sheet.wide(0.0, sizes.width, 0.0, 2.2 if spec.partitions else 1)
    sheet.high(0.0, sizes.depth, 0.0, 1)
    if spec.partitions:
        sheet.wide(0.0, spec.partitions[0].at.mm, 0.0, 1)
    for partition in spec.partitions:
        sheet.high(0.0, partition.setback.mm, partition.at.mm + sizes.thickness / 2, 0)
    return sheet.drawing("Section from above", "The carcass cut level, its front below.")


def _clear_height(spec: Carcass) -> float:
    """The middle of the highest room between bottom, shelves and top, mm."""
    sizes = carcass_sizes(spec)
    level = sorted({(board.low, board.low + sizes.thickness) for board in boards_of(spec)})
    lows = [sizes.floor, *(top for _, top in level)]
    highs = [*(low for low, _ in level), sizes.ceiling]
    low, high = max(zip(lows, highs, strict=True), key=lambda room: room[1] - room[0])
    return (low + high) / 2


# --- a single joint


def _along_pieces(spec: SingleJoint, expansion: Expansion, units: Units) -> Drawing:
    """Along both pieces, through their joint: the wood behind the face on either side, the run upright."""
    left, right = (wood.mm for wood in spec.behind)
    run = spec.run.mm
    sheet = _Sheet(max(left + right, run) / EMS, units)
    for (start, end), hatching in zip(((-left, 0.0), (0.0, right)), (WOOD, WOOD_FACING), strict=True):
        box = ((start, 0.0), (end, 0.0), (end, run), (start, run))
        sheet.parts.append(Polygon(Role.WOOD, box))
        sheet.parts += hatch(box, hatching, sheet.em)
        sheet.parts.append(Polygon(Role.OUTLINE, box))
        sheet.wide(start, end, 0.0, 1)
    sheet.line(Role.JOINT, (0.0, 0.0), (0.0, run))
    sheet.high(0.0, run, -left, 1)
    return sheet.drawing("Section along the pieces", "Both pieces along, through their joint; the run is upright.")
