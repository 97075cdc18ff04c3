"""Figures with their units: the one place that decides how fine a length is said, on every face alike.

Three kinds. A *size* is what is sawn, planed and laid out: 0.01 mm, or inches to 1/64. A figure *set* at
the machine is as fine as it is set: 0.01 mm, or a fraction of an inch where it is one and a thousandth where
a fraction would lie. A *fine* figure, such as a projection, is never a fraction: no scale shows one so fine.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from domain.lengths import Length, Mm, Units, format_inches, format_mm, inches_as_set


@dataclass(frozen=True, slots=True)
class Figure:
    """A length in words: ``bare`` for a column whose heading names the unit, as text with its unit."""

    bare: str
    units: Units

    def __str__(self) -> str:
        return f"{self.bare} {self.units.value}"

    @property
    def kept(self) -> str:
        """The figure with its unit, in one piece: no line ends within it."""
        return f"{self.bare}\xa0{self.units.value}".replace(" ", "\xa0")

    @property
    def drawn(self) -> str:
        """As drawings write it: plain millimetres, or inches with their sign."""
        return self.bare if self.units is Units.MM else f"{self.bare}″"


def size(mm: Mm | Length, units: Units) -> Figure:
    """A size of wood or of a face.

    >>> str(size(Mm(63.5), Units.MM)), str(size(Mm(63.5), Units.INCH)), size(Mm(63.5), Units.INCH).drawn
    ('63.5 mm', '2 1/2 in', '2 1/2″')
    """
    mm = _mm(mm)
    return Figure(format_mm(mm, 2) if units is Units.MM else format_inches(mm), units)


def as_set(mm: Mm | Length, units: Units) -> Figure:
    """What fence and stop are set to, where centres lie, how deep a slot runs.

    >>> str(as_set(Mm(16.5), Units.MM)), str(as_set(Mm(16.5), Units.INCH)), str(as_set(Mm(18.25625), Units.INCH))
    ('16.5 mm', '0.650 in', '23/32 in')
    """
    mm = _mm(mm)
    return Figure(format_mm(mm, 2) if units is Units.MM else inches_as_set(mm), units)


def fine(mm: Mm | Length, units: Units) -> Figure:
    """A projection, or a measure of key or cutter.

    >>> str(fine(Mm(6.1513), Units.MM)), str(fine(Mm(6.35), Units.INCH))
    ('6.15 mm', '0.250 in')
    """
    mm = _mm(mm)
    return Figure(format_mm(mm, 2) if units is Units.MM else f"{mm / 25.4:.3f}", units)


def listed(figures: Iterable[Figure]) -> str:
    """Figures one after the other, the unit said once.

    >>> listed([as_set(Mm(12.5), Units.MM), as_set(Mm(37.5), Units.MM)])
    '12.5, 37.5 mm'
    """
    found = list(figures)
    return ", ".join(figure.bare for figure in found) + f" {found[0].units.value}" if found else ""


def by(units: Units, *lengths: Length | Mm | None) -> str:
    """Sizes as one says them, with spaces that do not break so that a size stays on one line.

    >>> by(Units.MM, Length.from_mm(400), Length.from_mm(300)).split()
    ['400', '×', '300', 'mm']
    """
    sizes = (size(length, units).bare for length in lengths if length is not None)
    return "\xa0×\xa0".join(sizes).replace(" ", "\xa0") + f"\xa0{units.value}"


def _mm(length: Mm | Length) -> Mm:
    return length.mm if isinstance(length, Length) else length
