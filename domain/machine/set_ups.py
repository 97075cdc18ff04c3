"""All slots of one or several projects grouped into set-ups: which pieces each mills, and how they lie.

A set-up is one combination of the six values that the machine is set to; slots of any project and
assembly that share it are milled together. A piece here is one end, edge or face of a member that gets a
slot: every joint has two, one left-hand and one right-hand (``hands.py``). A slot entered from both edges
is one piece with two passes.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from hashlib import sha256

from domain.faces.face import MatingFace
from domain.lengths import format_mm
from domain.machine.hands import Datum, Hand, Lie, Place, datum_of, first_hands, hand_on, place_of
from domain.machine.reachable import out_of_reach
from domain.notes import Note
from domain.parts import Expansion, Joint, JointKind, Member
from domain.planning.plans import SectionPlan
from domain.spec.catalogue import CutterKind
from domain.spec.choices import Entry
from domain.spec.rules import Rules
from domain.takeoff.counting import SetUp, set_ups
from domain.takeoff.takeoff import Takeoff


@dataclass(frozen=True, slots=True)
class Source:
    """A project as it comes to the machine. ``key`` tells it from the others and stays the same for good."""

    key: str
    takeoff: Takeoff
    rules: Rules


@dataclass(frozen=True, slots=True)
class Piece:
    """Equal places on equal members that one set-up mills, laid down in the same way.

    ``quantity`` counts ends (edges, faces) over the whole project, not slots. ``lies`` has one pass for
    every edge that the slot is driven from; ``hand`` is that of the first. ``meets`` is the other member's
    mark. ``key`` stays the same as long as project, joint, member and place do.
    """

    key: str
    source: str
    project: str
    assembly: str
    assembly_name: str
    joint: str
    kind: JointKind
    member: Member
    meets: str
    place: Place
    datum: Datum
    hand: Hand
    quantity: int
    lies: tuple[Lie, ...]
    face: MatingFace
    plan: SectionPlan
    notes: tuple[Note, ...] = ()

    @property
    def entries(self) -> tuple[Entry, ...]:
        """The edges that the slot is driven from."""
        return tuple(lie.entry for lie in self.lies)

    @property
    def passes(self) -> int:
        """Slots milled in all these pieces."""
        return self.quantity * len(self.lies)


@dataclass(frozen=True, slots=True)
class Milling:
    """A set-up and its work. The ``tests`` test joints come first, a left and a right piece for each."""

    set_up: SetUp
    pieces: tuple[Piece, ...]
    tests: int

    @property
    def key(self) -> str:
        """Sixteen hexadecimal digits that the same six values always give."""
        return set_up_key(self.set_up)

    @property
    def left(self) -> int:
        """Left-hand pieces."""
        return self._count(Hand.LEFT)

    @property
    def right(self) -> int:
        """Right-hand pieces."""
        return self._count(Hand.RIGHT)

    @property
    def passes(self) -> int:
        """Slots milled, test pieces not counted."""
        return sum(piece.passes for piece in self.pieces)

    @property
    def notes(self) -> tuple[Note, ...]:
        """What its pieces have to say, each thing once."""
        return tuple(dict.fromkeys(note for piece in self.pieces for note in piece.notes))

    def _count(self, hand: Hand) -> int:
        return sum(piece.quantity for piece in self.pieces if piece.hand is hand)


_KEYED = {CutterKind.CLOSE: "standard", CutterKind.FREE: "oversize"}
"""What keys have been made of since the first tick was kept: another word here would lose what is ticked off."""


def set_up_key(set_up: SetUp) -> str:
    """Sixteen hexadecimal digits of a set-up's six values: the name that ticks are kept under."""
    fence = "mitre" if set_up.mitred else "butt"
    lengths = (
        set_up.tip_diameter,
        set_up.projection,
        set_up.angle,
        set_up.fence_reading,
        set_up.depth_stop,
        set_up.clamp_height,
    )
    values = [set_up.section, _KEYED[set_up.cutter], fence, *(format_mm(length) for length in lengths)]
    return sha256("|".join(values).encode("utf-8", "backslashreplace")).hexdigest()[:16]


def millings(sources: Sequence[Source]) -> tuple[Milling, ...]:
    """The set-ups of these projects together, in the order in which their joints first ask for them.

    Joints that cannot be made ask for none.
    """
    pieces: dict[SetUp, list[Piece]] = {}
    tests: dict[SetUp, int] = {}
    for source in sources:
        for assembly in source.takeoff.assemblies:
            for joint in assembly.joints:
                if joint.plan is None:
                    continue
                made = tuple(_pieces(source, assembly.expansion, joint.joint, joint.plan))
                for set_up in set_ups(joint, joint.plan):
                    pieces.setdefault(set_up, []).extend(
                        replace(piece, notes=tuple(out_of_reach(joint, piece.member, set_up, source.rules)))
                        for piece in made
                    )
                    tests[set_up] = max(tests.get(set_up, 0), source.rules.test_joints)
    return tuple(Milling(set_up, tuple(found), tests[set_up]) for set_up, found in pieces.items())


def _pieces(source: Source, expansion: Expansion, needs: Joint, plan: SectionPlan) -> Iterator[Piece]:
    """Both members' pieces of a joint, the members in turn, left before right."""
    entries = needs.face.ends if plan.entry is Entry.BOTH else (plan.entry,)
    by_mark = {member.mark: member for member in expansion.members}
    first, second = needs.members
    counted = first_hands(expansion, needs)
    # what is left on the first member is right on the second
    theirs = {(first, 0, hand): number for hand, number in counted.items()}
    for hand, number in counted.items():
        at = (second, 0 if first == second and _alike(needs.kind) else 1, hand.other)
        theirs[at] = theirs.get(at, 0) + number
    for (mark, index, base), number in sorted(theirs.items(), key=lambda item: _turn(item[0], needs.members)):
        lies = tuple(Lie(entry, hand_on(base, needs.face, entry)) for entry in entries)
        place, member = place_of(needs.kind, index), by_mark[mark]
        yield Piece(
            key=f"{source.key}/{needs.mark}/{mark}/{place}/{lies[0].hand}",
            source=source.key,
            project=source.takeoff.project,
            assembly=expansion.mark,
            assembly_name=expansion.name,
            joint=needs.mark,
            kind=needs.kind,
            member=member,
            meets=second if index == 0 else first,
            place=place,
            datum=datum_of(needs.kind, index),
            hand=lies[0].hand,
            quantity=number,
            lies=lies,
            face=needs.face,
            plan=plan,
        )


def _alike(kind: JointKind) -> bool:
    """True where both members are milled in the same kind of place."""
    return place_of(kind, 0) is place_of(kind, 1)


def _turn(piece: tuple[str, int, Hand], members: tuple[str, str]) -> tuple[int, int, str]:
    mark, index, hand = piece
    return index, members.index(mark), hand.value
