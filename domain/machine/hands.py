"""How a member's end is laid down: where on it the slot is milled, and what of it is at the fence.

The machine as this program sees it: the cutter stands out of its upright face and travels up from the
table until the depth stop. A piece is laid with its entry edge down on the table, its mating face against
the machine's and its datum at the fence: the outer edge of a mitred piece, the reference edge of a square end,
the end or a marked line of a piece that is slotted in its edge or face. The fence stands beside the cutter,
at its angle to the machine's face, as far from the cutter's centre as the fence reading says.

Hands are those of ``domain.takeoff.pieces``. Of the two members of a joint, laid down on the same entry edge,
one is always left and the other right, for they are mirror images in the mating face. Of a butt or a tee too: the
rail's end counts from its reference edge, the stile's edge from where that reference edge comes, and the two
look at each other across the joint. Turned over to be entered from its other edge, a piece changes hands.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

from domain.faces.face import MatingFace
from domain.lengths import Mm
from domain.parts import NOTHING, JointKind
from domain.spec.choices import Entry
from domain.takeoff.pieces import Hand, Joined


class Place(StrEnum):
    """Where on a piece the slot is milled."""

    MITRED_END = "mitred_end"
    SQUARE_END = "square_end"
    EDGE = "edge"
    FACE = "face"

    @property
    def is_end(self) -> bool:
        """True where the piece stands with an end to the machine; else it lies along its face."""
        return self in {Place.MITRED_END, Place.SQUARE_END}


class Datum(StrEnum):
    """What of a piece is at the fence, that is, what the fence reading counts from."""

    TIP = "tip"
    """The mitre's tip."""
    REFERENCE_EDGE = "reference_edge"
    """The piece's own reference edge: a corner's outer edge, else the one that is marked."""
    FLUSH_END = "flush_end"
    """The end that comes flush with the other piece's reference edge."""
    MARKED_LINE = "marked_line"
    """A line marked where the other piece's reference edge comes."""


class Carried(StrEnum):
    """Which way a piece's length goes at the machine."""

    OUT = "out"
    ALONG = "along"
    UPRIGHT = "upright"


@dataclass(frozen=True, slots=True)
class Lie:
    """How a piece lies for one pass: the entry edge that is down, its hand then, and on how high a spacer (mm)."""

    entry: Entry
    hand: Hand
    spacer: Mm = NOTHING


def spacer_under(face: MatingFace, served: Entry, index: int, entry: Entry) -> Mm:
    """How thick a spacer lies under the joint's first (0) or second (1) member with ``entry`` down, in mm.

    ``served`` is the edge whose slots the stop serves, or both where one stop serves all.
    """
    raised = face.raised(served)
    return Mm(raised - face.foot_at(entry)) if index else raised


def place_of(kind: JointKind, index: int) -> Place:
    """Where the joint's first (0) or second (1) member is milled."""
    if kind in {JointKind.MITRE, JointKind.EDGE_MITRE}:
        return Place.MITRED_END
    if index == 0:
        return Place.SQUARE_END
    return Place.FACE if kind.on_edge else Place.EDGE


def carried(place: Place, one: Joined) -> Carried:
    """Which way its length goes: out from the machine's face, along it, or up where an end is on the table."""
    if place.is_end:
        return Carried.OUT
    return Carried.UPRIGHT if one.spot.across else Carried.ALONG


def datum_of(kind: JointKind, index: int) -> Datum:
    """What the fence reading counts from on the joint's first (0) or second (1) member."""
    if kind in {JointKind.MITRE, JointKind.EDGE_MITRE}:
        return Datum.TIP
    if index == 0:
        return Datum.REFERENCE_EDGE
    return Datum.FLUSH_END if kind in {JointKind.BUTT, JointKind.EDGE_BUTT} else Datum.MARKED_LINE
