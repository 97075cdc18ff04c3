"""Decimals of currencies, against ISO 4217's list one as it stands in ``shared/published/minor-units.md``."""

from __future__ import annotations

import re
from pathlib import Path

from webapp.wording.money import format_money, minor_places

TABLE = Path(__file__).parents[2] / "shared" / "published" / "minor-units.md"
ROW = re.compile(r"^\| (\d)[^|]*\| ([A-Z ]+) \|$", re.MULTILINE)


def test_every_currency_has_the_decimals_of_the_standard() -> None:
    rows = ROW.findall(TABLE.read_text(encoding="utf-8"))
    published = {code: int(places) for places, codes in rows for code in codes.split()}
    assert len(published) > 40
    assert {code: minor_places(code) for code in published} == published


def test_an_amount_is_written_with_its_currencys_decimals() -> None:
    assert format_money(4270, "EUR") == "42.70 EUR"
    assert format_money(4270, "JPY") == "4270 JPY"
    assert format_money(4270, "KWD") == "4.270 KWD"
    assert format_money(-1, "CLF") == "-0.0001 CLF"
