"""The planner: every section tried in a joint, one chosen, and the reasons kept.

Section: of those whose recommended stock range holds the face's smaller side the largest that reaches the
hold target, or the one that holds most where none does; else the largest that fits. Before all that comes
one that leaves room for enough keys, for a single key lets a frame pivot. A joint that cannot be made
gets no plan, and the reason.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from domain.faces.face import MatingFace
from domain.lengths import Mm
from domain.notes import Note, NoteCode
from domain.parts import Joint
from domain.planning.plans import Alternative, JointPlan, SectionPlan, Slot
from domain.planning.sections import keys_wanted, plan_section
from domain.planning.walls import wall_remarks
from domain.spec.catalogue import Section
from domain.spec.choices import Entry
from domain.spec.rules import Rules
from domain.spec.starts import Starts


def plan_joint(joint: Joint, sections: Sequence[Section], rules: Rules, starts: Starts = ()) -> JointPlan:
    """The joint with its slots, or the reason why it cannot be made.

    ``starts`` are the accepted starts for the joint's wood, one for a section and cutter at most.
    """
    alternatives = tuple(plan_section(joint, section, rules, starts) for section in sections)
    if _may_cross(joint, rules):
        chosen = _choose(joint, alternatives, rules.hold_target)
        if chosen is None or chosen.hold < rules.hold_target:
            through = tuple(plan_section(joint, section, rules, starts, crossing=True) for section in sections)
            crossing = _choose(joint, through, rules.hold_target)
            if crossing is not None and (chosen is None or crossing.hold > chosen.hold + 1e-9):
                alternatives = through
    return settled(joint, alternatives, rules)


def can_be_made(joint: Joint, sections: Sequence[Section], rules: Rules, starts: Starts = ()) -> bool:
    """Whether ``plan_joint`` would find a plan: the sections are asked only until one fits."""
    asked = [section for section in sections if joint.choices.section in {None, section.name}]
    ways = (False, True) if _may_cross(joint, rules) else (False,)
    return any(
        plan_section(joint, section, rules, starts, crossing=crossing).fits
        for crossing in ways
        for section in asked
    )


def settled(joint: Joint, alternatives: tuple[Alternative, ...], rules: Rules) -> JointPlan:
    """The joint with the best of these alternatives, or the reason why none of them makes it."""
    chosen = _choose(joint, alternatives, rules.hold_target)
    if chosen is None:
        notes = (*_refusal(joint, alternatives), *wall_remarks(joint, rules, None), *joint.notes)
        return JointPlan(joint, None, (), None, alternatives, notes)
    notes = (
        *_choice_notes(joint, chosen, alternatives),
        *chosen.notes,
        *wall_remarks(joint, rules, chosen),
        *joint.notes,
    )
    far = None if chosen.far is None else depth_stop(joint.face, chosen, rules, chosen.far.entry)
    first = depth_stop(joint.face, chosen, rules, joint.face.edges(chosen.entry)[0])
    return JointPlan(joint, chosen, _slots(joint, chosen), first, alternatives, notes, far_stop=far)


def _may_cross(joint: Joint, rules: Rules) -> bool:
    """Whether slots may go through a groove or rabbet here.

    A joint is planned beside its grooves first: they are crossed only where it cannot be made so, or does not
    reach the hold wanted and holds more across.
    """
    return rules.cross_grooves and bool(joint.face.region.crossable)


def depth_stop(face: MatingFace, plan: SectionPlan, rules: Rules, entry: Entry) -> Mm:
    """Depth stop reading in mm for slots from this edge: d + (D_scale − D)/2, and what they begin above the table.

    The slot's round end tops out D/2 above the cutter's centre, and the scale was set with D_scale: a
    smaller cutter is set deeper, a larger one shallower. No scale diameter: the stop is zeroed for
    the cutter and reads the depth.
    """
    scale = rules.scale_tip_diameter
    high = Mm(plan.from_edge(entry).depth + face.raised(plan.served(entry)))
    return high if scale is None else Mm(high + (scale.mm - plan.cutter.tip_diameter) / 2)


def is_recommended(section: Section, side: float) -> bool:
    """True where the section's stock range holds a face whose smaller side is ``side`` mm."""
    return section.stock_from.mm <= side <= section.stock_to.mm


def _choose(joint: Joint, alternatives: Sequence[Alternative], target: float) -> SectionPlan | None:
    pinned = joint.choices.section
    plans = [
        alternative.plan
        for alternative in alternatives
        if alternative.plan is not None and pinned in {None, alternative.section.name}
    ]

    def worth(plan: SectionPlan) -> tuple[bool, bool, bool, float, float]:
        width, enough = plan.section.overall_width, plan.count >= keys_wanted(joint)
        if not is_recommended(plan.section, joint.face.stock_side):
            return enough, False, True, width, width
        reached = plan.hold >= target - 1e-9
        return enough, True, reached, width if reached else round(plan.hold, 9), width

    return max(plans, key=worth, default=None)


def _choice_notes(joint: Joint, plan: SectionPlan, alternatives: Sequence[Alternative]) -> Iterator[Note]:
    side = joint.face.stock_side
    if joint.choices.section is None and not is_recommended(plan.section, side):
        fits = any(one.fits and is_recommended(one.section, side) for one in alternatives)
        code = NoteCode.TWO_KEYS if fits else NoteCode.NOT_RECOMMENDED
        yield Note.of(code, side=side, section_text=plan.section.name)


def _slots(joint: Joint, plan: SectionPlan) -> tuple[Slot, ...]:
    """A slot for every centre and every edge that keys enter by."""
    edges = [plan.from_edge(entry) for entry in joint.face.edges(plan.entry)]
    return tuple(
        Slot(edge.entry, centre, edge.depth, edge.keys, edge.recess) for edge in edges for centre in plan.centres
    )


def _refusal(joint: Joint, alternatives: Sequence[Alternative]) -> Iterator[Note]:
    """The reason of the section that came nearest."""
    if not alternatives:
        yield Note.of(NoteCode.NO_SECTIONS)
        return
    pinned = joint.choices.section
    tried = [one for one in alternatives if pinned in {None, one.section.name}]
    if not tried:
        yield Note.of(NoteCode.UNKNOWN_SECTION, section_text=str(pinned))
    else:
        reasons = [one.why_not for one in tried if one.why_not is not None]
        yield min(reasons, key=_shortfall)


def _shortfall(note: Note) -> tuple[bool, float]:
    """How much wood (mm) the refusal is about, so that the nearest miss is the one explained.

    A section that only another joint's slots keep out comes before those that find no wood.
    """
    figures = {name: value for name, value in note.figures if not isinstance(value, str)}
    if note.code is NoteCode.SLOTS_NEAR:
        return False, figures["more"]
    if note.code in {NoteCode.NO_ROOM, NoteCode.RUN_TOO_SHORT, NoteCode.PIECE_TOO_SHORT}:
        return True, figures["needed"] - figures["available"]
    if "projection" in figures:
        return True, figures["projection"] - figures["available"]
    return True, 0.0
