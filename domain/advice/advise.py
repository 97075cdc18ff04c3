"""Advice for the joints of an assembly: what makes one that cannot be made, what a small change would gain.

Free changes come first: another section, entry, count or plug. Then sizes, by how much they change in mm; of
equal ones what is let in comes before the wood, and the wood before the size of the whole. Last come rules.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Container, Hashable, Iterable, Iterator, Sequence
from dataclasses import dataclass, field, replace

from domain.advice.loosening import loosenings, losing_none, of_the_shop
from domain.advice.sizes import DOWN, UP, Size, places_of, sizes_of
from domain.advice.together import choices_together, sizes_together
from domain.advice.trying import FINE, MOST_TRIES, NEAR, Asked, Trying
from domain.lengths import Length, Units, format_mm
from domain.notes import Note, NoteCode
from domain.planning.planner import plan_joint
from domain.planning.plans import JointPlan
from domain.planning.sections import Question
from domain.proposals import Change, Proposal
from domain.spec.assemblies import Assembly
from domain.spec.catalogue import Section, key_item
from domain.spec.choices import NO_CHOICES, Entry, KeyChoices
from domain.spec.project import Project
from domain.spec.rules import Rules
from domain.spec.starts import Starts, in_this_wood, starts_in_use
from domain.takeoff.build import take_off_assembly
from domain.takeoff.takeoff import AssemblyTakeoff, Takeoff

MOST_PROPOSALS = 5
LEAST_GAIN = 0.05
"""The share of its run that a joint must hold more for a change to be said that gains no row or section."""
Ranked = tuple[float, Proposal]


@dataclass
class Found:
    """What was found for the first of equal joints, for the others: by joint as it is asked about.

    ``least`` is the least value by size and way too, ``together`` what makes a joint only together.
    """

    least: dict[Hashable, Length | None] = field(default_factory=dict)
    together: dict[Hashable, tuple[Proposal, ...]] = field(default_factory=dict)


def advise(
    spec: Assembly,
    planned: AssemblyTakeoff,
    sections: Sequence[Section],
    rules: Rules,
    choices: KeyChoices = NO_CHOICES,
    starts: Starts = (),
    units: Units = Units.MM,
    besides: tuple[Change, ...] = (),
) -> AssemblyTakeoff:
    """The same takeoff with advice at its joints; ``units`` say what sizes are rounded to.

    ``besides`` is what a project without rules of its own must say to go on with these, where one is changed.
    Of such a change other assemblies have to be asked too: ``losing_none``.
    """
    trying = Trying(spec, sections, rules, choices, starts, units, planned, besides)
    weak = [joint for joint in planned.joints if joint.is_weak(rules.hold_target)]
    gains = _gains(trying, weak) if weak else {}
    found = Found()
    return replace(planned, joints=tuple(_advised(trying, joint, gains, found) for joint in planned.joints))


def advised(
    project: Project, planned: Takeoff, sections: Sequence[Section], rules: Rules, starts: Starts = ()
) -> Takeoff:
    """A project's takeoff with advice at its joints; it has an assembly for each of the project's."""
    own_starts = starts_in_use(project.starts, project.sections is not None, starts)
    keys, used = project.sections or sections, (project.rules or rules).in_units(project.units)
    mine = project.assemblies
    besides = () if project.rules is not None else of_the_shop(used)
    assemblies = tuple(
        advise(spec, each, keys, used, project.keys, own_starts, project.units, besides)
        for spec, each in zip(mine, planned.assemblies, strict=True)
    )

    def again(place: int, rules: Rules) -> AssemblyTakeoff:
        return take_off_assembly(mine[place], keys, rules, project.keys, own_starts)

    return replace(planned, assemblies=losing_none(assemblies, used, again))


def _alike(trying: Trying, joint: JointPlan, *sizes: tuple[Size, int]) -> Hashable:
    """The same for joints that ask alike, and still do where these sizes change.

    Those of two equal rails do not, for each rail has a size of its own. Where the slots of another joint are
    too near, no joint is like it.
    """
    if _is_near(joint):
        return joint.joint.mark, tuple((size.paths, way) for size, way in sizes)
    changed = tuple((size.paths, way, trying.with_a_hair(size, way, joint)) for size, way in sizes)
    return Question.of(joint.joint), changed


def _advised(trying: Trying, joint: JointPlan, gains: dict[str, list[Ranked]], found: Found) -> JointPlan:
    trying.left = MOST_TRIES
    if joint.plan is not None:
        near = _first(gains.get(joint.joint.mark, ()))
        if not near and joint.is_weak(trying.rules.hold_target):
            near = _first(_gains_by_rules(trying, joint))
        return replace(joint, near=near)
    if not joint.alternatives:
        return joint
    reason, *others = joint.notes
    notes = (reason, *_cause(trying, joint), *others)
    nearest = _first((*_free(trying, joint), *_by_size(trying, joint, found))) or _together(trying, joint, found)
    # what holds for the whole project comes last
    return replace(joint, notes=notes, nearest=(*nearest, *_first(_by_rules(trying, joint))))


def _together(trying: Trying, joint: JointPlan, found: Found) -> tuple[Proposal, ...]:
    """What makes a joint that no single change makes: choices let go together, or else sizes."""
    trying.left = MOST_TRIES
    makes = _makes(trying, joint)
    let_go = tuple(choices_together(joint, makes))
    if let_go:
        return let_go
    alike = _alike(trying, joint, *((size, way) for size in sizes_of(trying.spec) for way in size.ways))
    if alike not in found.together:
        found.together[alike] = _first(sizes_together(trying, makes))
    return tuple(each for each in found.together[alike] if makes(each.changes))


def _first(found: Iterable[Ranked]) -> tuple[Proposal, ...]:
    ranked = sorted(found, key=lambda one: one[0])
    return tuple(proposal for _, proposal in ranked[:MOST_PROPOSALS])


# --- a joint that cannot be made ------------------------------------------------------------------


def _cause(trying: Trying, joint: JointPlan) -> Iterator[Note]:
    """The groove or rabbet without which the joint would be made: as much wood as it leaves."""
    if _is_near(joint):
        return
    face = joint.joint.face
    region = face.region
    for void in region.voids:
        whole = replace(region, voids=tuple(each for each in region.voids if each != void))
        sound = replace(joint.joint, face=replace(face, region=whole))
        starts = in_this_wood(trying.starts, trying.spec.material)
        if plan_joint(sound, trying.sections, trying.rules, starts).plan is not None:
            clear = max(void.x0, region.width - void.x1)
            yield Note.of(NoteCode.GROOVE_LEAVES, clear=clear, width=region.width)
            return


def _free(trying: Trying, joint: JointPlan) -> Iterator[Ranked]:
    """Other choices of this joint's keys that make it: what was pinned is let go, one thing at a time."""
    for says, change in _choices(joint):
        changes = (change,)
        if _makes(trying, joint)(changes):
            yield 0.0, Proposal(says, changes)


def _choices(joint: JointPlan) -> Iterator[tuple[Note, Change]]:
    pinned, mark = joint.joint.choices, joint.joint.mark
    if pinned.section is not None:
        by_size = sorted(joint.alternatives, key=lambda one: -one.section.overall_width)
        for name in (one.section.name for one in by_size if one.section.name != pinned.section):
            yield _choice(mark, "section", "section", name)
    if pinned.entry is not None:
        for entry in (*joint.joint.face.ends, Entry.BOTH):
            if entry is not pinned.entry:
                yield _choice(mark, "entry", "keys driven in from", entry.value)
    for fewer in range((pinned.count or 1) - 1, 0, -1):
        yield _choice(mark, "count", "keys across the joint", fewer)
    if pinned.plug is not None:
        yield _choice(mark, "plug", "plug", None)
    if pinned.recess is not None:
        yield _choice(mark, "recess", "recess", None)


def _choice(mark: str, name: str, what: str, value: str | int | None) -> tuple[Note, Change]:
    change = Change(("joints", mark, name), value)
    if value is None:
        return Note.of(NoteCode.CHOICE_LEFT, what_text=what), change
    told = {"both": "both edges"}.get(str(value), str(value))
    return Note.of(NoteCode.CHOICE_SET, what_text=what, value_text=told), change


def _by_size(trying: Trying, joint: JointPlan, found: Found) -> Iterator[Ranked]:
    makes = _makes(trying, joint)
    for size in _sizes(trying, joint):
        for way in size.ways:
            alike = _alike(trying, joint, (size, way))
            if alike not in found.least:
                found.least[alike] = trying.least(size, way, makes)
            value = found.least[alike]
            if value is not None and makes(trying.changes(size, value)):
                says = Note.of(NoteCode.SIZE_SET, what_text=size.words, value=value.mm)
                yield _apart(value, size), Proposal(says, trying.changes(size, value))


def _is_near(joint: JointPlan) -> bool:
    """True of a joint that only the slots of another one keep from being made."""
    return joint.plan is None and joint.notes[0].code is NoteCode.SLOTS_NEAR


def _sizes(trying: Trying, joint: JointPlan) -> Iterator[Size]:
    """The sizes to change: where the part stands that is too near, or what the joint is made of."""
    if not _is_near(joint):
        yield from sizes_of(trying.spec)
        return
    mark = dict(joint.notes[0].figures)["part_text"]
    names = {member.mark: member.name for member in trying.before.expansion.members}
    yield from places_of(trying.spec, names[str(mark)])


def _by_rules(trying: Trying, joint: JointPlan) -> Iterator[Ranked]:
    trying.left = MOST_TRIES
    for one in loosenings(trying, _makes(trying, joint)):
        code = NoteCode.RULE_CROSSES if one.figures is None else NoteCode.RULE_SET
        yield one.apart, Proposal(Note.of(code, **(one.figures or {})), one.changes)


def _apart(value: Length, size: Size) -> float:
    return abs(value.nm - size.value.nm) / 1e6


def _makes(trying: Trying, joint: JointPlan) -> Asked:
    """Whether changes make the joint, in the whole assembly, and lose no other.

    A face that stays as it is makes no joint, unless only another one's slots were in the way.
    """
    mark, near = joint.joint.mark, _is_near(joint)
    return Asked(
        alone=lambda changes: (near or trying.touches(changes, joint)) and trying.is_made(changes, mark),
        bears_out=lambda changes: trying.bears_out(changes, mark) is not None,
    )


# --- a joint that a small change would better -------------------------------------------------------


def _gains(trying: Trying, weak: Sequence[JointPlan]) -> dict[str, list[Ranked]]:
    """By joint, what it gains by less than NEAR of any size, or by another choice.

    Each size is tried once at its farthest; only where a joint gains is the least change looked for.
    """
    gains: dict[str, list[Ranked]] = {}
    found = Found()
    for joint in weak:
        trying.left = MOST_TRIES
        for says, change in _other_choices(joint):
            after = _better(trying, joint, (change,))
            if after is not None:
                gains.setdefault(joint.joint.mark, []).append((0.0, _gain_of_choice(says, change, after)))
    moved = {joint.joint.mark for joint in weak if not trying.is_as_alone(joint)}
    for size in (size for size in sizes_of(trying.spec) if size.slight):
        for way in size.ways:
            for joint, ranked in _gains_of(trying, weak, moved, size, way, found):
                gains.setdefault(joint.joint.mark, []).append(ranked)
    return gains


def _other_choices(joint: JointPlan) -> Iterator[tuple[Note, Change]]:
    """Sections that fit and hold more, and where an entry is pinned, the others."""
    assert joint.plan is not None
    for one in joint.alternatives:
        if one.plan is not None and _is_better(joint, one.plan.hold, one.plan.count, joint.plan.section):
            yield _choice(joint.joint.mark, "section", "section", one.section.name)
    if joint.joint.choices.entry is not None:
        for entry in (*joint.joint.face.ends, Entry.BOTH):
            if entry is not joint.joint.choices.entry:
                yield _choice(joint.joint.mark, "entry", "keys driven in from", entry.value)


def _gains_of(
    trying: Trying, weak: Sequence[JointPlan], moved: Container[str], size: Size, way: int, found: Found
) -> Iterator[tuple[JointPlan, Ranked]]:
    """What they gain; those that are ``moved``, for others' slots came too near, may gain where others change."""
    fine = FINE[trying.units]
    farthest = Length(size.value.nm + way * (NEAR.nm // fine.nm) * fine.nm)
    if farthest < size.least or farthest.nm <= 0:
        return
    changes = trying.changes(size, farthest)
    for joint in weak:
        trying.left = MOST_TRIES
        if joint.joint.mark in moved:
            best = trying.bears_out(changes, joint.joint.mark)
        else:
            best = trying.again(changes, joint.joint.mark) if trying.touches(changes, joint) else None
        if best is not None and _betters(joint, best):
            ranked = _least_gain(trying, joint, size, way, found)
            if ranked is not None:
                yield joint, ranked


def _least_gain(trying: Trying, joint: JointPlan, size: Size, way: int, found: Found) -> Ranked | None:
    trying.left = MOST_TRIES
    alike = _alike(trying, joint, (size, way))
    if alike not in found.least:
        found.least[alike] = trying.least_near(size, way, _betterment(trying, joint))
    value = found.least[alike]
    if value is None:
        return None
    changes = trying.changes(size, value)
    after = _better(trying, joint, changes)
    if after is None or after.plan is None:
        return None
    says = Note.of(
        NoteCode.SIZE_GAINS,
        what_text=size.words,
        more=_apart(value, size),
        way_text={UP: "more", DOWN: "less"}[way],
        gain_text=_keys_text(after),
        hold_n=round(after.plan.hold, 2),
    )
    return _apart(value, size), Proposal(says, changes)


def _gains_by_rules(trying: Trying, joint: JointPlan) -> Iterator[Ranked]:
    trying.left = MOST_TRIES
    for one in loosenings(trying, _betterment(trying, joint)):
        after = _borne_out(trying, joint, one.changes)
        if after is not None and after.plan is not None:
            code = NoteCode.RULE_CROSSES_GAINS if one.figures is None else NoteCode.RULE_GAINS
            gain, hold = _keys_text(after), round(after.plan.hold, 2)
            says = Note.of(code, **(one.figures or {}), gain_text=gain, hold_n=hold)
            yield one.apart, Proposal(says, one.changes)


def _gain_of_choice(says: Note, change: Change, after: JointPlan) -> Proposal:
    assert after.plan is not None
    told = {**dict(says.figures), "gain_text": _keys_text(after), "hold_n": round(after.plan.hold, 2)}
    return Proposal(Note.of(NoteCode.CHOICE_GAINS, **told), (change,))


def _better(trying: Trying, joint: JointPlan, changes: tuple[Change, ...]) -> JointPlan | None:
    """The joint planned again in its assembly, where these changes better it and lose nothing."""
    alone = trying.again(changes, joint.joint.mark)
    return _borne_out(trying, joint, changes) if alone is not None and _betters(joint, alone) else None


def _borne_out(trying: Trying, joint: JointPlan, changes: tuple[Change, ...]) -> JointPlan | None:
    after = trying.bears_out(changes, joint.joint.mark)
    return after if after is not None and _betters(joint, after) else None


def _betterment(trying: Trying, joint: JointPlan) -> Asked:
    """Whether changes better the joint, in the whole assembly, and lose no other."""

    def alone(changes: tuple[Change, ...]) -> bool:
        after = trying.again(changes, joint.joint.mark)
        return after is not None and _betters(joint, after)

    return Asked(alone, lambda changes: _borne_out(trying, joint, changes) is not None)


def _betters(joint: JointPlan, after: JointPlan) -> bool:
    plan = after.plan
    return plan is not None and _is_better(joint, plan.hold, plan.count, plan.section)


def _is_better(joint: JointPlan, hold: float, count: int, section: Section) -> bool:
    """A row or a larger section gained with no less hold, or clearly more hold with no row lost."""
    assert joint.plan is not None
    was = joint.plan
    larger = count > was.count or (count == was.count and section.overall_width > was.section.overall_width + 1e-9)
    return (larger and hold >= was.hold - 1e-9) or (count >= was.count and hold >= was.hold + LEAST_GAIN)


def _keys_text(joint: JointPlan) -> str:
    """The keys of a joint by their slots: "13 × 18", or of several slots "2 slots of 13 × 26 + 18"."""
    assert joint.plan is not None
    name = joint.plan.section.name
    stacks = Counter(slot.keys for slot in joint.slots)
    told = []
    for keys, slots in stacks.items():
        first, *rest = keys
        stack = " + ".join((key_item(name, first), *map(format_mm, rest)))
        told.append(f"{slots} slots of {stack}" if slots > 1 else stack)
    return " and ".join(told)
