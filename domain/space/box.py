"""A box where it stands as it is glued up, its lid not sawn off yet: the front's outside at z = 0, y upwards."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from domain.assemblies.box import Sizes, reach_of_top, sizes_of
from domain.parts import Expansion, Side, Vector, side_towards
from domain.space.body import Body, Channel, End, Sides, oblong
from domain.space.placing import (
    AWAY,
    LEFT,
    LEFT_RIGHT,
    LOW_HIGH,
    NEAR,
    OUT_IN,
    RIGHT,
    UP,
    Placing,
)
from domain.spec.assemblies import Box, BoxCorner, Fit

BACK_WARDS = (Side.FRONT, Side.BACK)


def box(spec: Box, expansion: Expansion) -> Iterator[Body]:
    """Walls, bottom, top, lining, veneer."""
    sizes, placing = sizes_of(spec), Placing(expansion)
    if spec.corner is BoxCorner.MITRE:
        yield from _mitred(spec, sizes, placing)
    else:
        yield from _butted(spec, sizes, placing)
    yield from _let_in(spec, sizes, placing)
    yield from _lining(spec, sizes, placing)
    yield from _veneer(spec, sizes, placing)


def _channels(
    spec: Box, sizes: Sizes, begins: float | None = None, ends: float | None = None
) -> tuple[Channel, ...]:
    """The bottom's groove or rabbet and the top's groove; they begin and end at the panels' corners if at all."""
    found: list[tuple[Fit, Side, float, float, float]] = []
    if spec.bottom is not None:
        up, deep = spec.bottom.up.mm if spec.bottom.fit is Fit.GROOVE else 0.0, spec.bottom.depth.mm
        found.append((spec.bottom.fit, Side.BOTTOM, up, sizes.floor - up, deep))
    if spec.top is not None and not sizes.cover:
        thick = spec.top.thickness.mm
        found.append((Fit.GROOVE, Side.TOP, sizes.roof - thick, thick, reach_of_top(spec)))
    return tuple(
        Channel(
            fit,
            Side.INSIDE,
            edge,
            offset,
            width,
            deep,
            None if begins is None else begins - deep,
            None if ends is None else ends + deep,
        )
        for fit, edge, offset, width, deep in found
    )


def _saw(spec: Box, sizes: Sizes) -> tuple[float, float] | None:
    low = sizes.body + sizes.lip
    return None if spec.lid is None else (low, low + sizes.kerf)


def _mitred(spec: Box, sizes: Sizes, placing: Placing) -> Iterator[Body]:
    """Front, right side, back, left side."""
    long, wide = sizes.length, sizes.width
    channels, section = _channels(spec, sizes), oblong(sizes.wall_height, sizes.wall)
    names = ("wall", "wall") if long == wide else ("front and back", "side")
    for index, (origin, along, into, length) in enumerate(
        (
            ((0.0, 0.0, 0.0), RIGHT, AWAY, long),
            ((long, 0.0, 0.0), AWAY, LEFT, wide),
            ((long, 0.0, -wide), LEFT, NEAR, long),
            ((0.0, 0.0, -wide), NEAR, RIGHT, wide),
        )
    ):
        x, y, z = along
        sides = Sides((side_towards((-x, -y, -z)), side_towards(along)), LOW_HIGH, OUT_IN)
        ends = (End(0.0, by_thickness=1.0), End(length, by_thickness=-1.0))
        piece = placing.single(names[index % 2], length, sizes.wall_height)
        yield Body(piece, origin, (along, UP, into), section, ends, sides, channels, _saw(spec, sizes))


def _butted(spec: Box, sizes: Sizes, placing: Placing) -> Iterator[Body]:
    """Front and back run through; the sides stand between them, the right one first."""
    long, wide, wall, high = sizes.length, sizes.width, sizes.wall, sizes.wall_height
    stopped, through = _channels(spec, sizes, wall, long - wall), _channels(spec, sizes)
    walls: list[tuple[str, float, Vector, tuple[Vector, Vector, Vector], Sides, tuple[Channel, ...]]] = []
    for z, into in ((0.0, AWAY), (-wide, NEAR)):
        sides = Sides(LEFT_RIGHT, LOW_HIGH, OUT_IN)
        walls.append(("front and back", long, (0.0, 0.0, z), (RIGHT, UP, into), sides, stopped))
    for x, into in ((long, LEFT), (0.0, RIGHT)):
        sides = Sides(BACK_WARDS, LOW_HIGH, OUT_IN)
        walls.append(("side", sizes.inside_width, (x, 0.0, -wall), (AWAY, UP, into), sides, through))
    for name, length, origin, ways, sides, channels in walls:
        piece, ends = placing.single(name, length, high), (End(0.0), End(length))
        yield Body(piece, origin, ways, oblong(high, wall), ends, sides, channels, _saw(spec, sizes))


def _let_in(spec: Box, sizes: Sizes, placing: Placing) -> Iterator[Body]:
    lying = Sides(LEFT_RIGHT, BACK_WARDS, LOW_HIGH)
    let_in: list[tuple[str, float, float, float]] = []
    if spec.bottom is not None:
        let_in.append(("bottom", spec.bottom.depth.mm, spec.bottom.up.mm, spec.bottom.thickness.mm))
    if spec.top is not None:
        # one that is laid over the walls reaches over all of them
        let_in.append(("top", reach_of_top(spec), sizes.wall_height - sizes.roof, spec.top.thickness.mm))
    for name, deep, low, thick in let_in:
        size, at = (sizes.inside_length + 2 * deep, sizes.inside_width + 2 * deep, thick), sizes.wall - deep
        yield placing.panel(name, size, (at, low, -at), (RIGHT, AWAY, UP), lying)


def _lining(spec: Box, sizes: Sizes, placing: Placing) -> Iterator[Body]:
    """Front and back, the sides between them; the lid's begins above its lip."""
    if spec.lining is None:
        return
    roof = sizes.wall_height - sizes.roof
    storeys = [("lining", sizes.floor, roof)]
    if spec.lid is not None:
        body = sizes.body + sizes.lip
        lid = body + sizes.kerf + sizes.lip
        storeys = [("body lining", sizes.floor, body), ("lid lining", lid, roof)]
    inside = (sizes.wall, sizes.length - sizes.wall, -sizes.wall, sizes.wall - sizes.width)
    for name, low, high in storeys:
        yield from _round(placing, name, inside, low, high, spec.lining.mm, spec.lining.mm)


def _veneer(spec: Box, sizes: Sizes, placing: Placing) -> Iterator[Body]:
    """On the walls' outside, as long as they are."""
    if spec.veneer is None:
        return
    thick = spec.veneer.mm
    outside = (-thick, sizes.length + thick, thick, -sizes.width - thick)
    for panel in _round(placing, "veneer", outside, 0.0, sizes.wall_height, thick, thick, inset=thick):
        yield replace(panel, saw=_saw(spec, sizes))


def _round(
    placing: Placing,
    name: str,
    room: tuple[float, float, float, float],
    low: float,
    high: float,
    thick: float,
    between: float,
    inset: float = 0.0,
) -> Iterator[Body]:
    """Four panels in a room (left, right, front, back): two ``inset`` from left and right, two between them."""
    left, right, front, back = room
    tall = high - low
    sides = Sides(LEFT_RIGHT, LOW_HIGH, OUT_IN)
    for z, into in ((front, AWAY), (back, NEAR)):
        size = (right - left - 2 * inset, tall, thick)
        yield placing.panel(f"{name}, front and back", size, (left + inset, low, z), (RIGHT, UP, into), sides)
    sides = Sides(BACK_WARDS, LOW_HIGH, OUT_IN)
    for x, into in ((left, RIGHT), (right, LEFT)):
        size = (front - back - 2 * between, tall, thick)
        yield placing.panel(f"{name}, side", size, (x, low, front - between), (AWAY, UP, into), sides)
