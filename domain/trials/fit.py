"""Key and slot in section, worked backwards: what one trial proves about the key.

Both pieces have a slot of tip diameter D at projection p, and the faces stand g apart. With p₀ = (D − a) /
(2 tan θ) the room between key and slot, measured across a flank, is (p₀ − p − g/2)·tan θ all along it, and
the room under the key p + g/2 − h. Taking key and wood as rigid, a key that sits in its slots has neither
below zero, so 2(h − p) ≤ g ≤ 2(p₀ − p). Read backwards:

- held apart by g: the least gap is g, so h = p + g/2 exactly, and p₀ is no less than that;
- loose by g: the most is g, so p₀ = p + g/2 exactly; it also closes, so h ≤ p;
- snug: p₀ = p and h ≤ p;
- tight: the joint closes, so h ≤ p, and there is squeeze, so p₀ < p;
- burst, stopped: squeeze as well, so p₀ < p, unless the slot is shallower than the key, which then may
  simply have met its bottom.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import inf

from domain.planning.fit import snug_projection
from domain.spec.catalogue import CutterKind, Section
from domain.trials.trial import Outcome, Trial

SLACK = 0.05
"""mm that a projection as set with half a gauged gap is good for; common practice (no source)."""


@dataclass(frozen=True, slots=True)
class Bounds:
    """Where a length lies, in mm; infinite ends are not known, equal ends are an exact value."""

    low: float = -inf
    high: float = inf

    @classmethod
    def at(cls, value: float) -> Bounds:
        """Exactly there."""
        return cls(value, value)

    @property
    def value(self) -> float | None:
        """The exact value; None where there are bounds only."""
        return self.low if self.low == self.high else None

    @property
    def known(self) -> bool:
        """True where at least one end is finite."""
        return self.low > -inf or self.high < inf

    def moved(self, by: float) -> Bounds:
        """The same bounds ``by`` mm higher."""
        return Bounds(self.low + by, self.high + by)

    def apart(self, other: Bounds) -> bool:
        """True where both cannot be right, even with the slack of two readings."""
        return max(self.low, other.low) > min(self.high, other.high) + 2 * SLACK + 1e-9


@dataclass(frozen=True, slots=True)
class Solved:
    """What a trial proves, lengths in mm: bounds of the snug projection p₀ and of the key's half depth h.

    ``ceiling`` is a projection that was too much for that wood; None where the wood took it.
    """

    snug: Bounds
    half_depth: Bounds
    ceiling: float | None = None

    def moved(self, by: float) -> Solved:
        """The same for a cutter whose snug projection is ``by`` mm more; the key stays as deep as it is."""
        ceiling = None if self.ceiling is None else self.ceiling + by
        return Solved(self.snug.moved(by), self.half_depth, ceiling)


def solve(trial: Trial, section: Section) -> Solved:
    """What the trial proves, for the cutter as it was on the day."""
    p = trial.projection.mm
    middle = p + (0.0 if trial.gap is None else trial.gap.mm / 2)
    match trial.outcome:
        case Outcome.HELD_APART:
            return Solved(Bounds(low=middle), Bounds.at(middle))
        case Outcome.LOOSE:
            return Solved(Bounds.at(middle), Bounds(high=p))
        case Outcome.SNUG:
            return Solved(Bounds.at(p), Bounds(high=p))
        case Outcome.TIGHT:
            return Solved(Bounds(high=p), Bounds(high=p))
        case Outcome.BURST | Outcome.STOPPED:
            bottomed = p < section.half_depth.mm
            return Solved(Bounds() if bottomed else Bounds(high=p), Bounds(), ceiling=p)


def solve_today(trial: Trial, section: Section) -> Solved:
    """What the trial proves for the cutter as the catalogue has it now.

    A tip ground from D to D' moves the snug projection by (D' − D) / (2 tan θ); the key's waist stays.
    """
    tip = section.tip(trial.cutter) or trial.tip_diameter
    return solve(trial, section).moved((tip.mm - trial.tip_diameter.mm) / (2 * section.slope))


@dataclass(frozen=True, slots=True)
class Implied:
    """What a snug projection says of key and cutter, in mm: one of the two is as measured, the other is this.

    ``waist`` holds if the tip is right, ``tip`` if the waist is; ``off`` is how far the snug projection found
    lies beyond the catalogue's.
    """

    waist: float
    tip: float
    off: float


def implied(section: Section, cutter: CutterKind, snug: float) -> Implied:
    """The waist a = D − 2·p₀·tan θ, or the tip D = a + 2·p₀·tan θ.

    Raises ValueError where the section has no such cutter.
    """
    tip = section.tip(cutter)
    if tip is None:
        raise ValueError(f"the section {section.name} has no {cutter.words} cutter")
    widens = 2 * snug * section.slope
    return Implied(tip.mm - widens, section.waist.mm + widens, snug - snug_projection(section, tip.mm))
