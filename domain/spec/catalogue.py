"""Key sections and their cutters, as measured with calipers or read off the packet."""

from __future__ import annotations

from collections.abc import Iterator
from enum import StrEnum
from math import radians, tan
from typing import Annotated

from pydantic import Field

from domain.lengths import Length
from domain.problems import Problem
from domain.spec.fields import Name, Number, Size, Spec

TENTH_OF_MM = 100_000
SIXTY_FOURTH = 396_875
"""Key lengths lie on one of these grids (nm): finer is no length one can buy, and stacks stay countable."""
HIGHEST_PRICE = 10**9
"""Of one key or plug, in minor units: a price beyond it is a slip of the pen."""


class CutterKind(StrEnum):
    """Which of a section's two cutters."""

    STANDARD = "standard"
    OVERSIZE = "oversize"


class Section(Spec):
    """A key's cross-section, the cutters that suit it, its stock lengths and the stock it is meant for.

    ``waist`` is the width at the joint line, ``half_depth`` how far the key reaches into each part,
    ``flank`` the flank's angle in degrees from the normal to the face.
    """

    name: Name
    waist: Size
    half_depth: Size
    flank: Annotated[Number, Field(gt=0, le=45)]
    tip_diameter: Size
    oversize_tip_diameter: Size | None = None
    lengths: Annotated[tuple[Size, ...], Field(min_length=1, max_length=16)]
    drive_limit: Size
    stock_from: Size
    stock_to: Size
    reach_limit: Size = Length.from_mm(40)

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
        return self.tip_diameter if cutter is CutterKind.STANDARD else self.oversize_tip_diameter


def check_section(section: Section) -> Iterator[Problem]:
    """Numbers that cannot belong to one key and its cutters."""
    if section.tip_diameter <= section.waist:
        yield Problem(
            ("tip_diameter",),
            section.tip_diameter.mm,
            f"must be more than the waist, {section.waist.mm:g} mm",
        )
    oversize = section.oversize_tip_diameter
    if oversize is not None and oversize <= section.tip_diameter:
        yield Problem(
            ("oversize_tip_diameter",),
            oversize.mm,
            f"must be more than the standard cutter's {section.tip_diameter.mm:g} mm",
        )
    if section.stock_to < section.stock_from:
        yield Problem(("stock_to",), section.stock_to.mm, f"must be {section.stock_from.mm:g} mm or more")
    if len(set(section.lengths)) != len(section.lengths):
        yield Problem(("lengths",), [length.mm for length in section.lengths], "each length once")
    for index, length in enumerate(section.lengths):
        if length.mm < 3:
            yield Problem(("lengths", index), length.mm, "a key is at least 3 mm long")
        if length.nm % TENTH_OF_MM and length.nm % SIXTY_FOURTH:
            yield Problem(("lengths", index), length.mm, "write key lengths to 0.1 mm or 1/64 in")


class Plug(Spec):
    """A wooden accent filler over a recessed key: its wood and its height."""

    material: Name
    height: Size
