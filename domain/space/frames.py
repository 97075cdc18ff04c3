"""Mitred and railed frames, single joints: what stands in the plane of the elevation, its back at z = 0."""

from __future__ import annotations

from collections.abc import Iterator
from math import cos, hypot, radians, sin, tan

from domain.assemblies.openings import between, share_out
from domain.lengths import ZERO
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
    """Stiles, rails from the top, mid stiles and panels row by row."""
    placing = Placing(expansion)
    inside = (spec.width - spec.stile * 2).mm
    rows = _rows(spec)
    yield from _stiles(spec, placing, rows)
    levels = [(spec.height.mm - spec.top_rail.mm, spec.top_rail.mm)]
    for index, (low, _) in enumerate(rows):
        wide = (spec.bottom_rail if index == len(rows) - 1 else spec.mid_rail or ZERO).mm
        levels.append((low - wide, wide))
    for index, (low, wide) in enumerate(levels):
        yield _rail(spec, placing, index, low, wide, inside, len(levels))
    for index, (low, high) in enumerate(rows):
        yield from _mid_stiles(spec, placing, index, low, high)
    if spec.panel is not None:
        for index, (low, high) in enumerate(rows):
            for left, right in _columns(spec, index):
                yield _frame_panel(spec, spec.panel, placing, (left, low), (right, high))


def _rows(spec: RailedFrame) -> list[tuple[float, float]]:
    """Every row's opening from the top: its lower and upper edge, mm from the bottom."""
    rail = spec.mid_rail or ZERO
    room = between(spec.height - spec.top_rail - spec.bottom_rail, rail, len(spec.rows))
    y, rows = spec.height - spec.top_rail, list[tuple[float, float]]()
    for opening in share_out([row.opening for row in spec.rows], room):
        rows.append(((y - opening).mm, y.mm))
        y = y - opening - rail
    return rows


def _columns(spec: RailedFrame, row: int) -> list[tuple[float, float]]:
    """Every opening of a row from the left: its left and right edge, mm."""
    post, asked = spec.mid_stile or ZERO, spec.rows[row].columns
    room = between(spec.width - spec.stile * 2, post, len(asked))
    x, columns = spec.stile, list[tuple[float, float]]()
    for opening in share_out(asked, room):
        columns.append((x.mm, (x + opening).mm))
        x = x + opening + post
    return columns


def _channel(
    spec: RailedFrame, surface: Side, begins: float | None = None, ends: float | None = None
) -> tuple[Channel, ...]:
    """The panel's groove, in the middle of the edge, or its rabbet at the back."""
    panel = spec.panel
    if panel is None:
        return ()
    return (
        Channel(
            panel.fit, surface, Side.BACK, _panel_back(spec, panel), panel.width.mm, panel.depth.mm, begins, ends
        ),
    )


def _panel_back(spec: RailedFrame, panel: FramePanel) -> float:
    return (spec.thickness - panel.width).mm / 2 if panel.fit is Fit.GROOVE else 0.0


def _stiles(spec: RailedFrame, placing: Placing, rows: list[tuple[float, float]]) -> Iterator[Body]:
    deep = spec.panel.depth.mm if spec.panel else 0.0
    channels = tuple(
        channel for low, high in rows for channel in _channel(spec, Side.INSIDE, low - deep, high + deep)
    )
    size, sides = (spec.height.mm, spec.stile.mm, spec.thickness.mm), Sides(LOW_HIGH, OUT_IN, BACK_FRONT)
    for x, across in ((0.0, RIGHT), (spec.width.mm, LEFT)):
        yield placing.board("stile", size, (x, 0.0, 0.0), (UP, across, NEAR), sides, channels)


def _rail(
    spec: RailedFrame, placing: Placing, index: int, low: float, wide: float, inside: float, count: int
) -> Body:
    """A rail; at the top it is counted from its upper edge, else from its lower one."""
    first, last = index == 0, index == count - 1
    name = "top rail" if first else "bottom rail" if last else "mid rail"
    edges = OUT_IN if first or last else LOW_HIGH
    channels: tuple[Channel, ...] = ()
    if not last:
        channels += _rail_channels(spec, index, Side.INSIDE if first else Side.BOTTOM)
    if not first:
        channels += _rail_channels(spec, index - 1, Side.INSIDE if last else Side.TOP)
    size = (inside, wide, spec.thickness.mm)
    origin = (spec.stile.mm, low + wide if first else low, 0.0)
    ways = (RIGHT, DOWN if first else UP, NEAR)
    return placing.board(name, size, origin, ways, Sides(LEFT_RIGHT, edges, BACK_FRONT), channels)


def _rail_channels(spec: RailedFrame, row: int, edge: Side) -> tuple[Channel, ...]:
    """One for every opening of the row; they run out at the rail's ends."""
    if spec.panel is None:
        return ()
    deep, start, columns = spec.panel.depth.mm, spec.stile.mm, _columns(spec, row)
    return tuple(
        channel
        for index, (left, right) in enumerate(columns)
        for channel in _channel(
            spec,
            edge,
            None if index == 0 else left - start - deep,
            None if index == len(columns) - 1 else right - start + deep,
        )
    )


def _mid_stiles(spec: RailedFrame, placing: Placing, row: int, low: float, high: float) -> Iterator[Body]:
    channels = (*_channel(spec, Side.LEFT), *_channel(spec, Side.RIGHT))
    columns = _columns(spec, row)
    size = (high - low, (spec.mid_stile or ZERO).mm, spec.thickness.mm)
    for _, x in columns[:-1]:
        yield placing.board("mid stile", size, (x, low, 0.0), (UP, RIGHT, NEAR), STOOD, channels)


def _frame_panel(spec: RailedFrame, panel: FramePanel, placing: Placing, low: Point, high: Point) -> Body:
    deep, thick = panel.depth.mm, panel.thickness.mm
    z = _panel_back(spec, panel)
    # in the middle of its groove, against the front of its rabbet
    z += (panel.width.mm - thick) / 2 if panel.fit is Fit.GROOVE else panel.width.mm - thick
    size = (high[1] - low[1] + 2 * deep, high[0] - low[0] + 2 * deep, thick)
    return placing.panel("panel", size, (low[0] - deep, low[1] - deep, z), (UP, RIGHT, NEAR), STOOD)


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
