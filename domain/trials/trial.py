"""A trial: a test piece milled at one projection, and what the key did in it.

Nothing is derived here; ``domain.trials.fit`` says what a trial proves.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from enum import StrEnum

from domain.lengths import Length
from domain.problem_codes import ProblemCode
from domain.problems import Problem
from domain.spec.catalogue import CutterKind, Section
from domain.spec.fields import Name, Room, Size, Spec

MOST_GAP = Length.from_mm(5)
"""A wider gap than this is a misreading, not a fit; common practice (no source)."""
MOST_SLIP = 2.0
"""mm that a trial may put the key away from the catalogue's sizes before it is doubted; common practice
(no source)."""


class Outcome(StrEnum):
    """What the key did. One word holds for one trial."""

    HELD_APART = "held_apart"
    """It went in freely, and the joint would not close: the key bottoms first."""
    LOOSE = "loose"
    """The joint closed and could be pulled open."""
    SNUG = "snug"
    """The joint closed, without play and without force."""
    TIGHT = "tight"
    """Driven with force to its place; the joint is clamped."""
    BURST = "burst"
    """The wood gave way."""
    STOPPED = "stopped"
    """It stuck on the way and could be driven no further."""


GAPS = frozenset({Outcome.HELD_APART, Outcome.LOOSE})
"""Outcomes that a gap is measured for."""


class Trial(Spec):
    """One test joint: both its pieces are milled alike.

    ``tip_diameter`` is the cutter's as it was on the day, ``projection`` as set, ``gap`` how far the faces are
    held apart or can be pulled apart, ``stopped_at`` how far the key went in.
    """

    section: Name
    cutter: CutterKind = CutterKind.CLOSE
    tip_diameter: Size
    species: Name
    thickness: Size
    projection: Size
    depth: Size
    fence_reading: Room
    outcome: Outcome
    gap: Size | None = None
    stopped_at: Room | None = None


@dataclass(frozen=True, slots=True)
class KeptTrial:
    """A trial in the shop's book: its number there, and the day (ISO 8601) it was made on."""

    number: int
    day: str
    trial: Trial


def check_trial(trial: Trial) -> Iterator[Problem]:
    """What the fields of a trial say against one another."""
    yield from _check_gap(trial)
    yield from _check_stop(trial)


def _check_gap(trial: Trial) -> Iterator[Problem]:
    if trial.outcome in GAPS:
        if trial.gap is None:
            yield Problem.of(("gap",), "missing", ProblemCode.GAP_MISSING)
        elif trial.gap > MOST_GAP:
            yield Problem.of(("gap",), trial.gap.mm, ProblemCode.GAP_TOO_WIDE, most=MOST_GAP.mm)
    elif trial.gap is not None:
        yield Problem.of(("gap",), trial.gap.mm, ProblemCode.GAP_NOT_HERE)


def _check_stop(trial: Trial) -> Iterator[Problem]:
    if trial.outcome is Outcome.STOPPED:
        if trial.stopped_at is None:
            yield Problem.of(("stopped_at",), "missing", ProblemCode.STOP_MISSING)
        elif trial.stopped_at >= trial.depth:
            yield Problem.of(("stopped_at",), trial.stopped_at.mm, ProblemCode.STOP_TOO_DEEP, depth=trial.depth.mm)
    elif trial.stopped_at is not None:
        yield Problem.of(("stopped_at",), trial.stopped_at.mm, ProblemCode.STOP_NOT_HERE)


def no_such_cutter(cutter: CutterKind, section: Section) -> Problem:
    """What is wrong with a cutter that the section does not have."""
    return Problem.of(("cutter",), cutter.value, ProblemCode.CLOSE_FIT_ONLY, section_text=section.name)


def check_against(trial: Trial, section: Section) -> Iterator[Problem]:
    """What a trial says that cannot be of this section, the one that it names."""
    if section.tip(trial.cutter) is None:
        yield no_such_cutter(trial.cutter, section)
    if trial.tip_diameter <= section.waist:
        yield Problem.of(
            ("tip_diameter",),
            trial.tip_diameter.mm,
            ProblemCode.NOT_MORE_THAN,
            what_text="the key's waist",
            least=section.waist.mm,
        )
        return
    deepest = trial.tip_diameter.mm / (2 * section.slope)
    if trial.projection.mm >= deepest:
        yield Problem.of(("projection",), trial.projection.mm, ProblemCode.MOUTH_CLOSED, deepest_fine=deepest)
    yield from _check_slip(trial, section)


def _check_slip(trial: Trial, section: Section) -> Iterator[Problem]:
    """A gap that would make the key another one: more often a figure was misread."""
    if trial.gap is None or trial.outcome not in GAPS:
        return
    found = trial.projection.mm + trial.gap.mm / 2
    if trial.outcome is Outcome.HELD_APART:
        what, known = "half depth", float(section.half_depth.mm)
    else:
        what, known = "snug projection", (trial.tip_diameter.mm - section.waist.mm) / (2 * section.slope)
    if abs(found - known) > MOST_SLIP:
        yield Problem.of(
            ("gap",),
            trial.gap.mm,
            ProblemCode.GAP_DOUBTED,
            what_text=what,
            found_fine=found,
            known_fine=known,
        )
