"""The setting-out sheet: what is drawn of every member, equal pieces together, mirror images named."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass

from domain.machine.hands import place_of
from domain.parts import Member, Side
from domain.planning.plans import JointPlan
from domain.setting_out.piece_views import FACING, LOW, piece_views
from domain.setting_out.views import View
from domain.takeoff.pieces import Joined, Piece, PieceName, pieces
from domain.takeoff.takeoff import AssemblyTakeoff


@dataclass(frozen=True, slots=True)
class SetOut:
    """One entry of the sheet: pieces that are set out alike, over all copies of the assembly.

    ``stands`` is where they stand, of pieces that are each other's mirror image; ``mirrors`` is the first piece
    of the entry whose mirror image this one is.
    """

    member: Member
    pieces: tuple[PieceName, ...]
    stands: Side | None
    mirrors: PieceName | None
    views: tuple[View, ...]

    @property
    def key(self) -> str:
        """What tells it from the others of its assembly: "A1-1" after its first piece."""
        return f"{self.member.mark}-{self.pieces[0].number}"


Features = tuple[tuple[object, ...], ...]
"""A piece's joints in a form that tells whether two pieces can lie in each other's place."""


def set_out(assembly: AssemblyTakeoff) -> tuple[SetOut, ...]:
    """Every member of an assembly, in the order of their marks. A joint without a plan has lines, but no slots."""
    plans = {joint.joint.mark: joint for joint in assembly.joints}
    entries: list[SetOut] = []
    seen: list[Piece] = []
    for found in _alike(assembly, plans):
        first = found[0]
        member = first.part
        if isinstance(member, Member):
            mirrors = next((each.name for each in seen if _mirrored(first, each, plans)), None)
            names = tuple(sorted((piece.name for piece in found), key=lambda name: name.number))
            entries.append(SetOut(member, names, first.stands, mirrors, piece_views(first, plans)))
            seen.append(first)
    return tuple(entries)


def _alike(assembly: AssemblyTakeoff, plans: Mapping[str, JointPlan]) -> Iterator[list[Piece]]:
    """Pieces that are set out alike, mark by mark; every copy is like the first."""
    copies = assembly.expansion.quantity
    heaps: dict[str, list[list[Piece]]] = {}
    heap_of: dict[tuple[str, int], list[Piece]] = {}
    for piece in pieces(assembly.expansion):
        mark, each = piece.name.mark, piece.name.total // copies
        place = (mark, (piece.name.number - 1) % each)
        if piece.copy == 1:
            heaps_here = heaps.setdefault(mark, [])
            heap = next((heap for heap in heaps_here if _same(heap[0], piece, plans)), None)
            if heap is None:
                heaps_here.append(heap := [])
            heap_of[place] = heap
        heap_of[place].append(piece)
    for heaps_here in heaps.values():
        yield from heaps_here


def _same(one: Piece, other: Piece, plans: Mapping[str, JointPlan]) -> bool:
    """True where one piece can lie in the other's place, turned end for end perhaps, with the same marks."""
    if one.stands is not other.stands:
        return False
    here = _features(one, plans, marks=True)
    return here in {_features(other, plans, marks=True, turned=turned) for turned in _turns(one)}


def _mirrored(one: Piece, other: Piece, plans: Mapping[str, JointPlan]) -> bool:
    """True where a piece is the other's mirror image, whatever its joints are called."""
    if one.name.mark != other.name.mark:
        return False
    here = _features(one, plans, marks=False)
    return here in {_features(other, plans, marks=False, turned=turned, mirrored=True) for turned in _turns(other)}


def _turns(piece: Piece) -> tuple[bool, ...]:
    """Pieces that are called left and right stand as they are; others may be turned end for end."""
    return (False, True) if piece.stands is None else (False,)


def _features(
    piece: Piece, plans: Mapping[str, JointPlan], *, marks: bool, turned: bool = False, mirrored: bool = False
) -> Features:
    ends = {one.spot.surface for one in piece.joints if place_of(one.joint.kind, one.index).is_end}
    ends |= {one.spot.start for one in piece.joints if one.spot.start and not one.spot.across and one.index}
    lengthwise = ends | {FACING[end] for end in ends}
    found = [
        _feature(one, plans[one.joint.mark], lengthwise, marks=marks, turned=turned, mirrored=mirrored)
        for one in piece.joints
    ]
    return tuple(sorted(found, key=repr))


def _feature(
    one: Joined, plan: JointPlan, lengthwise: set[Side], *, marks: bool, turned: bool, mirrored: bool
) -> tuple[object, ...]:
    spot, place = one.spot, place_of(one.joint.kind, one.index)

    def called(side: Side | None) -> str:
        """A side as the piece knows it: its low or high end, else where it looks to."""
        if side is None:
            return ""
        seen = FACING[side] if turned and side not in {Side.INSIDE, Side.OUTSIDE} else side
        return ("low" if seen in LOW else "high") if side in lengthwise else seen.value

    hand = one.hand.other if mirrored else one.hand
    slots = tuple((slot.entry, slot.centre, slot.depth) for slot in plan.slots)
    held = plan.plan.fastenings if plan.plan else ()
    return (
        place,
        called(spot.surface),
        # a reference edge of an end is told by the hand
        "" if place.is_end else called(spot.start),
        spot.offset,
        spot.across,
        hand,
        (one.joint.mark, one.partner.mark) if marks else (),
        slots,
        (plan.joint.choices.middle, plan.counted_from, held) if held else (),
    )
