"""The measures of a set-up's picture, in mm: what the machine, the cutter and the wood on it come to."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property
from math import cos, radians, sin, tan

from domain.planning.fit import mouth
from domain.planning.set_up import SetUp
from domain.spec.catalogue import Section
from webapp.drawings.model import Point

EMS = 14
"""The longer side of what is drawn, without its dimensions, is this many em long."""
FARTHEST = 2.6
"""Wood is shown this many tip diameters beyond the cutter's axis, unless it ends before."""
ROW = 1.25
"""Height of a row of words, in em."""
TABLE = 1.3
"""Thickness of the table; like the clamp and the stop in the machine's own measure."""
CLAMP = 2.4
"""Height of the clamp above the wood."""
STOP = 1.0
"""Height of the stop's block."""


@dataclass(frozen=True, slots=True)
class Wood:
    """The wood that is shown on the machine, mm: its mating face, and what lies where.

    ``breadth`` is the joint line's length, ``run`` the mating face's extent along the slot. ``on_edge``: a
    board that stands on its end, clamped across its thickness. ``down`` says what lies on the table, or on a
    ``spacer`` there, if it is more than 0 thick.
    """

    breadth: float
    run: float
    on_edge: bool
    down: str = "entry edge"
    spacer: float = 0.0


@dataclass(frozen=True)
class Machine:
    """Every measure of the picture in mm, for a left-hand piece."""

    set_up: SetUp
    section: Section
    piece: Wood
    scale_tip: float | None
    ems: float = EMS

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
        """How far above the table the mating face is shown."""
        return min(self.piece.spacer + self.piece.run, self.depth + 0.7 * self.tip)

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
        """Height of the letters."""
        lean = self.deep / tan(self.angle)
        up = self.high - self.rest + self.tip / 2 + self.deep
        return max(self.wide + lean, up, 4 * self.tip) / self.ems

    @property
    def part(self) -> float:
        """What the machine's own parts are measured in: as large beside the wood however large the letters are."""
        return self.em * self.ems / EMS

    @property
    def fence_wide(self) -> float:
        """The fence's width along the machine's face."""
        return 1.7 * self.part / sin(self.angle)

    @property
    def face_thick(self) -> float:
        """Thickness of the machine's face in plan."""
        return 1.3 * self.part

    @cached_property
    def left(self) -> float:
        """Left end of table and machine's face."""
        return self.tip_x - self.fence_wide - 1.2 * self.part

    @cached_property
    def right(self) -> float:
        """Right end of table and machine's face."""
        return self.far + 1.2 * self.part

    @property
    def margin(self) -> float:
        """Where dimensions stand on the right of the plan: beyond the wood, and a clamp that closes on it."""
        shown = self.set_up.projection + 0.3 * self.em if self.piece.on_edge else 0.0
        return max(self.right, self.far + shown / tan(self.angle)) + 1.2 * self.em

    @cached_property
    def table(self) -> float:
        """Height of the table in the drawing: the elevation stands above the plan and its dimensions."""
        below = max(-self.rest + self.tip / 2, TABLE * self.part) + (ROW + 0.9) * self.em
        return self.face_thick + 3.6 * self.em + below

    @cached_property
    def top(self) -> float:
        """Height of everything drawn."""
        clamp = 0.0 if self.piece.on_edge else CLAMP * self.part
        return self.table + max(self.high + clamp, self.stop + STOP * self.part)

    @property
    def along(self) -> Point:
        """The fence's direction away from the machine's face."""
        return (cos(self.angle), -sin(self.angle))
