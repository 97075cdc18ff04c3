"""The projection to try next, or to start a job with, and why.

Wanted is the snug projection with the shop's preload on top, deep enough for the key's half depth and
below what burst or stopped in that wood. While the snug projection is only bounded, the next test piece is
set where it tells most, and never where one was set already: where nothing else is left, key and cutter do not
fit. Two trials of one wood that contradict one another are not weighed by which is newer: the newer is repeated
first, and whichever of the two the repeat agrees with stands.
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
from domain.trials.weighing import Contradiction, Reading, Verdict, contradict, readings, weigh

SAME = 0.01
"""mm within which two projections are one setting; common practice (no source)."""


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
    REPEAT = (
        "repeat",
        "Trials {kept_n} and {other_n} contradict one another: repeat trial {kept_n} at the same setting before"
        " anything is changed. The one that the repeat agrees with stands.",
    )
    NOTHING_LEFT = (
        "nothing_left",
        "Every setting that is left was tried, down to the key's half depth of {half_depth_fine}: key and cutter"
        " do not fit in this wood. Measure both again; a larger tip, or a key with a narrower waist, would do.",
    )
    CLAMPED = (
        "clamped",
        "Trial {number_n} clamped the joint at {clamped_fine}, driven with force: that can be planned with as it"
        " is.",
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
class Clamped:
    """A trial of this wood that was driven with force and clamps: its number, and its projection in mm."""

    number: int
    projection: float

    def text(self, units: Units = Units.MM) -> str:
        """What it is good for, as a sentence."""
        figures = (("number_n", self.number), ("clamped_fine", self.projection))
        return Why(Reason.CLAMPED, figures).text(units)


@dataclass(frozen=True, slots=True)
class Proposal:
    """The projection to set (mm; None where no projection will do), why, and the trials behind it.

    ``snug`` is what the trials agree on; ``evidence`` are the numbers of those, the most telling first.
    ``clamped`` is a tight trial that may be taken as it is, where the snug projection is not known.
    """

    projection: float | None
    why: Why
    snug: Bounds
    half_depth: Bounds
    evidence: tuple[int, ...]
    contradictions: tuple[Contradiction, ...]
    clamped: Clamped | None = None


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
    aim = _Aim(
        section, rules, tip.mm, snug_projection(section, tip.mm), verdict, *_too_much(verdict, species, thickness)
    )
    again: tuple[float | None, Why] | None = _to_repeat(verdict, tip.mm, section, species)
    if again is None:
        again = aim.settle() if ordered else (aim.usual, aim.why(Reason.NO_TRIALS))
    projection, why = again
    return Proposal(
        projection,
        why,
        verdict.snug,
        verdict.half_depth,
        tuple(reading.kept.number for reading in verdict.used),
        verdict.contradictions,
        None if why.reason is Reason.REPEAT else _clamped(verdict, aim, tip.mm, species),
    )


def _to_repeat(verdict: Verdict, tip: float, section: Section, species: str | None) -> tuple[float, Why] | None:
    """The setting of the newer of two trials of this wood that contradict one another, until a third decides."""
    for other in verdict.aside:
        against = [one for one in verdict.used if contradict(one, other)]
        pair = (against[0], other)
        if len(against) == 1 and all(same_wood(one.kept.trial.species, species) for one in pair):
            figures = (("kept_n", against[0].kept.number), ("other_n", other.kept.number))
            return _projection_today(against[0], tip, section), Why(Reason.REPEAT, figures)
    return None


def _projection_today(reading: Reading, tip: float, section: Section) -> float:
    """A trial's projection for the tip as it is now: ground by 2·Δ·tan θ, the same fit is Δ shallower."""
    trial = reading.kept.trial
    return trial.projection.mm + (tip - trial.tip_diameter.mm) / (2 * section.slope)


def _clamped(verdict: Verdict, aim: _Aim, tip: float, species: str | None) -> Clamped | None:
    """The shallowest tight trial of this wood that is below what was too much, and deep enough for the key."""
    found = [
        (_projection_today(reading, tip, aim.section), reading.kept.number)
        for reading in verdict.used
        if reading.kept.trial.outcome is Outcome.TIGHT and same_wood(reading.kept.trial.species, species)
    ]
    fit = [each for each in found if aim.half_depth - 2 * SLACK <= each[0] < aim.ceiling - SLACK]
    if verdict.snug.high - verdict.snug.low <= 2 * SLACK or not fit:
        return None
    projection, number = min(fit)
    return Clamped(number, projection)


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
    tip: float
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
        """The projection and why, by what the trials leave open; never a setting that was tried already."""
        projection, why = self._settle()
        tells = why.reason in {Reason.SNUG_FOUND, Reason.HALF_DEPTH}
        if projection is None or tells or not self._tried(projection):
            return projection, why
        return None, self.why(Reason.NOTHING_LEFT)

    def _tried(self, projection: float) -> bool:
        """Whether a test piece was set there already and was not snug."""
        return any(
            abs(_projection_today(reading, self.tip, self.section) - projection) < SAME
            for reading in self.verdict.used
            if reading.kept.trial.outcome not in {Outcome.SNUG, Outcome.LOOSE}
        )

    def _settle(self) -> tuple[float | None, Why]:
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
