"""The parts of a set-up's picture: machine, cutter and wood, in elevation and in plan, without words.

Wood is hatched, the cutter closely crossed, the machine hatched the other way: three things that are told
apart in black and white. Where wood goes on beyond what is shown it has no edge.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from itertools import pairwise
from math import cos, pi, sin

from webapp.drawings.hatching import Hatching, hatch
from webapp.drawings.model import Dot, Line, Point, Polygon, Role, RoundEnd, Shape
from webapp.drawings.set_up_machine import CLAMP, STOP, TABLE, Machine

LONGER = 1.12
"""The fence is shown so much farther than the wood that lies against it."""
WOOD = Hatching((45.0,), 0.9)
METAL = Hatching((-45.0,), 0.5)
CUTTER = Hatching((-45.0, 45.0), 0.35)
CHORDS = 32
AIR = 1.0
"""Room round the cutter in table and face, mm."""


def mirrored(shape: Shape) -> Shape:
    """The shape on the other side of x = 0."""
    match shape:
        case Line():
            return Line(shape.role, _flip(shape.start), _flip(shape.end))
        case Polygon():
            return replace(shape, points=tuple(map(_flip, shape.points)))
        case RoundEnd():
            return replace(shape, centre=-shape.centre)
        case Dot():
            return replace(shape, centre=_flip(shape.centre))


def slanted(at: Point, angle: float, em: float) -> Line:
    """A dimension's tick on a line square to the fence."""
    size, turn = 0.4 * em, pi / 4 + pi / 2 - angle
    return Line(
        Role.TICK,
        (at[0] - size * cos(turn), at[1] - size * sin(turn)),
        (at[0] + size * cos(turn), at[1] + size * sin(turn)),
    )


def elevation(machine: Machine) -> Iterator[Shape]:
    """Cut at the mating face, seen towards the machine: table, fence, wood, slot, cutter, stop and clamp."""
    table, high, em = machine.table, machine.high, machine.part
    yield from _table(machine)
    fence = _upright_box(machine.tip_x - machine.fence_wide, machine.tip_x, table, table + 0.72 * high)
    yield from _solid(fence, METAL, em)
    foot = table + machine.piece.spacer
    wood = _upright_box(machine.tip_x, machine.far, foot, table + high)
    yield from hatch(wood, WOOD, em)
    whole = machine.piece.spacer + machine.piece.run
    yield from _edges(wood, open_right=machine.broken, open_top=high < whole - 1e-6)
    yield from _spacers(machine)
    centre = table + machine.stop
    yield RoundEnd(Role.SLOT, 0.0, machine.mouth / 2, foot, centre)
    yield RoundEnd(Role.HIDDEN, 0.0, machine.tip / 2, foot, centre, open_foot=True)
    round_tip = tuple(
        (machine.tip / 2 * cos(2 * pi * step / CHORDS), centre + machine.tip / 2 * sin(2 * pi * step / CHORDS))
        for step in range(CHORDS)
    )
    yield Polygon(Role.KEY, round_tip)
    yield from hatch(round_tip, CUTTER, em, Role.KEY_HATCH)
    yield Dot(Role.HIDDEN, (0.0, table + machine.rest), machine.tip / 2)
    yield from _stop(machine)
    if not machine.piece.on_edge:
        yield from _clamp_from_above(machine)


def plan(machine: Machine) -> Iterator[Shape]:
    """Cut level with the cutter, seen from above: the machine's face, fence, wood with its slot, cutter."""
    em, (dx, dy) = machine.part, machine.along
    reach = machine.deep / sin(machine.angle)
    lean = (dx * reach, dy * reach)
    yield from _face(machine)
    tip, wide = machine.tip_x, machine.fence_wide
    end = (tip + LONGER * lean[0], LONGER * lean[1])
    yield from _solid(((tip, 0.0), end, (end[0] - wide, end[1]), (tip - wide, 0.0)), METAL, em)
    slot = _dovetail(machine)
    wood = ((tip + lean[0], lean[1]), (tip, 0.0), *slot, (machine.far, 0.0), (machine.far + lean[0], lean[1]))
    yield from hatch(wood, WOOD, em)
    for start, stop in pairwise(wood if not machine.broken else wood[:-1]):
        yield Line(Role.OUTLINE, start, stop)
    yield from _cutter(machine, slot)
    if machine.piece.on_edge:
        yield from _clamp_from_the_side(machine)
    else:
        # in the middle of the wood between cutter and the shown end
        share = (machine.set_up.projection / machine.deep + 1) / 2
        room = (machine.deep - machine.set_up.projection) / 2
        radius = min(_foot(machine) / 2, 0.9 * room)
        yield Dot(Role.HIDDEN, (_clamp_x(machine) + share * lean[0], share * lean[1]), radius)


def _table(machine: Machine) -> Iterator[Shape]:
    em, top, gap = machine.part, machine.table, machine.tip / 2 + AIR
    for start, end in ((machine.left, -gap), (gap, machine.right)):
        yield from _solid(_upright_box(start, end, top - TABLE * em, top), METAL, em)


def _spacers(machine: Machine) -> Iterator[Shape]:
    """The strips that the wood stands on, on both sides of the cutter."""
    gap, top, high = machine.tip / 2 + AIR, machine.table, machine.piece.spacer
    for start, end in ((machine.tip_x, -gap), (gap, machine.far)) if high else ():
        if end > start:
            yield from _solid(_upright_box(start, end, top, top + high), METAL, machine.part)


def _face(machine: Machine) -> Iterator[Shape]:
    em, gap = machine.part, machine.mouth / 2 + AIR
    for start, end in ((machine.left, -gap), (gap, machine.right)):
        yield from _solid(_upright_box(start, end, 0.0, machine.face_thick), METAL, em)


def _dovetail(machine: Machine) -> tuple[Point, ...]:
    """The slot and the cutter in it, from the left of its mouth round to the right."""
    out = -machine.set_up.projection
    half_mouth, half_tip = machine.mouth / 2, machine.tip / 2
    return ((-half_mouth, 0.0), (-half_tip, out), (half_tip, out), (half_mouth, 0.0))


def _cutter(machine: Machine, head: tuple[Point, ...]) -> Iterator[Shape]:
    em, shank = machine.part, 0.3 * machine.mouth
    neck = machine.face_thick + 0.5 * em
    # its flanks go on behind the machine's face as far as they are straight
    outline = (
        *head,
        (shank, 0.9 * machine.face_thick),
        (shank, neck),
        (-shank, neck),
        (-shank, 0.9 * machine.face_thick),
    )
    yield Polygon(Role.KEY, outline)
    yield from hatch(outline, CUTTER, em, Role.KEY_HATCH)


def _stop(machine: Machine) -> Iterator[Shape]:
    """The carriage's pointer at the cutter's centre, below the block that stops it."""
    em, centre = machine.part, machine.table + machine.stop
    x = machine.right - 0.2 * em
    yield Line(Role.CENTRE, (0.0, centre), (x + 1.7 * em, centre))
    yield from _solid(_upright_box(x, x + 0.9 * em, centre, centre + STOP * em), METAL, em)


def _clamp_x(machine: Machine) -> float:
    """Where the clamp stands: over the middle of what is shown beyond the cutter, or before it."""
    beyond, before = machine.far, -machine.tip_x
    return beyond / 2 if beyond >= before else machine.tip_x / 2


def _foot(machine: Machine) -> float:
    return min(2.6 * machine.part, 0.8 * max(machine.far, -machine.tip_x))


def _clamp_from_above(machine: Machine) -> Iterator[Shape]:
    em, x, half = machine.part, _clamp_x(machine), _foot(machine) / 2
    base = machine.table + machine.set_up.clamp_height
    yield from _solid(_upright_box(x - half, x + half, base, base + 0.7 * em), METAL, em)
    rod = 0.35 * half
    yield from _solid(_upright_box(x - rod, x + rod, base + 0.7 * em, base + CLAMP * em), METAL, em)


def _clamp_from_the_side(machine: Machine) -> Iterator[Shape]:
    """A pad against the board's inner side, and its rod, square to the fence."""
    em, (dx, dy) = machine.part, machine.along
    # clear of the projection's dimension, beside which it would stand
    middle = (machine.set_up.projection + 0.5 * em) / sin(machine.angle) + 1.2 * em

    def at(along: float, off: float) -> Point:
        return (machine.far + along * dx - off * dy, along * dy + off * dx)

    half = 1.1 * em
    for wide, start, end in ((half, 0.0, 0.7 * em), (0.35 * half, 0.7 * em, 0.95 * em)):
        corners = (
            at(middle - wide, start),
            at(middle + wide, start),
            at(middle + wide, end),
            at(middle - wide, end),
        )
        yield from _solid(corners, METAL, em)


def _upright_box(left: float, right: float, low: float, high: float) -> tuple[Point, ...]:
    return ((left, low), (right, low), (right, high), (left, high))


def _solid(points: tuple[Point, ...], hatching: Hatching, em: float) -> Iterator[Shape]:
    yield Polygon(Role.SLOT, points)
    yield from hatch(points, hatching, em, Role.KEY_HATCH)


def _edges(box: tuple[Point, ...], *, open_right: bool, open_top: bool) -> Iterator[Shape]:
    low_left, low_right, high_right, high_left = box
    yield Line(Role.OUTLINE, low_left, low_right)
    yield Line(Role.OUTLINE, low_left, high_left)
    if not open_right:
        yield Line(Role.OUTLINE, low_right, high_right)
    if not open_top:
        yield Line(Role.OUTLINE, high_left, high_right)


def _flip(point: Point) -> Point:
    return (-point[0], point[1])
