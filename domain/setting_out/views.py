"""What is drawn of a piece: its ends, edges and faces, each seen square on from outside the wood.

A view has two ways, to the right and up, which name the sides of the assembly that its edges look to. They turn
right-handedly about the view's own direction, so a view is never a mirror image: where two pieces are, their
views are too. Everything is measured in mm from the view's left and lower edges.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

from domain.lengths import Mm
from domain.machine.hands import Place
from domain.parts import Point, Side
from domain.spec.choices import Middle
from domain.takeoff.pieces import Joined


class ChannelKind(StrEnum):
    """What is cut along a piece for a panel."""

    GROOVE = "groove"
    RABBET = "rabbet"


@dataclass(frozen=True, slots=True)
class PartLine:
    """Where another piece comes on this one: its near edge, from which the joint counts, and its far one.

    ``offset`` is the near edge's distance from the piece's side ``start``, as the set-up sheet has it; the part
    lies on the side ``away`` of that line and is ``breadth`` wide. ``across``: the lines run from left to right,
    else upwards. ``near`` and ``far`` are where they are drawn.
    """

    joint: str
    part: str
    start: Side
    offset: Mm
    breadth: Mm
    away: Side
    across: bool
    near: Mm
    far: Mm

    @property
    def flush(self) -> bool:
        """True where the part comes flush with the piece's end or edge, so that its near edge needs no line."""
        return not self.offset


@dataclass(frozen=True, slots=True)
class SlotPlace:
    """A slot as it opens in the view, from its ``entry`` edge inwards; widths are at the face and at the bottom.

    ``centre`` is where its middle is drawn, from the left or, of one that runs ``across``, from below. ``reading``
    is the centre's distance from the datum, as the fence is set. ``foot`` is how far the mating face's entry edge
    lies inside the piece's own.
    """

    joint: str
    entry: Side
    centre: Mm
    reading: Mm
    across: bool
    depth: Mm
    mouth: Mm
    tip: Mm
    projection: Mm
    foot: Mm


@dataclass(frozen=True, slots=True)
class Fastened:
    """Loose tenons or screws in the bare middle of a joint, each so far from the piece's side ``start`` (mm).

    They stand in the middle of the part, whose edges are drawn at ``span``. They follow each other from left to
    right where the part's lines run ``across``, else upwards.
    """

    joint: str
    sort: Middle
    start: Side
    places: tuple[Mm, ...]
    span: tuple[Mm, Mm]
    across: bool

    @property
    def centre(self) -> Mm:
        """Where their row is drawn, as a slot's centre."""
        return Mm((self.span[0] + self.span[1]) / 2)


@dataclass(frozen=True, slots=True)
class Channel:
    """A groove or rabbet along the view: ``low`` from the edge ``side``, then ``width`` and ``depth`` (mm).

    ``stretches`` are from the left; it runs out of the piece where one begins or ends with the view, and stops
    elsewhere, its own depth past the edge of the part that meets it there.
    """

    kind: ChannelKind
    side: Side
    low: Mm
    width: Mm
    depth: Mm
    stretches: tuple[tuple[Mm, Mm], ...]


@dataclass(frozen=True, slots=True)
class Notch:
    """What a groove or rabbet takes of an end, in the view's own mm."""

    left: float
    low: float
    right: float
    high: float


NOTHING = Mm(0.0)


@dataclass(frozen=True, slots=True)
class View:
    """One end, edge or face of a piece. ``left``, ``right``, ``low`` and ``high`` are the sides its edges look to.

    ``surface`` is what it is called, ``datum`` the side of an end that its slots count from. ``inset`` is what the
    mitres at either end take of it, from left and right. An end is drawn with the ``profile`` of its stock where
    that is moulded, and with its ``notches``. ``joints`` are the piece's here, also those that cannot be made.
    """

    surface: Side
    place: Place
    left: Side
    right: Side
    low: Side
    high: Side
    width: Mm
    height: Mm
    datum: Side | None = None
    inset: tuple[Mm, Mm] = (NOTHING, NOTHING)
    lines: tuple[PartLine, ...] = ()
    slots: tuple[SlotPlace, ...] = ()
    fastened: tuple[Fastened, ...] = ()
    channels: tuple[Channel, ...] = ()
    joints: tuple[Joined, ...] = ()
    notches: tuple[Notch, ...] = ()
    profile: tuple[Point, ...] = ()

    def at(self, side: Side, offset: float) -> float:
        """Where a distance (mm) from one of the view's four sides is drawn. Raises ValueError for another side."""
        if side in {self.left, self.low}:
            return offset
        if side is self.right:
            return self.width - offset
        if side is self.high:
            return self.height - offset
        raise ValueError(f"{side} is no side of this view")

    def level(self, side: Side) -> bool:
        """True where a distance from that side is measured from left to right."""
        return side in {self.left, self.right}
