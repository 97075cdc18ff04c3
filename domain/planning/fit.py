"""Key and slot in section: when a key holds faces apart, is loose, clamps, or bursts the corner.

Key: waist a at the joint line, half depth h, flank angle θ from the normal to the face.
Slot of tip diameter D at projection p: width at depth w is D − 2(p − w)·tan θ.
The regimes are plane trigonometry; the limit of squeeze is common practice (no source).
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum
from math import sqrt

from domain.lengths import ZERO, Length, Mm
from domain.spec.catalogue import KeyEnd, Section


class FitRegime(StrEnum):
    """How a key sits in a pair of slots milled at one projection."""

    HELD_APART = "held_apart"
    LOOSE = "loose"
    CLAMPED = "clamped"
    OVER_TIGHT = "over_tight"


@dataclass(frozen=True, slots=True)
class KeyFit:
    """The regime and its figure in mm: the gap held open, the play, or the squeeze on each flank."""

    regime: FitRegime
    amount: float


def snug_projection(section: Section, tip_diameter: float) -> Mm:
    """p₀ = (D − a) / (2 tan θ), in mm: the flanks just touch with the joint closed."""
    return Mm((tip_diameter - section.waist.mm) / (2 * section.slope))


HAIR = Length.from_mm(0.001)
"""What no verdict turns on: far below what calipers read, far above what an angle rounded to a millionth of
a degree leaves in a projection."""


def beyond_key(section: Section, tip_diameter: float) -> Length:
    """How much deeper the slot is than the key where the flanks just touch: snug projection less half depth.

    In whole nanometres; nought where the two are a hair apart. Below nought the key bottoms before its flanks
    touch.
    """
    excess = Length.from_mm(snug_projection(section, tip_diameter)) - section.half_depth
    return ZERO if abs(excess.nm) < HAIR.nm else excess


def mouth(section: Section, tip_diameter: float, projection: float) -> float:
    """M = D − 2p·tan θ, in mm: the slot's width at the mating face."""
    return tip_diameter - 2 * projection * section.slope


def room_past_end(end: KeyEnd, waist: float, tip_diameter: float, mouth: float) -> float:
    """How far (mm) a slot must go on past the leading end of a key of this ``waist``: nought where it is round.

    At a depth w the slot's half width is r = m/2 + w·tan θ and the key's k = a/2 + w·tan θ, both for as deep as
    the key goes. A square end stops where its corners meet the round end: D/2 − min √(r² − k²) from the top.
    r² − k² = (m² − a²)/4 + w·(m − a)·tan θ grows with w where the mouth is wider than the waist, so it is least
    at the face; where it is not, the flanks touch and the end goes no farther than the straight of the slot.
    """
    if end is KeyEnd.ROUND:
        return 0.0
    return tip_diameter / 2 - sqrt(max(0.0, mouth**2 - waist**2)) / 2


def key_fit(
    section: Section,
    tip_diameter: float,
    projection: float,
    squeeze_limit: Length,
    snug: float | None = None,
) -> KeyFit:
    """What a key does in slots of this cutter milled at ``projection`` (mm).

    ``snug`` is the snug projection where trials have found it; else it follows from the section's sizes.
    p < h: the key bottoms and holds the faces apart by 2(h − p).
    h ≤ p < p₀: the joint can open by 2(p₀ − p). p ≥ p₀: squeeze (p − p₀)·tan θ on each flank.
    """
    half_depth = section.half_depth.mm
    if snug is None:
        snug = snug_projection(section, tip_diameter)
    set_to = Length.from_mm(projection)
    if (section.half_depth - set_to).nm >= HAIR.nm:
        return KeyFit(FitRegime.HELD_APART, 2 * (half_depth - projection))
    if (Length.from_mm(snug) - set_to).nm >= HAIR.nm:
        return KeyFit(FitRegime.LOOSE, 2 * (snug - projection))
    squeeze = max(0.0, (projection - snug) * section.slope)
    regime = FitRegime.OVER_TIGHT if squeeze > squeeze_limit.mm + 1e-9 else FitRegime.CLAMPED
    return KeyFit(regime, squeeze)
