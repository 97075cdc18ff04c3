"""The part rows that schedule and member list share."""

from __future__ import annotations

from domain.lengths import Units
from domain.parts import Expansion, Member, Panel
from webapp.papers.pictures import Json
from webapp.wording.words import bare

ENDS_SQUARE = "square"


def part_rows(expansion: Expansion, units: Units) -> list[Json]:
    """Members, then panels: sizes as bare figures in ``units``."""
    return [_row(part, units) for part in parts_of(expansion)]


def parts_of(expansion: Expansion) -> tuple[Member | Panel, ...]:
    """Everything that an assembly is made of: members, then panels."""
    return (*expansion.members, *expansion.panels)


def _row(part: Member | Panel, units: Units) -> Json:
    short = part.short_length if isinstance(part, Member) else None
    return {
        "mark": part.mark,
        "name": part.name,
        "quantity": str(part.quantity),
        "length": bare(part.length, units),
        "width": bare(part.width, units),
        "thickness": bare(part.thickness, units),
        "ends": ends(part) if isinstance(part, Member) else "",
        "short": "" if short is None else bare(short, units),
        "material": part.material or "",
        "panel": isinstance(part, Panel),
    }


def ends(member: Member) -> str:
    """The angles of a member's ends: "square", "45°" for both, or one after the other."""
    if set(member.ends) == {90.0}:
        return ENDS_SQUARE
    return " and ".join(dict.fromkeys(f"{angle:.4g}°" for angle in member.ends))
