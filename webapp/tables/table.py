"""What a table is: columns with what they hold, rows of cells, whatever file it is written as."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from decimal import Decimal
from enum import Enum

from domain.lengths import Units
from webapp.wording.money import minor_places

PLACES = 4
"""Decimals of a length: a tenth of a micrometre, or a ten-thousandth of an inch."""


class Kind(Enum):
    """What a column holds: words, a plain number, a length in the project's units, or a count."""

    TEXT = "text"
    NUMBER = "number"
    LENGTH = "length"
    COUNT = "count"


@dataclass(frozen=True, slots=True)
class Column:
    """A column: ``unit`` is said in the heading, "" where there is none."""

    heading: str
    kind: Kind
    unit: str = ""

    @property
    def title(self) -> str:
        """The heading with its unit."""
        return f"{self.heading} ({self.unit})" if self.unit else self.heading


Cell = str | float | None
"""Words, a number, or None for an empty cell."""


@dataclass(frozen=True, slots=True)
class Table:
    """A table: every row has a cell for every column."""

    heading: str
    units: Units
    columns: tuple[Column, ...]
    rows: tuple[tuple[Cell, ...], ...]


def length(mm: float, units: Units) -> float:
    """A length as the project's number.

    >>> length(63.63961031, Units.MM), length(63.63961031, Units.INCH)
    (63.6396, 2.5055)
    """
    return round(mm if units is Units.MM else mm / 25.4, PLACES)


def money(minor: int, currency: str) -> float:
    """An amount in whole minor units as the currency's number.

    >>> money(1290, "EUR"), money(1290, "JPY")
    (12.9, 1290.0)
    """
    return float(Decimal(minor).scaleb(-minor_places(currency)))


def texts(*headings: str) -> Iterator[Column]:
    """Columns of words."""
    return (Column(heading, Kind.TEXT) for heading in headings)


def lengths(units: Units, *headings: str) -> Iterator[Column]:
    """Columns of lengths in ``units``."""
    return (Column(heading, Kind.LENGTH, units.value) for heading in headings)
