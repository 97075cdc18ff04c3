"""Tables as spreadsheets (Office Open XML). The same table gives the same bytes."""

from __future__ import annotations

import io
from datetime import datetime

from xlsxwriter import Workbook
from xlsxwriter.format import Format
from xlsxwriter.worksheet import Worksheet

from domain.lengths import Units
from webapp.tables.table import Cell, Column, Kind, Table

CREATED = datetime(2000, 1, 1)
"""The moment that every file gives as its own: the day it is written is no part of the table."""
LONGEST = 32_767
"""Characters that a cell holds."""
_WIDEST, _NARROWEST = 48, 8


def write_xlsx(table: Table) -> bytes:
    """A workbook of one sheet: headings that stay in sight, words as words, numbers as numbers."""
    file = io.BytesIO()
    options = {"in_memory": True, "strings_to_formulas": False, "strings_to_urls": False}
    with Workbook(file, options) as book:
        book.set_properties({"title": table.heading, "created": CREATED})
        sheet = book.add_worksheet(table.heading)
        heads = {
            text: book.add_format(
                {"bold": True, "text_wrap": True, "valign": "bottom", "align": "left" if text else "right"}
            )
            for text in (True, False)
        }
        formats = {kind: book.add_format({"num_format": _number_format(kind, table.units)}) for kind in Kind}
        for index, column in enumerate(table.columns):
            cells = [row[index] for row in table.rows]
            sheet.set_column(index, index, _width(column, cells))
            sheet.write_string(0, index, column.title[:LONGEST], heads[column.kind is Kind.TEXT])
            for line, cell in enumerate(cells, 1):
                _write(sheet, line, index, cell, formats[column.kind])
        sheet.freeze_panes(1, 0)
        sheet.set_landscape()
        sheet.fit_to_pages(1, 0)
        sheet.repeat_rows(0)
    return file.getvalue()


def _write(sheet: Worksheet, line: int, index: int, cell: Cell, look: Format) -> None:
    """By what the cell is, never by what its words look like."""
    if isinstance(cell, str):
        sheet.write_string(line, index, cell[:LONGEST], look)
    elif cell is not None:
        sheet.write_number(line, index, cell, look)


def _number_format(kind: Kind, units: Units) -> str:
    match kind:
        case Kind.TEXT:
            return "@"
        case Kind.COUNT:
            return "0"
        case Kind.LENGTH:
            return "0.00" if units is Units.MM else "0.0000"
        case Kind.NUMBER:
            return "General"


def _width(column: Column, cells: list[Cell]) -> float:
    """Wide enough for most of what is in it; a heading may break between its words."""
    words = [*column.title.split(), *(str(cell) for cell in cells if cell is not None)]
    return min(_WIDEST, max(_NARROWEST, 1 + max(map(len, words))))
