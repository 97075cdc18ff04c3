"""Where a slot comes to be, from a piece's hand and the machine's readings alone: an oracle for the tests."""

from __future__ import annotations

from dataclasses import dataclass

from domain.faces.face import MatingFace
from domain.machine.hands import Lie
from domain.takeoff.pieces import Hand, hand_on


@dataclass(frozen=True, slots=True)
class Readings:
    """What fence and stop read, in mm, and the diameters that the stop's reading depends on.

    ``scale_tip_diameter`` is what the stop's scale was set with; None where it is zeroed for the cutter.
    """

    fence_reading: float
    depth_stop: float
    tip_diameter: float
    scale_tip_diameter: float | None = None


@dataclass(frozen=True, slots=True)
class SlotPlace:
    """Where a slot is, in the joint's own coordinates (mm).

    ``centre`` along the joint line from tip or reference edge; ``start`` and ``top`` along v from
    ``face.ends[0]``: the entry edge and the top of the round end.
    """

    centre: float
    start: float
    top: float


def replay(hand: Hand, lie: Lie, readings: Readings, face: MatingFace) -> SlotPlace:
    """Where the machine mills, from the marks and the readings alone.

    ``hand`` is what the piece really is with the face's first end down; ``lie`` says how it was laid. A piece
    cannot be mirrored: laid as the wrong hand it still has the right edge down, but it is the far end of
    the joint line that comes to the fence, and the slot counts from there.

    The cutter's centre stops at the reading less D_scale/2, and the round end tops out D/2 above it: the
    depth is reading − (D_scale − D)/2.
    """
    reading = readings.fence_reading
    true = hand_on(hand, face, lie.entry)
    centre = reading if lie.hand is true else face.breadth - reading
    scale = readings.scale_tip_diameter
    depth = readings.depth_stop - (0.0 if scale is None else (scale - readings.tip_diameter) / 2)
    if lie.entry is face.ends[0]:
        return SlotPlace(centre, 0.0, depth)
    return SlotPlace(centre, face.run, face.run - depth)
