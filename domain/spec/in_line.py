"""Rows, columns, shelves and partitions as somebody says them in one line, and that line written again.

What is listed is parted by commas, semicolons or line ends. A comma with a digit on either side and no space is
a decimal comma, and refused before three digits, where two lengths are as likely meant: "300,600".

* Rows of a railed frame, from the top: ``150, rest``. What stands beside each other in a row follows in brackets,
  from the left: ``150 (200, rest, 200), rest``. Columns from the left, with what lies in each from the top.
* Shelves by their height, partitions by their distance from the left: ``300, 600``. A shelf may say its bay, and
  either how far it is set back: ``300 in bay 2, 600 set back 20``.

A unit said once goes for all lengths of the line that say none.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass
from enum import StrEnum
from typing import Any

from domain.lengths import HOW_TO_WRITE, Length, LengthError, Units, parse_length
from domain.problem_codes import ProblemCode
from domain.problems import Refused
from domain.spec.assemblies import REST, Column, Partition, Row, Shelf
from domain.spec.units_said import unit_of, with_units

LONGEST = 2_000
"""Letters of one line."""


class InLine(StrEnum):
    """What can be listed in one line, by the spec's field of it."""

    ROWS = "rows"
    COLUMNS = "columns"
    SHELVES = "shelves"
    PARTITIONS = "partitions"

    @property
    def item(self) -> str:
        """What one of them is called."""
        return {InLine.ROWS: "row", InLine.COLUMNS: "column", InLine.SHELVES: "shelf"}.get(self, "partition")


Listed = Sequence[Row] | Sequence[Column] | Sequence[Shelf] | Sequence[Partition]
_PARTING = re.compile(r"[;\n\t]|,(?!\d)|(?<!\d),")
_ONE_OR_TWO = re.compile(r"(\d+),(\d{3,})")
_ROW = re.compile(r"(?P<opening>[^()]*)(?:\((?P<inner>[^()]*)\))?\s*")
_SHELF = re.compile(
    r"(?P<at>.+?)(?:\s+(?:in\s+)?bay\s+(?P<bay>\S+))?(?:\s+(?:set\s+)?back\s+(?P<setback>.+))?", re.IGNORECASE
)
_INNER = {InLine.ROWS: "columns", InLine.COLUMNS: "rows"}
"""How the spec calls the openings within."""


def read_in_line(kind: InLine, text: str, units: Units) -> list[Any]:
    """What the line lists, as a project file does; plain numbers are ``units``.

    Bounds are left to the spec. Raises Refused with the place, "row 2", and what would work.

    >>> read_in_line(InLine.SHELVES, "300, 600 in bay 2", Units.MM)[1]["bay"]
    2
    """
    if len(text) > LONGEST:
        raise Refused(ProblemCode.TEXT_TOO_LONG, most_n=LONGEST)
    if kind in _INNER:
        return _rows(kind, text, units)
    return _shelves(kind, text, units)


def in_line_text(kind: InLine, listed: Listed, word: Callable[[Length], str]) -> str:
    """The line that reads back as the same; ``word`` writes a length, with its unit or as a plain number."""
    items = [_row_words(each) if isinstance(each, Row | Column) else _shelf_words(each) for each in listed]
    lengths = [part for parts in items for part in parts if isinstance(part, Length)]
    said = {length: word(length) for length in lengths}
    if any(" mm" in text for text in said.values()):
        # a unit that is said once would go for those that are plain numbers of another
        said = {length: text if unit_of(text) else f"{text} in" for length, text in said.items()}
    return ", ".join(
        "".join(said[part] if isinstance(part, Length) else part for part in parts) for parts in items
    )


@dataclass(frozen=True, slots=True)
class _Said:
    """A length's text, and where it stands: "row 2"."""

    place: str
    text: str


def _rows(kind: InLine, text: str, units: Units) -> list[Any]:
    rows: list[tuple[_Said, list[_Said]]] = []
    for number, item in enumerate(_parted(text), start=1):
        place = f"{kind.item} {number}"
        found = _ROW.fullmatch(item)
        if found is None:
            raise Refused(ProblemCode.IN_LINE_BRACKETS, place_text=place, size_text=item)
        inner = [
            _Said(f"{place}, opening {beside}", each)
            for beside, each in enumerate(_parted(found["inner"] or ""), start=1)
        ]
        rows.append((_Said(place, found["opening"].strip()), inner))
    lengths = iter(_openings([each for row, inner in rows for each in (row, *inner)], units))
    made: list[Any] = []
    for _, inner in rows:
        row: dict[str, Any] = {"opening": next(lengths)}
        if inner:
            row[_INNER[kind]] = [next(lengths) for _ in inner]
        made.append(row)
    return made


def _shelves(kind: InLine, text: str, units: Units) -> list[Any]:
    made: list[Any] = []
    said: list[_Said] = []
    for number, item in enumerate(_parted(text), start=1):
        place = f"{kind.item} {number}"
        found = _SHELF.fullmatch(" ".join(item.split()))
        assert found is not None  # what is not blank has a letter that may be its height
        shelf: dict[str, Any] = {"at": None}
        said.append(_Said(place, found["at"]))
        if found["bay"] is not None:
            shelf["bay"] = _bay(kind, place, found["bay"])
        if found["setback"] is not None:
            shelf["setback"] = None
            said.append(_Said(place, found["setback"]))
        made.append(shelf)
    lengths = iter(_lengths(said, units))
    for shelf in made:
        shelf.update({name: next(lengths) for name in ("at", "setback") if name in shelf})
    return [shelf["at"] if len(shelf) == 1 else shelf for shelf in made]


def _bay(kind: InLine, place: str, text: str) -> int:
    if kind is not InLine.SHELVES:
        raise Refused(
            ProblemCode.IN_LINE_WORDS,
            place_text=place,
            told_text="parts the bays, and lies in none; leave bay out",
        )
    if not (text.isascii() and text.isdecimal() and len(text) <= 4):
        raise Refused(
            ProblemCode.IN_LINE_WORDS,
            place_text=place,
            told_text=f"bay “{text}” must be a whole number, such as 2",
        )
    return int(text)


def _parted(text: str) -> Iterator[str]:
    """The items, parted outside of brackets, without outer spaces; none that is blank."""
    depth, item = 0, ""
    for part in re.split(r"([()])", text):
        if part in {"(", ")"}:
            depth += 1 if part == "(" else -1
            item += part
            continue
        first, *more = [part] if depth > 0 else _PARTING.split(part)
        item += first
        for each in more:
            yield from _not_blank(item)
            item = each
    yield from _not_blank(item)


def _not_blank(item: str) -> Iterable[str]:
    said = " ".join(item.split()) if "(" not in item else item.strip()
    return (said,) if said else ()


def _openings(said: Sequence[_Said], units: Units) -> Iterator[Length | str]:
    lengths = iter(_lengths([each for each in said if each.text.casefold() != REST], units, rest=True))
    return (REST if each.text.casefold() == REST else next(lengths) for each in said)


def _lengths(said: Sequence[_Said], units: Units, *, rest: bool = False) -> Iterator[Length]:
    """The lengths; where ``rest`` may stand too, the sentence says so."""
    for each in said:
        two = _ONE_OR_TWO.search(each.text)
        if two is not None:
            apart, point = f"{two[1]}, {two[2]}", f"{two[1]}.{two[2]}"
            raise Refused(
                ProblemCode.IN_LINE_COMMA,
                place_text=each.place,
                size_text=each.text,
                apart_text=apart,
                point_text=point,
            )
    for each, text in zip(said, with_units([each.text for each in said]), strict=True):
        try:
            yield parse_length(text, units)
        except LengthError:
            figures = {"place_text": each.place, "size_text": each.text, "how_text": HOW_TO_WRITE}
            if rest:
                raise Refused(ProblemCode.IN_LINE_NO_OPENING, **figures) from None
            told = f"“{each.text}” is not a length; write {HOW_TO_WRITE}"
            raise Refused(ProblemCode.IN_LINE_WORDS, place_text=each.place, told_text=told) from None


Parts = list[Length | str]


def _row_words(row: Row | Column) -> Parts:
    inner = row.columns if isinstance(row, Row) else row.rows
    if inner == (REST,):
        return [row.opening]
    beside: Parts = [part for opening in inner for part in (", ", opening)]
    return [row.opening, " (", *beside[1:], ")"]


def _shelf_words(shelf: Shelf | Partition) -> Parts:
    words: Parts = [shelf.at]
    if isinstance(shelf, Shelf) and shelf.bay is not None:
        words.append(f" in bay {shelf.bay}")
    if shelf.setback:
        words += [" set back ", shelf.setback]
    return words
