"""What an assembly expands into: members, panels, joints, and where they stand in its elevation.

All lengths here are millimetres as floats; the spec's exact lengths have met an angle by now.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from enum import StrEnum

from domain.faces.face import MatingFace
from domain.lengths import Mm
from domain.notes import Note
from domain.spec.choices import Entry, KeyChoices

Point = tuple[float, float]
Vector = tuple[float, float, float]
"""A direction in an assembly's space: x to the right, y upwards, z towards whoever stands before it."""


class Side(StrEnum):
    """A side of an assembly as one stands before it, hence also the end, edge or face of a piece that lies there.

    INSIDE is the face that looks into the assembly, OUTSIDE the one that looks away from it, wherever the piece
    stands: the only two that are no direction.
    """

    LEFT = "left"
    RIGHT = "right"
    BOTTOM = "bottom"
    TOP = "top"
    BACK = "back"
    FRONT = "front"
    INSIDE = "inside"
    OUTSIDE = "outside"

    @property
    def way(self) -> Vector:
        """The unit vector that points there. KeyError for inside and outside."""
        return _WAYS[self]

    @property
    def facing(self) -> Side:
        """The side that lies across from it."""
        return _FACING[self]


_WAYS: dict[Side, Vector] = {
    Side.LEFT: (-1.0, 0.0, 0.0),
    Side.RIGHT: (1.0, 0.0, 0.0),
    Side.BOTTOM: (0.0, -1.0, 0.0),
    Side.TOP: (0.0, 1.0, 0.0),
    Side.BACK: (0.0, 0.0, -1.0),
    Side.FRONT: (0.0, 0.0, 1.0),
}


_FACING: dict[Side, Side] = {
    one: other
    for pair in (
        (Side.LEFT, Side.RIGHT),
        (Side.BOTTOM, Side.TOP),
        (Side.BACK, Side.FRONT),
        (Side.INSIDE, Side.OUTSIDE),
    )
    for one, other in (pair, pair[::-1])
}


def side_towards(way: Vector) -> Side:
    """The side that a direction points to most, level before upright: opposite directions, opposite sides.

    >>> side_towards((-1.0, 1.0, 0.0)), side_towards((1.0, -1.0, 0.0))
    (<Side.LEFT: 'left'>, <Side.RIGHT: 'right'>)
    """
    axis = max(range(3), key=lambda which: (round(abs(way[which]), 6), -which))
    low, high = ((Side.LEFT, Side.RIGHT), (Side.BOTTOM, Side.TOP), (Side.BACK, Side.FRONT))[axis]
    return high if way[axis] > 0 else low


class JointKind(StrEnum):
    """How two members meet: ``edge_`` where keys run along a board's edge."""

    MITRE = "mitre"
    BUTT = "butt"
    TEE = "tee"
    EDGE_MITRE = "edge_mitre"
    EDGE_BUTT = "edge_butt"
    EDGE_TEE = "edge_tee"

    @property
    def on_edge(self) -> bool:
        """True where one row of keys runs along an edge (boxes, carcasses)."""
        return self.value.startswith("edge")


@dataclass(frozen=True, slots=True)
class Member:
    """A part of wood that is joined. ``ends`` are the angles between end and edge (90 is square).

    ``quantity`` counts all copies of the assembly; ``short_length`` is set where an end is mitred. ``stands``
    is where its pieces stand in one copy, first to last, where they are each other's mirror image.
    """

    mark: str
    name: str
    quantity: int
    length: Mm
    width: Mm
    thickness: Mm
    ends: tuple[float, float] = (90.0, 90.0)
    short_length: Mm | None = None
    material: str | None = None
    stands: tuple[Side, ...] = ()


@dataclass(frozen=True, slots=True)
class Panel:
    """Something let in or laid on: glazing, bottom, back, lining, veneer.

    ``room`` is set where the maker chooses what goes in: how much the rabbet has for it, all layers together
    (mm). Such a panel has no thickness of its own: 0.
    """

    mark: str
    name: str
    quantity: int
    length: Mm
    width: Mm
    thickness: Mm
    material: str | None = None
    room: Mm | None = None


@dataclass(frozen=True, slots=True)
class Joint:
    """Two members meeting on a mating face; equal joints of an assembly are one Joint, counted.

    ``entries`` are the entries to try, best first; a pinned entry leaves just that one.
    """

    mark: str
    kind: JointKind
    place: str
    quantity: int
    members: tuple[str, str]
    face: MatingFace
    entries: tuple[Entry, ...]
    choices: KeyChoices
    notes: tuple[Note, ...] = ()


@dataclass(frozen=True, slots=True)
class Single:
    """One piece within one copy of its assembly: the ``index``-th of its mark, from 0."""

    mark: str
    index: int


NOTHING = Mm(0.0)


@dataclass(frozen=True, slots=True)
class Spot:
    """Where a joint lies on one of the two pieces that meet.

    ``surface`` is the end, edge or face that is the mating face. The joint line starts ``offset`` mm from the
    piece's side ``start`` and runs away from it; at 0 it starts there, as at a reference edge. None: at a tip.
    ``across``: ``start`` is a long edge of a piece that is slotted in its face, else an end of it. ``whole``: the
    mating face is a whole long side of the piece.
    """

    piece: Single
    surface: Side
    start: Side | None = None
    offset: Mm = NOTHING
    across: bool = False
    whole: bool = False


@dataclass(frozen=True, slots=True)
class Meeting:
    """One joint within one copy: its two pieces in the order of ``Joint.members``, and how they stand.

    ``into`` points into the first piece's wood, square to the mating face or towards that side of it; ``along``
    runs from tip or reference edge along the joint line.
    """

    joint: str
    first: Spot
    second: Spot
    into: Vector
    along: Vector


@dataclass(frozen=True, slots=True)
class Outline:
    """A member or panel in the assembly's elevation: closed polygon, mm, y upwards from the bottom."""

    mark: str
    points: tuple[Point, ...]


def rectangle(mark: str, left: float, low: float, right: float, high: float) -> Outline:
    """An upright rectangular outline."""
    return Outline(mark, ((left, low), (right, low), (right, high), (left, high)))


@dataclass(frozen=True, slots=True)
class JointLine:
    """A joint in the elevation: the line on which the members meet, from tip or reference edge."""

    mark: str
    start: Point
    end: Point


@dataclass(frozen=True, slots=True)
class Elevation:
    """The assembly to scale as one looks at it: ``view`` says from where ("front", "plan", "section")."""

    view: str
    width: float
    height: float
    members: tuple[Outline, ...]
    panels: tuple[Outline, ...] = ()
    joints: tuple[JointLine, ...] = ()


@dataclass(frozen=True, slots=True)
class Expansion:
    """An assembly taken apart: everything the planner, the drawings and the machine need to know of it.

    ``meetings`` are the joints of one copy, one by one, as the assembly's kind put its pieces together.
    """

    mark: str
    name: str
    quantity: int
    members: tuple[Member, ...]
    panels: tuple[Panel, ...]
    joints: tuple[Joint, ...]
    meetings: tuple[Meeting, ...]
    elevation: Elevation
    notes: tuple[Note, ...] = field(default=())

    @property
    def wood(self) -> str | None:
        """What its members are made of; None where nobody said."""
        return next((member.material for member in self.members), None)

    @property
    def parts(self) -> tuple[Member | Panel, ...]:
        """Members, then panels."""
        return (*self.members, *self.panels)
