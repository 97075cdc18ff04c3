"""Words that several faces say the same way: notes, keys used, the sizes of an assembly."""

from __future__ import annotations

from collections.abc import Iterable

from domain.lengths import Units, format_length
from domain.notes import Note
from domain.spec.assemblies import Assembly, Box, Carcass, MitredFrame, RailedFrame, SingleJoint
from domain.takeoff.takeoff import KeyCount
from webapp.wording.figures import by


def notes_text(notes: Iterable[Note], units: Units) -> tuple[str, ...]:
    """Notes as sentences, each once."""
    return tuple(dict.fromkeys(note.text(units) for note in notes))


def keys_text(keys: Iterable[KeyCount]) -> tuple[str, ...]:
    """Keys used, as one reads them off a list: "32 of 14 × 16"."""
    return tuple(f"{key.used} of {key.item}" for key in keys)


def sizes(spec: Assembly, units: Units) -> str:
    """An assembly's sizes in words."""
    match spec:
        case MitredFrame():
            over = {"outside": "outside", "opening": "opening", "rabbet": "rabbet", "glass": "glass"}[spec.measure]
            if spec.sides == 4:
                size = by(units, spec.width, spec.height)
            else:
                size = f"{spec.sides} sides, {by(units, spec.across)} across"
            return f"{size} {over}, moulding {by(units, spec.stock.width, spec.stock.thickness)}"
        case RailedFrame():
            return f"{by(units, spec.width, spec.height)}, {format_length(spec.thickness.mm, units)} thick"
        case Box():
            size = by(units, spec.length, spec.width, spec.height)
            return f"{size} {spec.measure.value}, walls {format_length(spec.wall.mm, units)}"
        case Carcass():
            size = by(units, spec.width, spec.height, spec.depth)
            return f"{size}, {format_length(spec.thickness.mm, units)} thick"
        case SingleJoint():
            return f"face {by(units, spec.breadth, spec.run)}, {spec.angle:g}°"
