"""Tables as comma-separated values: RFC 4180, UTF-8 with a byte-order mark.

Without the mark the common spreadsheets take the text for an older encoding, and "Küche" comes out
garbled; programs read it away as "utf-8-sig". Words that a spreadsheet would take for a formula get an
apostrophe before them; numbers are left numbers.
"""

from __future__ import annotations

import csv
import io
import re

from webapp.tables.table import Cell, Table

BOM = "\ufeff"
# where a cell begins: also after what a spreadsheet set up for another country takes for a separator;
# the wide signs are read as formulas by East Asian ones
_FORMULA = re.compile("(?:^|(?<=[;\\t\\r\\n\\0]))(?=\\s*[=+\\-@＝＋－＠\\t\\r\\0])")


def write_csv(table: Table) -> bytes:
    """The table with its headings; lines end in CR LF, words stand in quotes."""
    text = io.StringIO(newline="")
    writer = csv.writer(text, lineterminator="\r\n", quoting=csv.QUOTE_NONNUMERIC)
    writer.writerow([harmless(column.title) for column in table.columns])
    writer.writerows([_cell(cell) for cell in row] for row in table.rows)
    return (BOM + text.getvalue()).encode("utf-8")


def harmless(words: str) -> str:
    """Words that no spreadsheet takes for a formula.

    >>> harmless("=1+1"), harmless("oak; =1+1"), harmless("oak - ash")
    ("'=1+1", "oak;' =1+1", 'oak - ash')
    """
    return _FORMULA.sub("'", words)


def _cell(cell: Cell) -> str | float:
    if cell is None:
        return ""
    return harmless(cell) if isinstance(cell, str) else cell
