"""Text in columns, as another program writes it: commas, semicolons or tabs, UTF-8 (RFC 4180 otherwise)."""

from __future__ import annotations

import csv
import io

from domain.problems import BadInput, Problem
from webapp.wording.problems import InputProblem

Rows = list[tuple[int, list[str]]]
_SEPARATORS = ",;\t"


def read_rows(body: bytes, *, largest: int, most_lines: int, needed: str) -> Rows:
    """Every record with the number of the line that it ends on, the headings first.

    Raises BadInput for more than ``largest`` bytes or ``most_lines`` lines below the headings, for what is no such
    text, and for nothing at all, where the headings ``needed`` are named.
    """
    if len(body) > largest:
        most = largest // 1_000_000
        raise BadInput([Problem.of((), f"{len(body)} bytes", InputProblem.FILE_TOO_LARGE, most_n=most)])
    try:
        text = body.decode("utf-8-sig")
    except UnicodeDecodeError:
        raise BadInput([Problem.of((), "bytes", InputProblem.CSV_NOT_UTF8)]) from None
    first = text.partition("\n")[0]
    separator = max(_SEPARATORS, key=first.count)
    reader = csv.reader(io.StringIO(text, newline=""), delimiter=separator, strict=True)
    rows: Rows = []
    try:
        for cells in reader:
            rows.append((reader.line_num, cells))
            if len(rows) > most_lines + 1:
                raise BadInput([Problem.of((), "lines", InputProblem.TOO_MANY_LINES, most_n=most_lines)])
    except csv.Error as error:
        place = f"line {reader.line_num}"
        raise BadInput([Problem.of((place,), "quotes", InputProblem.NOT_CSV, reason_text=str(error))]) from None
    if not rows:
        raise BadInput([Problem.of((), "nothing", InputProblem.NO_HEADINGS, needed_text=needed)])
    return rows
