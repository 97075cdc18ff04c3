"""Offers from a CSV file: every line read, every bad place named; what was exported comes back the same.

A file from another program may have commas, semicolons or tabs between its fields, in UTF-8 with or
without a byte-order mark (RFC 4180 otherwise). Prices may have a comma or a point.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from enum import StrEnum

from domain.ordering.items import HOW_TO_NAME, Item, parse_item
from domain.problem_codes import ProblemCode
from domain.problems import BadInput, Problem, Refused
from domain.reading import read
from domain.sayings import Code
from domain.spec.fields import Name, Spec
from webapp.store.stock_values import MOST
from webapp.usecases.csv_text import read_rows
from webapp.usecases.json_text import refuse_unprintable
from webapp.wording.exact import parse_price
from webapp.wording.problems import InputProblem

MOST_LINES = 5_000
LARGEST_FILE = 2_000_000
"""Bytes."""
LONGEST_ARTICLE = 60
LONGEST_LEAD = 1_000
"""Days."""
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
    rows = read_rows(body, largest=LARGEST_FILE, most_lines=MOST_LINES, needed=", ".join(NEEDED))
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


def _columns(headings: Sequence[str]) -> dict[Column, int]:
    """Where each column stands. Raises BadInput for headings that are not ours, missing, or there twice."""
    places: dict[Column, int] = {}
    problems: list[Problem] = []
    for index, heading in enumerate(headings):
        name = " ".join(heading.lower().split())
        if name not in list(Column):
            there = ", ".join(Column)
            problems.append(Problem.of(("line 1",), heading, InputProblem.NO_HEADING, headings_text=there))
        elif Column(name) in places:
            problems.append(Problem.of(("line 1",), heading, InputProblem.HEADING_TWICE))
        else:
            places[Column(name)] = index
    missing = [column for column in NEEDED if column not in places]
    problems += [
        Problem.of(("line 1",), "missing", InputProblem.HEADING_MISSING, heading_text=column) for column in missing
    ]
    if problems:
        raise BadInput(problems)
    return places


def _line(
    number: int, columns: Mapping[Column, int], cells: Sequence[str], currency: str, today: date
) -> OfferLine:
    """One line. Raises BadInput with a problem for every cell that cannot be used."""
    if len(cells) > len(columns):
        raise BadInput([Problem.of((), f"{len(cells)} fields", InputProblem.MORE_CELLS, headings_n=len(columns))])
    row = _Cells({column: cells[place] for column, place in columns.items() if place < len(cells)})
    priced = row.currency(currency)
    item = row.item()
    line = OfferLine(
        line=number,
        item=item,
        supplier=row.supplier(),
        size=row.whole(Column.SIZE, 1, MOST) or 0,
        price=row.price(priced),
        currency=priced,
        since=row.day(today),
        article=row.article(),
        lead_days=row.whole(Column.LEAD, 0, LONGEST_LEAD) or 0,
        minimum_stock=row.whole(Column.MINIMUM, 0, item.most),
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

    def _bad(self, column: Column, code: Code, **figures: float | str) -> None:
        self._refuse(column, Refused(code, **figures))

    def _refuse(self, column: Column, refused: Refused) -> None:
        self.problems.append(refused.at((column,), self._cells.get(column, "") or "nothing"))

    def item(self) -> Item:
        try:
            return parse_item(self._cells.get(Column.ITEM, ""))
        except BadInput:
            self._bad(Column.ITEM, ProblemCode.NOT_AN_ITEM, how_text=HOW_TO_NAME)
            return Item.key("", 1)

    def supplier(self) -> str:
        try:
            return read(_Words, {"supplier": self._cells.get(Column.SUPPLIER, "")}).supplier
        except BadInput as refusal:
            problem = refusal.problems[0]
            self._bad(Column.SUPPLIER, problem.code, **dict(problem.figures))
            return ""

    def article(self) -> str:
        text = self._cells.get(Column.ARTICLE, "")
        if len(text) > LONGEST_ARTICLE:
            self._bad(Column.ARTICLE, ProblemCode.TEXT_TOO_LONG, most_n=LONGEST_ARTICLE)
        return text

    def whole(self, column: Column, least: int, most: int) -> int | None:
        text = self._cells.get(column, "")
        if not text and column is not Column.SIZE:
            return None
        if not (text.isascii() and text.isdigit() and len(text) < 10 and least <= int(text) <= most):
            self._bad(column, InputProblem.OUT_OF_RANGE, least_text=str(least), most_text=str(most))
            return None
        return int(text)

    def currency(self, usual: str) -> str:
        text = self._cells.get(Column.CURRENCY, "").upper() or usual
        if not re.fullmatch("[A-Z]{3}", text):
            self._bad(Column.CURRENCY, InputProblem.NOT_A_CURRENCY)
            return usual
        return text

    def price(self, currency: str) -> int:
        try:
            return parse_price(self._cells.get(Column.PRICE, ""), currency)
        except Refused as refused:
            self._refuse(Column.PRICE, refused)
            return 0

    def day(self, today: date) -> date:
        text = self._cells.get(Column.SINCE, "")
        try:
            return date.fromisoformat(text) if text else today
        except ValueError:
            self._bad(Column.SINCE, InputProblem.NOT_THAT_DAY, day_text=today.isoformat())
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
        yield Problem.of((f"line {line.line}",), pack, InputProblem.LINE_TWICE, line_n=earlier)
    first = minimums.get(line.item)
    if first is not None and line.minimum_stock not in {None, first.minimum_stock}:
        yield Problem.of(
            (f"line {line.line}", Column.MINIMUM),
            line.minimum_stock,
            InputProblem.OTHER_MINIMUM,
            line_n=first.line,
            minimum_n=first.minimum_stock or 0,
            item_text=line.item.name,
        )
