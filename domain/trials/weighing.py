"""Several trials together: what they agree on, and which two contradict one another.

Trials come in an order of trust, the most telling first. One that contradicts a trial before it is set
aside and named with it; nothing is averaged.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from enum import StrEnum
from math import inf, isfinite

from domain.lengths import Units, format_fine
from domain.spec.catalogue import Section
from domain.trials.fit import Bounds, Solved, solve_today
from domain.trials.trial import KeptTrial


class Quantity(StrEnum):
    """What two trials may disagree about."""

    SNUG = "snug"
    HALF_DEPTH = "half_depth"


_NAMES = {Quantity.SNUG: "snug projection", Quantity.HALF_DEPTH: "key's half depth"}


@dataclass(frozen=True, slots=True)
class Contradiction:
    """Two trials that cannot both be right: by the kept one a length lies here, by the other one there (mm)."""

    quantity: Quantity
    kept: int
    kept_bounds: Bounds
    set_aside: int
    set_aside_bounds: Bounds

    def text(self, units: Units = Units.MM) -> str:
        """The two trials in a sentence."""
        return (
            f"Trials {self.kept} and {self.set_aside} contradict one another: by trial {self.kept} the"
            f" {_NAMES[self.quantity]} is {bounds_text(self.kept_bounds, units)}, by trial {self.set_aside} it is"
            f" {bounds_text(self.set_aside_bounds, units)}. Make one of them again."
        )


def bounds_text(bounds: Bounds, units: Units) -> str:
    """Bounds in words: "6.15 mm", "at least 6 mm", "at most 6.2 mm", "between … and …"."""
    low, high = (format_fine(end, units) if isfinite(end) else "" for end in (bounds.low, bounds.high))
    if low == high:
        return low or "not known"
    if low and high:
        return f"between {low} and {high}"
    return f"at least {low}" if low else f"at most {high}"


@dataclass(frozen=True, slots=True)
class Reading:
    """A trial with what it proves, for the cutter as the catalogue has it now."""

    kept: KeptTrial
    solved: Solved


@dataclass(frozen=True, slots=True)
class Verdict:
    """What the trials agree on, in mm: ``snug`` is exact or bounded, and so is the key's ``half_depth``.

    ``used`` are the readings behind it in their order, ``aside`` those that contradict one of them, named in
    ``contradictions``.
    """

    snug: Bounds
    half_depth: Bounds
    used: tuple[Reading, ...]
    contradictions: tuple[Contradiction, ...]
    aside: tuple[Reading, ...] = ()


def readings(trials: Sequence[KeptTrial], section: Section) -> tuple[Reading, ...]:
    """What every trial proves, in the same order."""
    return tuple(Reading(kept, solve_today(kept.trial, section)) for kept in trials)


def weigh(ordered: Sequence[Reading]) -> Verdict:
    """What these agree on, the most telling first; its exact values are those of the first that has one."""
    used: list[Reading] = []
    aside: list[Reading] = []
    contradictions: list[Contradiction] = []
    for reading in ordered:
        found = tuple(clash for other in used for clash in _clashes(other, reading))
        if found:
            contradictions += found
            aside.append(reading)
        else:
            used.append(reading)
    snug = _common([reading.solved.snug for reading in used])
    half_depth = _common([reading.solved.half_depth for reading in used])
    return Verdict(snug, half_depth, tuple(used), tuple(contradictions), tuple(aside))


def contradict(one: Reading, other: Reading) -> bool:
    """Whether both cannot be right."""
    return any(_clashes(one, other))


def _clashes(kept: Reading, other: Reading) -> Iterator[Contradiction]:
    for quantity, one, two in (
        (Quantity.SNUG, kept.solved.snug, other.solved.snug),
        (Quantity.HALF_DEPTH, kept.solved.half_depth, other.solved.half_depth),
    ):
        if one.apart(two):
            yield Contradiction(quantity, kept.kept.number, one, other.kept.number, two)


def _common(bounds: Sequence[Bounds]) -> Bounds:
    """The first exact value, else what all leave open; bounds may cross by the slack that they were read with."""
    exact = next((one for one in bounds if one.value is not None), None)
    if exact is not None:
        return exact
    low = max((one.low for one in bounds), default=-inf)
    high = min((one.high for one in bounds), default=inf)
    return Bounds.at((low + high) / 2) if low > high else Bounds(low, high)
