"""All slots of one or several projects grouped into set-ups: which pieces each mills, and how they lie.

A set-up is one combination of the six values that the machine is set to; slots of any project and
assembly that share it are milled together. A place is one end, edge or face of a piece that gets a slot: every
joint has two, one left-hand and one right-hand (``hands.py``). A slot entered from both edges is one place with
two passes. A slot of a square joint may be measured from the other edge, where that saves a fence reading
(``turning.py``): its batch is turned, and its hand the other one. Equal places are a batch, and every batch
knows its pieces by their names.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Collection, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from hashlib import sha256

from domain.faces.face import MatingFace
from domain.lengths import Mm, format_mm
from domain.machine.hands import Datum, Lie, Place, carried, datum_of, place_of, spacer_under
from domain.machine.reachable import out_of_reach
from domain.machine.turning import asked_of, fewest
from domain.notes import Note
from domain.parts import Expansion, Joint, JointKind, Member, Side
from domain.planning.plans import SectionPlan
from domain.planning.set_up import SetUp, Tried, set_ups, tried_with
from domain.spec.catalogue import CutterKind
from domain.spec.choices import Entry
from domain.spec.rules import Rules
from domain.takeoff.pieces import Hand, Joined, PieceName, hand_on, joined, of_copy
from domain.takeoff.takeoff import Takeoff

Entries = tuple[Entry, ...]
"""The edges that slots of one set-up are entered from, one pass for each."""


@dataclass(frozen=True, slots=True)
class Source:
    """A project as it comes to the machine. ``key`` tells it from the others and stays the same for good."""

    key: str
    takeoff: Takeoff
    rules: Rules


@dataclass(frozen=True, slots=True)
class Batch:
    """Equal places on equal members that one set-up mills, laid down in the same way.

    ``here`` are the places within one copy of the assembly, ``copies`` how many of it there are. ``lies`` has
    one pass for every edge that the slot is driven from; ``hand`` is that of the first. ``meets`` is the other
    member's mark. ``key`` stays the same as long as project, joint, member and place do. ``turned``: the edge
    across from the reference edge is at the fence, or the line where that edge comes; hands are told for that.
    """

    key: str
    source: str
    project: str
    assembly: str
    joint: str
    kind: JointKind
    member: Member
    meets: str
    place: Place
    datum: Datum
    hand: Hand
    here: tuple[Joined, ...]
    copies: int
    lies: tuple[Lie, ...]
    face: MatingFace
    plan: SectionPlan
    notes: tuple[Note, ...] = ()
    turned: bool = False

    @property
    def quantity(self) -> int:
        """Ends (edges, faces) over the whole project, not slots."""
        return len(self.here) * self.copies

    @property
    def entries(self) -> tuple[Entry, ...]:
        """The edges that the slot is driven from."""
        return tuple(lie.entry for lie in self.lies)

    @property
    def passes(self) -> int:
        """Slots milled in all these pieces."""
        return self.quantity * len(self.lies)

    def line(self, one: Joined) -> Mm:
        """How far from where ``one`` starts the line lies that is at the fence, in mm; turned, the farther one."""
        return Mm(one.spot.offset + self.face.breadth) if self.turned else one.spot.offset

    def turned_over(self) -> Batch:
        """The same places with the other edge at the fence, so the fence on the other side."""
        return replace(
            self,
            key=f"{self.key}/turned",
            hand=self.hand.other,
            lies=tuple(replace(lie, hand=lie.hand.other) for lie in self.lies),
            turned=True,
        )

    def places(self) -> Iterator[Joined]:
        """Every single place, copy by copy."""
        for copy in range(self.copies):
            for one in self.here:
                yield of_copy(one, self.copies, copy)


@dataclass(frozen=True, slots=True)
class SetUpTest:
    """The test of a set-up in one wood: ``joints`` are made here first, a left and a right piece for each.

    ``made_in`` is the number of the earlier set-up on the sheet that tried the same cutter and projection in
    this wood, so that none is made here; None where it is made here. ``wood`` is None where nobody said.
    """

    wood: str | None
    joints: int
    made_in: int | None = None


@dataclass(frozen=True, slots=True)
class SetUpWork:
    """A set-up and its work; ``tests`` come before it, one for every wood."""

    set_up: SetUp
    batches: tuple[Batch, ...]
    tests: tuple[SetUpTest, ...]

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
        return sum(batch.passes for batch in self.batches)

    @property
    def test_joints(self) -> int:
        """Test joints that are made in this set-up."""
        return sum(test.joints for test in self.tests if test.made_in is None)

    @property
    def notes(self) -> tuple[Note, ...]:
        """What its pieces have to say, each thing once."""
        return tuple(dict.fromkeys(note for batch in self.batches for note in batch.notes))

    def _count(self, hand: Hand) -> int:
        return sum(batch.quantity for batch in self.batches if batch.hand is hand)


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


def set_up_works(sources: Sequence[Source]) -> tuple[SetUpWork, ...]:
    """The set-ups of these projects together, in the order in which their joints first ask for them.

    Joints that cannot be made ask for none. Every set-up is tested as if it were the first.
    """
    batches: dict[SetUp, list[Batch]] = {}
    tests: dict[SetUp, dict[Tried, SetUpTest]] = {}
    for source in sources:
        for slot in _slots(source):
            batches.setdefault(slot.set_up, []).extend(slot.batches)
            asked, tried = tests.setdefault(slot.set_up, {}), tried_with(slot.set_up, slot.wood)
            before = asked.get(tried, SetUpTest(slot.wood, 0))
            asked[tried] = replace(before, joints=max(before.joints, source.rules.test_joints))
    return tuple(
        SetUpWork(set_up, tuple(found), tuple(tests[set_up].values())) for set_up, found in batches.items()
    )


@dataclass(frozen=True, slots=True)
class _Slot:
    """One slot of a joint with the set-up that mills it."""

    set_up: SetUp
    wood: str | None
    batches: tuple[Batch, ...]


def _slots(source: Source) -> Iterator[_Slot]:
    """Every slot of a project. It is turned for the project alone, so its ticks hold on every sheet it is on."""
    found = [
        (assembly.expansion, joint, joint.plan, slot.entries, asked_of(joint, slot.set_up, source.rules))
        for assembly in source.takeoff.assemblies
        for joint in assembly.joints
        if joint.plan is not None
        for slot in set_ups(joint, joint.plan)
    ]
    made: dict[tuple[str, str, Entries], tuple[Batch, ...]] = {}
    twice: dict[str, frozenset[str]] = {}
    for expansion in {id(each[0]): each[0] for each in found}.values():
        places = _by_joint(expansion)
        planned = {joint.joint.mark for here, joint, *_ in found if here is expansion}
        twice[expansion.mark] = frozenset(_slotted_in_both_ends(places, planned))
        for _, joint, plan, entries, _ in (each for each in found if each[0] is expansion):
            if (expansion.mark, joint.joint.mark, entries) not in made:
                here = tuple(_batches(source, expansion, joint.joint, plan, entries, places))
                made[expansion.mark, joint.joint.mark, entries] = here
    turned = fewest([each[-1] for each in found])
    for (expansion, joint, plan, entries, asked), turn in zip(found, turned, strict=True):
        set_up = asked.milled_with(turned=turn)
        yield _Slot(
            set_up,
            expansion.wood,
            tuple(
                replace(
                    batch.turned_over() if turn else batch,
                    notes=tuple(
                        out_of_reach(
                            batch.member,
                            set_up,
                            source.rules,
                            carried(batch.place, batch.here[0]),
                            depth=plan.from_edge(entries[0]).depth,
                            both_ends=batch.member.mark in twice[expansion.mark],
                        )
                    ),
                )
                for batch in made[expansion.mark, joint.joint.mark, entries]
            ),
        )


def _by_joint(expansion: Expansion) -> Mapping[str, Sequence[Joined]]:
    """The places that one copy has of every joint, piece by piece."""
    found: dict[str, list[Joined]] = {}
    for _, here in sorted(joined(expansion).items(), key=lambda item: (item[0].mark, item[0].index)):
        for one in here:
            found.setdefault(one.joint.mark, []).append(one)
    return found


def _slotted_in_both_ends(places: Mapping[str, Sequence[Joined]], planned: Collection[str]) -> Iterator[str]:
    """The members with a piece that joints which can be made are slotted into at both ends."""
    ends: dict[PieceName, set[Side]] = defaultdict(set)
    for mark in planned:
        for one in places.get(mark, ()):
            if place_of(one.joint.kind, one.index).is_end:
                ends[one.piece].add(one.spot.surface)
    return (piece.mark for piece, sides in ends.items() if len(sides) > 1)


def _batches(
    source: Source,
    expansion: Expansion,
    needs: Joint,
    plan: SectionPlan,
    entries: Entries,
    places: Mapping[str, Sequence[Joined]],
) -> Iterator[Batch]:
    """Both members' places at a joint, entered from these edges, the members in turn, left before right."""
    by_mark = {member.mark: member for member in expansion.members}
    # equal members that are milled alike are one heap, whichever of the joint's two they are
    alike = needs.members[0] == needs.members[1] and _alike(needs.kind)
    heaps: dict[tuple[str, int, Hand], list[Joined]] = {}
    for one in places.get(needs.mark, ()):
        heaps.setdefault((one.piece.mark, 0 if alike else one.index, one.hand), []).append(one)
    for (mark, index, base), here in sorted(heaps.items(), key=lambda item: _turn(item[0], needs.members)):
        lies = tuple(
            Lie(
                entry,
                hand_on(base, needs.face, entry),
                spacer_under(needs.face, plan.served(entry), index, entry),
            )
            for entry in entries
        )
        place = place_of(needs.kind, index)
        yield Batch(
            key=f"{source.key}/{needs.mark}/{mark}/{place}/{lies[0].hand}",
            source=source.key,
            project=source.takeoff.project,
            assembly=expansion.mark,
            joint=needs.mark,
            kind=needs.kind,
            member=by_mark[mark],
            meets=needs.members[1 - index],
            place=place,
            datum=datum_of(needs.kind, index),
            hand=lies[0].hand,
            here=tuple(here),
            copies=expansion.quantity,
            lies=lies,
            face=needs.face,
            plan=plan,
        )


def _alike(kind: JointKind) -> bool:
    """True where both members are milled in the same kind of place."""
    return place_of(kind, 0) is place_of(kind, 1)


def _turn(heap: tuple[str, int, Hand], members: tuple[str, str]) -> tuple[int, int, str]:
    mark, index, hand = heap
    return index, members.index(mark), hand.value
