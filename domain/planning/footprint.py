"""What a slot takes of the mating face across the stock, and the centres that this allows.

The closed forms were checked by cutting slots out of solid members with a 3-D boolean library;
``tests/published/test_solid_oracle.py`` repeats that with random members.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from math import ceil

from domain.faces.face import MatingFace
from domain.faces.region import Region, Void
from domain.intervals import TOUCH, Interval, Intervals, union
from domain.planning.walls import Walls
from domain.spec.choices import Entry


@dataclass(frozen=True, slots=True)
class SlotCut:
    """A slot's own section: tip diameter, width at the mating face, depth into it, mm."""

    tip_diameter: float
    mouth: float
    projection: float


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


def allowed_centres(face: MatingFace, region: Region, extent: Interval, walls: Walls, top: float) -> Intervals:
    """The centres u (mm along the joint line) whose slot keeps the wall on both sides up to v = ``top``."""
    low, high = extent
    centres = []
    for gap_low, gap_high in region.clear_gaps(top):
        first, last = max(walls.first, gap_low + walls.usual) - low, gap_high - walls.usual - high
        if last >= first - TOUCH:
            centres.append((first / face.sine, max(first, last) / face.sine))
    return union(centres)


@dataclass(frozen=True, slots=True)
class Crossing:
    """A groove or rabbet that a slot crosses, and what its panel's corner loses to the slot (mm).

    ``across`` along the panel's edge that lies across the stock, ``along`` the other edge. On a mitre the corner
    is cut off at 45° and the two are equal; on a square end a notch so large is cut out of it. ``left`` is the
    least wood between slot and groove where they do not meet: then nothing is cut.
    """

    void: Void
    across: float
    along: float
    left: float = 0.0

    @property
    def nip(self) -> tuple[float, float]:
        """What is cut off the panel, ``across`` and ``along``, up to the next tenth of a millimetre."""
        across, along = (ceil(round(size * 10, 6)) / 10 for size in (self.across, self.along))
        return across, along


def crossings(
    face: MatingFace, depths: Iterable[tuple[Entry, float]], centres: Iterable[float], cut: SlotCut
) -> Iterator[tuple[Entry, Crossing]]:
    """Every groove or rabbet that slots so deep from these edges come to, with the edge that they come from.

    The key farthest in is the one that a panel's corner must clear.
    """
    farthest = max(centres)
    for entry, depth in depths:
        for void in face.region_from(entry).crossable:
            if void.v0 < depth:
                yield entry, crossing(face, void, farthest, cut)


def crossing(face: MatingFace, void: Void, centre: float, cut: SlotCut) -> Crossing:
    """What a slot at this centre takes of the corner of the panel in this groove or rabbet.

    The panel's corner lies at the bottom of the groove: x = c on both members. [3-D]

    On a mitre, c·√2 along the joint line, and the panel widens from there as fast as it goes on. The slot's half
    breadth is m/2 + w·tan θ at the depth w ≤ p, so with g = u + m/2 − c·√2 the slot goes into the panel by
    n = min(g / (1 − tan θ), g + p·tan θ) along the joint line: cut off at 45°, n·√2 is lost of each edge.

    On a square end the slot is widest D/2 at its bottom, p deep into both members, and the panel goes as deep
    into the one as its groove is: u + D/2 − c across the stock, p + depth of the groove along it.
    """
    corner, half_tip = void.x0, cut.tip_diameter / 2
    if face.angle == 90.0:
        across = centre + half_tip - corner
        if across <= TOUCH:
            return Crossing(void, 0.0, 0.0, max(0.0, -across))
        return Crossing(void, across, cut.projection + face.region.width - corner)
    into = centre + cut.mouth / 2 - corner / face.sine
    slope = (half_tip - cut.mouth / 2) / cut.projection
    deep = into + cut.projection * slope
    if slope < 1:
        deep = min(deep, into / (1 - slope))
    if max(into, into + cut.projection * (slope - 1)) <= TOUCH:
        _, high = slot_extent(face, cut.tip_diameter, cut.mouth, cut.projection)
        return Crossing(void, 0.0, 0.0, max(0.0, corner - centre * face.sine - high))
    return Crossing(void, deep / face.cosine, deep / face.cosine)
