"""The table of security is whole, and every test that it names exists.

The outside: requirement numbers and levels of OWASP ASVS 5.0.0 (``shared/published/asvs.csv``), those of levels 1
and 2 that bear on a local web application without accounts.
"""

from __future__ import annotations

import csv
import re
from dataclasses import dataclass
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[1]
PAGE = (ROOT / "docs/security.md").read_text(encoding="utf-8")
ANSWERS = {"met", "not applicable", "exception"}


@dataclass(frozen=True)
class Row:
    number: str
    level: str
    requirement: str
    answer: str
    shown_by: str

    @property
    def tests(self) -> list[tuple[str, str]]:
        """Files and names of the tests that are named; a name is "" where a whole file shows it."""
        return re.findall(r"`(tests/[\w/]+\.py)(?:::(\w+))?`", self.shown_by)


def rows() -> list[Row]:
    cells = re.findall(r"^\| ([\d.]+) \| (\d) \| (.+?) \| (.+?) \| (.+?) \|$", PAGE, re.MULTILINE)
    return [Row(*row) for row in cells]


def published() -> list[tuple[str, str]]:
    with (ROOT / "shared/published/asvs.csv").open(encoding="utf-8", newline="") as file:
        return [(row["number"], row["level"]) for row in csv.DictReader(file)]


def test_every_requirement_that_bears_on_it_has_a_row() -> None:
    assert [(row.number, row.level) for row in rows()] == published()
    assert len(rows()) > 90


@pytest.mark.parametrize("row", rows(), ids=lambda row: row.number)
def test_a_row_says_what_became_of_it_and_what_shows_that(row: Row) -> None:
    assert row.answer in ANSWERS
    if row.answer == "met":
        assert row.tests, "what is met is shown by a test"
    else:
        assert len(row.shown_by) > 7, "what is not met has a reason"
    for file, name in row.tests:
        source = (ROOT / file).read_text(encoding="utf-8")
        assert re.search(rf"def {name or 'test_'}", source), f"{file} has no {name}"
