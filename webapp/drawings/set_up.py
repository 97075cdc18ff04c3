"""A set-up of the machine to scale: above in elevation, cut at the mating face; below in plan, cut at the cutter.

Both views stand under each other on the cutter's axis, x = 0. In plan the machine's face is y = 0 and the
piece lies below it, its mating face against the machine's; in elevation the table is level with the entry
edge, which lies on it. No machine of any maker is meant: a table, a face, a fence, a stop and a clamp.

The stop is drawn as its scale counts: from where the carriage stands when the cutter that the scale was
set with is level with the table, to where the round end reaches its depth.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from functools import cached_property
from math import cos, radians, sin, tan

from domain.lengths import Units
from domain.planning.fit import mouth
from domain.spec.catalogue import Section
from domain.takeoff.counting import SetUp
from webapp.drawings import set_up_parts as parts
from webapp.drawings.dimensions import UNIT_WORDS, across, extension, split, upright
from webapp.drawings.model import Anchor, Drawing, Line, Point, Role, Shape, Text, TextRole, finished
from webapp.wording.figures import as_set, fine

EMS = 17
"""The longer side of what is drawn, without its dimensions, is this many em long."""
FARTHEST = 2.6
"""Wood is shown this many tip diameters beyond the cutter's axis, unless it ends before."""
ROW = 1.25
"""Height of a row of words, in em."""
Parts = Iterator[Shape | Text]


@dataclass(frozen=True, slots=True)
class Wood:
    """The wood that is shown on the machine, mm: its mating face, and what lies where.

    ``breadth`` is the joint line's length, ``run`` the mating face's extent along the slot. ``on_edge``: a
    board that stands on its end, clamped across its thickness. ``down`` says what lies on the table.
    """

    breadth: float
    run: float
    on_edge: bool
    down: str = "entry edge"


def draw_set_up(
    set_up: SetUp,
    section: Section,
    piece: Wood,
    units: Units,
    *,
    right_hand: bool = False,
    scale_tip: float | None = None,
    name: str = "Set-up",
) -> Drawing:
    """One set-up with its readings, for left-hand pieces, or as its mirror image for right-hand ones.

    ``scale_tip`` is the tip diameter (mm) that the stop's scale was set with; None: that of the cutter.
    """
    machine = Machine(set_up, section, piece, scale_tip)
    shapes, texts = split([*_elevation(machine, units), *_plan(machine, units), *_axis(machine)])
    hand = "right-hand" if right_hand else "left-hand"
    if right_hand:
        shapes, texts = [parts.mirrored(shape) for shape in shapes], [_turned(text) for text in texts]
    middle = (machine.left + machine.right) / 2 * (-1 if right_hand else 1)
    title = Text(TextRole.MEMBER, (middle, machine.top + 2.4 * machine.em), hand, machine.em)
    describes = f"To scale. {_said(machine, units, right_hand)} {UNIT_WORDS[units]}"
    return finished(f"{name}, {hand} pieces", describes, machine.em, shapes, [*texts, title])


@dataclass(frozen=True)
class Machine:
    """Every measure of the picture in mm, for a left-hand piece."""

    set_up: SetUp
    section: Section
    piece: Wood
    scale_tip: float | None

    @property
    def tip(self) -> float:
        """The cutter's tip diameter."""
        return self.set_up.tip_diameter

    @cached_property
    def mouth(self) -> float:
        """The slot's width at the mating face."""
        return mouth(self.section, self.tip, self.set_up.projection)

    @property
    def rest(self) -> float:
        """Height of the cutter's centre where the stop's scale begins."""
        return -(self.scale_tip or self.tip) / 2

    @property
    def stop(self) -> float:
        """Height of the cutter's centre at the stop."""
        return self.rest + self.set_up.depth_stop

    @property
    def depth(self) -> float:
        """Height of the round end."""
        return self.stop + self.tip / 2

    @property
    def angle(self) -> float:
        """Between the machine's face and the fence, in radians."""
        return radians(self.set_up.angle)

    @property
    def tip_x(self) -> float:
        """Where the fence meets the machine's face: mitre tip or reference edge."""
        return -self.set_up.fence_reading

    @cached_property
    def far(self) -> float:
        """Where the joint line ends, or is broken off."""
        return min(self.tip_x + self.piece.breadth, max(FARTHEST * self.tip, 0.4 * self.set_up.fence_reading))

    @property
    def broken(self) -> bool:
        """True where the joint line goes on beyond what is shown."""
        return self.far < self.tip_x + self.piece.breadth - 1e-6

    @cached_property
    def high(self) -> float:
        """How much of the mating face is shown above the table."""
        return min(self.piece.run, self.depth + 0.7 * self.tip)

    @cached_property
    def deep(self) -> float:
        """How much of the piece is shown in plan, away from the machine's face."""
        wanted = max(self.set_up.projection + 1.3 * self.tip, 0.45 * self.wide)
        # a flat mitre runs off to the side: a third of its joint line is enough to see how it lies
        return max(self.set_up.projection + 0.2 * self.tip, min(wanted, 0.75 * self.wide * tan(self.angle)))

    @property
    def wide(self) -> float:
        """How much of the joint line is shown."""
        return self.far - self.tip_x

    @cached_property
    def em(self) -> float:
        """Height of the lettering."""
        lean = self.deep / tan(self.angle)
        up = self.high - self.rest + self.tip / 2 + self.deep
        return max(self.wide + lean, up, 4 * self.tip) / EMS

    @property
    def fence_wide(self) -> float:
        """The fence's width along the machine's face."""
        return 1.7 * self.em / sin(self.angle)

    @property
    def face_thick(self) -> float:
        """Thickness of the machine's face in plan."""
        return 1.3 * self.em

    @cached_property
    def left(self) -> float:
        """Left end of table and machine's face."""
        return self.tip_x - self.fence_wide - 1.2 * self.em

    @cached_property
    def right(self) -> float:
        """Right end of table and machine's face."""
        return self.far + 1.2 * self.em

    @property
    def margin(self) -> float:
        """Where dimensions stand on the right of the plan: beyond the wood, and a clamp that closes on it."""
        shown = self.set_up.projection + 0.3 * self.em if self.piece.on_edge else 0.0
        return max(self.right, self.far + shown / tan(self.angle)) + 1.2 * self.em

    @cached_property
    def table(self) -> float:
        """Height of the table in the drawing: the elevation stands above the plan and its dimensions."""
        below = max(-self.rest + self.tip / 2, parts.TABLE * self.em) + (ROW + 0.9) * self.em
        return self.face_thick + 3.6 * self.em + below

    @cached_property
    def top(self) -> float:
        """Height of everything drawn."""
        clamp = 0.0 if self.piece.on_edge else parts.CLAMP * self.em
        return self.table + max(self.high + clamp, self.stop + parts.STOP * self.em)

    @property
    def along(self) -> Point:
        """The fence's direction away from the machine's face."""
        return (cos(self.angle), -sin(self.angle))


def _elevation(machine: Machine, units: Units) -> Parts:
    em, table = machine.em, machine.table
    yield from parts.elevation(machine)
    x = machine.left - 0.9 * em
    if not machine.piece.on_edge:
        clamp = machine.set_up.clamp_height
        yield extension((machine.tip_x, table + clamp), (x - 0.3 * em, table + clamp))
        yield extension((machine.left, table), (x - 0.3 * em, table))
        yield from upright(table, table + clamp, x, f"clamp {as_set(clamp, units).drawn}", em, left=True)
    x = machine.right + 1.2 * em
    low, high = table + machine.rest, table + machine.stop
    yield extension((machine.tip / 2, low), (x + 0.3 * em, low))
    yield from upright(low, high, x, f"stop {as_set(machine.set_up.depth_stop, units).drawn}", em, left=False)
    y = table - max(parts.TABLE * em, -machine.rest + machine.tip / 2) - 0.75 * em
    yield Text(TextRole.WORDS, ((machine.left + machine.right) / 2, y), f"{machine.piece.down} on the table", em)


def _plan(machine: Machine, units: Units) -> Parts:
    em, set_up = machine.em, machine.set_up
    yield from parts.plan(machine)
    y = machine.face_thick + 1.2 * em
    yield extension((machine.tip_x, 0.0), (machine.tip_x, y + 0.3 * em))
    fence = f"fence {as_set(set_up.fence_reading, units).drawn}"
    yield from across(machine.tip_x, 0.0, y, fence, em)
    x = machine.margin
    for level, start in ((0.0, machine.right), (-set_up.projection, machine.tip / 2)):
        yield extension((start, level), (x + 0.3 * em, level))
    out = f"projection {fine(set_up.projection, units).drawn}"
    yield from upright(-set_up.projection, 0.0, x, out, em, left=False)
    if machine.piece.on_edge:
        yield from _clamp_across(machine, units)
    foot = (machine.tip_x + parts.LONGER * machine.deep / tan(machine.angle), -parts.LONGER * machine.deep)
    words = f"fence {set_up.angle:.4g}°"
    yield Text(TextRole.WORDS, (foot[0] - 0.4 * em, foot[1] - 0.9 * em), words, em, Anchor.END)


def _clamp_across(machine: Machine, units: Units) -> Parts:
    """The thickness that the clamp closes on, square to the fence, beyond the wood's shown end."""
    em, (dx, dy), clamp = machine.em, machine.along, machine.set_up.clamp_height
    reach = (machine.deep + 2.6 * em + clamp * dx) / sin(machine.angle)
    start = (machine.tip_x + reach * dx, reach * dy)
    end = (start[0] - clamp * dy, start[1] + clamp * dx)
    for (x, y), edge in ((start, machine.tip_x), (end, machine.far)):
        # from where the wood leaves off, along its side
        shown = machine.deep / sin(machine.angle)
        yield extension((edge + shown * dx, shown * dy), (x + 0.3 * em * dx, y + 0.3 * em * dy))
    yield Line(Role.DIMENSION, start, end)
    yield from (parts.slanted(at, machine.angle, em) for at in (start, end))
    words, middle = f"clamp {as_set(clamp, units).drawn}", ((start[0] + end[0]) / 2, (start[1] + end[1]) / 2)
    if machine.set_up.angle == 90:
        yield Text(TextRole.FIGURE, (middle[0], middle[1] - 0.75 * em), words, em)
    else:
        yield Text(TextRole.FIGURE, (middle[0] + 0.6 * em, middle[1] - 0.6 * em), words, em, Anchor.START)


def _axis(machine: Machine) -> Iterator[Shape]:
    em = machine.em
    yield Line(Role.CENTRE, (0.0, -machine.set_up.projection - 0.8 * em), (0.0, machine.face_thick + 1.5 * em))
    low = machine.table + machine.rest - machine.tip / 2
    yield Line(Role.CENTRE, (0.0, low - 0.2 * em), (0.0, machine.table + machine.depth + 0.8 * em))


def _said(machine: Machine, units: Units, right_hand: bool) -> str:
    """The drawing in words."""
    set_up, piece = machine.set_up, machine.piece
    side = "right" if right_hand else "left"
    start = "mitre tip" if set_up.mitred else "reference edge"
    held = "pressed to the fence" if piece.on_edge else "pressed to the table"
    return (
        f"The fence at {set_up.angle:.4g}° stands on the {side} of the cutter,"
        f" {as_set(set_up.fence_reading, units).drawn} from the {start} to the cutter's centre."
        f" The piece lies with its {piece.down} on the table and its mating face against the machine's face,"
        f" {held} by the clamp at {as_set(set_up.clamp_height, units).drawn}."
        f" The cutter, section {set_up.section} {set_up.cutter.words}, stands out"
        f" {fine(set_up.projection, units).drawn}"
        f" and rises to the stop at {as_set(set_up.depth_stop, units).drawn}."
    )


def _turned(text: Text) -> Text:
    ends = {Anchor.START: Anchor.END, Anchor.END: Anchor.START}
    return replace(text, at=(-text.at[0], text.at[1]), anchor=ends.get(text.anchor, text.anchor))
