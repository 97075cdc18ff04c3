"""The set-up sheet as open JSON, version 1: lengths in mm, rounded to 0.001, times in minutes.

A set-up names every pass of every piece: its hand, what of it is milled, what is at the fence, which edge is
down on the table, and which side of the piece lies against the machine. ``spacer`` stands where that edge lies on
a spacer: how thick it is. ``turned`` stands where the edge across
from the reference edge is at the fence, or the line where that edge comes.
"""

from __future__ import annotations

from collections.abc import Iterator

from domain.machine.hands import Datum, Lie, Place
from domain.machine.set_ups import Batch
from domain.machine.sheet import Line, Sheet
from domain.planning.set_up import SetUp
from domain.takeoff.document import Json, json_mm
from domain.takeoff.pieces import Hand, Joined

FORMAT = "dovetally-setups"
VERSION = 1
MILLED = {Place.MITRED_END: "end", Place.SQUARE_END: "end", Place.EDGE: "edge", Place.FACE: "face"}
AT_FENCE = {Datum.TIP: "tip", Datum.REFERENCE_EDGE: "edge", Datum.FLUSH_END: "end", Datum.MARKED_LINE: "line"}
LETTERS = {Hand.LEFT: "L", Hand.RIGHT: "R"}


def set_ups_document(sheet: Sheet) -> Json:
    """The sheet as a JSON-ready dictionary; of several projects, every piece says whose it is."""
    several = len({batch.source for line in sheet.lines for batch in line.work.batches}) > 1
    return {
        "format": FORMAT,
        "version": VERSION,
        "minutes": json_minutes(sheet.minutes),
        "bound": json_minutes(sheet.bound),
        "setups": [_line(line, several=several) for line in sheet.lines],
    }


def json_minutes(minutes: float) -> int | float:
    """Minutes as the file writes them: whole numbers without a point."""
    return int(minutes) if minutes == int(minutes) else minutes


def cutter_text(set_up: SetUp) -> str:
    """A cutter by its trade name.

    >>> from domain.planning.plans import CutterKind
    >>> cutter_text(SetUp("14", CutterKind.CLOSE, 13.815, 6.25, True, 45.0, 18.0, 16.5, 20.0))
    '14 close'
    """
    return f"{set_up.section} {set_up.cutter.value}"


def _line(line: Line, *, several: bool) -> Json:
    set_up = line.work.set_up
    return {
        "cutter": cutter_text(set_up),
        "tip_diameter": json_mm(set_up.tip_diameter),
        "projection": json_mm(set_up.projection),
        "fence": {"kind": "mitre" if set_up.mitred else "square", "angle": json_mm(set_up.angle)},
        "fence_reading": json_mm(set_up.fence_reading),
        "depth_stop": json_mm(set_up.depth_stop),
        "clamp_height": json_mm(set_up.clamp_height),
        "left": line.work.left,
        "right": line.work.right,
        "pieces": [each for batch in line.work.batches for each in _passes(batch, several=several)],
        "changes": [change.value for change in line.changes],
        "minutes": json_minutes(line.minutes),
    }


def _passes(batch: Batch, *, several: bool) -> Iterator[Json]:
    project = {"project": batch.project} if several else {}
    for place in batch.places():
        for lie in batch.lies:
            yield {**project, **_pass(batch, place, lie)}


def _pass(batch: Batch, place: Joined, lie: Lie) -> Json:
    spot = place.spot
    at_fence = AT_FENCE[batch.datum]
    line: Json = {}
    if not batch.place.is_end and spot.start is not None and (batch.datum is Datum.MARKED_LINE or batch.turned):
        at_fence = "line"
        line = {"line": json_mm(batch.line(place)), "line_from": spot.start.value}
    return {
        "piece": str(place.piece),
        "joint": batch.joint,
        "hand": LETTERS[lie.hand],
        "milled": MILLED[batch.place],
        "at_fence": "edge" if spot.across and not spot.offset and not line else at_fence,
        **line,
        **({"turned": True} if batch.turned else {}),
        "down": lie.entry.value,
        **({"spacer": json_mm(lie.spacer)} if lie.spacer else {}),
        "to_machine": spot.surface.value,
    }
