"""Amounts in words and back: exact in the units that are counted, whatever they are typed in."""

from __future__ import annotations

from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from domain.lengths import Units
from domain.problems import Refused
from domain.timber.measures import BOARD_FOOT
from webapp.wording.amounts import amount, bare_amount, parse_amount, shown_in

counts = st.integers(-(10**8), 10**8)


@given(counts, st.sampled_from(["pcs", "g", "cm³", "mm"]))
def test_a_metric_amount_leads_back_to_its_count(count: int, unit: str) -> None:
    assert parse_amount(amount(count, unit), unit, signed=True) == count


@given(st.integers(0, 10**8))
def test_board_feet_are_true_to_a_hundredth(count: int) -> None:
    told = Fraction(bare_amount(count, "cm³", Units.INCH))
    assert abs(told - Fraction(count) / BOARD_FOOT) <= Fraction(1, 200)


@pytest.mark.parametrize(
    ("text", "unit", "count"),
    [
        ("1 m³", "cm³", 1_000_000),
        ("0,1 M3", "cm³", 100_000),
        ("1 bd ft", "cm³", 2_360),
        ("1000 board feet", "cm³", 2_359_737),
        ("1 200.5 l", "cm³", 1_200_500),
        ("250 cm³", "cm³", 250),
        ("12 ft", "mm", 3_658),
        ("2,31 m", "mm", 2_310),
        ("7", "mm", 7),
    ],
)
def test_an_amount_may_be_typed_with_its_unit(text: str, unit: str, count: int) -> None:
    assert parse_amount(text, unit) == count


@pytest.mark.parametrize(
    ("text", "unit"),
    [
        ("0.5 m³", "pcs"),
        ("3 m", "cm³"),
        ("1 m³", "mm"),
        ("1.5", "cm³"),
        ("-1 m³", "cm³"),
        ("1.2.3 m³", "cm³"),
        ("m³", "cm³"),
    ],
)
def test_another_s_unit_or_no_number_is_refused(text: str, unit: str) -> None:
    with pytest.raises(Refused):
        parse_amount(text, unit)


def test_what_is_shown_in() -> None:
    told = {(unit, units): shown_in(unit, units) for unit in ("pcs", "cm³", "mm") for units in Units}
    assert list(told.values()) == ["pcs", "pcs", "m³", "bd ft", "m", "ft"]
