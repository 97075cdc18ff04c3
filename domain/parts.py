"""What an assembly expands into: members, panels, joints, and where they stand in its elevation.

All lengths here are millimetres as floats; the spec's exact lengths have met an angle by now.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from enum import StrEnum

from domain.faces.face import MatingFace
from domain.notes import Note
from domain.spec.choices import Entry, KeyChoices

Point = tuple[float, float]


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
    """One piece of wood or panel. ``ends`` are the angles between end and edge (90 is square).

    ``quantity`` counts the whole project; ``short_length`` is set where an end is mitred.
    """

    mark: str
    name: str
    quantity: int
    length: float
    width: float
    thickness: float
    ends: tuple[float, float] = (90.0, 90.0)
    short_length: float | None = None
    material: str | None = None


@dataclass(frozen=True, slots=True)
class Panel:
    """Something let in or laid on: glazing, bottom, back, lining, veneer."""

    mark: str
    name: str
    quantity: int
    length: float
    width: float
    thickness: float
    material: str | None = None


@dataclass(frozen=True, slots=True)
class Joint:
    """Two members meeting on a mating face; equal joints of an assembly are one Joint, counted.

    ``entries`` are the entries to try, best first; a pinned entry leaves just that one.
    ``number`` is 1 for J1 and so on within the assembly.
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
    """An assembly taken apart: everything the planner and the drawings need to know of it."""

    mark: str
    name: str
    quantity: int
    members: tuple[Member, ...]
    panels: tuple[Panel, ...]
    joints: tuple[Joint, ...]
    elevation: Elevation
    notes: tuple[Note, ...] = field(default=())
