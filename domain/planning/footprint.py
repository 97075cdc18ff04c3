"""What a slot takes of the mating face across the stock, and the centres that this allows.

The closed forms were checked by cutting slots out of solid members with a 3-D boolean library;
``tests/published/test_solid_oracle.py`` repeats that with random members.
"""

from __future__ import annotations

from domain.faces.face import MatingFace
from domain.faces.region import Region
from domain.intervals import TOUCH, Interval, Intervals, union


def slot_extent(face: MatingFace, tip_diameter: float, mouth: float, projection: float) -> Interval:
    """(lo, hi) in mm: a slot centred at u covers x from u·sin φ + lo to u·sin φ + hi.

    lo = min(−(m/2)·sin φ, −(D/2)·sin φ − p·cos φ), hi = max((m/2)·sin φ, (D/2)·sin φ − p·cos φ):
    on a mitre the fat end leans to the tip.
    """
    lean = projection * face.cosine
    half_mouth, half_tip = mouth / 2 * face.sine, tip_diameter / 2 * face.sine
    return min(-half_mouth, -half_tip - lean), max(half_mouth, half_tip - lean)


def farthest_centre(face: MatingFace, tip_diameter: float, projection: float, web: float) -> float:
    """The farthest centre u from the tip (mm) at which the slots in both ends of a short piece keep ``web``.

    A slot reaches (u + D/2)·cos φ + p·sin φ along the piece from its long point, so on a mitred piece of
    length L: (u + D/2)·cos φ + p·sin φ ≤ (L − web)/2.
    """
    if face.long_point is None:
        return float("inf")
    half = (face.long_point - web) / 2
    return (half - projection * face.sine) / face.cosine - tip_diameter / 2


def allowed_centres(face: MatingFace, region: Region, extent: Interval, wall: float, top: float) -> Intervals:
    """The centres u (mm along the joint line) whose slot keeps ``wall`` on both sides up to v = ``top``."""
    low, high = extent
    centres = []
    for gap_low, gap_high in region.clear_gaps(top):
        first, last = gap_low + wall - low, gap_high - wall - high
        if last >= first - TOUCH:
            centres.append((first / face.sine, max(first, last) / face.sine))
    return union(centres)
