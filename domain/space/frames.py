"""Mitred and railed frames, single joints: what stands in the plane of the elevation, its back at z = 0."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from math import cos, hypot, radians, sin, tan

from domain.assemblies.frame_layout import Bar, Opening, layout_of
from domain.parts import Expansion, Point, Side, Single, Vector, side_towards
from domain.space.body import Body, Channel, End, Sides, oblong, unit
from domain.space.placing import (
    BACK_FRONT,
    DOWN,
    LEFT,
    LEFT_RIGHT,
    LOW_HIGH,
    NEAR,
    OUT_IN,
    RIGHT,
    STOOD,
    UP,
    Placing,
)
from domain.spec.assemblies import Fit, FramePanel, FrameStock, MitredFrame, RailedFrame, SingleJoint


def mitred_frame(spec: MitredFrame, expansion: Expansion) -> Iterator[Body]:
    """Its sides against the clock from the lower one on, then the glazing in its rabbet."""
    stock, lean = spec.stock, tan(radians(180.0 / spec.sides))
    placing = Placing(expansion)
    for outline in expansion.elevation.members:
        (x, y), (to_x, to_y) = outline.points[:2]
        along = unit((to_x - x, to_y - y, 0.0))
        ends = (side_towards((-along[0], -along[1], 0.0)), side_towards(along))
        yield Body(
            placing.next_of(outline.mark),
            (x, y, 0.0),
            (along, (-along[1], along[0], 0.0), NEAR),
            _stock_section(stock),
            (End(0.0, lean), End(hypot(to_x - x, to_y - y), -lean)),
            Sides(ends, OUT_IN, BACK_FRONT),
            _stock_rabbet(stock),
        )
    if stock.rabbet_width:
        yield from _glazing(spec, expansion)


def _stock_section(stock: FrameStock) -> tuple[Point, ...]:
    width, thickness = stock.width.mm, stock.thickness.mm
    if stock.front is None:
        return oblong(width, thickness)
    return ((0.0, 0.0), (width, 0.0), *((x.mm, height.mm) for x, height in reversed(stock.front)))


def _stock_rabbet(stock: FrameStock) -> tuple[Channel, ...]:
    if not stock.rabbet_width:
        return ()
    width, depth = stock.rabbet_depth.mm, stock.rabbet_width.mm
    return (Channel(Fit.RABBET, Side.INSIDE, Side.BACK, 0.0, width, depth),)


def _glazing(spec: MitredFrame, expansion: Expansion) -> Iterator[Body]:
    """The room in the rabbet less the fit allowance: the sight edge's polygon, grown about its middle."""
    for outline in expansion.elevation.panels:
        xs, ys = [x for x, _ in outline.points], [y for _, y in outline.points]
        middle = ((min(xs) + max(xs)) / 2, (min(ys) + max(ys)) / 2)
        (x0, y0), (x1, y1) = outline.points[:2]
        # a regular polygon's middle is as far from its lower side as from every other
        if spec.sides != 4:
            middle = ((x0 + x1) / 2, y0 + hypot(x1 - x0, y1 - y0) / 2 / tan(radians(180.0 / spec.sides)))
        grown = spec.stock.rabbet_width.mm - spec.fit_allowance.mm / 2
        corners = tuple(_grown(point, middle, outline.points, grown, spec.sides) for point in outline.points)
        low = (min(x for x, _ in corners), min(y for _, y in corners))
        section = tuple((x - low[0], y - low[1]) for x, y in corners)
        thick = (End(0.0), End(spec.stock.rabbet_depth.mm))
        sides = Sides(BACK_FRONT, LEFT_RIGHT, LOW_HIGH)
        # pushed along the way it is thick
        yield Body(Single(outline.mark, 0), (*low, 0.0), (NEAR, RIGHT, UP), section, thick, sides, is_panel=True)


def _grown(point: Point, middle: Point, points: tuple[Point, ...], by: float, sides: int) -> Point:
    """A corner of a polygon whose sides all move out by ``by`` mm."""
    away = (point[0] - middle[0], point[1] - middle[1])
    if sides == 4:
        return (point[0] + (by if away[0] > 0 else -by), point[1] + (by if away[1] > 0 else -by))
    apothem = hypot(*away) * cos(radians(180.0 / sides))
    share = 1 + by / apothem
    return (middle[0] + share * away[0], middle[1] + share * away[1])


def railed_frame(spec: RailedFrame, expansion: Expansion) -> Iterator[Body]:
    """Every bar as the layout lists it, then the panels."""
    placing, layout = Placing(expansion), layout_of(spec)
    for bar in layout.bars:
        yield _bar(spec, placing, bar, layout.openings)
    if spec.panel is not None:
        for opening in layout.openings:
            yield _frame_panel(spec, spec.panel, placing, opening)


def _bar(spec: RailedFrame, placing: Placing, bar: Bar, openings: Sequence[Opening]) -> Body:
    """A bar of the frame; an outer one is counted from its outer edge, else from its left or lower one."""
    left, low, right, high = bar.box
    across = UP if not bar.upright else RIGHT
    origin = (left, low, 0.0)
    if bar.outer is Side.TOP:
        across, origin = DOWN, (left, high, 0.0)
    elif bar.outer is Side.RIGHT:
        across, origin = LEFT, (right, low, 0.0)
    ends, edges = (LOW_HIGH, LEFT_RIGHT) if bar.upright else (LEFT_RIGHT, LOW_HIGH)
    sides = Sides(ends, OUT_IN if bar.outer else edges, BACK_FRONT)
    channels = tuple(_channels(spec, bar, edges, openings))
    size, ways = (bar.length, bar.width, spec.thickness.mm), (UP if bar.upright else RIGHT, across, NEAR)
    return placing.board(bar.name, size, origin, ways, sides, channels)


def _channels(
    spec: RailedFrame, bar: Bar, edges: tuple[Side, Side], openings: Sequence[Opening]
) -> Iterator[Channel]:
    """The panels' groove, in the middle of an edge, or rabbet at the back, at every opening beside the bar.

    It runs out where the bar ends at its opening, else on by its own depth.
    """
    panel = spec.panel
    if panel is None:
        return
    deep, start, stop = panel.depth.mm, bar.start, bar.stop
    for opening in openings:
        (low, high), (first, last) = opening.across(bar), opening.along(bar)
        if first >= stop or last <= start or (low != bar.high and high != bar.low):
            continue
        surface = Side.INSIDE if bar.outer else edges[1] if low == bar.high else edges[0]
        yield Channel(
            panel.fit,
            surface,
            Side.BACK,
            _panel_back(spec, panel),
            panel.width.mm,
            deep,
            None if first == start else (first - start).mm - deep,
            None if last == stop else (last - start).mm + deep,
        )


def _panel_back(spec: RailedFrame, panel: FramePanel) -> float:
    return (spec.thickness - panel.width).mm / 2 if panel.fit is Fit.GROOVE else 0.0


def _frame_panel(spec: RailedFrame, panel: FramePanel, placing: Placing, opening: Opening) -> Body:
    deep, thick = panel.depth.mm, panel.thickness.mm
    z = _panel_back(spec, panel)
    # in the middle of its groove, against the front of its rabbet
    z += (panel.width.mm - thick) / 2 if panel.fit is Fit.GROOVE else panel.width.mm - thick
    size = ((opening.high - opening.low).mm + 2 * deep, (opening.right - opening.left).mm + 2 * deep, thick)
    origin = (opening.left.mm - deep, opening.low.mm - deep, z)
    return placing.panel("panel", size, origin, (UP, RIGHT, NEAR), STOOD)


def single_joint(spec: SingleJoint, expansion: Expansion) -> Iterator[Body]:
    """Two blocks; mitred, they are each other's mirror image in the face, and the joint line begins at 0."""
    first, second = expansion.members
    turn, run = radians(spec.angle), spec.run.mm
    if spec.angle == 90:
        for member, x in ((first, 0.0), (second, spec.behind[0].mm)):
            square: tuple[float, float, float] = (member.length, member.width, run)
            yield _block(Single(member.mark, 0), square, (x, 0.0, 0.0), (RIGHT, UP, NEAR), 0.0)
        return
    lean = cos(turn) / sin(turn)
    ways: tuple[tuple[Vector, Vector], ...] = (
        ((cos(2 * turn), sin(2 * turn), 0.0), (sin(2 * turn), -cos(2 * turn), 0.0)),
        (RIGHT, UP),
    )
    for member, (along, across) in zip((first, second), ways, strict=True):
        # what is known of a piece is the wood behind the face where that is shortest
        size = (member.length + member.width * lean, member.width, run)
        yield _block(Single(member.mark, 0), size, (0.0, 0.0, 0.0), (along, across, NEAR), lean)


def _block(
    piece: Single,
    size: tuple[float, float, float],
    origin: Vector,
    ways: tuple[Vector, Vector, Vector],
    lean: float,
) -> Body:
    length, width, run = size
    sides = Sides(LEFT_RIGHT, LOW_HIGH, BACK_FRONT)
    return Body(piece, origin, ways, oblong(width, run), (End(0.0, lean), End(length)), sides)
