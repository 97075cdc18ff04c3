"""Measures of wood, against their definitions and measures worked out by hand."""

from __future__ import annotations

from decimal import Decimal
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from domain.lengths import Length, parse_length
from domain.timber.measures import (
    BOARD_FOOT,
    FOOT,
    area,
    board_feet,
    board_metres,
    cubic_metres,
    running_metres,
    volume,
    whole_cm3,
)

sizes = st.integers(1, 10**11).map(Length)


def inches(length: str, width: str, thickness: str) -> Fraction:
    return volume(*(parse_length(f"{each} in") for each in (length, width, thickness)))


def test_a_board_foot_by_definition() -> None:
    """144 in³ (board foot, a unit of volume for lumber: 12 in × 12 in × 1 in); 1 in = 25.4 mm since 1959."""
    assert Decimal("2.54") ** 3 * 144 == Decimal("2359.737216")
    assert Fraction(Decimal("2359.737216")) == BOARD_FOOT
    assert inches("12", "12", "1") == BOARD_FOOT
    assert Fraction(Decimal("304.8")) == FOOT


@pytest.mark.parametrize(
    ("length", "width", "thickness", "feet"),
    # thickness (in) × width (in) × length (ft) / 12, the rule of the lumber yard: common practice (no source)
    [("96", "6", "1", 4), ("120", "8", "2", Fraction(40, 3)), ("144", "5 1/2", "1 3/4", Fraction(77, 8))],
)
def test_the_yards_rule_gives_the_same_board_feet(
    length: str, width: str, thickness: str, feet: Fraction | int
) -> None:
    assert board_feet(inches(length, width, thickness)) == feet


def test_a_cubic_metre_is_423_and_three_quarters_board_feet() -> None:
    """1 m³ = 423.776 board feet (from memory of yard tables; by definition 10⁶ / 2359.737216)."""
    assert round(float(board_feet(10**6)), 3) == 423.776
    assert cubic_metres(10**6) == 1


def test_areas_and_running_metres() -> None:
    assert area(Length.from_mm(2440), Length.from_mm(1220)) == Fraction("2.9768")
    assert running_metres(Length.from_mm(2440)) == Fraction("2.44")


@given(sizes, sizes, sizes)
def test_a_board_has_the_running_metres_that_it_is_long(length: Length, width: Length, thickness: Length) -> None:
    assert board_metres(volume(length, width, thickness), width, thickness) == running_metres(length)


@given(st.fractions(0, 10**9))
def test_what_is_bought_is_the_next_whole_cubic_centimetre(cm3: Fraction) -> None:
    assert 0 <= whole_cm3(cm3) - cm3 < 1
