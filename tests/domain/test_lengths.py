"""Lengths: 1 in = 25.4 mm exactly, so 1/64 in = 0.396875 mm exactly."""

from __future__ import annotations

import unicodedata
from decimal import Decimal
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from domain.lengths import (
    Length,
    LengthError,
    Units,
    format_fine,
    format_inches,
    format_length,
    format_mm,
    parse_length,
)


@pytest.mark.parametrize(
    ("written", "mm"),
    [
        (12, 12),
        (12.5, 12.5),
        (0.1, 0.1),
        (-3, -3),
        ("12.5", 12.5),
        ("12,5 mm", 12.5),
        ("12.5mm", 12.5),
        (" 12 MM ", 12),
        (".5", 0.5),
        ("3 7/8 in", 98.425),  # 3.875 × 25.4
        ('3 7/8"', 98.425),
        ("3 7/8″", 98.425),
        ("3 7/8”", 98.425),
        ("3 7/8''", 98.425),
        ("3-7/8", 98.425),
        ("3 - 7/8 in.", 98.425),
        ("7/8", 22.225),  # 0.875 × 25.4: a fraction is inches, marked or not
        ("7⁄8", 22.225),
        ("7/8 inch", 22.225),
        ("2 inches", 50.8),
        ("1.5in", 38.1),
        ("½", 12.7),
        ("3⅞ in", 98.425),
        ("3 ⅞", 98.425),
        ("⅓ in", 25.4 / 3),
        ("⅒", 2.54),
        ("-1/4", -6.35),
        ("100000", 100_000),
        ("40cm", 400),
        ("40,5 cm", 405),
        ("1.25 m", 1250),
        ("5'", 1524),  # 1 ft = 304.8 mm exactly, as above
        ("1'4\"", 406.4),  # 16 × 25.4
        ("1′ 4 1/2″", 419.1),  # 16.5 × 25.4
        ("1 ft 4 in", 406.4),
        ("2’3", 685.8),  # 27 × 25.4: what follows feet is inches
        ("1.5 ft", 457.2),
        ("-2 feet", -609.6),
    ],
)
def test_a_length_is_read_as_people_write_it(written: object, mm: float) -> None:
    assert parse_length(written).mm == pytest.approx(mm, abs=5e-7)


@pytest.mark.parametrize(
    ("written", "mm"), [("4", 101.6), ("4.5", 114.3), ("4 mm", 4), ("7/8", 22.225), ("4 in", 101.6), (4, 4)]
)
def test_bare_text_is_in_the_units_of_the_field_and_a_bare_number_is_millimetres(
    written: object, mm: float
) -> None:
    assert parse_length(written, Units.INCH).mm == mm


@pytest.mark.parametrize(
    "bad",
    [
        "", " ", "abc", "12 dm", "1e3", "12.5.5", "1,234.5", "7/0", "1/0 in", "7/8 mm", "3 7/8 mm", "3 7", "7/",
        "5' 4 mm", "1.5' 4", "'", "1/2 m", "1/2 cm",
        "/8", "12 \" 4", "--3", "3 7/8 7/8", "½½", "nan", "inf", "0x10", "12_000", "9" * 41, "1" * 8,
        "100000.1", "4000 in", "12\x00", True, False, None, [], {}, b"12", (12,), float("nan"), float("inf"),
        float("-inf"), 100_000.001, -100_001, 10**400,
    ],
)  # fmt: skip
def test_what_is_no_length_is_named_and_told_how_to_write_one(bad: object) -> None:
    with pytest.raises(LengthError, match="not a length; write a length such as") as caught:
        parse_length(bad)
    assert caught.value.value is bad


def test_tenths_do_not_drift() -> None:
    assert Length(sum(parse_length("0.1").nm for _ in range(10))) == parse_length(1)
    assert parse_length(0.1) + parse_length(0.2) == parse_length(0.3)
    assert Length.from_mm(Fraction(1, 3)).nm == 333_333


def test_lengths_add_compare_and_multiply_as_lengths() -> None:
    two, five = Length.from_mm(2), Length.from_mm(5)
    assert (five - two, two * 3, two < five, bool(Length(0)), max(two, five)) == (
        Length.from_mm(3),
        Length.from_mm(6),
        True,
        False,
        five,
    )


@pytest.mark.parametrize(
    ("mm", "text"),
    [(0, "0"), (16.5, "16.5"), (46.0, "46"), (6.15129, "6.151"), (-0.0001, "0"), (1200.0, "1200"), (1e-9, "0")],
)
def test_millimetres_are_written_without_idle_zeros(mm: float, text: str) -> None:
    assert format_mm(mm) == text


@pytest.mark.parametrize(
    ("mm", "finest", "text"),
    [
        (0.0, 64, "0"),
        (98.425, 64, "3 7/8"),
        (22.225, 64, "7/8"),
        (50.8, 64, "2"),
        (0.396875, 64, "1/64"),
        (0.1, 64, "0"),  # 0.1 mm is a quarter of 1/64 in
        (0.3, 64, "1/64"),
        (-98.425, 64, "-3 7/8"),
        (25.3, 64, "1"),  # 0.9961 in: nearer to 64/64 than to 63/64
        (98.425, 4, "4"),  # 3.875 in: 15.5 quarters, half to even is 16
        (33.3375, 16, "1 5/16"),  # 1.3125 in
    ],
)
def test_inches_are_written_as_the_nearest_fraction(mm: float, finest: int, text: str) -> None:
    assert format_inches(mm, finest) == text


def test_a_length_is_written_with_its_unit() -> None:
    assert format_length(16.514, Units.MM) == "16.51 mm"
    assert format_length(98.425, Units.INCH) == "3 7/8 in"
    assert format_fine(6.1414, Units.MM) == "6.14 mm"
    assert format_fine(25.4, Units.INCH) == "1.000 in"
    assert format_fine(6.1414, Units.INCH) == "0.242 in"  # 6.1414 / 25.4 = 0.24179


@given(st.integers(-64 * 3900, 64 * 3900))
def test_every_64th_of_an_inch_survives_writing_and_reading(parts: int) -> None:
    exact = Length(parts * 396_875)
    assert parse_length(f"{format_inches(exact.mm)} in") == exact


@given(st.integers(-100_000_000, 100_000_000))
def test_every_micrometre_survives_writing_and_reading(micrometres: int) -> None:
    exact = Length(micrometres * 1000)
    assert parse_length(format_mm(exact.mm)) == exact
    assert parse_length(format_mm(exact.mm).replace(".", ",") + " mm") == exact
    assert parse_length(exact.mm) == exact


@given(st.integers(0, 99), st.integers(1, 63))
def test_the_ways_to_write_a_fraction_agree(whole: int, parts: int) -> None:
    exact = Length(whole * 25_400_000 + parts * 396_875)
    for text in (f"{whole} {parts}/64", f"{whole}-{parts}/64 in", f'{whole}  {parts}/64"'):
        assert parse_length(text) == exact
    decimal = Decimal(parts) / 64 + whole
    assert parse_length(f"{decimal} in") == exact


@given(st.text(max_size=50))
def test_any_text_is_a_length_or_a_named_refusal(text: str) -> None:
    try:
        length = parse_length(text)
    except LengthError:
        return
    assert abs(length.mm) <= 100_000


@pytest.mark.parametrize("sign", "¼½¾⅐⅑⅒⅓⅔⅕⅖⅗⅘⅙⅚⅛⅜⅝⅞")
def test_a_fraction_of_one_sign_is_worth_what_unicode_says(sign: str) -> None:
    # Unicode Character Database: Numeric_Value
    assert parse_length(sign).mm == pytest.approx(25.4 * unicodedata.numeric(sign), abs=1e-6)
