"""The set-up sheet as open JSON, version 1: lengths in mm, rounded to 0.001, times in minutes."""

from __future__ import annotations

from domain.machine.sheet import Line, Sheet
from domain.takeoff.counting import SetUp
from domain.takeoff.document import Json, json_mm

FORMAT = "dovetally-setups"
VERSION = 1


def set_ups_document(sheet: Sheet) -> Json:
    """The sheet as a JSON-ready dictionary."""
    return {
        "format": FORMAT,
        "version": VERSION,
        "minutes": json_minutes(sheet.minutes),
        "bound": json_minutes(sheet.bound),
        "setups": [_line(line) for line in sheet.lines],
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


def _line(line: Line) -> Json:
    set_up = line.milling.set_up
    return {
        "cutter": cutter_text(set_up),
        "projection": json_mm(set_up.projection),
        "fence": {"kind": "mitre" if set_up.mitred else "butt", "angle": json_mm(set_up.angle)},
        "fence_reading": json_mm(set_up.fence_reading),
        "depth_stop": json_mm(set_up.depth_stop),
        "clamp_height": json_mm(set_up.clamp_height),
        "left": line.milling.left,
        "right": line.milling.right,
        "changes": [change.value for change in line.changes],
        "minutes": json_minutes(line.minutes),
    }
