"""Texts of a form read into values, with a sentence for each that cannot be used; and values as exact text."""

from __future__ import annotations

from collections.abc import Mapping
from decimal import Decimal
from uuid import uuid4

from domain.lengths import HOW_TO_WRITE, Length, LengthError, Units, parse_length
from domain.problems import Refused
from webapp.wording.exact import parse_number, parse_price
from webapp.wording.letters import check_letters


def new_token() -> str:
    """A fresh token for a form, by which it books once however often it is sent."""
    return uuid4().hex


def sent_version(text: str) -> int:
    """The row's version that a form carried; 0, which is no row's, where it carried none."""
    return int(text) if text.isascii() and text.isdigit() and len(text) < 10 else 0


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
        text = self.texts.get(name, "")
        try:
            check_letters(text)
        except Refused as refused:
            self.errors[name] = str(refused)
        return text

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
