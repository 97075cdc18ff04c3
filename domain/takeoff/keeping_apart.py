"""Slots of different joints in one piece, kept the web apart.

A mating face knows nothing of the joints beside it, so this is looked at once an assembly's joints are planned.
What a face can know it keeps already: opposite slots share the wood, the two ends of a short piece too. What is
left are mostly the slots in a piece's end and those of a board that meets it close to that end.

Joints are settled in their order, so the shell comes before what stands in it. One whose slots come too near to
those of one before has them moved along the joint line where that costs no reach; else it takes the best section
that keeps clear; else it cannot be made, and both joints say so.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from itertools import combinations, product
from math import ceil, floor

from domain.intervals import contains
from domain.lengths import Mm
from domain.notes import Note, NoteCode
from domain.parts import Expansion, Joint, JointKind, Member, Side, Single, Spot, Vector
from domain.planning.layout import reach_of
from domain.planning.planner import settled
from domain.planning.plans import JointPlan, SectionPlan
from domain.space.bodies import Seam, bodies, seams
from domain.space.body import dot
from domain.spec.assemblies import Assembly
from domain.spec.rules import Rules
from domain.takeoff.slots import Hollow, hollows, keep, wood_between

TOUCH = 1e-6
FINE = 1e-5
"""How finely is looked for what frees slots, mm: a hair more than they need."""
FARTHEST = 300.0
"""Nothing is moved farther than this to free it, in mm."""
MITRES = {JointKind.MITRE, JointKind.EDGE_MITRE}


@dataclass(frozen=True, slots=True)
class _Place:
    """The ``number``-th meeting of one copy, in its first (0) or second (1) piece."""

    number: int
    joint: Joint
    index: int
    spot: Spot
    member: Member

    @property
    def in_end(self) -> bool:
        """True where the slots are in the piece's end, else in its edge or face."""
        return self.index == 0 or self.joint.kind in MITRES

    def stretch(self, plan: SectionPlan) -> tuple[Side, float, float]:
        """How far along the piece its slots reach: from which end, from and to, mm."""
        tip, face = plan.cutter.tip_diameter / 2, self.joint.face
        if self.in_end:
            # of a mitre's slot the corner farthest from the tip lies deepest in the piece, see farthest_centre
            return self.spot.surface, 0.0, (plan.centres[-1] + tip) * face.cosine + plan.projection * face.sine
        if self.spot.across or self.spot.start is None:
            return Side(face.ends[0].value), 0.0, face.run
        offset = self.spot.offset
        return self.spot.start, offset + plan.centres[0] - tip, offset + plan.centres[-1] + tip

    @property
    def wood(self) -> float:
        """How thick the piece is where slots come into its edges or faces, mm."""
        return self.member.thickness if self.joint.kind.on_edge else self.member.width

    @property
    def run(self) -> float:
        """The piece's extent along slots, mm."""
        return self.member.width if self.joint.kind.on_edge else self.member.thickness


Pair = tuple[_Place, _Place]


def kept_apart(
    spec: Assembly, expansion: Expansion, joints: tuple[JointPlan, ...], rules: Rules
) -> tuple[JointPlan, ...]:
    """The joints so planned that the slots in every piece keep the web; what cannot is refused, on both sides."""
    web, plans = rules.web.mm, {joint.joint.mark: joint.plan for joint in joints}
    if not any(_may_meet(pair, plans, web) for pair in _pairs(expansion)):
        return joints
    settling = _Settling(spec, expansion, rules)
    for joint in joints:
        settling.settle(joint)
    return tuple(settling.settled.values())


def _pairs(expansion: Expansion) -> Iterator[Pair]:
    """Any two joints at one piece."""
    members = {member.mark: member for member in expansion.members}
    joints = {joint.mark: joint for joint in expansion.joints}
    at: dict[Single, list[_Place]] = defaultdict(list)
    for number, meeting in enumerate(expansion.meetings):
        for index, spot in enumerate((meeting.first, meeting.second)):
            member = members[spot.piece.mark]
            at[spot.piece].append(_Place(number, joints[meeting.joint], index, spot, member))
    for places in at.values():
        yield from combinations(places, 2)


def _may_meet(pair: Pair, plans: Mapping[str, SectionPlan | None], web: float) -> bool:
    """False where the slots surely keep the web: along the piece, along the slots, or through the piece."""
    one, other = pair
    here, there = plans[one.joint.mark], plans[other.joint.mark]
    if here is None or there is None:
        return False
    (start, low, high), (end, first, last) = one.stretch(here), other.stretch(there)
    gap = max(first - high, low - last) if start is end else one.member.length - high - last
    if gap >= web - TOUCH:
        return False
    if one.in_end and other.in_end and {here.entry, there.entry} == set(one.joint.face.ends):
        # from both edges into one end
        return here.depth + there.depth > one.run - web + TOUCH
    if one.in_end or other.in_end or one.spot.surface is other.spot.surface:
        return True
    return here.projection + there.projection > one.wood - web + TOUCH


@dataclass(frozen=True, slots=True)
class _Clash:
    """Slots of two joints in one piece with ``gap`` mm between them; ``mine`` are those of the joint in hand."""

    mine: _Place
    other: _Place
    gap: float


class _Settling:
    """The joints of an assembly one after the other, each clear of those before it."""

    def __init__(self, spec: Assembly, expansion: Expansion, rules: Rules) -> None:
        placed = bodies(spec, expansion)
        self._rules = rules
        self._seams: Sequence[Seam] = seams(expansion, placed)
        self._ways = {body.piece: body.ways[0] for body in placed}
        self._pairs: dict[str, list[Pair]] = defaultdict(list)
        for one, other in _pairs(expansion):
            self._pairs[one.joint.mark].append((one, other))
            if other.joint.mark != one.joint.mark:
                self._pairs[other.joint.mark].append((other, one))
        self.settled: dict[str, JointPlan] = {}

    def settle(self, joint: JointPlan) -> None:
        """Its best alternative that keeps clear of what is settled; those that do not say why."""
        met: dict[str, tuple[_Clash, SectionPlan]] = {}
        refusals: dict[str, tuple[_Clash, Note]] = {}
        mark, now = joint.joint.mark, joint
        while (plan := now.plan) is not None and (clash := self._clash(mark, plan)) is not None:
            name = plan.section.name
            aside = None if name in met else self._aside(clash, plan)
            if aside is None:
                # a plan that was moved and meets the next joint is refused for what it met first
                clash, plan = met.get(name, (clash, plan))
                refusals[name] = clash, self._says(clash, plan)
                now = self._with(now, name, None, refusals[name][1])
            else:
                met[name] = clash, plan
                now = self._with(now, name, aside, None)
        if now.plan is None:
            self._blame(now, refusals.values())
        elif joint.plan is not None and now.plan.section != joint.plan.section:
            now = replace(now, notes=(refusals[joint.plan.section.name][1], *now.notes))
        self.settled[mark] = now

    def _with(self, joint: JointPlan, name: str, plan: SectionPlan | None, why_not: Note | None) -> JointPlan:
        """The joint settled again with this plan for a section, or the reason why it has none now."""
        alternatives = tuple(
            replace(one, plan=plan, why_not=why_not) if one.section.name == name else one
            for one in joint.alternatives
        )
        return settled(joint.joint, alternatives, self._rules)

    def _blame(self, refused: JointPlan, refusals: Iterable[tuple[_Clash, Note]]) -> None:
        """What stands in the way says so too."""
        reason = refused.notes[0]
        clash = next((clash for clash, note in refusals if note == reason), None)
        other = None if clash is None else self.settled.get(clash.other.joint.mark)
        if clash is not None and other is not None:
            figures = dict(reason.figures) | {"other_text": refused.joint.mark}
            del figures["section_text"]
            note = Note.of(NoteCode.IN_THE_WAY, **figures)
            self.settled[clash.other.joint.mark] = replace(other, notes=(note, *other.notes))

    def _clash(self, mark: str, plan: SectionPlan) -> _Clash | None:
        """The least wood below the web between the joint's slots and those settled, or its own elsewhere."""
        web, worst = self._rules.web.mm, None
        for mine, other in self._pairs[mark]:
            there = self._plan_of(other, mark, plan)
            if there is None or not _may_meet((mine, other), {mark: plan, other.joint.mark: there}, web):
                continue
            pairs = product(self._hollows(mine, plan), self._hollows(other, there))
            gap = min((wood_between(*pair) for pair in pairs if not keep(*pair, web - TOUCH)), default=web)
            if gap < web and (worst is None or gap < worst.gap):
                worst = _Clash(mine, other, gap)
        return worst

    def _plan_of(self, place: _Place, mark: str, plan: SectionPlan) -> SectionPlan | None:
        if place.joint.mark == mark:
            return plan
        found = self.settled.get(place.joint.mark)
        return None if found is None else found.plan

    def _hollows(self, place: _Place, plan: SectionPlan) -> tuple[Hollow, ...]:
        return tuple(hollows(self._seams[place.number], plan, place.joint.face.ends, place.index))

    def _both(self, clash: _Clash, plan: SectionPlan) -> tuple[tuple[Hollow, ...], tuple[Hollow, ...]]:
        there = self._plan_of(clash.other, clash.mine.joint.mark, plan)
        assert there is not None
        return self._hollows(clash.mine, plan), self._hollows(clash.other, there)

    def _aside(self, clash: _Clash, plan: SectionPlan) -> SectionPlan | None:
        """The same plan with all its slots so far along the joint line that they keep clear there.

        Only within what is allowed and within the reach limit; and not a plan whose slots go through a panel's
        groove, for what they take of its corner was reckoned where they are.
        """
        if plan.crossing:
            return None
        face, step = clash.mine.joint.face, self._rules.setting_step.mm
        mine, others = self._both(clash, plan)
        along = self._seams[clash.mine.number].along
        sign = _away(mine, others, along)
        by = _needed(mine, others, _times(along, sign), self._rules.web.mm)
        if by is None:
            return None
        by = ceil(round(by / step, 4)) * step if step else by
        centres = tuple(Mm(round(centre + sign * by, 6)) for centre in plan.centres)
        reach = reach_of(centres, face.breadth)
        within = reach <= plan.section.reach_limit.mm + TOUCH
        if not within or not all(contains(plan.allowed, centre) for centre in centres):
            return None
        note = Note.of(
            NoteCode.SLOTS_MOVED,
            more=by,
            web=self._rules.web.mm,
            other_text=clash.other.joint.mark,
            piece_text=clash.mine.spot.piece.mark,
        )
        return replace(plan, centres=centres, reach=Mm(reach), notes=(note, *plan.notes))

    def _slack(self, clash: _Clash, plan: SectionPlan, sign: float) -> float:
        """How far all the slots of a joint may be moved along its line that way, in whole steps, mm."""
        if plan.crossing:
            return 0.0
        limit, breadth = plan.section.reach_limit.mm, clash.mine.joint.face.breadth
        # the line's end that they move away from must stay within reach
        room = limit - (plan.centres[0] if sign > 0 else breadth - plan.centres[-1])
        for centre in plan.centres:
            (low, high), *_ = [each for each in plan.allowed if contains((each,), centre)]
            room = min(room, high - centre if sign > 0 else centre - low)
        step = self._rules.setting_step.mm
        return max(0.0, floor(round(room / step, 6)) * step if step else room)

    def _says(self, clash: _Clash, plan: SectionPlan) -> Note:
        part, way, more = self._fault(clash, plan)
        return Note.of(
            NoteCode.SLOTS_NEAR,
            piece_text=clash.mine.spot.piece.mark,
            section_text=plan.section.name,
            gap=round(clash.gap, 6),
            other_text=clash.other.joint.mark,
            web=self._rules.web.mm,
            part_text=part,
            way_text=way,
            # enough, to the tenth of a millimetre
            more=ceil(round(more * 10, 6)) / 10,
        )

    def _fault(self, clash: _Clash, plan: SectionPlan) -> tuple[str, str, float]:
        """The part that is too near, and by how much: what meets the piece beside its end; or it is too short."""
        mine, others = self._both(clash, plan)
        web, piece = self._rules.web.mm, clash.mine.spot.piece
        for place, here, there in ((clash.mine, mine, others), (clash.other, others, mine)):
            if not place.in_end:
                along = self._seams[place.number].along
                sign = _away(here, there, along)
                by = _needed(here, there, _times(along, sign), web) or 0.0
                # where the part is what is in hand, its slots go the same way as far as they may
                own = self._slack(clash, plan, sign) if place is clash.mine else 0.0
                return place.joint.members[0], "near", by - own
        way, into = self._ways[piece], self._seams[clash.mine.number].into
        # out of the wood, at the end that the joint in hand lies in
        sign = 1.0 if dot(way, into) * (1.0 if clash.mine.index else -1.0) > 0 else -1.0
        return piece.mark, "short", _needed(mine, others, _times(way, sign), web) or 0.0


def _times(way: Vector, factor: float) -> Vector:
    return (factor * way[0], factor * way[1], factor * way[2])


def _away(mine: Sequence[Hollow], others: Sequence[Hollow], along: Vector) -> float:
    """1 where the first slots lie farther along than the others, −1 where they lie less far."""
    here, there = (sum(_middle(one, along) for one in each) / len(each) for each in (mine, others))
    return 1.0 if here >= there else -1.0


def _middle(hollow: Hollow, way: Vector) -> float:
    return sum(share * (low + high) / 2 for share, (low, high) in zip(way, hollow.room, strict=True))


def _needed(mine: Sequence[Hollow], others: Sequence[Hollow], way: Vector, web: float) -> float | None:
    """How far slots must move that way to keep the web, mm; None where that does not free them.

    The wood between two convex solids, one of them moved straight on, is a convex function of how far: once it
    is enough it stays so, and halving finds where.
    """
    most = 0.0
    for one, other in product(mine, others):
        low, high = 0.0, FARTHEST
        if keep(one, other, web):
            continue
        if not keep(one.shifted(way, high), other, web):
            return None
        while high - low > FINE:
            middle = (low + high) / 2
            if keep(one.shifted(way, middle), other, web):
                high = middle
            else:
                low = middle
        most = max(most, high)
    return most
