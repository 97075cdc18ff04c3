"""Where a job starts: the trials nearest to it, laid beside the catalogue's own figure.

Section and cutter must be the job's. Of those trials the nearest speak first: same species, then the least
difference in stock thickness, then the newest. A start is only shown; the shop accepts it, or does not.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from domain.lengths import Length, Units, format_length
from domain.planning.fit import snug_projection
from domain.problems import BadInput, Problem
from domain.spec.catalogue import CutterKind, Section
from domain.spec.rules import Rules
from domain.spec.starts import AcceptedStart, same_wood
from domain.trials.fit import SLACK, Bounds, Solved
from domain.trials.proposal import Clamped, Proposal, Reason, Why, propose
from domain.trials.trial import KeptTrial, Outcome
from domain.trials.weighing import Contradiction, Reading, readings

MOST_NAMED = 50
"""An accepted start names this many trials at most, the nearest."""
OUTCOME_WORDS = {
    Outcome.HELD_APART: "held apart",
    Outcome.LOOSE: "loose",
    Outcome.SNUG: "snug",
    Outcome.TIGHT: "tight",
    Outcome.BURST: "burst",
    Outcome.STOPPED: "stopped on the way",
}


@dataclass(frozen=True, slots=True)
class Evidence:
    """A trial behind a start, and how far from the job it is.

    ``thicker`` is its stock's thickness less the job's, in mm; ``set_aside`` where a nearer trial
    contradicts it.
    """

    kept: KeptTrial
    solved: Solved
    same_species: bool
    thicker: float
    set_aside: bool

    def near(self, units: Units = Units.MM) -> str:
        """How far from the job it is, in words: "same species, 2 mm thicker"."""
        species = "same species" if self.same_species else f"another species ({self.kept.trial.species})"
        return f"{species}, {self._thickness(units)}"

    def text(self, units: Units = Units.MM) -> str:
        """How far from the job it is and what it did, in words: "same species, 2 mm thicker: snug"."""
        return f"{self.near(units)}: {OUTCOME_WORDS[self.kept.trial.outcome]}"

    def _thickness(self, units: Units) -> str:
        if abs(self.thicker) < 1e-6:
            return "same thickness"
        return f"{format_length(abs(self.thicker), units)} {'thicker' if self.thicker > 0 else 'thinner'}"


@dataclass(frozen=True, slots=True)
class Start:
    """Both figures for a job, side by side; lengths in mm.

    ``projection`` is what the trials say (None: no projection will do), ``catalogue_projection`` what the
    section's sizes and the preload say. ``evidence`` has every trial of that section and cutter, nearest first.
    """

    section: Section
    cutter: CutterKind
    species: str | None
    thickness: float
    projection: float | None
    snug: Bounds
    catalogue_projection: float
    catalogue_snug: float
    why: Why
    evidence: tuple[Evidence, ...]
    contradictions: tuple[Contradiction, ...]
    clamped: Clamped | None = None

    @property
    def difference(self) -> float | None:
        """What the trials say less what the catalogue says; None where there is nothing to compare."""
        return None if self.projection is None else self.projection - self.catalogue_projection

    @property
    def snug_found(self) -> float | None:
        """The snug projection that the trials found; None where they only bound it."""
        if self.snug.high - self.snug.low > 2 * SLACK:
            return None
        return (self.snug.low + self.snug.high) / 2


def start_for(
    section: Section,
    cutter: CutterKind,
    species: str | None,
    thickness: float,
    trials: Sequence[KeptTrial],
    rules: Rules,
) -> Start:
    """Where a job in stock of this species and thickness (mm) starts by the shop's trials.

    Raises ValueError where the section has no such cutter.
    """
    tip = section.tip(cutter)
    if tip is None:
        raise ValueError(f"the section {section.name} has no {cutter.words} cutter")
    ordered = readings(nearest_first(section.name, cutter, species, thickness, trials), section)
    proposal = propose(ordered, section, cutter, rules, species, thickness)
    catalogue = snug_projection(section, tip.mm)
    return Start(
        section=section,
        cutter=cutter,
        species=species,
        thickness=thickness,
        projection=proposal.projection,
        snug=proposal.snug,
        catalogue_projection=catalogue + rules.preload.mm,
        catalogue_snug=catalogue,
        why=proposal.why,
        evidence=tuple(_evidence(reading, species, thickness, proposal) for reading in ordered),
        contradictions=proposal.contradictions,
        clamped=proposal.clamped,
    )


def nearest_first(
    section: str, cutter: CutterKind, species: str | None, thickness: float, trials: Sequence[KeptTrial]
) -> tuple[KeptTrial, ...]:
    """The trials of that section and cutter, the nearest to such stock first."""
    newest = sorted(trials, key=lambda kept: (kept.day, kept.number), reverse=True)
    ours = [kept for kept in newest if (kept.trial.section, kept.trial.cutter) == (section, cutter)]

    def distance(kept: KeptTrial) -> tuple[bool, float]:
        return not same_wood(kept.trial.species, species), round(abs(kept.trial.thickness.mm - thickness), 6)

    return tuple(sorted(ours, key=distance))


def accept(start: Start, day: str, *, any_wood: bool = False) -> AcceptedStart:
    """The start as the shop takes it on a day (ISO 8601), for its species or for any wood.

    Where the snug projection is not known, a trial that clamped the joint will do: the fit that is wanted. Raises
    BadInput where the trials tell neither, and where two of them contradict one another: nothing to accept yet.
    """
    tip, taken = start.section.tip(start.cutter), _taken(start)
    if taken is None or tip is None:
        raise BadInput([Problem(("trials",), "no snug projection", start.why.reason, start.why.figures)])
    snug, projection = taken
    used = tuple(each.kept.number for each in start.evidence if not each.set_aside)
    at = Length.from_mm(snug)
    return AcceptedStart(
        section=start.section.name,
        cutter=start.cutter,
        species=None if any_wood else start.species,
        snug=at,
        projection=max(at, Length.from_mm(projection)),
        tip_diameter=tip,
        trials=used[:MOST_NAMED],
        day=day,
    )


def _taken(start: Start) -> tuple[float, float] | None:
    """The snug projection and the one to plan with, in mm.

    Of a tight fit alone the squeeze is not known: snug is taken to be the shop's preload shallower, within
    what the trials leave open.
    """
    if start.why.reason is Reason.REPEAT:
        return None
    if start.snug_found is not None:
        return None if start.projection is None else (start.snug_found, start.projection)
    if start.clamped is None:
        return None
    wanted = start.clamped.projection - (start.catalogue_projection - start.catalogue_snug)
    return max(wanted, start.snug.low), start.clamped.projection


def _evidence(reading: Reading, species: str | None, thickness: float, proposal: Proposal) -> Evidence:
    trial = reading.kept.trial
    return Evidence(
        reading.kept,
        reading.solved,
        same_wood(trial.species, species),
        round(trial.thickness.mm - thickness, 6),
        reading.kept.number not in proposal.evidence,
    )
