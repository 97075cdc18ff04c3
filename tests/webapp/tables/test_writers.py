"""CSV and XLSX as other programs read them: words stay words, numbers numbers, and nothing is a formula."""

from __future__ import annotations

import io
import re
import zipfile

import pytest
from openpyxl import load_workbook

from domain.lengths import Units
from tests.webapp.tables.exports_samples import ATTACKS, read_csv, read_xlsx, words_table
from webapp.tables.csv import BOM, write_csv
from webapp.tables.table import Column, Kind, Table
from webapp.tables.xlsx import LONGEST, write_xlsx


def test_there_are_as_many_attacks_as_promised() -> None:
    assert len(set(ATTACKS)) >= 60


def test_no_cell_of_a_spreadsheet_is_a_formula_or_a_link() -> None:
    body = write_xlsx(words_table(ATTACKS, Units.MM))
    with zipfile.ZipFile(io.BytesIO(body)) as parts:
        sheet = parts.read("xl/worksheets/sheet1.xml").decode()
        assert not any("external" in name or "vba" in name.lower() for name in parts.namelist())
    assert "<f>" not in sheet
    assert "<f " not in sheet
    assert "hyperlink" not in sheet
    (sheet_read,) = load_workbook(io.BytesIO(body)).worksheets
    cells = [cell for row in sheet_read.iter_rows(min_row=2) for cell in row]
    assert {cell.data_type for cell in cells} <= {"s", "n"}
    assert all(isinstance(cell.value, int) for cell in cells if cell.column == 3)


def test_a_spreadsheet_gives_every_word_back() -> None:
    _, *rows = read_xlsx(write_xlsx(words_table(ATTACKS, Units.MM)))
    for words, (first, second, _) in zip(ATTACKS, rows, strict=True):
        given = words[:LONGEST]
        # line ends and tabs are written in the format's own escape (ECMA-376, ST_Xstring), which openpyxl
        # leaves as it is in part; a spreadsheet shows the character itself
        for read in (first, second):
            assert given in {read, _unescaped(read)}


def _unescaped(value: object) -> object:
    if not isinstance(value, str):
        return value
    return re.sub(r"_x([0-9A-F]{4})_", lambda found: chr(int(found[1], 16)), value)


def test_no_cell_of_a_csv_begins_as_a_formula_does() -> None:
    _, *rows = read_csv(write_csv(words_table(ATTACKS, Units.MM)))
    assert len(rows) == len(ATTACKS)
    for words, row in zip(ATTACKS, rows, strict=True):
        assert row[0].replace("'", "") == words.replace("'", "")
        assert not row[0].lstrip(" ").startswith(("=", "+", "-", "@", "\t", "\r", "\0", "＝", "＋"))


@pytest.mark.parametrize("separator", [";", "\t", "\r\n", "\n"])
def test_read_with_another_separator_a_csv_has_no_formula_either(separator: str) -> None:
    text = write_csv(words_table(ATTACKS, Units.MM)).decode("utf-8-sig")
    for line in text.split("\r\n"):
        for cell in line.split(separator):
            assert not cell.lstrip(' "').startswith(("=", "+", "@")), cell[:60]


def test_numbers_are_numbers_in_both() -> None:
    columns = (Column("Size", Kind.LENGTH, "mm"), Column("Angle", Kind.NUMBER, "°"), Column("Pieces", Kind.COUNT))
    table = Table("Numbers", Units.MM, columns, ((-12.5, 45.0, 3), (None, 0.1, 0)))
    assert read_xlsx(write_xlsx(table)) == [("Size (mm)", "Angle (°)", "Pieces"), (-12.5, 45, 3), (None, 0.1, 0)]
    assert write_csv(table) == (BOM + '"Size (mm)","Angle (°)","Pieces"\r\n-12.5,45.0,3\r\n"",0.1,0\r\n').encode()


def test_csv_is_as_the_standard_has_it() -> None:
    # RFC 4180, section 2: lines end in CRLF, quotes are doubled, every record has as many fields
    body = write_csv(words_table(('say "oak"', "a,b", "a\r\nb"), Units.MM))
    assert body.startswith(BOM.encode())
    assert b'"say ""oak""","say ""oak""",0\r\n"a,b","a,b",1\r\n"a\r\nb","a\r\nb",2\r\n' in body
    assert {len(row) for row in read_csv(body)} == {3}


def test_the_same_table_gives_the_same_bytes(monkeypatch: pytest.MonkeyPatch) -> None:
    table = words_table(("oak", "ash"), Units.INCH)
    sheet, text = write_xlsx(table), write_csv(table)
    monkeypatch.setattr("time.time", lambda: 4_000_000_000.0)
    assert (write_xlsx(table), write_csv(table)) == (sheet, text)
    with zipfile.ZipFile(io.BytesIO(sheet)) as parts:
        assert b"2000-01-01T00:00:00Z" in parts.read("docProps/core.xml")
        assert {info.date_time[0] for info in parts.infolist()} == {1980}
