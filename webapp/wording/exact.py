"""Values as exact text, to be typed again without losing anything, and such text read back."""

from __future__ import annotations

import re
from decimal import Decimal

from domain.lengths import NM_PER_INCH, Length, Units, format_inches, format_mm
from domain.problem_codes import ProblemCode
from domain.problems import Refused
from domain.spec.catalogue import HIGHEST_PRICE
from webapp.wording.money import format_money, minor_places
from webapp.wording.problems import InputProblem

FINEST = 64
_NM_PER_64TH = NM_PER_INCH // FINEST
_LONGEST_NUMBER = 20
_WHOLE = re.compile(r"[+-]?\d{1,9}")
_UNITS = re.compile(r"\s*(?:pcs|pieces|days?|g)\.?$")
_MINUS = str.maketrans("−", "-")


def length_text(length: Length | None, units: Units) -> str:
    """The length as it can be typed again without losing anything; "" for none.

    Plain numbers are ``units``; what is no whole number of 64ths stands in mm also in an inch form.

    >>> length_text(Length.from_mm(98.425), Units.INCH), length_text(Length.from_mm(2), Units.INCH)
    ('3 7/8', '2 mm')
    """
    if length is None:
        return ""
    if units is Units.MM:
        return format_mm(length.mm, 6)
    return f"{format_mm(length.mm, 6)} mm" if length.nm % _NM_PER_64TH else format_inches(length.mm)


def exact_words(length: Length, units: Units) -> str:
    """The same to be read: with its unit, mm also in inches where it is no whole number of 64ths.

    >>> exact_words(Length.from_mm(98.425), Units.INCH), exact_words(Length.from_mm(2), Units.INCH)
    ('3 7/8 in', '2 mm')
    """
    return with_unit(length_text(length, units), units)


def with_unit(text: str, units: Units) -> str:
    """A length's exact text with its unit, where it says none."""
    return text if text.endswith(Units.MM.value) else f"{text} {units.value}"


def number_text(value: float, times: int = 1) -> str:
    """A plain number as it can be typed again; ``times`` 100 for a share shown in percent.

    >>> number_text(0.05, 100), number_text(200.0)
    ('5', '200')
    """
    text = f"{Decimal(repr(value)) * times:f}"
    return text.rstrip("0").rstrip(".") if "." in text else text


def price_text(minor: int | None, currency: str) -> str:
    """A price without its currency, as it can be typed again; "" for none.

    >>> price_text(1290, "EUR"), price_text(7, "JPY")
    ('12.90', '7')
    """
    if minor is None:
        return ""
    places = minor_places(currency)
    return f"{Decimal(minor).scaleb(-places):.{places}f}"


def parse_number(text: str) -> Decimal:
    """A plain number, with comma or point. Raises Refused."""
    plain = text.replace(",", ".").strip()
    digits = plain.removeprefix("-").replace(".", "", 1)
    if not (digits.isascii() and digits.isdigit()) or len(plain) > _LONGEST_NUMBER:
        raise Refused(InputProblem.NOT_A_NUMBER)
    return Decimal(plain)


def parse_price(text: str, currency: str) -> int:
    """A price in whole minor units. Raises Refused.

    >>> parse_price("0,12", "EUR"), parse_price("3 JPY", "JPY")
    (12, 3)
    """
    places = minor_places(currency)
    example = f"0.{'12'.ljust(places, '0')}" if places else "12"
    try:
        amount = parse_number(text.upper().removesuffix(currency))
    except ValueError:
        raise Refused(InputProblem.NOT_A_PRICE, currency_text=currency, example_text=example) from None
    minor = amount.scaleb(places)
    if minor < 0:
        raise Refused(ProblemCode.BELOW, bound_n=0)
    if minor != minor.to_integral_value():
        raise Refused(
            InputProblem.TOO_MANY_DECIMALS, currency_text=currency, places_n=places, example_text=example
        )
    if minor > HIGHEST_PRICE:
        raise Refused(InputProblem.PRICE_TOO_HIGH, most_text=format_money(HIGHEST_PRICE, currency))
    return int(minor)


def parse_count(text: str, *, signed: bool = False) -> int:
    """A whole number, with or without its unit. Raises Refused.

    >>> parse_count("1 200 pcs"), parse_count("−5", signed=True)
    (1200, -5)
    """
    plain = re.sub(r"\s", "", _UNITS.sub("", text.strip())).translate(_MINUS)
    example = "12 or -3" if signed else "12"
    if not plain:
        raise Refused(InputProblem.NEEDS_WHOLE, example_text=example)
    if not (plain.isascii() and _WHOLE.fullmatch(plain)) or (plain[0] in "+-" and not signed):
        raise Refused(InputProblem.NOT_WHOLE, example_text=example)
    return int(plain)
