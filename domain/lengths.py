"""Lengths: whole nanometres, so that millimetres and 64ths of an inch are both exact.

1 in = 25.4 mm exactly (international yard and pound agreement of 1 July 1959), hence
1/64 in = 396 875 nm without remainder.
"""

from __future__ import annotations

import re
import unicodedata
from dataclasses import dataclass
from decimal import ROUND_HALF_EVEN, Decimal
from enum import StrEnum
from fractions import Fraction
from functools import lru_cache
from typing import NewType

NM_PER_MM = 1_000_000
NM_PER_INCH = 25_400_000
NM_PER_FOOT = 12 * NM_PER_INCH
LARGEST_MM = 100_000


Mm = NewType("Mm", float)
"""Millimetres as a float: what a length has become once it has met an angle. Exact lengths are ``Length``."""


class Units(StrEnum):
    """The units that a project is shown in."""

    MM = "mm"
    INCH = "in"


@dataclass(frozen=True, order=True, slots=True)
class Length:
    """A length, exact to the nanometre.

    >>> Length.from_mm(12.5) + Length.from_mm(4)
    Length(nm=16500000)
    >>> Length.from_mm(25.4).mm
    25.4
    """

    nm: int

    @classmethod
    def from_mm(cls, mm: float | Decimal | Fraction) -> Length:
        """Nearest whole nanometre to ``mm`` millimetres."""
        return cls(round(mm * NM_PER_MM))

    @property
    def mm(self) -> Mm:
        """The length in millimetres."""
        return Mm(self.nm / NM_PER_MM)

    def __add__(self, other: Length) -> Length:
        return Length(self.nm + other.nm)

    def __sub__(self, other: Length) -> Length:
        return Length(self.nm - other.nm)

    def __mul__(self, times: int) -> Length:
        return Length(self.nm * times)

    def __bool__(self) -> bool:
        return self.nm != 0


ZERO = Length(0)

HOW_TO_WRITE = 'a length such as 12.5, "12,5 mm", "3 7/8 in" or 7/8"'


class LengthError(ValueError):
    """Text or a number that is no length; ``value`` is what was given."""

    def __init__(self, value: object) -> None:
        self.value = value
        super().__init__(f"not a length; write {HOW_TO_WRITE}")


_NM_PER = {
    "mm": NM_PER_MM,
    "cm": 10 * NM_PER_MM,
    "m": 1000 * NM_PER_MM,
    **dict.fromkeys(("in", "inch", "inches", '"'), NM_PER_INCH),
}
_IMPERIAL = frozenset(mark for mark, nm in _NM_PER.items() if nm == NM_PER_INCH)
_LENGTH = re.compile(
    r"""(?P<sign>-)?\s*
    (?: (?P<feet>\d{1,5}) \s* (?:'|ft\.?|feet|foot) \s* )?
    (?: (?P<whole>\d{1,7}) (?:\s+|\s*-\s*) (?P<num>\d{1,4}) / (?P<den>\d{1,4})
      | (?P<num_only>\d{1,4}) / (?P<den_only>\d{1,4})
      | (?P<decimal>\d{1,7}(?:\.\d{0,9})?|\.\d{1,9}) )
    \s* (?P<mark>mm|cm|m|inches|inch|in\.?|")?""",
    re.VERBOSE,
)
_FEET = re.compile(r"(?P<sign>-)?\s*(?P<feet>\d{1,5}(?:\.\d{0,9})?)\s*(?:'|ft\.?|feet|foot)")
LONGEST = 40
"""Letters that a length is written in, at most."""
_VULGAR = re.compile("[\u00bc-\u00be\u2150-\u215e]")
"""Fractions of one sign: ¼ ½ ¾ and ⅐ to ⅞, which Unicode takes apart (NFKC)."""


def _plain(text: str) -> str:
    """Fold the ways people write the same thing: decimal comma, quote marks, one-sign fractions."""
    text = _VULGAR.sub(lambda sign: " " + unicodedata.normalize("NFKC", sign[0]), text)
    for quote in ("′", "’"):
        text = text.replace(quote, "'")
    for quote in ("″", "”", "''"):
        text = text.replace(quote, '"')
    return text.replace("⁄", "/").replace(",", ".").strip().lower()


def parse_length(value: object, unmarked: Units = Units.MM) -> Length:
    """A length from a number (always millimetres) or from text.

    Text without a unit is ``unmarked``, except that a fraction is always inches: nobody writes
    fractions of a millimetre, and what follows feet. Raises LengthError for anything else, and beyond 100 m.

    >>> parse_length("3 7/8 in").mm
    98.425
    >>> parse_length("12,5 mm").mm
    12.5
    >>> parse_length("7/8").mm
    22.225
    >>> parse_length("1'4 1/2").mm, parse_length("40cm").mm
    (419.1, 400.0)
    """
    if isinstance(value, Length):
        return value
    if isinstance(value, bool) or not isinstance(value, int | float | str):
        raise LengthError(value)
    if isinstance(value, str):
        if len(value) > LONGEST:
            raise LengthError(value)
        length = _parse_text(value, unmarked)
    else:
        if not abs(value) <= LARGEST_MM:  # also catches NaN
            raise LengthError(value)
        # str() gives the shortest decimal, so 0.1 is a tenth and not its binary neighbour
        length = Length.from_mm(Decimal(str(value)))
    if abs(length.nm) > LARGEST_MM * NM_PER_MM:
        raise LengthError(value)
    return length


# with every key press in a form all its other fields are read again
@lru_cache(maxsize=2_000)
def _parse_text(text: str, unmarked: Units) -> Length:
    plain = _plain(text)
    whole_feet = _FEET.fullmatch(plain)
    if whole_feet is not None:
        return _signed(whole_feet["sign"], Fraction(Decimal(whole_feet["feet"])) * NM_PER_FOOT)
    found = _LENGTH.fullmatch(plain)
    if found is None:
        raise LengthError(text)
    mark = (found["mark"] or "").rstrip(".")
    feet = int(found["feet"] or 0)
    if found["decimal"]:
        amount = Fraction(Decimal(found["decimal"]))
        mark = mark or ("in" if found["feet"] else unmarked.value)
    else:
        denominator = int(found["den"] or found["den_only"])
        if denominator == 0:
            raise LengthError(text)
        amount = int(found["whole"] or 0) + Fraction(int(found["num"] or found["num_only"]), denominator)
        mark = mark or "in"
    if mark not in _IMPERIAL and not (found["decimal"] and found["feet"] is None):
        raise LengthError(text)
    return _signed(found["sign"], amount * _NM_PER[mark] + feet * NM_PER_FOOT)


def _signed(sign: str | None, nm: Fraction) -> Length:
    return Length(round(-nm if sign else nm))


def format_mm(mm: float, places: int = 3) -> str:
    """Millimetres with at most ``places`` decimals and no trailing zeros.

    >>> format_mm(16.5), format_mm(46.000), format_mm(6.1513)
    ('16.5', '46', '6.151')
    """
    rounded = Decimal(repr(mm)).quantize(Decimal(1).scaleb(-places), ROUND_HALF_EVEN)
    text = f"{rounded:f}"
    text = text.rstrip("0").rstrip(".") if "." in text else text
    return "0" if text == "-0" else text


def format_inches(mm: float, finest: int = 64) -> str:
    """Inches as a mixed fraction, to the nearest 1/``finest``.

    >>> format_inches(98.425), format_inches(22.225), format_inches(50.8)
    ('3 7/8', '7/8', '2')
    """
    parts = round(Fraction(Decimal(repr(mm))) * finest / Fraction(254, 10))
    sign, parts = ("-", -parts) if parts < 0 else ("", parts)
    whole, rest = divmod(parts, finest)
    if not rest:
        return f"{sign}{whole}"
    fraction = Fraction(rest, finest)
    text = f"{fraction.numerator}/{fraction.denominator}"
    return f"{sign}{whole} {text}" if whole else f"{sign}{text}"


SET_SLIP = 0.02
"""How far a figure may lie from a 64th of an inch, in 64ths (0.008 mm), and still be written as one."""


def inches_as_set(mm: float) -> str:
    """Inches as they are set at a machine: a fraction where it is one, a thousandth where that would lie.

    >>> inches_as_set(18.25625), inches_as_set(16.5)
    ('23/32', '0.650')
    """
    parts = mm / 25.4 * 64
    return format_inches(mm) if abs(parts - round(parts)) <= SET_SLIP else f"{mm / 25.4:.3f}"


def format_set(mm: float, units: Units) -> str:
    """A figure with its unit, as it is set at a machine: ``"16.5 mm"``, ``"23/32 in"`` or ``"0.650 in"``."""
    return f"{format_mm(mm, 2)} mm" if units is Units.MM else f"{inches_as_set(mm)} in"


def format_fine(mm: float, units: Units) -> str:
    """A machine figure with its unit: mm to 0.01, inches to a thousandth (no fraction is so fine)."""
    if units is Units.MM:
        return f"{format_mm(mm, 2)} mm"
    return f"{mm / 25.4:.3f} in"


def format_length(mm: float, units: Units) -> str:
    """A length with its unit, in the project's units: ``"16.5 mm"`` or ``"3 7/8 in"``."""
    return f"{format_mm(mm, 2)} mm" if units is Units.MM else f"{format_inches(mm)} in"


def format_share(share: float) -> str:
    """A share as percent, to the tenth: the one way in which a share is said.

    >>> format_share(60 / 380), format_share(0.8)
    ('15.8 %', '80 %')
    """
    return f"{format_mm(100 * share, 1)} %"
