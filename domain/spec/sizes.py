"""Sizes as an order lists them: one thing to be made a line, such as ``415x315*3``, read into exact lengths.

A line is parted into cells. Tabs part it, where there are none semicolons, and where there are none commas, save
a comma with a digit on either side and no space: that is a decimal comma. So "41,5x30, 2" is 41.5 by 30, twice.

* The sizes stand in the first cell with a sign of times between them (x, ×, *by*), or one in each of the first
  cells, as a block pasted from a spreadsheet has them. A size is whatever ``domain.lengths`` reads.
* A unit said once goes for all sizes of its line that say none; a fraction says inches. Where a line says two
  units, every size must say its own.
* How many follows a ``*``, or stands in the next cell, alone or as "2 off", "2 pcs"; nothing said is one.
* A name stands last. A first line without a single figure is a heading, and passed over.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from domain.lengths import Length, Units
from domain.problem_codes import ProblemCode
from domain.problems import Problem, Refused
from domain.spec.units_said import length_above_zero, with_units

MOST_LINES = 100
"""Things to be made that one text may list."""
MOST_OF_ONE = 10_000
LONGEST_LINE = 300
LONGEST_NAME = 120
Axes = tuple[str, ...]
"""What the sizes of a line are called, in their order: width and height of a frame, say."""

_TIMES = re.compile(r"\s*(?:[x×]|\bby\b)\s*", re.IGNORECASE)
_QUOTED = re.compile(r'"(?P<said>(?:[^"]|"")*)"')
_STARRED = re.compile(r"(?P<sizes>[^*]*)\*(?P<many>[^*]*)")
_OFF = re.compile(r"(?P<many>[-+]?\d[\d.,]*)\s*(?:off|pcs\.?|pieces?)?", re.IGNORECASE)
_SIZES_OFF = re.compile(r"(?P<sizes>.*\S)\s+(?P<many>\d+)\s*(?:off|pcs\.?|pieces?)", re.IGNORECASE)
_PARTING_COMMA = re.compile(r",(?!\d)|(?<!\d),")


@dataclass(frozen=True, slots=True)
class SizesLine:
    """A line that was read: ``sizes`` as the axes have them; ``quantity`` and ``name`` None where not said."""

    number: int
    text: str
    sizes: tuple[Length, ...]
    quantity: int | None = None
    name: str | None = None


@dataclass(frozen=True, slots=True)
class BadLine:
    """A line that says no sizes: its number in the text, from 1, what stands in it, and what would work."""

    number: int
    text: str
    problem: Problem


Line = SizesLine | BadLine


def read_sizes(text: str, axes: Axes, units: Units) -> tuple[Line, ...]:
    """Every line of the text that is not blank, read or refused; plain numbers are ``units``.

    Never raises. A text of more than MOST_LINES lines ends with the refusal of the first one too many.

    >>> [line.sizes[0].mm for line in read_sizes("415x315*3", ("width", "height"), Units.MM)]
    [415.0]
    """
    found: list[Line] = []
    for number, line in _written(text):
        if len(found) == MOST_LINES:
            refused = Refused(ProblemCode.SIZES_TOO_MANY, most_n=MOST_LINES)
            return (*found, BadLine(number, line, refused.at(("sizes", number), line)))
        try:
            found.append(_line(number, line, axes, units))
        except Refused as refusal:
            found.append(BadLine(number, line, refusal.at(("sizes", number), line)))
    return tuple(found)


def _written(text: str) -> Iterator[tuple[int, str]]:
    """The lines that say something, with their numbers; without a heading."""
    lines = [(number, line) for number, line in enumerate(text.splitlines(), start=1) if line.strip()]
    heading = len(lines) > 1 and not any(sign.isnumeric() for sign in lines[0][1])
    return iter(lines[1:] if heading else lines)


def _line(number: int, line: str, axes: Axes, units: Units) -> SizesLine:
    if len(line) > LONGEST_LINE:
        raise Refused(ProblemCode.TEXT_TOO_LONG, most_n=LONGEST_LINE)
    first, *rest = _cells(line)
    first, many = _counted(first)
    sizes = _TIMES.split(first)
    if len(sizes) == 1 and many is None:
        sizes, rest = [first, *rest[: len(axes) - 1]], rest[len(axes) - 1 :]
    if len(sizes) != len(axes) or not all(sizes):
        there = sum(map(bool, sizes))
        raise Refused(
            ProblemCode.SIZES_COUNT,
            axes_text=" × ".join(axes),
            there_text="1 size" if there == 1 else f"{there} sizes",
            example_text="x".join(_EXAMPLE[-len(axes) :]),
        )
    off = _OFF.fullmatch(rest[0]) if rest else None
    if off is not None:
        if many is not None:
            raise Refused(ProblemCode.SIZES_MORE)
        many, rest = off["many"], rest[1:]
    return SizesLine(number, line, _lengths(sizes, units), None if many is None else _whole(many), _name(rest))


_EXAMPLE = ("520", "365", "240")


def _cells(line: str) -> list[str]:
    """The line's cells without outer spaces, the empty ones at its end left out; one at least."""
    parted = next((line.split(sign) for sign in ("\t", ";") if sign in line), None) or _PARTING_COMMA.split(line)
    cells = [" ".join(_unquoted(cell).split()) for cell in parted]
    while len(cells) > 1 and not cells[-1]:
        cells.pop()
    return cells


def _unquoted(cell: str) -> str:
    """What a cell says that a spreadsheet put in quotes for what is in it; quotes in it are doubled."""
    found = _QUOTED.fullmatch(cell.strip())
    return cell if found is None else found["said"].replace('""', '"')


def _counted(cell: str) -> tuple[str, str | None]:
    """What stands before "*3" or "3 off", and how many that says; None where neither stands there."""
    found = _STARRED.fullmatch(cell) or _SIZES_OFF.fullmatch(cell)
    return (cell, None) if found is None else (found["sizes"].strip(), found["many"].strip())


def _whole(many: str) -> int:
    if not (many.isascii() and many.isdecimal() and len(many) <= 5 and 1 <= int(many) <= MOST_OF_ONE):
        raise Refused(ProblemCode.SIZES_HOW_MANY, many_text=many, most_n=MOST_OF_ONE)
    return int(many)


def _name(rest: Sequence[str]) -> str | None:
    said = [cell for cell in rest if cell]
    if len(said) > 1:
        raise Refused(ProblemCode.SIZES_MORE)
    if said and len(said[0]) > LONGEST_NAME:
        raise Refused(ProblemCode.TEXT_TOO_LONG, most_n=LONGEST_NAME)
    return said[0] if said else None


def _lengths(sizes: Sequence[str], units: Units) -> tuple[Length, ...]:
    """The sizes, each more than nothing; those without a unit in the one that the others say."""
    return tuple(length_above_zero(size, units) for size in with_units(sizes))
