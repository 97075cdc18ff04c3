"""A carcass where it stands: its left side's outside at x = 0, the floor at y = 0, its back edges at z = 0."""

from __future__ import annotations

from collections.abc import Iterator

from domain.assemblies.bays import boards_of
from domain.assemblies.carcass_sizes import Sizes, sizes_of
from domain.parts import Expansion, Side, Single, Vector, side_towards
from domain.space.body import Body, Channel, End, Sides, oblong
from domain.space.placing import (
    AWAY,
    BACK_FRONT,
    DOWN,
    LEFT,
    LEFT_RIGHT,
    LOW_HIGH,
    NEAR,
    OUT_IN,
    RIGHT,
    UP,
    Placing,
)
from domain.spec.assemblies import Carcass, CarcassCorner, Fit

LEVEL = Sides(LEFT_RIGHT, BACK_FRONT, LOW_HIGH)


def carcass(spec: Carcass, expansion: Expansion) -> Iterator[Body]:
    """Sides, top, bottom, partitions, shelves, plinth, back."""
    sizes, placing = sizes_of(spec), Placing(expansion)
    if spec.corner is CarcassCorner.MITRE:
        yield from _mitred_shell(spec, sizes, placing)
    else:
        yield from _shell(spec, sizes, placing)
    yield from _partitions(spec, sizes, placing)
    yield from _shelves(spec, sizes, placing)
    if sizes.plinth and spec.corner is CarcassCorner.MITRE:
        yield from _plinth_frame(sizes, placing)
    elif sizes.plinth:
        front = sizes.depth - sizes.toe
        size = (sizes.width - 2 * sizes.thickness, sizes.plinth, sizes.thickness)
        sides = Sides(LEFT_RIGHT, LOW_HIGH, (Side.FRONT, Side.BACK))
        yield placing.board("plinth", size, (sizes.thickness, 0.0, front), (RIGHT, UP, AWAY), sides)
    if spec.back is not None:
        deep = spec.back.depth.mm
        inside = sizes.width - 2 * sizes.thickness
        size = (sizes.ceiling - sizes.floor + 2 * deep, inside + 2 * deep, spec.back.thickness.mm)
        origin = (sizes.thickness - deep, sizes.floor - deep, spec.back.inset.mm)
        yield placing.panel("back", size, origin, (UP, RIGHT, NEAR), Sides(LOW_HIGH, LEFT_RIGHT, BACK_FRONT))


def _back_channel(spec: Carcass, begins: float | None = None, ends: float | None = None) -> tuple[Channel, ...]:
    """The back's groove or rabbet on the inside; where it stops, it runs on by its own depth."""
    back = spec.back
    if back is None:
        return ()
    groove, deep = back.fit is Fit.GROOVE, back.depth.mm
    offset = back.inset.mm if groove else 0.0
    width = back.thickness.mm if groove else (back.inset + back.thickness).mm
    return (
        Channel(
            back.fit,
            Side.INSIDE,
            Side.BACK,
            offset,
            width,
            deep,
            None if begins is None else begins - deep,
            None if ends is None else ends + deep,
        ),
    )


def _shell(spec: Carcass, sizes: Sizes, placing: Placing) -> Iterator[Body]:
    """The sides run to the floor; the top lies between them or over them."""
    thick, wide, deep = sizes.thickness, sizes.width, sizes.depth
    over = spec.corner is CarcassCorner.TOP_OVER
    tall = sizes.ceiling if over else sizes.height
    channels = _back_channel(spec, sizes.floor, None if over else sizes.ceiling)
    sides = Sides(LOW_HIGH, BACK_FRONT, OUT_IN)
    for x, into in ((0.0, RIGHT), (wide, LEFT)):
        yield placing.board("side", (tall, deep, thick), (x, 0.0, 0.0), (UP, NEAR, into), sides, channels)
    level, between, through = Sides(LEFT_RIGHT, BACK_FRONT, OUT_IN), wide - 2 * thick, _back_channel(spec)
    long, left = (wide, 0.0) if over else (between, thick)
    channels = _back_channel(spec, thick, wide - thick) if over else through
    at_top, at_bottom = (left, sizes.height, 0.0), (thick, sizes.plinth, 0.0)
    yield placing.board("top", (long, deep, thick), at_top, (RIGHT, NEAR, DOWN), level, channels)
    yield placing.board("bottom", (between, deep, thick), at_bottom, (RIGHT, NEAR, UP), level, through)


def _mitred_shell(spec: Carcass, sizes: Sizes, placing: Placing) -> Iterator[Body]:
    """Bottom, right side, top, left side."""
    wide, low, high = sizes.width, sizes.plinth, sizes.height
    walls: tuple[tuple[str, Vector, Vector, Vector, float], ...] = (
        ("bottom", (0.0, low, 0.0), RIGHT, UP, wide),
        ("side", (wide, low, 0.0), UP, LEFT, high - low),
        ("top", (wide, high, 0.0), LEFT, DOWN, wide),
        ("side", (0.0, high, 0.0), DOWN, RIGHT, high - low),
    )
    for name, origin, along, into, length in walls:
        x, y, z = along
        sides = Sides((side_towards((-x, -y, -z)), side_towards(along)), BACK_FRONT, OUT_IN)
        ends = (End(0.0, by_thickness=1.0), End(length, by_thickness=-1.0))
        section = oblong(sizes.depth, sizes.thickness)
        piece: Single = placing.single(name, length)
        yield Body(piece, origin, (along, NEAR, into), section, ends, sides, _back_channel(spec))


def _partitions(spec: Carcass, sizes: Sizes, placing: Placing) -> Iterator[Body]:
    sides = Sides(LOW_HIGH, BACK_FRONT, LEFT_RIGHT)
    for partition in spec.partitions:
        size = (sizes.ceiling - sizes.floor, sizes.inner_depth - partition.setback.mm, sizes.thickness)
        origin = (partition.at.mm, sizes.floor, sizes.behind)
        yield placing.board("partition", size, origin, (UP, NEAR, RIGHT), sides)


def _shelves(spec: Carcass, sizes: Sizes, placing: Placing) -> Iterator[Body]:
    for board in boards_of(spec):
        size = (board.length, sizes.inner_depth - board.setback, sizes.thickness)
        yield placing.board("shelf", size, (board.left, board.low, sizes.behind), (RIGHT, NEAR, UP), LEVEL)


def _plinth_frame(sizes: Sizes, placing: Placing) -> Iterator[Body]:
    """Front and back, then its ends between them, the left one first."""
    thick, deep = sizes.thickness, sizes.depth - sizes.toe
    size, sides = (sizes.width, sizes.plinth, thick), Sides(LEFT_RIGHT, LOW_HIGH, OUT_IN)
    for z, into in ((deep, AWAY), (0.0, NEAR)):
        yield placing.board("plinth front and back", size, (0.0, 0.0, z), (RIGHT, UP, into), sides)
    size, sides = (deep - 2 * thick, sizes.plinth, thick), Sides(BACK_FRONT, LOW_HIGH, OUT_IN)
    for x, into in ((0.0, RIGHT), (sizes.width, LEFT)):
        yield placing.board("plinth end", size, (x, 0.0, thick), (NEAR, UP, into), sides)
