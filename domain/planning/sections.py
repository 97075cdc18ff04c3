"""A joint planned with one given section: which entry, which cutter, and what to say about it."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from functools import lru_cache

from domain.faces.face import Behind, MatingFace
from domain.lengths import Length, Mm
from domain.notes import Note, NoteCode
from domain.parts import Joint
from domain.planning.depth import Attempt, Seating
from domain.planning.entries import ENTRY_WORDS
from domain.planning.fit import FitRegime, key_fit
from domain.planning.footprint import Crossing, SlotCut, crossings
from domain.planning.middle import Stretch, bare_stretch, fastening_places, middle_remarks
from domain.planning.plans import Alternative, Cutter, CutterKind, Filled, SectionPlan
from domain.planning.stack import Stack
from domain.planning.two_ends import seat_each_end, undriven
from domain.spec.catalogue import Section
from domain.spec.choices import Entry, KeyChoices
from domain.spec.rules import Rules
from domain.spec.starts import Starts

WORTH_A_CUTTER = 0.1
"""Hold that the free-fit cutter must gain where the target is missed anyway: common practice (no source)."""
AT_LEAST_ON_FRAMES = 2
"""A single key lets a mitre pivot, so a frame joint takes two where two fit."""
Bare = tuple[Stretch, tuple[Mm, ...]]
"""What the keys leave bare of the run, and where fastenings stand on it if it is longer than keys reach."""


def keys_wanted(joint: Joint) -> int:
    """The fewest rows that a joint should have where they fit."""
    return 1 if joint.kind.on_edge else AT_LEAST_ON_FRAMES


@dataclass(frozen=True, slots=True)
class Question:
    """All of a joint that its plan depends on.

    Equal joints ask the same question, and so does a frame made longer: its mating faces stay as they are.
    """

    face: MatingFace
    entries: tuple[Entry, ...]
    choices: KeyChoices
    keys_wanted: int

    @classmethod
    def of(cls, joint: Joint) -> Question:
        """What this joint asks."""
        return cls(joint.face, joint.entries, joint.choices, keys_wanted(joint))


def plan_section(
    joint: Joint, section: Section, rules: Rules, starts: Starts = (), *, crossing: bool = False
) -> Alternative:
    """The joint planned with this section, or why it does not fit; ``starts`` are those for its wood.

    ``crossing``: grooves and rabbets that carry no key's load are crossed where that holds more.
    """
    own = tuple(one for one in starts if one.section == section.name)
    return answer(Question.of(joint), section, rules, own, crossing)


@lru_cache(maxsize=4096)
def answer(
    asked: Question, section: Section, rules: Rules, starts: Starts = (), crossing: bool = False
) -> Alternative:
    """What a section has to say to a question; asked once, remembered."""
    if not crossing:
        return _answer(asked, section, rules, starts, crossing=False)
    # what was found beside the grooves is remembered already
    beside = answer(asked, section, rules, starts, False)
    through = _answer(asked, section, rules, starts, crossing=True)
    if through.plan is None or (beside.plan is not None and not _holds_more(through.plan, beside.plan, asked)):
        return beside
    return through


def _holds_more(through: SectionPlan, beside: SectionPlan, asked: Question) -> bool:
    rows_kept = through.count >= min(beside.count, asked.keys_wanted)
    return rows_kept and through.hold > beside.hold + 1e-9


def _answer(asked: Question, section: Section, rules: Rules, starts: Starts, *, crossing: bool) -> Alternative:
    entries = _unlike(asked)
    tried = [_plan_entry(asked, section, rules, entry, starts, crossing=crossing) for entry in entries]
    plans = [plan for plan in tried if isinstance(plan, SectionPlan)]
    if not plans:
        return Alternative(section, None, next(refusal for refusal in tried if isinstance(refusal, Note)))
    best = max(plans, key=_worth)
    return Alternative(section, replace(best, notes=(*_entry_remark(asked, best, plans), *best.notes)))


def _unlike(asked: Question) -> Iterator[Entry]:
    """The entries to try, without a single edge from which the wood looks as it does from one before."""
    seen = []
    for entry in asked.entries:
        if entry is not Entry.BOTH:
            region = asked.face.region_from(entry)
            if region in seen:
                continue
            seen.append(region)
        yield entry


def _worth(plan: SectionPlan) -> tuple[float, bool]:
    """Entries by the key length they hold; of equal ones a single edge, and of these the first that is tried."""
    return round(plan.hold, 9), plan.entry is not Entry.BOTH


def _plan_entry(
    asked: Question, section: Section, rules: Rules, entry: Entry, starts: Starts, *, crossing: bool
) -> SectionPlan | Note:
    """The close-fit cutter; the free-fit one where the hold asks for it and gains by it.

    What misses the target with either cutter is not worth changing for unless it gains ``WORTH_A_CUTTER``.
    """
    cutter = Cutter(CutterKind.CLOSE, section.tip_diameter.mm)
    close = _plan_cutter(asked, section, rules, entry, cutter, starts, crossing=crossing)
    if section.free_tip_diameter is None:
        return close
    if isinstance(close, SectionPlan) and close.hold >= rules.hold_target:
        return close
    cutter = Cutter(CutterKind.FREE, section.free_tip_diameter.mm)
    free = _plan_cutter(asked, section, rules, entry, cutter, starts, crossing=crossing)
    if isinstance(free, Note):
        return close
    if isinstance(close, SectionPlan) and not _better(free, close, asked, rules.hold_target):
        return close
    return free


def _better(free: SectionPlan, close: SectionPlan, asked: Question, target: float) -> bool:
    """True where the wider slot holds enough more to matter, and costs no wanted key nor the reach limit."""
    gains = free.hold >= target - 1e-9 or free.hold >= close.hold + WORTH_A_CUTTER - 1e-9
    rows_kept = free.count >= min(close.count, asked.keys_wanted)
    reach_kept = free.reach <= max(close.reach, close.section.reach_limit.mm) + 1e-6
    return gains and rows_kept and reach_kept and free.hold > close.hold


def _plan_cutter(
    asked: Question,
    section: Section,
    rules: Rules,
    entry: Entry,
    cutter: Cutter,
    starts: Starts,
    *,
    crossing: bool,
) -> SectionPlan | Note:
    start = next((one for one in starts if one.cutter is cutter.kind), None)
    attempt = Attempt(asked.face, section, cutter, entry, rules, asked.choices, asked.keys_wanted, start, crossing)
    refusal = _behind(asked.face, attempt, rules)
    if refusal is not None:
        return refusal
    seating = seat_each_end(attempt)
    if isinstance(seating, Note):
        return seating
    held = seating.held if entry is Entry.BOTH else seating.stack.total
    hold = held.mm / asked.face.run
    stretch = bare_stretch(asked.face, entry, seating.depth, seating.far_depth)
    places = fastening_places(stretch, 2 * section.reach_limit.mm)
    return SectionPlan(
        section=section,
        cutter=cutter,
        entry=entry,
        projection=Mm(attempt.projection),
        snug_projection=Mm(attempt.snug),
        centres=tuple(map(Mm, seating.layout.centres)),
        keys=_lengths(seating.stack),
        depth=Mm(seating.depth),
        recess=Mm(seating.recess),
        reach=Mm(seating.layout.reach),
        hold=hold,
        extent=attempt.extent,
        allowed=seating.allowed,
        notes=tuple(_remarks(asked, attempt, seating, hold, (stretch, places))),
        start=start,
        crossing=crossing,
        fastenings=places if asked.choices.middle is not None else (),
        far=_far(asked.face, seating),
    )


def _lengths(stack: Stack) -> tuple[Mm, ...]:
    return tuple(key.mm for key in stack.keys)


def _far(face: MatingFace, seating: Seating) -> Filled | None:
    sunk = seating.far
    return None if sunk is None else Filled(face.ends[1], _lengths(sunk.stack), Mm(sunk.depth), Mm(sunk.recess))


def _behind(face: MatingFace, attempt: Attempt, rules: Rules) -> Note | None:
    """Wood behind the other member's face: the projection must leave the wall, the skin or the web."""
    shares: dict[Behind, tuple[NoteCode, float, int]] = {
        Behind.EDGE: (NoteCode.TOO_DEEP_FOR_EDGE, attempt.walls.usual, 1),
        Behind.SHOW_FACE: (NoteCode.TOO_DEEP_FOR_FACE, rules.skin.mm, 1),
        Behind.OPPOSITE_SLOT: (NoteCode.TOO_DEEP_OPPOSITE, rules.web.mm, 2),
    }
    for backing in face.backings:
        code, kept, sharers = shares[backing.beyond]
        available = (backing.wood - kept) / sharers
        if attempt.projection > available + 1e-9:
            return Note.of(
                code,
                section_text=attempt.section.name,
                projection=Mm(attempt.projection),
                available=max(0.0, available),
            )
    return None


def _remarks(asked: Question, attempt: Attempt, seating: Seating, hold: float, bare: Bare) -> Iterator[Note]:
    if attempt.at_least > len(seating.layout.centres) and attempt.choices.count is None:
        yield Note.of(NoteCode.ONE_KEY)
    limit = attempt.section.reach_limit.mm
    if seating.layout.reach > limit + 1e-6:
        yield Note.of(NoteCode.REACH_OVER, reach=Mm(seating.layout.reach), limit=limit)
    yield from _crossing_remarks(asked.face, attempt, seating)
    yield from _cutter_remarks(asked, attempt, seating, hold)
    if seating.shallowest < min(attempt.recess, attempt.rules.recess).mm - 1e-6:
        yield Note.of(NoteCode.SHALLOW_RECESS, recess=seating.shallowest)
    yield from _hold_remarks(asked, attempt, hold, bare)
    yield from _start_remark(attempt)
    limit_of_squeeze, tip = attempt.rules.squeeze_limit, attempt.cutter.tip_diameter
    fit = key_fit(attempt.section, tip, attempt.projection, limit_of_squeeze, attempt.snug)
    if fit.regime is FitRegime.HELD_APART:
        yield Note.of(NoteCode.HELD_APART, gap=fit.amount)
    if fit.regime is FitRegime.OVER_TIGHT:
        yield Note.of(NoteCode.OVER_TIGHT, squeeze=fit.amount)


def _crossing_remarks(face: MatingFace, attempt: Attempt, seating: Seating) -> Iterator[Note]:
    """Every groove or rabbet that the slots cross, and what the corner of its panel loses."""
    if not attempt.crossing:
        return
    cut = SlotCut(attempt.cutter.tip_diameter, attempt.mouth, attempt.projection)
    depths = zip(face.edges(attempt.entry), (seating.depth, seating.far_depth), strict=False)
    for entry, crossed in crossings(face, depths, seating.layout.centres, cut):
        if crossed.left < attempt.walls.usual - 1e-6:
            yield _crossing_note(face, entry, crossed)


def _crossing_note(face: MatingFace, entry: Entry, crossed: Crossing) -> Note:
    void = crossed.void
    where: dict[str, str] = {"entry_text": ENTRY_WORDS[entry], "panel_text": void.panel or ""}
    if not crossed.across:
        return Note.of(NoteCode.PASSES_GROOVE, **where, left=crossed.left)
    across, along = crossed.nip
    over = void.v1 - void.v0
    if face.angle == 90.0:
        return Note.of(NoteCode.CROSSES_SQUARE, **where, across=across, along=along, over=over)
    return Note.of(NoteCode.CROSSES_MITRED, **where, across=across, over=over)


def _start_remark(attempt: Attempt) -> Iterator[Note]:
    """A projection that comes from trials says so, and by how much it differs from the catalogue's."""
    if attempt.start is None:
        return
    catalogue = replace(attempt, start=None).projection
    yield Note.of(
        NoteCode.START_FROM_TRIALS,
        projection_fine=attempt.projection,
        trials_text=attempt.start.trials_text,
        catalogue_fine=catalogue,
        difference_fine=abs(attempt.projection - catalogue),
        way_text="less" if catalogue < attempt.projection else "more",
    )


def _entry_remark(asked: Question, best: SectionPlan, plans: Sequence[SectionPlan]) -> Iterator[Note]:
    pinned = asked.choices.entry
    if pinned is not None and pinned not in asked.entries:
        yield Note.of(NoteCode.ENTRY_NOT_HERE, asked_text=_from(pinned), entry_text=ENTRY_WORDS[best.entry])
    elif best.entry is not asked.entries[0]:
        first = next((plan for plan in plans if plan.entry is asked.entries[0]), None)
        if first is None:
            yield Note.of(NoteCode.ENTRY_CHANGED, entry_text=ENTRY_WORDS[best.entry])
        elif first.hold < best.hold - 1e-9:
            yield Note.of(
                NoteCode.ENTRY_HOLDS_MORE,
                entry_text=ENTRY_WORDS[best.entry],
                held_bare=best.hold * asked.face.run,
                run=asked.face.run,
                hold_n=best.hold,
                other_text=_from(first.entry),
                other_n=first.hold,
            )


def _from(entry: Entry) -> str:
    """An edge, or both, as a place that keys come from."""
    return ENTRY_WORDS[entry] if entry is Entry.BOTH else f"the {ENTRY_WORDS[entry]}"


def _hold_remarks(asked: Question, attempt: Attempt, hold: float, bare: Bare) -> Iterator[Note]:
    """A long edge is held at its ends only; on a short one, what the keys leave is worth knowing."""
    stretch, places = bare
    if places:
        yield from middle_remarks(stretch, places, asked.choices.middle, asked.face, attempt.entry)
    elif hold < attempt.rules.hold_target - 1e-9:
        run = asked.face.run
        goal = attempt.rules.hold_target
        yield Note.of(NoteCode.LOW_HOLD, held_bare=hold * run, run=run, hold_n=hold, target_n=goal)


def _cutter_remarks(asked: Question, attempt: Attempt, seating: Seating, hold: float) -> Iterator[Note]:
    section, run = attempt.section, asked.face.run
    if attempt.cutter.kind is CutterKind.FREE:
        less = _driven_less(attempt, seating)
        yield Note.of(
            NoteCode.FREE_CUTTER,
            held_bare=hold * run,
            run=run,
            now_n=hold,
            limit=section.drive_limit.mm,
            less=less,
            hold_n=less / run,
        )
    elif (possible := undriven(attempt, seating)) is not None:
        yield Note.of(NoteCode.DRIVE_LIMIT, possible=possible.mm, limit=attempt.drive_limit.mm)


def _driven_less(attempt: Attempt, seating: Seating) -> float:
    """The keys of a row (mm) if nothing were driven deeper than the close-fit cutter's drive limit."""
    limit = attempt.section.drive_limit
    if seating.far is None:
        return max((s.total for s in attempt.stacks_within(limit)), default=Length(0)).mm * len(attempt.regions)
    less = seat_each_end(replace(attempt, cutter=Cutter(CutterKind.CLOSE, attempt.cutter.tip_diameter)))
    return less.held.mm if isinstance(less, Seating) else 0.0
