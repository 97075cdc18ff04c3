"""The projection to try next, or to start a job with, and why.

Wanted is the snug projection with the shop's preload on top, deep enough for the key's half depth and
below what burst or stopped in that wood. While the snug projection is only bounded, the next test piece is
set where it tells most.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import inf

from domain.lengths import Units
from domain.planning.fit import snug_projection
from domain.problem_codes import ProblemCode
from domain.problems import BadInput, Problem
from domain.sayings import Code, Figures, worded
from domain.spec.catalogue import CutterKind, Section
from domain.spec.rules import Rules
from domain.spec.starts import same_wood
from domain.trials.fit import SLACK, Bounds
from domain.trials.trial import KeptTrial, Outcome
from domain.trials.weighing import Contradiction, Reading, Verdict, readings, weigh


class Reason(Code):
    """Why a projection is proposed."""

    NO_TRIALS = (
        "no_trials",
        "No trial with this section and cutter yet: the catalogue's snug projection of {catalogue_fine}"
        " and a preload of {preload_fine}.",
    )
    SNUG_FOUND = (
        "snug_found",
        "The trials found the key snug at {snug_fine}; a preload of {preload_fine} goes on top.",
    )
    HALF_DEPTH = (
        "half_depth",
        "The trials found the key snug at {snug_fine}, but it is {half_depth_fine} deep on each side and"
        " must not bottom.",
    )
    BELOW_TOO_MUCH = (
        "below_too_much",
        "The trials found the key snug at {snug_fine}, and {ceiling_fine} was too much for this wood:"
        " half way between.",
    )
    HALF_WAY = (
        "half_way",
        "The key is snug between {low_fine} and {high_fine}: half way between tells most.",
    )
    DEEPER = ("deeper", "The key is snug at {low_fine} or deeper: the slot must be deeper.")
    SHALLOWER = (
        "shallower",
        "The key is snug at less than {high_fine}: the slot must be shallower, yet deep enough for the"
        " key's half depth of {half_depth_fine}.",
    )
    NOTHING_SAID = (
        "nothing_said",
        "These trials do not tell where the key is snug: the catalogue's snug projection of"
        " {catalogue_fine} and a preload of {preload_fine}.",
    )
    CUTTER_TOO_SMALL = (
        "cutter_too_small",
        "The flanks touch at {snug_fine} at the most, before the key's half depth of {half_depth_fine}"
        " is reached: no projection closes this joint without bursting it. Measure key and cutter again; a larger"
        " tip would do.",
    )


@dataclass(frozen=True, slots=True)
class Why:
    """The reason with its figures in mm; ``text`` words it."""

    reason: Reason
    figures: Figures = ()

    def text(self, units: Units = Units.MM) -> str:
        """The reason as a sentence, lengths in ``units``."""
        return worded(self.reason, self.figures, units)


@dataclass(frozen=True, slots=True)
class Proposal:
    """The projection to set (mm; None where no projection will do), why, and the trials behind it.

    ``snug`` is what the trials agree on; ``evidence`` are the numbers of those, the most telling first.
    """

    projection: float | None
    why: Why
    snug: Bounds
    half_depth: Bounds
    evidence: tuple[int, ...]
    contradictions: tuple[Contradiction, ...]


def next_projection(trials: Sequence[KeptTrial], section: Section, rules: Rules) -> Proposal:
    """What to set for the next test piece, in the wood of the newest of these trials.

    All must be of this section and of one cutter; raises BadInput otherwise, and for no trials at all.
    """
    newest = sorted(trials, key=lambda kept: (kept.day, kept.number), reverse=True)
    if not newest:
        raise BadInput([Problem.of(("trials",), "none", ProblemCode.NO_TRIALS)])
    last = newest[0].trial
    for kept in newest:
        if (kept.trial.section, kept.trial.cutter) != (section.name, last.cutter):
            given = f"trial {kept.number}: section {kept.trial.section}, {kept.trial.cutter.words} cutter"
            wanted = {"section_text": section.name, "cutter_text": last.cutter.words}
            raise BadInput([Problem.of(("trials",), given, ProblemCode.OTHER_TRIALS, **wanted)])
    return propose(readings(newest, section), section, last.cutter, rules, last.species, last.thickness.mm)


def propose(
    ordered: Sequence[Reading],
    section: Section,
    cutter: CutterKind,
    rules: Rules,
    species: str | None,
    thickness: float,
) -> Proposal:
    """A projection for stock of a species and thickness (mm) from readings, the most telling first.

    The section must have the cutter. Raises ValueError where it has none.
    """
    tip = section.tip(cutter)
    if tip is None:
        raise ValueError(f"the section {section.name} has no {cutter.words} cutter")
    verdict = weigh(ordered)
    aim = _Aim(section, rules, snug_projection(section, tip.mm), verdict, *_too_much(verdict, species, thickness))
    projection, why = aim.settle() if ordered else (aim.usual, aim.why(Reason.NO_TRIALS))
    return Proposal(
        projection,
        why,
        verdict.snug,
        verdict.half_depth,
        tuple(reading.kept.number for reading in verdict.used),
        verdict.contradictions,
    )


def _too_much(verdict: Verdict, species: str | None, thickness: float) -> tuple[float, bool]:
    """The least projection that was too much for this wood, and whether the wood burst there.

    What burst in thinner stock may hold in thicker; what stuck, sticks in any.
    """
    found = [
        (reading.solved.ceiling, reading.kept.trial.outcome is Outcome.BURST)
        for reading in verdict.used
        if reading.solved.ceiling is not None
        and same_wood(reading.kept.trial.species, species)
        and (reading.kept.trial.outcome is Outcome.STOPPED or reading.kept.trial.thickness.mm >= thickness - 1e-9)
    ]
    return min(found, default=(inf, False))


@dataclass(frozen=True, slots=True)
class _Aim:
    """All that a projection is chosen by; lengths in mm, ``catalogue`` being its snug projection."""

    section: Section
    rules: Rules
    catalogue: float
    verdict: Verdict
    ceiling: float
    burst: bool

    @property
    def usual(self) -> float:
        """The catalogue's own start."""
        return self.catalogue + self.rules.preload.mm

    @property
    def half_depth(self) -> float:
        """The key's half depth as the trials have it, else as the catalogue does, if they leave room for it."""
        known = self.verdict.half_depth
        return known.value if known.value is not None else min(self.section.half_depth.mm, known.high)

    @property
    def most_squeeze(self) -> float:
        """What the shop's squeeze limit is in projection beyond snug: limit / tan θ."""
        return self.rules.squeeze_limit.mm / self.section.slope

    def why(self, reason: Reason, **figures: float) -> Why:
        """The reason with the figures of its sentence."""
        general = {"catalogue": self.catalogue, "preload": self.rules.preload.mm, "half_depth": self.half_depth}
        return Why(reason, tuple((f"{name}_fine", value) for name, value in (general | figures).items()))

    def settle(self) -> tuple[float | None, Why]:
        """The projection and why, by what the trials leave open."""
        low, high = self.verdict.snug.low, self.verdict.snug.high
        if high - low <= 2 * SLACK:
            return self._from_snug((low + high) / 2)
        if high < self.half_depth - 2 * SLACK:
            return None, self.why(Reason.CUTTER_TOO_SMALL, snug=high)
        if low > -inf and high < inf:
            return (low + high) / 2, self.why(Reason.HALF_WAY, low=low, high=high)
        if low > -inf:
            return max(self.usual, low + self.rules.preload.mm), self.why(Reason.DEEPER, low=low)
        if high < inf:
            # one step at a time, but the shop's own limit of squeeze at once where the wood burst
            step = self.most_squeeze if self.burst else max(self.rules.preload.mm, 2 * SLACK)
            target = max(min(self.usual, high - step), min(self.half_depth, high))
            return target, self.why(Reason.SHALLOWER, high=high)
        return self.usual, self.why(Reason.NOTHING_SAID)

    def _from_snug(self, snug: float) -> tuple[float | None, Why]:
        wanted = snug + self.rules.preload.mm
        if self.half_depth > snug + self.most_squeeze:
            return None, self.why(Reason.CUTTER_TOO_SMALL, snug=snug)
        if self.half_depth > wanted + 1e-9:
            wanted, why = self.half_depth, self.why(Reason.HALF_DEPTH, snug=snug)
        else:
            why = self.why(Reason.SNUG_FOUND, snug=snug)
        if wanted > self.ceiling - SLACK:
            least = max(snug, self.half_depth)
            between = (least + max(least, self.ceiling)) / 2
            return between, self.why(Reason.BELOW_TOO_MUCH, snug=snug, ceiling=self.ceiling)
        return wanted, why
