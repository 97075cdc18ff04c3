"""Words that spreadsheets have been tricked with, and the tables as other programs read them back."""

from __future__ import annotations

import csv
import io
from itertools import product

from openpyxl import load_workbook

from webapp.tables.table import Column, Kind, Table

# signs that begin a formula: OWASP, "CSV Injection"; ASVS 5.0.0, requirement 1.2.10
_SIGNS = ("=", "+", "-", "@", "\t", "\r", "\n=", " =", "＝", "＋")
_TAILS = ("cmd|' /C calc'!A0", "1+1", 'HYPERLINK("http://example.test","x")', '1";=1+1;"', "SUM(A1:A9)\n=2")
ATTACKS = (
    *(sign + tail for sign, tail in product(_SIGNS, _TAILS)),
    "oak;=1+1",
    "oak\t=1+1",
    "oak\r\n=1+1",
    "{=1+1}",
    "http://example.test",
    "mailto:a@example.test",
    '"quoted", with a comma',
    "_x000D_",
    "=" * 40_000,
    "long " * 10_000,
    "",
    "Küche Œuvre 木 𝛼",
)


def words_table(words: tuple[str, ...], units: object) -> Table:
    columns = (Column("Words", Kind.TEXT), Column("More words", Kind.TEXT), Column("Number", Kind.COUNT))
    return Table("Words", units, columns, tuple((each, each, index) for index, each in enumerate(words)))  # type: ignore[arg-type]


def read_xlsx(body: bytes) -> list[tuple[object, ...]]:
    book = load_workbook(io.BytesIO(body))
    (sheet,) = book.worksheets
    return [tuple(row) for row in sheet.iter_rows(values_only=True)]


def read_csv(body: bytes) -> list[list[str]]:
    return list(csv.reader(io.StringIO(body.decode("utf-8-sig"), newline=""), strict=True))
