"""Words that several pages say the same way: kinds of joint, sizes of an assembly, stacks of keys."""

from __future__ import annotations

import re
from collections.abc import Iterable

from domain.lengths import Length, Units, format_inches, format_length, format_mm
from domain.notes import Note
from domain.parts import JointKind
from domain.spec.assemblies import Assembly, Box, Carcass, LooseJoint, MitredFrame, RailedFrame
from domain.takeoff.takeoff import KeyCount

JOINT_KINDS = {
    JointKind.MITRE: "mitre",
    JointKind.BUTT: "butt",
    JointKind.TEE: "tee",
    JointKind.EDGE_MITRE: "mitred edge",
    JointKind.EDGE_BUTT: "butted edge",
    JointKind.EDGE_TEE: "edge on a face",
}
_IN_MM = re.compile(r"(\d+(?:\.\d+)?(?:e[+-]?\d+)?) mm")


def other_member(kind: JointKind) -> str:
    """How the member is slotted that a mating face's drawing does not show.

    >>> other_member(JointKind.MITRE)
    'The other member is its mirror image.'
    """
    if kind in {JointKind.MITRE, JointKind.EDGE_MITRE}:
        return "The other member is its mirror image."
    side = "face" if kind.on_edge else "edge"
    return (
        f"The other member has the same slots in its {side},"
        " at the same centres from where the reference edge meets it."
    )


def bare(mm: float, units: Units) -> str:
    """A length without its unit, where the unit is said once for several."""
    return format_mm(mm, 2) if units is Units.MM else format_inches(mm)


def by(units: Units, *lengths: Length | float | None) -> str:
    """Sizes as one says them, with spaces that do not break so that a size stays on one line.

    >>> by(Units.MM, Length.from_mm(400), Length.from_mm(300)).split()
    ['400', '×', '300', 'mm']
    """
    given = (length.mm if isinstance(length, Length) else length for length in lengths)
    return "\xa0×\xa0".join(bare(mm, units) for mm in given if mm is not None) + f"\xa0{units.value}"


def listed(units: Units, lengths: Iterable[float]) -> str:
    """Lengths one after the other.

    >>> listed(Units.MM, [12.5, 37.5])
    '12.5, 37.5 mm'
    """
    return ", ".join(bare(mm, units) for mm in lengths) + f" {units.value}"


def in_units(sentence: str, units: Units) -> str:
    """The domain's sentence with inches beside its millimetres, for a project in inches.

    >>> in_units("must be more than 90 mm", Units.INCH)
    'must be more than 3 35/64 in (90 mm)'
    """
    if units is Units.MM:
        return sentence
    return _IN_MM.sub(lambda found: f"{format_inches(float(found[1]))} in ({found[0]})", sentence)


def stack(keys: Iterable[float]) -> str:
    """Keys of a slot in driving order, in mm, as keys are called in any project.

    >>> stack([38.0, 16.0])
    '38 + 16'
    """
    return " + ".join(format_mm(key) for key in keys)


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
            return f"{size} {over}, stock {by(units, spec.stock.width, spec.stock.thickness)}"
        case RailedFrame():
            return f"{by(units, spec.width, spec.height)}, {format_length(spec.thickness.mm, units)} thick"
        case Box():
            size = by(units, spec.length, spec.width, spec.height)
            return f"{size} {spec.measure.value}, wall {format_length(spec.wall.mm, units)}"
        case Carcass():
            size = by(units, spec.width, spec.height, spec.depth)
            return f"{size}, {format_length(spec.thickness.mm, units)} thick"
        case LooseJoint():
            return f"face {by(units, spec.breadth, spec.run)}, {spec.angle:g}°"
