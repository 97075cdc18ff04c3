"""Proportions of a key: whether it looks like one, and what it would be if its depth was read the other way.

A caliper closes over the whole key as easily as over one side of it, and nothing in the figure tells which.
What a key usually looks like does: a half depth out of proportion to the waist, or a flank that leans oddly, is
most often the other reading. The usual bounds are common practice (no source); a key outside of them is asked
about, never refused.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from enum import StrEnum

from domain.lengths import Length, format_mm
from domain.measuring.caliper import Finding, flank_from_widths
from domain.sayings import Code
from domain.spec.catalogue import Section

USUAL_FLANK = (7.0, 16.0)
"""Degrees that a key's flank usually leans; common practice (no source)."""
USUAL_HALF_DEPTH = (0.37, 0.74)
"""Half depth by waist, as keys usually have it; common practice (no source). Twice or half of it is outside."""


class DepthOver(StrEnum):
    """What a depth was measured over: the whole key from face to face, or one side from the waist to a face."""

    WHOLE_KEY = "whole_key"
    ONE_SIDE = "one_side"

    @property
    def other(self) -> DepthOver:
        """The reading that it is mistaken for."""
        return DepthOver.ONE_SIDE if self is DepthOver.WHOLE_KEY else DepthOver.WHOLE_KEY

    @property
    def words(self) -> str:
        """As it stands in a sentence, after "measured over"."""
        return "the whole key" if self is DepthOver.WHOLE_KEY else "one side"

    def half_depth(self, depth: Length) -> Length:
        """Half depth of a key whose depth was measured so; at least a nanometre."""
        return depth if self is DepthOver.ONE_SIDE else Length(max(1, round(depth.nm / 2)))


class Oddity(Code):
    """What of a key is out of the usual."""

    FLANK = (
        "flank",
        "A flank of {flank_text} is outside what keys usually have, {low_text} to {high_text} (common practice, no"
        " source).",
    )
    HALF_DEPTH = (
        "half_depth",
        "A half depth of {half_depth_fine} is {share_text} of the waist; keys usually have {low_text} to"
        " {high_text} (common practice, no source).",
    )
    OTHER_READING = (
        "other_reading",
        "Is {depth_fine} {over_text}? Then the half depth is {half_depth_fine}, {share_text} of the waist, and the"
        " flank is {flank_text}.",
    )


@dataclass(frozen=True, slots=True)
class OtherReading:
    """A key as it would be with its depth read the other way."""

    over: DepthOver
    half_depth: Length
    flank: float
    finding: Finding


def oddities(waist: Length, half_depth: Length, flank: float) -> tuple[Finding, ...]:
    """What of a key with these measures is out of the usual, ``flank`` in degrees; none of most keys."""
    return tuple(_oddities(waist, half_depth, flank))


def _oddities(waist: Length, half_depth: Length, flank: float) -> Iterator[Finding]:
    low, high = USUAL_FLANK
    if not low <= round(flank, 1) <= high:
        yield _finding(Oddity.FLANK, flank_text=_angle(flank), low_text=_angle(low), high_text=_angle(high))
    low, high = USUAL_HALF_DEPTH
    share = half_depth.nm / waist.nm
    if not low <= share <= high:
        yield _finding(
            Oddity.HALF_DEPTH,
            half_depth_fine=half_depth.mm,
            share_text=_percent(share),
            low_text=_percent(low),
            high_text=_percent(high),
        )


def other_reading(
    section: Section, depth: Length, over: DepthOver, overall: Length | None, *, flank_worked_out: bool
) -> OtherReading | None:
    """What ``section`` would be if its ``depth`` was measured the other way; None where that is no likelier.

    With ``flank_worked_out`` the flank follows from the measured ``overall`` width, and changes with the depth.
    """
    waist, half_depth = section.waist, over.other.half_depth(depth)
    flank: float | None = section.flank
    if flank_worked_out:
        flank = None if overall is None else flank_from_widths(overall, waist, half_depth)
    if flank is None or flank > 45:
        return None
    if len(oddities(waist, half_depth, flank)) >= len(oddities(waist, section.half_depth, section.flank)):
        return None
    finding = _finding(
        Oddity.OTHER_READING,
        depth_fine=depth.mm,
        over_text=over.other.words,
        half_depth_fine=half_depth.mm,
        share_text=_percent(half_depth.nm / waist.nm),
        flank_text=_angle(flank),
    )
    return OtherReading(over.other, half_depth, flank, finding)


def _finding(code: Oddity, **figures: float | str) -> Finding:
    return Finding(code, tuple(figures.items()))


def _angle(degrees: float) -> str:
    return f"{format_mm(degrees, 1)}°"


def _percent(share: float) -> str:
    return f"{format_mm(share * 100, 0)} %"
