"""Every single piece of an assembly: A1 1/2, A1 2/2, which joints it meets, where, and with which hand.

The assembly's kind hands over how the pieces of one copy meet (``Expansion.meetings``); here they are counted
out over all copies, so that "A-J1 5/8" is one joint and exactly two pieces bear it.

Hand: stand before the machine and look at its upright face, from which the cutter stands out. A piece is laid
with its entry edge down on the table and its mating face against the machine's. If its datum, which is a tip,
a reference edge, a flush end or a marked line, then lies to the left of the cutter, the piece is left-hand in that
pass, else right-hand. Nothing else is called left or right hand anywhere.
"""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from enum import StrEnum

from domain.faces.face import MatingFace
from domain.parts import Expansion, Joint, Meeting, Member, Panel, Side, Single, Spot, Vector
from domain.spec.choices import Entry


class Hand(StrEnum):
    """On which side of the cutter a piece's datum lies, seen by whoever stands before the machine."""

    LEFT = "left"
    RIGHT = "right"

    @property
    def other(self) -> Hand:
        """The other hand."""
        return Hand.RIGHT if self is Hand.LEFT else Hand.LEFT


def hand_on(first: Hand, face: MatingFace, entry: Entry) -> Hand:
    """The hand of a piece with ``entry`` down, where it is ``first`` with the face's first end down."""
    return first if entry is face.ends[0] else first.other


def first_hand(meeting: Meeting, face: MatingFace) -> Hand:
    """The hand of a meeting's first piece, with ``face.ends[0]`` down; the second piece has the other.

    At the machine, X to the right, Y away and Z up, the wood lies towards you (−Y) and the other end of the
    entry edge is up (Z): so the joint line runs to the right from a datum on the left where wood, line and up,
    in this order, are a right-handed system.
    """
    up = Side(face.ends[1].value).way
    return Hand.LEFT if _spanned(meeting.into, meeting.along, up) > 0 else Hand.RIGHT


def _spanned(one: Vector, two: Vector, three: Vector) -> float:
    """The volume that three directions span, positive where they are a right-handed system."""
    return (
        one[0] * (two[1] * three[2] - two[2] * three[1])
        + one[1] * (two[2] * three[0] - two[0] * three[2])
        + one[2] * (two[0] * three[1] - two[1] * three[0])
    )


@dataclass(frozen=True, slots=True)
class PieceName:
    """One physical piece: the ``number``-th of the ``total`` of its mark in the whole assembly, all copies."""

    mark: str
    number: int
    total: int

    def __str__(self) -> str:
        return f"{self.mark} {self.number}/{self.total}"


@dataclass(frozen=True, slots=True)
class Joined:
    """A joint at a piece: the ``number``-th of its mark's ``total``, as its first (0) or second (1) member.

    ``hand`` is the piece's with ``joint.face.ends[0]`` down.
    """

    piece: PieceName
    joint: Joint
    number: int
    total: int
    index: int
    spot: Spot
    hand: Hand
    partner: PieceName

    def hand_with(self, entry: Entry) -> Hand:
        """The piece's hand with this edge down."""
        return hand_on(self.hand, self.joint.face, entry)


@dataclass(frozen=True, slots=True)
class Piece:
    """One piece of a member or panel, in the ``copy``-th copy of its assembly.

    ``stands`` is where, of pieces that are each other's mirror image; None for the rest. ``joints`` are in
    order from its left, bottom or front end.
    """

    name: PieceName
    part: Member | Panel
    copy: int
    stands: Side | None
    joints: tuple[Joined, ...]


def pieces(expansion: Expansion) -> Iterator[Piece]:
    """Every piece of every copy, part by part."""
    one_copy = joined(expansion)
    for part in expansion.parts:
        stands = part.stands if isinstance(part, Member) else ()
        each = part.quantity // expansion.quantity
        for copy in range(expansion.quantity):
            for index in range(each):
                yield Piece(
                    name=PieceName(part.mark, copy * each + index + 1, part.quantity),
                    part=part,
                    copy=copy + 1,
                    stands=stands[index] if stands else None,
                    joints=tuple(
                        of_copy(one, expansion.quantity, copy)
                        for one in one_copy.get(Single(part.mark, index), ())
                    ),
                )


def joined(expansion: Expansion) -> Mapping[Single, Sequence[Joined]]:
    """What every piece of one copy meets, in the order of its ``joints``, as if there were no other copy."""
    joints = {joint.mark: joint for joint in expansion.joints}
    totals = Counter(meeting.joint for meeting in expansion.meetings)
    each = {member.mark: member.quantity // expansion.quantity for member in expansion.members}
    seen: Counter[str] = Counter()
    found: dict[Single, list[Joined]] = defaultdict(list)
    for meeting in expansion.meetings:
        joint, both = joints[meeting.joint], (meeting.first, meeting.second)
        seen[joint.mark] += 1
        hand = first_hand(meeting, joint.face)
        names = [PieceName(spot.piece.mark, spot.piece.index + 1, each[spot.piece.mark]) for spot in both]
        for index, (spot, own) in enumerate(zip(both, (hand, hand.other), strict=True)):
            found[spot.piece].append(
                Joined(
                    names[index], joint, seen[joint.mark], totals[joint.mark], index, spot, own, names[1 - index]
                )
            )
    for here in found.values():
        here.sort(key=_along)
    return found


def of_copy(one: Joined, copies: int, copy: int) -> Joined:
    """The same joint in the ``copy``-th of all copies, from 0."""
    return replace(
        one,
        number=copy * one.total + one.number,
        total=copies * one.total,
        piece=_named(one.piece, copies, copy),
        partner=_named(one.partner, copies, copy),
    )


def _named(one: PieceName, copies: int, copy: int) -> PieceName:
    return PieceName(one.mark, copy * one.total + one.number, copies * one.total)


_LOW = {Side.LEFT, Side.BOTTOM, Side.FRONT}


def _along(one: Joined) -> tuple[bool, float]:
    """Where on the piece, from its low end to its high one."""
    spot = one.spot
    side = spot.surface if one.index == 0 or spot.start is None or spot.whole else spot.start
    return (side not in _LOW, spot.offset if side in _LOW else -spot.offset)
