"""Left- and right-hand pieces: how a member's end is laid down, and where the slot then comes to be.

The machine as this program sees it: the cutter stands out of its upright face and travels up from the
table until the depth stop. A piece is laid with its entry edge down on the table, its mating face against
the machine's and its datum at the fence: the outer edge of a mitred piece, the reference edge of a square end,
the end or a marked line of a piece that is slotted in its edge or face. The fence stands beside the cutter,
at its angle to the machine's face, as far from the cutter's centre as the fence reading says.

Hand: stand before the machine and look at its face. A piece whose datum lies to the left of the cutter is
left-hand, the other right-hand. Of the two members of a joint, laid down on the same entry edge, one is
always left and the other right, for they are mirror images in the mating face. Of a butt or a tee too: the
rail's end counts from its reference edge, the stile's edge from where that reference edge comes, and the two
look at each other across the joint. Turned over to be entered from its other edge, a piece changes hands.
"""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass
from enum import StrEnum
from math import hypot

from domain.faces.face import MatingFace
from domain.parts import Expansion, Joint, JointKind, JointLine, Outline, Point
from domain.spec.choices import Entry


class Hand(StrEnum):
    """On which side of the cutter a piece's datum lies, seen by whoever stands before the machine."""

    LEFT = "left"
    RIGHT = "right"

    @property
    def other(self) -> Hand:
        """The other hand."""
        return Hand.RIGHT if self is Hand.LEFT else Hand.LEFT


class Place(StrEnum):
    """Where on a piece the slot is milled."""

    MITRED_END = "mitred_end"
    SQUARE_END = "square_end"
    EDGE = "edge"
    FACE = "face"


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


@dataclass(frozen=True, slots=True)
class Lie:
    """How a piece lies for one pass: the entry edge that is down, and its hand then."""

    entry: Entry
    hand: Hand


@dataclass(frozen=True, slots=True)
class Readings:
    """What fence and stop read, in mm, and the diameters that the stop's reading depends on.

    ``scale_tip_diameter`` is what the stop's scale was set with; None where it is zeroed for the cutter.
    """

    fence_reading: float
    depth_stop: float
    tip_diameter: float
    scale_tip_diameter: float | None = None


@dataclass(frozen=True, slots=True)
class SlotPlace:
    """Where a slot is, in the joint's own coordinates (mm).

    ``centre`` along the joint line from tip or reference edge; ``start`` and ``top`` along v from
    ``face.ends[0]``: the entry edge and the top of the round end.
    """

    centre: float
    start: float
    top: float


def place_of(kind: JointKind, index: int) -> Place:
    """Where the joint's first (0) or second (1) member is milled."""
    if kind in {JointKind.MITRE, JointKind.EDGE_MITRE}:
        return Place.MITRED_END
    if index == 0:
        return Place.SQUARE_END
    return Place.FACE if kind.on_edge else Place.EDGE


def datum_of(kind: JointKind, index: int) -> Datum:
    """What the fence reading counts from on the joint's first (0) or second (1) member."""
    if kind in {JointKind.MITRE, JointKind.EDGE_MITRE}:
        return Datum.TIP
    if index == 0:
        return Datum.REFERENCE_EDGE
    return Datum.FLUSH_END if kind in {JointKind.BUTT, JointKind.EDGE_BUTT} else Datum.MARKED_LINE


def hand_on(first: Hand, face: MatingFace, entry: Entry) -> Hand:
    """The hand of a piece with ``entry`` down, where it is ``first`` with the face's first end down."""
    return first if entry is face.ends[0] else first.other


def replay(hand: Hand, lie: Lie, readings: Readings, face: MatingFace) -> SlotPlace:
    """Where the machine mills, from the marks and the readings alone.

    ``hand`` is what the piece really is with the face's first end down; ``lie`` says how it was laid. A piece
    cannot be mirrored: laid as the wrong hand it still has the right edge down, but it is the far end of
    the joint line that comes to the fence, and the slot counts from there.

    The cutter's centre stops at the reading less D_scale/2, and the round end tops out D/2 above it: the
    depth is reading − (D_scale − D)/2.
    """
    reading = readings.fence_reading
    true = hand_on(hand, face, lie.entry)
    centre = reading if lie.hand is true else face.breadth - reading
    scale = readings.scale_tip_diameter
    depth = readings.depth_stop - (0.0 if scale is None else (scale - readings.tip_diameter) / 2)
    if lie.entry is face.ends[0]:
        return SlotPlace(centre, 0.0, depth)
    return SlotPlace(centre, face.run, face.run - depth)


def first_hands(expansion: Expansion, joint: Joint) -> Counter[Hand]:
    """Of how many of these joints the first member is left- or right-hand, with ``face.ends[0]`` down.

    Read off the elevation: seen with the entry edge to the back, a member whose joint line runs from tip or
    reference edge to the right, its own wood towards you, is left-hand. Joints whose line the elevation
    does not show (a plinth's) stand in mirrored pairs, half of each hand.
    """
    lines = [line for line in expansion.elevation.joints if line.mark == joint.mark]
    hands = [_hand(expansion, joint, line) for line in lines]
    found = Counter(hand for hand in hands if hand is not None)
    if found.total() * expansion.quantity == joint.quantity:
        return Counter({hand: number * expansion.quantity for hand, number in found.items()})
    right = joint.quantity // 2
    return Counter({Hand.LEFT: joint.quantity - right, Hand.RIGHT: right})


_TOWARDS_THE_EYE = {
    ("front", Entry.BACK): 1,
    ("front", Entry.FRONT): -1,
    ("plan", Entry.BOTTOM): 1,
    ("plan", Entry.TOP): -1,
}
"""By the elevation's view and the first end: whether v comes towards whoever looks at the drawing."""
ASIDE = 1e-3
"""How far beside a joint line its members are looked for, in mm."""


def _hand(expansion: Expansion, joint: Joint, line: JointLine) -> Hand | None:
    """The first member's hand at this line; None where the drawing does not show it.

    With n into the first member's wood and ℓ along the line, the datum is to the left of one who has the
    wood towards him and v upwards where n × ℓ points along v.
    """
    towards = _TOWARDS_THE_EYE.get((expansion.elevation.view, joint.face.ends[0]))
    (x0, y0), (x1, y1) = line.start, line.end
    length = hypot(x1 - x0, y1 - y0)
    if towards is None or abs(length - joint.face.breadth) > 1e-6:
        return None
    middle, right = ((x0 + x1) / 2, (y0 + y1) / 2), ((y1 - y0) / length * ASIDE, (x0 - x1) / length * ASIDE)
    beside = {
        side: _marks_at(expansion, (middle[0] + side * right[0], middle[1] + side * right[1])) for side in (1, -1)
    }
    for side in (1, -1):
        if joint.members[0] in beside[side] and joint.members[1] in beside[-side]:
            # to the right of the line n × ℓ points towards the eye
            return Hand.LEFT if side * towards > 0 else Hand.RIGHT
    return None


def _marks_at(expansion: Expansion, point: Point) -> set[str]:
    return {outline.mark for outline in expansion.elevation.members if _holds(outline, point)}


def _holds(outline: Outline, point: Point) -> bool:
    """Whether a point lies within an outline: a ray to the right crosses its sides an odd number of times."""
    x, y = point
    inside = False
    points = outline.points
    for (xa, ya), (xb, yb) in zip(points, (*points[1:], points[0]), strict=True):
        if (ya > y) != (yb > y) and x < xa + (y - ya) / (yb - ya) * (xb - xa):
            inside = not inside
    return inside
