"""Caliper measurements of a key: what they imply, and where they cannot all be right.

Plane trigonometry of the key's section: A = a + 2·h·tan θ, snug projection p₀ = (D − a) / (2·tan θ). The
limits at which a measurement is doubted are common practice (no source).
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from math import atan, degrees

from domain.lengths import ZERO, Length, Units, format_mm
from domain.planning.fit import beyond_key, snug_projection
from domain.sayings import Code, Figures, worded
from domain.spec.catalogue import CutterKind, Section

WIDTH_TOLERANCE = Length.from_mm(0.2)
"""How far a measured overall width may be from the computed one."""
EXCESS_LIMIT = Length.from_mm(0.5)
"""How far the slot may run on beyond the snug key before a measurement is doubted."""
ANGLE_SLIP = 2.0
"""Degrees that a flank is easily misread by; a wider difference points at the widths."""


@dataclass(frozen=True, slots=True)
class CutterFigures:
    """What a cutter comes to with a key; lengths in mm, but ``excess``, which ``beyond_key`` explains."""

    kind: CutterKind
    tip_diameter: float
    snug: float
    excess: Length


class Doubt(Code):
    """Why measurements cannot all be right."""

    HOLDS_APART = (
        "holds_apart",
        "With the {cutter_text} cutter the flanks would touch at {snug_fine}, less than the key's half depth of "
        "{half_depth_fine}: the key bottoms before its flanks touch and holds the faces apart. "
        "Measure waist and depth again, or choose a cutter with a larger tip.",
    )
    DEEP_SLOT = (
        "deep_slot",
        "With the {cutter_text} cutter the key sits snug only at {snug_fine}, and the slot runs on"
        " {excess_fine} beyond its end. That takes more wood than the key needs; more often the waist or the"
        " cutter's tip was misread. Measure both again.",
    )
    WHOLE_DEPTH = (
        "whole_depth",
        "The overall width should be {computed_fine} by these numbers and was measured as {measured_fine}. "
        "With half of this depth they come close: is it the whole depth? Choose “whole key” beside it.",
    )
    HALF_DEPTH = (
        "half_depth",
        "The overall width should be {computed_fine} by these numbers and was measured as {measured_fine}. "
        "With twice this depth they come close: is it the half depth? Choose “one side” beside it.",
    )
    ANGLE = (
        "angle",
        "The overall width should be {computed_fine} by these numbers and was measured as {measured_fine}. "
        "Widths and depth say {angle_text}. Measure the angle again first, it is the hardest to read; "
        "or leave it empty and let the widths give it.",
    )
    WIDTHS = (
        "widths",
        "The overall width should be {computed_fine} by these numbers and was measured as {measured_fine}. "
        "No small slip of the angle explains that: measure the waist again first, at the narrowest place and with "
        "the thin tips of the jaws, then the overall width. With this angle and depth the waist would be"
        " {waist_fine}.",
    )


@dataclass(frozen=True, slots=True)
class Finding:
    """A doubt with its figures in mm; ``text`` words it."""

    doubt: Code
    figures: Figures

    def text(self, units: Units) -> str:
        """The sentence, its lengths in ``units``."""
        return worded(self.doubt, self.figures, units)


def _finding(doubt: Doubt, **figures: float | str) -> Finding:
    return Finding(doubt, tuple(figures.items()))


def flank_from_widths(overall: Length, waist: Length, half_depth: Length) -> float | None:
    """θ = atan((A − a) / (2h)) in degrees, to a millionth; None where no dovetail has these widths.

    >>> mm = Length.from_mm
    >>> flank_from_widths(mm(22), mm(10), mm(6))
    45.0
    """
    if overall <= waist or half_depth.nm <= 0:
        return None
    return round(degrees(atan((overall.mm - waist.mm) / (2 * half_depth.mm))), 6)


def suggested_name(overall_width: float) -> str:
    """Sections are named by their overall width in whole millimetres.

    >>> suggested_name(14.0006)
    '14'
    """
    return format_mm(overall_width, 0)


def cutter_figures(section: Section) -> tuple[CutterFigures, ...]:
    """The figures of the close-fit cutter, and of the free-fit one where there is one."""
    cutters = [(CutterKind.CLOSE, section.tip_diameter), (CutterKind.FREE, section.free_tip_diameter)]
    return tuple(_figures(section, kind, tip.mm) for kind, tip in cutters if tip is not None)


def _figures(section: Section, kind: CutterKind, tip: float) -> CutterFigures:
    return CutterFigures(kind, tip, snug_projection(section, tip), beyond_key(section, tip))


def cutter_findings(section: Section) -> Iterator[Finding]:
    """What is doubtful about the cutters' tips beside the key."""
    for figures in cutter_figures(section):
        if figures.excess < ZERO:
            yield _finding(
                Doubt.HOLDS_APART,
                cutter_text=figures.kind.words,
                snug_fine=figures.snug,
                half_depth_fine=section.half_depth.mm,
            )
        elif figures.kind is CutterKind.CLOSE and figures.excess > EXCESS_LIMIT:
            yield _finding(
                Doubt.DEEP_SLOT,
                cutter_text=figures.kind.words,
                snug_fine=figures.snug,
                excess_fine=figures.excess.mm,
            )


def width_findings(section: Section, overall: Length | None) -> Iterator[Finding]:
    """What is doubtful about waist, depth and angle beside the overall width as it was measured."""
    if overall is None:
        return
    measured = overall.mm
    computed = section.overall_width
    if abs((overall - Length.from_mm(computed)).nm) <= WIDTH_TOLERANCE.nm:
        return
    waist, gain = section.waist.mm, computed - section.waist.mm
    widths = {"computed_fine": computed, "measured_fine": measured}
    near = max(WIDTH_TOLERANCE.mm, abs(measured - computed) / 4)
    if abs(waist + gain / 2 - measured) <= near:
        yield _finding(Doubt.WHOLE_DEPTH, **widths)
    elif abs(waist + gain * 2 - measured) <= near:
        yield _finding(Doubt.HALF_DEPTH, **widths)
    else:
        angle = flank_from_widths(Length.from_mm(measured), section.waist, section.half_depth)
        if angle is not None and abs(angle - section.flank) <= ANGLE_SLIP:
            yield _finding(Doubt.ANGLE, angle_text=f"{format_mm(angle, 1)}°", **widths)
        else:
            yield _finding(Doubt.WIDTHS, waist_fine=max(0.0, measured - gain), **widths)
