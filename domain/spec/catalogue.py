"""Key sections and their cutters, as measured with calipers or read off the packet."""

from __future__ import annotations

from collections.abc import Iterator
from enum import StrEnum
from math import radians, tan
from typing import Annotated

from pydantic import Field

from domain.lengths import Length, format_mm
from domain.problem_codes import ProblemCode
from domain.problems import Problem
from domain.spec.fields import Name, Number, Size, Spec

TENTH_OF_MM = 100_000
SIXTY_FOURTH = 396_875
"""Key lengths lie on one of these grids (nm): finer is no length one can buy, and stacks stay countable."""
HIGHEST_PRICE = 10**9
"""Of one key or plug, in minor units: a price beyond it is a slip of the pen."""


SHORTEST_KEY = Length.from_mm(3)


class CutterKind(StrEnum):
    """Which of a section's two cutters, after the words of limits and fits.

    >>> CutterKind.FREE.words
    'free-fit'
    """

    CLOSE = "close"
    FREE = "free"

    @property
    def words(self) -> str:
        """What people read, before "cutter"."""
        return f"{self.value}-fit"


class KeyEnd(StrEnum):
    """How a key's leading end is shaped, the one that is driven in first.

    >>> KeyEnd.SQUARE.words
    'square end'
    """

    ROUND = "round"
    SQUARE = "square"

    @property
    def words(self) -> str:
        """What people read beside the keys."""
        return f"{self.value} end"


class Section(Spec):
    """A key's cross-section, the cutters that suit it, its stock lengths and the stock it is meant for.

    ``waist`` is the width at the joint line, ``half_depth`` how far the key reaches into each part,
    ``flank`` the flank's angle in degrees from the normal to the face, ``end`` the shape of the leading end:
    round unless the keys say otherwise, common practice (no source).
    """

    name: Name
    waist: Size
    half_depth: Size
    flank: Annotated[Number, Field(gt=0, le=45)]
    tip_diameter: Size
    free_tip_diameter: Size | None = None
    lengths: Annotated[tuple[Size, ...], Field(min_length=1, max_length=16)]
    drive_limit: Size
    stock_from: Size
    stock_to: Size
    reach_limit: Size = Length.from_mm(40)
    end: KeyEnd = KeyEnd.ROUND

    @property
    def slope(self) -> float:
        """Tangent of the flank angle: half the width gained per millimetre of depth."""
        return tan(radians(self.flank))

    @property
    def overall_width(self) -> float:
        """A = a + 2·h·tan θ, in mm."""
        return self.waist.mm + 2 * self.half_depth.mm * self.slope

    def tip(self, cutter: CutterKind) -> Length | None:
        """The tip diameter of a cutter of this section; None where there is no such cutter."""
        return self.tip_diameter if cutter is CutterKind.CLOSE else self.free_tip_diameter


def check_section(section: Section) -> Iterator[Problem]:
    """Numbers that cannot belong to one key and its cutters."""
    if section.tip_diameter <= section.waist:
        yield Problem.of(
            ("tip_diameter",),
            section.tip_diameter.mm,
            ProblemCode.NOT_MORE_THAN,
            what_text="the waist",
            least=section.waist.mm,
        )
    free = section.free_tip_diameter
    if free is not None and free <= section.tip_diameter:
        yield Problem.of(("free_tip_diameter",), free.mm, ProblemCode.NOT_FREE_FIT, close=section.tip_diameter.mm)
    if section.stock_to < section.stock_from:
        yield Problem.of(("stock_to",), section.stock_to.mm, ProblemCode.TOO_SMALL, least=section.stock_from.mm)
    if len(set(section.lengths)) != len(section.lengths):
        yield Problem.of(("lengths",), [length.mm for length in section.lengths], ProblemCode.LENGTH_TWICE)
    for index, length in enumerate(section.lengths):
        if length < SHORTEST_KEY:
            yield Problem.of(("lengths", index), length.mm, ProblemCode.KEY_TOO_SHORT, least=SHORTEST_KEY.mm)
        if length.nm % TENTH_OF_MM and length.nm % SIXTY_FOURTH:
            yield Problem.of(("lengths", index), length.mm, ProblemCode.KEY_LENGTH_TOO_FINE)


class Plug(Spec):
    """A wooden accent filler over a recessed key: its wood and its height."""

    material: Name
    height: Size


def key_item(section: str, length: float) -> str:
    """A key by its trade name.

    >>> key_item("14", 16.0)
    '14 × 16'
    """
    return f"{section} × {format_mm(length)}"
