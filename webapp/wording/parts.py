"""Members and panels in words: their sizes and ends, the same on page, paper, label and terminal."""

from __future__ import annotations

from dataclasses import dataclass

from domain.lengths import Units
from domain.parts import Member, Panel
from webapp.wording.figures import Figure, by, size

SQUARE = "square"
Part = Member | Panel


@dataclass(frozen=True, slots=True)
class PartWords:
    """A part: ``ends`` is "square", what the saw is set to, or "" for a panel.

    ``short`` is the length of the short side where an end is mitred. ``thickness`` is None where the maker chooses
    it, and ``room`` what there is for it.
    """

    mark: str
    name: str
    quantity: int
    length: Figure
    width: Figure
    thickness: Figure | None
    room: Figure | None
    size: str
    ends: str
    short: Figure | None
    material: str
    panel: bool

    @property
    def thick(self) -> str:
        """The thickness in a column whose heading names the unit: "20", or "room 10"."""
        return self.thickness.bare if self.thickness else f"room {self.room.bare}" if self.room else ""

    @property
    def thick_said(self) -> str:
        """The thickness with its unit: "20 mm", or "room 10 mm"."""
        return str(self.thickness) if self.thickness else f"room {self.room}" if self.room else ""

    @property
    def shape(self) -> str:
        """Ends and short side where they are not square: "saw 45°, short side 310 mm"."""
        return "" if self.short is None else f"{self.ends}, short side {self.short}"


def part_words(part: Part, units: Units) -> PartWords:
    """A part, worded in ``units``."""
    short = part.short_length if isinstance(part, Member) else None
    room = None if isinstance(part, Member) or part.room is None else size(part.room, units)
    sides = by(units, part.length, part.width, None if room else part.thickness)
    return PartWords(
        mark=part.mark,
        name=part.name,
        quantity=part.quantity,
        length=size(part.length, units),
        width=size(part.width, units),
        thickness=None if room else size(part.thickness, units),
        room=room,
        size=f"{sides}, room\xa0{room.kept}" if room else sides,
        ends=ends(part) if isinstance(part, Member) else "",
        short=None if short is None else size(short, units),
        material=part.material or "",
        panel=isinstance(part, Panel),
    )


def ends(member: Member) -> str:
    """A member's ends as the saw is set, off square: "square", "saw 30°" for both, or one after the other."""
    return end_words(member.ends)


def end_words(ends: tuple[float, float]) -> str:
    """The same of two angles between end and edge.

    >>> end_words((90.0, 90.0)), end_words((45.0, 45.0)).split()
    ('square', ['saw', '45°'])
    """
    return " and ".join(dict.fromkeys(map(_end, ends)))


def saw(end: float) -> float:
    """What a saw is set to, 0 for a square cut, where an end stands at ``end`` degrees to the edge.

    >>> saw(60.0), saw(90.0)
    (30.0, 0.0)
    """
    return round(90.0 - end, 6)


def _end(angle: float) -> str:
    return SQUARE if angle == 90.0 else f"saw\xa0{saw(angle):.4g}°"
