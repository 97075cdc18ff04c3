"""A joint in words: page, drawing, paper, spreadsheet, terminal and label take theirs from here."""

from __future__ import annotations

import json
from collections.abc import Iterable
from dataclasses import dataclass

from domain.advice.loosening import CROSSING, FLOORS
from domain.advice.sizes import sizes_of
from domain.faces.face import MatingFace
from domain.lengths import Mm, Units, format_set, format_share
from domain.parts import JointKind
from domain.planning.plans import Alternative, JointPlan, SectionPlan
from domain.proposals import Change, Proposal
from domain.sayings import with_sign
from domain.spec.assemblies import Assembly
from domain.spec.catalogue import CutterKind
from domain.spec.choices import Entry, Middle
from domain.spec.rules import Rules
from webapp.wording.ends import EndWords, by_end, depth, ends_of, keys
from webapp.wording.figures import Figure, as_set, fine, listed, size
from webapp.wording.words import notes_text

JOINT_KINDS = {
    JointKind.MITRE: "mitre",
    JointKind.BUTT: "butt joint",
    JointKind.TEE: "tee joint",
    JointKind.EDGE_MITRE: "mitre along an edge",
    JointKind.EDGE_BUTT: "butt joint along an edge",
    JointKind.EDGE_TEE: "tee joint along an edge",
}


@dataclass(frozen=True, slots=True)
class MadeWords:
    """How a joint is made. ``stop`` is what the depth stop reads, ``keys`` one slot's in driving order, in mm.

    Depth, stop, keys and recess are said for each end of a run where its ends differ in them.

    ``hold`` is the share of the run that keys fill, ``held`` the same with the lengths that it is the share of.
    ``middle`` is what was chosen for the bare middle of a long edge; None where none is needed or nothing was.
    """

    section: str
    cutter: str
    tip: Figure
    projection: Figure
    snug: Figure
    centres: tuple[Figure, ...]
    origin: str
    depth: EndWords
    stop: EndWords
    driven_from: str
    keys: EndWords
    end: str
    slots: int
    recess: EndWords
    reach: Figure
    hold: str
    held: str
    middle: MiddleWords | None = None

    @property
    def centres_text(self) -> str:
        """The slots' centres with their unit: "16.5, 47 mm"."""
        return listed(self.centres)

    @property
    def keys_by_slot(self) -> str:
        """The keys and how many slots take them: "18 mm in each of 2 slots"."""
        if self.keys.edges:
            return f"{self.keys}, in {self.slots} slots"
        return f"{self.keys} in each of {self.slots} slots" if self.slots > 1 else str(self.keys)

    @property
    def driven_keys(self) -> str:
        """The keys and the edge that they are driven from: "18 mm from the back"."""
        return f"{self.keys}{',' if self.keys.edges else ''} from the {self.driven_from}"

    @property
    def sunk(self) -> str:
        """The depth, and the edge that it is counted from: "18.5 mm, back"."""
        return f"{self.depth}{';' if self.depth.edges else ','} {self.driven_from}"


MAKES_IT = "It can be made with"
GAINS = "A small change,"
"""What is said before a change that makes a joint, and before one that betters it."""


@dataclass(frozen=True, slots=True)
class ProposalWords:
    """A change that is proposed, and its changes as JSON, which a button sends to have them carried out.

    ``of_rules``: it changes the project's rules, not the assembly.
    """

    says: str
    changes: str
    of_rules: bool = False


@dataclass(frozen=True, slots=True)
class JointWords:
    """A joint; ``made`` is None where it cannot be made, and ``notes`` then say why, ``nearest`` what makes it.

    ``near`` are small changes of a joint that can be made, and what each gains.
    """

    mark: str
    place: str
    kind: str
    quantity: int
    members: str
    breadth: Figure
    run: Figure
    angle: str
    made: MadeWords | None
    other_member: str
    notes: tuple[str, ...]
    nearest: tuple[ProposalWords, ...] = ()
    near: tuple[ProposalWords, ...] = ()

    @property
    def advice(self) -> tuple[str, ...]:
        """What is proposed, in sentences, for faces that carry nothing out."""
        return tuple(f"{told} {each.says}." for told, each in self._proposals)

    @property
    def _proposals(self) -> list[tuple[str, ProposalWords]]:
        return [*((MAKES_IT, each) for each in self.nearest), *((GAINS, each) for each in self.near)]

    @property
    def face(self) -> str:
        """The mating face: "63.64 × 20 mm, 45°"."""
        return f"{self.breadth.bare} × {self.run.kept}, {self.angle}"

    @property
    def where(self) -> str:
        """Place and kind, the kind only where the place does not say it already."""
        return self.place if self.kind in self.place else f"{self.place}, {self.kind}"


def joint_words(joint: JointPlan, units: Units) -> JointWords:
    """The joint, worded in ``units``."""
    needs, plan = joint.joint, joint.plan
    return JointWords(
        mark=needs.mark,
        place=needs.place,
        kind=JOINT_KINDS[needs.kind],
        quantity=needs.quantity,
        members=" to ".join(needs.members),
        breadth=size(needs.face.breadth, units),
        run=size(needs.face.run, units),
        angle=f"{needs.face.angle:.4g}°",
        made=None if plan is None else _made(joint, plan, units),
        other_member=other_member(needs.kind) if plan else "",
        notes=notes_text((*needs.notes, *joint.notes), units),
        nearest=tuple(_proposal_words(each, units) for each in joint.nearest),
        near=tuple(_proposal_words(each, units) for each in joint.near),
    )


def _proposal_words(proposal: Proposal, units: Units) -> ProposalWords:
    return ProposalWords(proposal.says.text(units), changes_text(proposal.changes), proposal.of_rules)


def changes_text(changes: Iterable[Change]) -> str:
    """Changes of an assembly as JSON, as a button sends them."""
    return json.dumps([{"path": change.pointer(), "value": change.value} for change in changes])


def change_made(spec: Assembly, rules: Rules, back: Iterable[Change], units: Units) -> str:
    """What an assembly or the rules were changed to, where ``back`` undoes it: "wall 15.8 mm, was 12 mm"."""
    sizes = {each.paths[0]: each for each in sizes_of(spec) if len(each.paths) == 1}
    sizes |= {size.paths[0]: size for size in (floor.size(rules) for floor in FLOORS)}
    told = []
    for change in back:
        size = sizes.get(change.path)
        if size is not None and isinstance(change.value, int | float):
            was, now = (with_sign(format_set(mm, units)) for mm in (change.value, size.value.mm))
            by = " by the project's rules" if change.of_rules else ""
            told.append(f"{size.words} {now}{by}, was {was}")
        elif change.path == CROSSING.path:
            told.append(f"slots {'may' if rules.cross_grooves else 'may not'} cross grooves")
    return "; ".join(told) or "the choices of its keys"


def _made(joint: JointPlan, plan: SectionPlan, units: Units) -> MadeWords:
    face = joint.joint.face
    ends = ends_of(face, plan)
    return MadeWords(
        section=plan.section.name,
        cutter=plan.cutter.kind.words,
        tip=fine(plan.cutter.tip_diameter, units),
        projection=fine(plan.projection, units),
        snug=fine(plan.snug_projection, units),
        centres=tuple(as_set(centre, units) for centre in plan.centres),
        origin=origin(joint.joint.face),
        depth=depth(face, plan, units),
        stop=by_end(ends, [as_set(joint.stop_from(end.entry), units).bare for end in ends], units.value),
        driven_from=driven_from(joint.joint.face, plan.entry),
        keys=keys(face, plan),
        end=plan.section.end.words,
        slots=len(joint.slots),
        recess=by_end(ends, [as_set(end.recess, units).bare for end in ends], units.value),
        reach=size(plan.reach, units),
        hold=hold(plan.hold),
        held=held(plan.hold, face.run, units),
        middle=middle(joint, units),
    )


@dataclass(frozen=True, slots=True)
class MiddleWords:
    """What holds the bare middle of a long edge: "2 loose tenons", and where they stand from which edge."""

    what: str
    places: tuple[Figure, ...]
    edge: str

    def __str__(self) -> str:
        return f"{self.what}, {listed(self.places)} from the {self.edge} edge"


def middle(joint: JointPlan, units: Units) -> MiddleWords | None:
    """What was chosen for the bare middle; None where none is needed or nothing was chosen."""
    plan, chosen = joint.plan, joint.joint.choices.middle
    if plan is None or chosen is None or not plan.fastenings:
        return None
    places = tuple(as_set(place, units) for place in plan.fastenings)
    return MiddleWords(fastenings(chosen, len(places)), places, joint.counted_from.value)


def fastenings(sort: Middle, count: int) -> str:
    """So many of what holds a bare middle: "a screw", "2 loose tenons"."""
    return sort.one if count == 1 else f"{count} {sort.words}"


def origin(face: MatingFace) -> str:
    """What a joint's centres are measured from."""
    return "reference edge" if face.angle == 90 else "mitre tip"


def driven_from(face: MatingFace, entry: Entry) -> str:
    """The edge or edges that keys are driven in from: "front", "back (before the back goes in) and front"."""
    return " and ".join(_driven_while(face, each) for each in (face.ends if entry is Entry.BOTH else (entry,)))


def _driven_while(face: MatingFace, entry: Entry) -> str:
    """An edge, and until when keys can be driven from it, where a panel covers it later."""
    return f"{entry.value} (before the back goes in)" if entry is face.closed else entry.value


def hold(share: float) -> str:
    """The share of the run that keys fill: "80 %"."""
    return format_share(share)


def held(share: float, run: float, units: Units) -> str:
    """The same with the lengths that it is the share of: "80 %, 16 of 20 mm"."""
    return f"{hold(share)}, {size(Mm(share * run), units).bare} of {size(Mm(run), units)}"


def tool(section: str, cutter: CutterKind) -> str:
    """A section's cutter by its name."""
    return f"{section} {cutter.words}"


def other_member(kind: JointKind) -> str:
    """How the member is slotted that a mating face's drawing does not show.

    >>> other_member(JointKind.MITRE)
    'The other member is its mirror image.'
    """
    if kind in {JointKind.MITRE, JointKind.EDGE_MITRE}:
        return "The other member is its mirror image."
    side = "face" if kind.on_edge else "edge"
    return (
        f"The other member has the same slots in its {side},"
        " at the same centres from where the reference edge meets it."
    )


@dataclass(frozen=True, slots=True)
class AlternativeWords:
    """A section for a joint: what it would come to, or ``why_not``."""

    section: str
    chosen: bool
    why_not: str = ""
    rows: str = ""
    keys: str = ""
    reach: str = ""
    hold: str = ""


def alternative_words(alternative: Alternative, joint: JointPlan, units: Units) -> AlternativeWords:
    """One section as an alternative for this joint."""
    name, plan = alternative.section.name, alternative.plan
    chosen = joint.plan is not None and joint.plan.section.name == name
    if plan is None:
        return AlternativeWords(name, chosen, alternative.why_not.text(units) if alternative.why_not else "")
    return AlternativeWords(
        section=name,
        chosen=chosen,
        rows=str(plan.count),
        keys=str(keys(joint.joint.face, plan)),
        reach=str(size(plan.reach, units)),
        hold=hold(plan.hold),
    )
