"""A mating face: the region of wood, the angle of its joint line, and what stands behind it."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum
from math import cos, radians, sin

from domain.faces.region import Region
from domain.lengths import Mm
from domain.spec.choices import Entry
from domain.timber.stuff import Stuff


class Behind(StrEnum):
    """What the wood behind the face is, hence which rule guards it."""

    EDGE = "edge"
    """The other member's far edge: keep the wall."""
    SHOW_FACE = "show_face"
    """The other member's show face: keep the skin."""
    OPPOSITE_SLOT = "opposite_slot"
    """Another slot coming from the other side: half the wood each, the web between them."""


@dataclass(frozen=True, slots=True)
class Backing:
    """Wood behind the face into which the slot's projection goes: how thick (mm), and what lies beyond."""

    wood: float
    beyond: Behind


LONG = 120.0
"""A piece this long between its mating faces (mm) holds the slots of both its ends, whatever the section."""


def between_ends(length: float) -> tuple[Backing, ...]:
    """What a square-ended piece has behind each end: the slot coming from the other one, if it is short."""
    return () if length >= LONG else (Backing(length, Behind.OPPOSITE_SLOT),)


def short_piece(long_point: float, short_point: float) -> float | None:
    """A mitred piece's long-point length where the slots of its two ends might meet; None where it is long.

    Kept to short pieces, so that frames of one stock have one mating face whatever their size.
    """
    return None if short_point >= LONG else long_point


@dataclass(frozen=True, slots=True)
class MatingFace:
    """The face two members meet on.

    ``region`` is seen from ``ends[0]`` (v = 0 there) and ``ends[1]`` is the opposite edge;
    ``angle`` is φ in degrees between the joint line and the outer edge of the stock (butt 90);
    ``stock_side`` is the smaller side of the wood across the face, by which a section is recommended;
    ``long_point`` is the length (mm) of a mitred piece so short that the slots of its ends may meet.
    ``stuff`` is what both members are made of. ``end_off`` is how far before x = 0 the second member ends (mm),
    where the joint lies near its end, beside short grain. None: it runs on, or its grain runs along the edge.
    ``foot`` is how far inside the second member's own edges the two ends lie (mm): the first member, a shelf in
    front of a back or set back, is narrower. ``closed`` is the edge that a panel covers which goes in last, once
    the keys are driven.
    """

    region: Region
    angle: float
    ends: tuple[Entry, Entry]
    backings: tuple[Backing, ...] = ()
    long_point: float | None = None
    foot: tuple[float, float] = (0.0, 0.0)
    closed: Entry | None = None
    stuff: Stuff = Stuff.SOLID
    end_off: float | None = None

    @property
    def sine(self) -> float:
        """Sin φ: x at the face = u·sin φ."""
        return 1.0 if self.angle == 90 else sin(radians(self.angle))

    @property
    def cosine(self) -> float:
        """Cos φ: a point w deep lies w·cos φ nearer to the tip."""
        return 0.0 if self.angle == 90 else cos(radians(self.angle))

    @property
    def breadth(self) -> Mm:
        """Length of the joint line in mm: width / sin φ."""
        return Mm(self.region.width / self.sine)

    @property
    def run(self) -> Mm:
        """The face's extent along the slot, in mm."""
        return Mm(self.region.run)

    @property
    def stock_side(self) -> float:
        """The face's smaller side, measured across the stock, in mm."""
        return min(self.region.width, self.region.run)

    @property
    def mating_area(self) -> float:
        """Area of the glued face in mm², one member's."""
        return self.region.area() / self.sine

    def foot_at(self, entry: Entry) -> Mm:
        """How far inside the second member's edge the face is entered from there, in mm."""
        return Mm(self.foot[self.ends.index(entry)])

    def raised(self, entry: Entry) -> Mm:
        """How far beyond the slot's depth the stop is set (mm), so that one stop serves both members.

        The second member stands with its own edge on the table, and the slot begins a foot above it; the first
        is raised as much, on a spacer.
        """
        return max(self.foot_at(each) for each in self.edges(entry))

    def edges(self, entry: Entry) -> tuple[Entry, ...]:
        """The edges that keys enter by: both of the face's ends, or the one."""
        return self.ends if entry is Entry.BOTH else (entry,)

    def region_from(self, entry: Entry) -> Region:
        """The region with v = 0 at the entry edge; ``entry`` is one of ``ends``."""
        return self.region if entry is self.ends[0] else self.region.from_other_end()
