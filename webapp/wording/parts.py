"""Members and panels in words: their sizes and ends, the same on page, paper, label and terminal."""

from __future__ import annotations

from dataclasses import dataclass

from domain.lengths import Units
from domain.parts import Expansion, Member, Panel
from webapp.wording.figures import Figure, by, size

SQUARE = "square"
Part = Member | Panel


@dataclass(frozen=True, slots=True)
class PartWords:
    """A part: ``ends`` is "square", the angles of a member's ends, or "" for a panel.

    ``short`` is the length of the short side where an end is mitred.
    """

    mark: str
    name: str
    quantity: int
    length: Figure
    width: Figure
    thickness: Figure
    size: str
    ends: str
    short: Figure | None
    material: str
    panel: bool

    @property
    def shape(self) -> str:
        """Ends and short side where they are not square: "45°, short side 310 mm"."""
        return "" if self.short is None else f"{self.ends}, short side {self.short}"


def parts_of(expansion: Expansion) -> tuple[Part, ...]:
    """Everything that an assembly is made of: members, then panels."""
    return (*expansion.members, *expansion.panels)


def part_words(part: Part, units: Units) -> PartWords:
    """A part, worded in ``units``."""
    short = part.short_length if isinstance(part, Member) else None
    return PartWords(
        mark=part.mark,
        name=part.name,
        quantity=part.quantity,
        length=size(part.length, units),
        width=size(part.width, units),
        thickness=size(part.thickness, units),
        size=by(units, part.length, part.width, part.thickness),
        ends=ends(part) if isinstance(part, Member) else "",
        short=None if short is None else size(short, units),
        material=part.material or "",
        panel=isinstance(part, Panel),
    )


def ends(member: Member) -> str:
    """The angles of a member's ends: "square", "45°" for both, or one after the other."""
    if set(member.ends) == {90.0}:
        return SQUARE
    return " and ".join(dict.fromkeys(f"{angle:.4g}°" for angle in member.ends))
