"""Offers from a CSV file: every line read, every bad place named; what was exported comes back the same.

A file from another program may have commas, semicolons or tabs between its fields, in UTF-8 with or
without a byte-order mark (RFC 4180 otherwise). Prices may have a comma or a point.
"""

from __future__ import annotations

import csv
import io
import re
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from enum import StrEnum

from domain.ordering.items import HOW_TO_NAME, Item, parse_item
from domain.problems import BadInput, Problem
from domain.spec.fields import Name, Spec
from domain.spec.project import read
from webapp.site.json_text import refuse_unprintable
from webapp.wording.exact import parse_price

MOST_LINES = 5_000
LARGEST_FILE = 2_000_000
"""Bytes."""
LARGEST_COUNT = 1_000_000
LONGEST_LEAD = 1_000
"""Days."""
_SEPARATORS = ",;\t"
# what an export puts before a sign that a spreadsheet would take for a formula
_APOSTROPHE = re.compile("(?:^|(?<=[;\\t]))'(?=\\s*[=+\\-@＝＋－＠])")


class Column(StrEnum):
    """The headings, as an export writes them; the first four are needed, the order is free."""

    ITEM = "item"
    SUPPLIER = "supplier"
    SIZE = "pack size"
    PRICE = "price"
    CURRENCY = "currency"
    SINCE = "price since"
    ARTICLE = "article number"
    LEAD = "lead days"
    MINIMUM = "minimum stock"


NEEDED = (Column.ITEM, Column.SUPPLIER, Column.SIZE, Column.PRICE)


@dataclass(frozen=True, slots=True)
class OfferLine:
    """A line of the file: ``price`` in minor units of ``currency``. None: the file does not say."""

    line: int
    item: Item
    supplier: str
    size: int
    price: int
    currency: str
    since: date
    article: str
    lead_days: int
    minimum_stock: int | None


@dataclass(frozen=True, slots=True)
class OfferFile:
    """A file, read: its good lines, and what is wrong with each of the others (paths are line and column)."""

    lines: tuple[OfferLine, ...]
    problems: tuple[Problem, ...]


class _Words(Spec):
    """A supplier as it may be called."""

    supplier: Name


def read_offer_file(body: bytes, currency: str, today: date) -> OfferFile:
    """Read the file; a price without a currency is in ``currency``, one without a date holds from ``today``.

    Raises BadInput where it is no such file at all: no text, no headings, too long.
    """
    rows = _rows(body)
    columns = _columns(rows[0][1])
    lines: list[OfferLine] = []
    problems: list[Problem] = []
    for number, cells in rows[1:]:
        if not any(cell.strip() for cell in cells):
            continue
        try:
            lines.append(_line(number, columns, cells, currency, today))
        except BadInput as refusal:
            problems += [problem.under(f"line {number}") for problem in refusal.problems]
    good, twice = _each_once(lines)
    problems += twice
    return OfferFile(good, tuple(problems))


def _rows(body: bytes) -> list[tuple[int, list[str]]]:
    """Every record with the number of the line that it ends on."""
    if len(body) > LARGEST_FILE:
        raise BadInput([Problem((), f"{len(body)} bytes", f"must be at most {LARGEST_FILE // 1_000_000} MB")])
    try:
        text = body.decode("utf-8-sig")
    except UnicodeDecodeError:
        raise BadInput([Problem((), "bytes", "save the file as CSV in UTF-8")]) from None
    first = text.partition("\n")[0]
    separator = max(_SEPARATORS, key=first.count)
    reader = csv.reader(io.StringIO(text, newline=""), delimiter=separator, strict=True)
    rows: list[tuple[int, list[str]]] = []
    try:
        for cells in reader:
            rows.append((reader.line_num, cells))
            if len(rows) > MOST_LINES + 1:
                raise BadInput([Problem((), "lines", f"must be at most {MOST_LINES}; split the file")])
    except csv.Error as error:
        raise BadInput([Problem((f"line {reader.line_num}",), "quotes", f"this is no CSV: {error}")]) from None
    if not rows:
        raise BadInput([Problem((), "nothing", f"needs a line of headings: {', '.join(NEEDED)}")])
    return rows


def _columns(headings: Sequence[str]) -> dict[Column, int]:
    """Where each column stands. Raises BadInput for headings that are not ours, missing, or there twice."""
    places: dict[Column, int] = {}
    problems: list[Problem] = []
    for index, heading in enumerate(headings):
        name = " ".join(heading.lower().split())
        if name not in list(Column):
            problems.append(Problem(("line 1",), heading, f"is no heading here; there are {', '.join(Column)}"))
        elif Column(name) in places:
            problems.append(Problem(("line 1",), heading, "this heading stands twice; keep one"))
        else:
            places[Column(name)] = index
    missing = [column for column in NEEDED if column not in places]
    problems += [Problem(("line 1",), "missing", f'needs the heading "{column}"') for column in missing]
    if problems:
        raise BadInput(problems)
    return places


def _line(
    number: int, columns: Mapping[Column, int], cells: Sequence[str], currency: str, today: date
) -> OfferLine:
    """One line. Raises BadInput with a problem for every cell that cannot be used."""
    if len(cells) > len(columns):
        raise BadInput([Problem((), f"{len(cells)} fields", f"the headings have {len(columns)}")])
    row = _Cells({column: cells[place] for column, place in columns.items() if place < len(cells)})
    priced = row.currency(currency)
    line = OfferLine(
        line=number,
        item=row.item(),
        supplier=row.supplier(),
        size=row.whole(Column.SIZE, 1, LARGEST_COUNT) or 0,
        price=row.price(priced),
        currency=priced,
        since=row.day(today),
        article=row.article(),
        lead_days=row.whole(Column.LEAD, 0, LONGEST_LEAD) or 0,
        minimum_stock=row.whole(Column.MINIMUM, 0, LARGEST_COUNT),
    )
    if row.problems:
        raise BadInput(row.problems)
    return line


class _Cells:
    """The cells of one line, read one by one; what cannot be used is gathered in ``problems``."""

    def __init__(self, cells: Mapping[Column, str]) -> None:
        self._cells = {column: _APOSTROPHE.sub("", " ".join(cell.split())) for column, cell in cells.items()}
        self.problems: list[Problem] = []
        for column, cell in cells.items():
            refuse_unprintable((column,), cell)

    def _bad(self, column: Column, allowed: str) -> None:
        self.problems.append(Problem((column,), self._cells.get(column, "") or "nothing", allowed))

    def item(self) -> Item:
        try:
            return parse_item(self._cells.get(Column.ITEM, ""))
        except BadInput:
            self._bad(Column.ITEM, HOW_TO_NAME)
            return Item.key("", 1)

    def supplier(self) -> str:
        try:
            return read(_Words, {"supplier": self._cells.get(Column.SUPPLIER, "")}).supplier
        except BadInput as refusal:
            self._bad(Column.SUPPLIER, refusal.problems[0].allowed)
            return ""

    def article(self) -> str:
        text = self._cells.get(Column.ARTICLE, "")
        if len(text) > 60:
            self._bad(Column.ARTICLE, "must be at most 60 characters")
        return text

    def whole(self, column: Column, least: int, most: int) -> int | None:
        text = self._cells.get(column, "")
        if not text and column is not Column.SIZE:
            return None
        if not (text.isascii() and text.isdigit() and len(text) < 10 and least <= int(text) <= most):
            self._bad(column, f"must be a whole number from {least} to {most}")
            return None
        return int(text)

    def currency(self, usual: str) -> str:
        text = self._cells.get(Column.CURRENCY, "").upper() or usual
        if not re.fullmatch("[A-Z]{3}", text):
            self._bad(Column.CURRENCY, "must be a currency's three letters (ISO 4217), such as EUR")
            return usual
        return text

    def price(self, currency: str) -> int:
        try:
            return parse_price(self._cells.get(Column.PRICE, ""), currency)
        except ValueError as error:
            self._bad(Column.PRICE, str(error))
            return 0

    def day(self, today: date) -> date:
        text = self._cells.get(Column.SINCE, "")
        try:
            return date.fromisoformat(text) if text else today
        except ValueError:
            self._bad(Column.SINCE, f"must be a day such as {today.isoformat()} (ISO 8601)")
            return today


def _each_once(lines: Sequence[OfferLine]) -> tuple[tuple[OfferLine, ...], list[Problem]]:
    """The lines without those that repeat or contradict an earlier one, and a problem for each of these."""
    offers: dict[tuple[Item, str, int], int] = {}
    minimums: dict[Item, OfferLine] = {}
    good: list[OfferLine] = []
    problems: list[Problem] = []
    for line in lines:
        clash = next(_clashes(line, offers, minimums), None)
        if clash is not None:
            problems.append(clash)
            continue
        offers[line.item, line.supplier, line.size] = line.line
        if line.minimum_stock is not None:
            minimums.setdefault(line.item, line)
        good.append(line)
    return tuple(good), problems


def _clashes(
    line: OfferLine, offers: Mapping[tuple[Item, str, int], int], minimums: Mapping[Item, OfferLine]
) -> Iterator[Problem]:
    earlier = offers.get((line.item, line.supplier, line.size))
    if earlier is not None:
        pack = f"{line.item.name}, {line.size} from {line.supplier}"
        yield Problem((f"line {line.line}",), pack, f"stands in line {earlier} already; keep one")
    first = minimums.get(line.item)
    if first is not None and line.minimum_stock not in {None, first.minimum_stock}:
        yield Problem(
            (f"line {line.line}", Column.MINIMUM),
            line.minimum_stock,
            f"line {first.line} says {first.minimum_stock} for {line.item.name}; one item has one minimum stock",
        )
