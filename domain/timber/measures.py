"""How wood is measured where it is sold: by volume, by area, by the running metre; exact, rounded nowhere.

Volumes are counted in cm³. A board foot is a board one foot long, one foot wide and one inch thick, 144 in³: with
the inch of 25.4 mm exactly that is 2359.737216 cm³ exactly.
"""

from __future__ import annotations

from fractions import Fraction

from domain.lengths import NM_PER_INCH, NM_PER_MM, Length

_NM_PER_CM = 10 * NM_PER_MM
BOARD_FOOT = 144 * Fraction(NM_PER_INCH, _NM_PER_CM) ** 3
"""In cm³."""
CUBIC_METRE = 10**6
"""In cm³."""
FOOT = Fraction(12 * NM_PER_INCH, NM_PER_MM)
"""In mm."""


def volume(length: Length, width: Length, thickness: Length) -> Fraction:
    """The volume of a square piece in cm³.

    >>> volume(Length.from_mm(1000), Length.from_mm(200), Length.from_mm(27))
    Fraction(5400, 1)
    """
    return Fraction(length.nm * width.nm * thickness.nm, _NM_PER_CM**3)


def area(length: Length, width: Length) -> Fraction:
    """The face of a piece in m²."""
    return Fraction(length.nm * width.nm, (1000 * NM_PER_MM) ** 2)


def running_metres(length: Length) -> Fraction:
    """A length in m."""
    return Fraction(length.nm, 1000 * NM_PER_MM)


def cubic_metres(cm3: Fraction | int) -> Fraction:
    """A volume in m³."""
    return Fraction(cm3) / CUBIC_METRE


def board_feet(cm3: Fraction | int) -> Fraction:
    """A volume in board feet.

    >>> board_feet(volume(Length.from_mm(304.8), Length.from_mm(304.8), Length.from_mm(25.4)))
    Fraction(1, 1)
    """
    return Fraction(cm3) / BOARD_FOOT


def whole_cm3(cm3: Fraction) -> int:
    """What is to be had of a volume, in whole cm³: rounded up, so that it is never too little."""
    return -(-cm3.numerator // cm3.denominator)


def board_metres(cm3: Fraction, width: Length, thickness: Length) -> Fraction:
    """How many running metres of board of that mean width and thickness come to a volume.

    >>> board_metres(Fraction(5400), Length.from_mm(200), Length.from_mm(27))
    Fraction(1, 1)
    """
    return cm3 / volume(Length(1000 * NM_PER_MM), width, thickness)
