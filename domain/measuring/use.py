"""What a key of a width is good for: a proposal for whoever knows no better, from the overall width alone.

The rule is common practice (no source), and a start: a shop that has driven its keys knows its own limits. The
thinnest stock holds the slot with a wall on each side; in stock of more than two and a half widths a larger key
holds better; a key drives about 3 3/4 widths deep before its flanks hold it, and pulls a joint shut over about
three.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from math import ceil, floor

from domain.lengths import NM_PER_INCH, NM_PER_MM, Length, Mm, Units

WALLS = Length.from_mm(4)
"""Wood beside the slot in the thinnest stock, both sides together."""
THICKEST, DRIVEN, REACHED = 2.5, 3.75, 3.0
"""The thickest stock, how deep a key drives and how far it reaches, in overall widths."""

_STEP = {Units.MM: NM_PER_MM, Units.INCH: NM_PER_INCH // 16}
"""How fine a proposal is: whole millimetres, or sixteenths of an inch."""


@dataclass(frozen=True, slots=True)
class ProposedUse:
    """What a section is proposed for."""

    stock_from: Length
    stock_to: Length
    drive_limit: Length
    reach_limit: Length


def proposed_use(
    overall_width: Mm | float,
    units: Units = Units.MM,
    *,
    stock_from: Length | None = None,
    stock_to: Length | None = None,
    lengths: Iterable[Length] = (),
) -> ProposedUse:
    """The use that is proposed for a key of ``overall_width`` mm, in round sizes of ``units``.

    What is known already holds the rest to it: stock goes from no more than ``stock_to`` to no less than
    ``stock_from``, and keys drive at least as deep as the longest of the ``lengths``.

    >>> use = proposed_use(11.2)
    >>> use.stock_from.mm, use.stock_to.mm, use.drive_limit.mm, use.reach_limit.mm
    (16.0, 28.0, 42.0, 33.0)
    """
    width, step = overall_width * NM_PER_MM, _STEP[units]
    thinnest, thickest = _up(width + WALLS.nm, step), _down(width * THICKEST, step)
    return ProposedUse(
        stock_from=thinnest if stock_to is None else min(thinnest, stock_to),
        stock_to=max(thinnest, thickest, stock_from or thickest),
        drive_limit=max([_down(width * DRIVEN, step), *lengths]),
        reach_limit=_down(width * REACHED, step),
    )


def _up(nm: float, step: int) -> Length:
    """The next round size that is no smaller; a hair does not make it one more."""
    return Length(max(1, ceil(nm / step - 1e-3)) * step)


def _down(nm: float, step: int) -> Length:
    return Length(max(1, floor(nm / step + 1e-3)) * step)
