"""A key while it is being measured: what is known of it, and the rest as keys usually are, so it can be drawn.

What is presumed is for the eye alone: no figure of it is said or stored. It lies in the middle of the usual
proportions of ``proportions``, common practice (no source).
"""

from __future__ import annotations

from math import radians, tan

from domain.lengths import Length
from domain.measuring.caliper import flank_from_widths
from domain.spec.catalogue import Section

PRESUMED_FLANK = 11.0
PRESUMED_SHARE = 0.53
"""Half depth by waist."""
PRESUMED_WAIST = Length.from_mm(10)
_LEAST_FLANK, _MOST_FLANK = 2.0, 45.0


def sketched(
    overall: Length | None, waist: Length | None, half_depth: Length | None, flank: float | None
) -> Section:
    """A key of these measures, None for each that is not known yet; ``flank`` in degrees.

    Widths that no dovetail has are drawn as if the overall width were not known. The cutter, lengths and use of
    the section are made up.
    """
    presumed = 1 + 2 * PRESUMED_SHARE * tan(radians(PRESUMED_FLANK))
    if waist is None and overall is not None:
        waist = Length(max(1, round(overall.nm / presumed)))
    if waist is None:
        waist = PRESUMED_WAIST if half_depth is None else Length(max(1, round(half_depth.nm / PRESUMED_SHARE)))
    half_depth = half_depth or Length(max(1, round(waist.nm * PRESUMED_SHARE)))
    if flank is None and overall is not None:
        flank = flank_from_widths(overall, waist, half_depth)
    return bare_section(waist, half_depth, min(max(flank or PRESUMED_FLANK, _LEAST_FLANK), _MOST_FLANK))


def bare_section(
    waist: Length, half_depth: Length, flank: float, tip: Length | None = None, free: Length | None = None
) -> Section:
    """A key's shape as a section whose lengths and use are made up.

    Without a cutter the tip is the waist's, which no cutter can be.
    """
    return Section(
        name="measured",
        waist=waist,
        half_depth=half_depth,
        flank=flank,
        tip_diameter=tip or waist,
        free_tip_diameter=free,
        lengths=(waist,),
        drive_limit=waist,
        stock_from=waist,
        stock_to=waist,
    )
