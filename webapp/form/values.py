"""Texts of a form read into values, with a sentence for each that cannot be used; and values as exact text."""

from __future__ import annotations

from collections.abc import Mapping
from decimal import Decimal
from uuid import uuid4

from domain.lengths import (
    HOW_TO_WRITE,
    NM_PER_INCH,
    Length,
    LengthError,
    Units,
    format_inches,
    format_mm,
    parse_length,
)
from webapp.store.catalogue import HIGHEST_PRICE
from webapp.wording.money import format_money, minor_places

FINEST = 64
_NM_PER_64TH = NM_PER_INCH // FINEST
_LONGEST_NUMBER = 20


def new_token() -> str:
    """A fresh token for a form, by which it books once however often it is sent."""
    return uuid4().hex


def sent_version(text: str) -> int:
    """The row's version that a form carried; 0, which is no row's, where it carried none."""
    return int(text) if text.isascii() and text.isdigit() and len(text) < 10 else 0


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
    """A plain number, with comma or point. Raises ValueError with a sentence."""
    plain = text.replace(",", ".").strip()
    digits = plain.removeprefix("-").replace(".", "", 1)
    if not (digits.isascii() and digits.isdigit()) or len(plain) > _LONGEST_NUMBER:
        raise ValueError("not a number; write one such as 12 or 0,5")
    return Decimal(plain)


def parse_price(text: str, currency: str) -> int:
    """A price in whole minor units. Raises ValueError with a sentence.

    >>> parse_price("0,12", "EUR"), parse_price("3 JPY", "JPY")
    (12, 3)
    """
    places = minor_places(currency)
    example = f"0.{'12'.ljust(places, '0')}" if places else "12"
    try:
        amount = parse_number(text.upper().removesuffix(currency))
    except ValueError:
        raise ValueError(f"not a price in {currency}; write one such as {example}") from None
    minor = amount.scaleb(places)
    if minor < 0:
        raise ValueError("must be 0 or more")
    if minor != minor.to_integral_value():
        raise ValueError(f"{currency} has {places} decimals; write a price such as {example}")
    if minor > HIGHEST_PRICE:
        raise ValueError(f"must be at most {format_money(HIGHEST_PRICE, currency)}")
    return int(minor)


class Fields:
    """A form's texts, read one by one; ``errors`` has a sentence for each that cannot be used."""

    def __init__(self, texts: Mapping[str, str], units: Units) -> None:
        self.texts = texts
        self.units = units
        self.errors: dict[str, str] = {}

    def missing(self, name: str) -> bool:
        """Whether nothing was typed."""
        return not self.texts.get(name, "")

    def text(self, name: str, needed: str) -> str:
        """The text; where there is none, ``needed`` becomes the field's error."""
        if self.missing(name):
            self.errors[name] = needed
        return self.texts.get(name, "")

    def length(self, name: str, *, optional: bool = False, zero: bool = False) -> Length | None:
        """The length; None where there is none, which is an error unless ``optional``."""
        if self.missing(name):
            if not optional:
                self.errors[name] = f"needs {HOW_TO_WRITE}"
            return None
        try:
            length = parse_length(self.texts[name], self.units)
        except LengthError as error:
            self.errors[name] = str(error)
            return None
        if length.nm < 0 or (length.nm == 0 and not zero):
            self.errors[name] = "must be 0 or more" if zero else "must be more than 0"
            return None
        return length

    def number(self, name: str) -> Decimal | None:
        """The plain number; None where there is none or it cannot be read."""
        if self.missing(name):
            return None
        try:
            return parse_number(self.texts[name])
        except ValueError as error:
            self.errors[name] = str(error)
            return None

    def price(self, name: str, currency: str) -> int | None:
        """The price in minor units; None where there is none or it cannot be read."""
        if self.missing(name):
            return None
        try:
            return parse_price(self.texts[name], currency)
        except ValueError as error:
            self.errors[name] = str(error)
            return None
