"""The planner's answers: slots with their keys, a plan for every section, and the chosen one."""

from __future__ import annotations

from dataclasses import dataclass

from domain.lengths import Mm
from domain.notes import Note
from domain.parts import Joint
from domain.proposals import Proposal
from domain.spec.catalogue import CutterKind as CutterKind
from domain.spec.catalogue import Section
from domain.spec.choices import Entry
from domain.spec.starts import AcceptedStart


@dataclass(frozen=True, slots=True)
class Cutter:
    """A dovetail bit for a section: tip diameter in mm."""

    kind: CutterKind
    tip_diameter: Mm


@dataclass(frozen=True, slots=True)
class Slot:
    """One slot of a joint (mm): its entry edge, its centre from the tip or reference edge, its keys."""

    entry: Entry
    centre: Mm
    depth: Mm
    keys: tuple[Mm, ...]
    recess: Mm


@dataclass(frozen=True, slots=True)
class Filled:
    """What every slot from one edge takes (mm): its keys, its depth, and how far below the edge they end."""

    entry: Entry
    keys: tuple[Mm, ...]
    depth: Mm
    recess: Mm


@dataclass(frozen=True, slots=True)
class SectionPlan:
    """A joint planned with one section and cutter. Lengths in mm; ``extent`` is the slot's reach in x.

    ``keys``, ``depth`` and ``recess`` are every slot's; of a run that is entered from both ends, those of the
    first end, where ``far`` says what the far end's slots take instead. ``from_edge`` knows both.

    ``allowed`` are the allowed centres (u) at the chosen depth; ``count`` is the number of rows.
    ``start`` is what the shop accepted from its trials; None where the projection is the catalogue's.
    ``crossing``: the slots may go through grooves and rabbets that carry no key's load. ``fastenings`` are where
    the bare middle of a long edge is held by what was chosen for it, in the middle of the breadth, measured along
    the run from the edge that keys come from; from both, from the first of the face's ends.
    """

    section: Section
    cutter: Cutter
    entry: Entry
    projection: Mm
    snug_projection: Mm
    centres: tuple[Mm, ...]
    keys: tuple[Mm, ...]
    depth: Mm
    recess: Mm
    reach: Mm
    hold: float
    extent: tuple[float, float]
    allowed: tuple[tuple[float, float], ...]
    notes: tuple[Note, ...] = ()
    start: AcceptedStart | None = None
    crossing: bool = False
    fastenings: tuple[Mm, ...] = ()
    far: Filled | None = None

    def from_edge(self, entry: Entry) -> Filled:
        """What the slots from this edge take."""
        if self.far is not None and self.far.entry is entry:
            return self.far
        return Filled(entry, self.keys, self.depth, self.recess)

    def served(self, entry: Entry) -> Entry:
        """What the stop for slots from this edge serves: that edge alone where each end of a run has a depth."""
        return self.entry if self.far is None else entry

    @property
    def waist(self) -> float:
        """The key's width at the joint line in mm: the catalogue's, or what the shop's trials say of it.

        A snug projection p₀ that was found on test pieces gives it back: a = D − 2·p₀·tan θ.
        """
        if self.start is None:
            return self.section.waist.mm
        return self.cutter.tip_diameter - 2 * self.snug_projection * self.section.slope

    @property
    def overall_width(self) -> float:
        """The key's overall width in mm, with the waist that it has here."""
        return self.section.overall_width + (self.waist - self.section.waist.mm)

    @property
    def row(self) -> tuple[Mm, ...]:
        """The keys of one row: of a run that is entered from both ends, those from the one and from the other."""
        if self.entry is not Entry.BOTH:
            return self.keys
        return (*self.keys, *(self.keys if self.far is None else self.far.keys))

    @property
    def count(self) -> int:
        """Rows of keys along the joint line."""
        return len(self.centres)


@dataclass(frozen=True, slots=True)
class Alternative:
    """A section for a joint: its plan, or why it does not fit."""

    section: Section
    plan: SectionPlan | None
    why_not: Note | None = None

    @property
    def fits(self) -> bool:
        """True where the section has a plan."""
        return self.plan is not None


@dataclass(frozen=True, slots=True)
class JointPlan:
    """A joint, planned: the chosen section's plan (None: it cannot be made), every alternative, notes.

    ``depth_stop`` is what the stop reads (mm); ``far_stop`` what it reads for the far end of a run that is
    entered from both, where the plan has a ``far`` end.

    Where advice was asked for, ``nearest`` are changes that make a joint that cannot be made, the smallest
    first, and ``near`` those by which a small change gains something in one that can.
    """

    joint: Joint
    plan: SectionPlan | None
    slots: tuple[Slot, ...]
    depth_stop: Mm | None
    alternatives: tuple[Alternative, ...]
    notes: tuple[Note, ...]
    nearest: tuple[Proposal, ...] = ()
    near: tuple[Proposal, ...] = ()
    far_stop: Mm | None = None

    def is_weak(self, hold_target: float) -> bool:
        """True where it can be made, and its keys hold less of the run than the shop asks for."""
        return self.plan is not None and self.plan.hold < hold_target - 1e-9

    @property
    def counted_from(self) -> Entry:
        """The edge that places along the run are measured from: where keys come from, of two the first."""
        entry = Entry.BOTH if self.plan is None else self.plan.entry
        return self.joint.face.ends[0] if entry is Entry.BOTH else entry

    @property
    def stop(self) -> Mm:
        """The depth stop's reading in mm. Raises ValueError where there is no plan to set a stop for."""
        if self.depth_stop is None:
            raise ValueError(f"{self.joint.mark} has no plan, so there is no stop to set")
        return self.depth_stop

    def stop_from(self, entry: Entry) -> Mm:
        """The depth stop's reading for the slots from this edge, in mm. Raises ValueError as ``stop`` does."""
        far = None if self.plan is None else self.plan.far
        if far is None or self.far_stop is None or far.entry is not entry:
            return self.stop
        return self.far_stop
