"""Figures that stand in print: units exactly, glue within the published range.

Sources, and how each was read: ``shared/published/units-and-glue.md``.
"""

from __future__ import annotations

import re
from fractions import Fraction

import pytest

from domain.lengths import NM_PER_INCH, Length, Units, format_inches, format_length, parse_length
from domain.spec.assemblies import SingleJoint
from domain.spec.rules import Rules
from domain.takeoff.build import take_off_assembly
from domain.takeoff.counting import count
from tests.published import trade
from webapp.wording.cautions import CAUTIONS

INCH_NM = 25_400_000
"""International yard and pound agreement, 1 July 1959: 1 yd = 0.9144 m, so 1 in = 25.4 mm exactly."""


def test_the_inch() -> None:
    # 24 FR 5348 (1959): 0.9144 m / 36
    assert Fraction(9144, 10_000) / 36 == Fraction(254, 10_000)
    assert parse_length("1 in") == Length(INCH_NM)
    assert NM_PER_INCH == INCH_NM
    assert parse_length("36 in") == Length(914_400_000)
    assert parse_length("1 in").mm == 25.4


def test_a_sixty_fourth_is_a_whole_number_of_nanometres() -> None:
    # 25.4 mm / 64
    assert INCH_NM % 64 == 0
    assert parse_length("1/64 in") == Length(396_875)


@pytest.mark.parametrize("denominator", [2, 4, 8, 16, 32, 64])
def test_fractions_go_out_and_come_back_unchanged(denominator: int) -> None:
    for numerator in range(1, 6 * denominator):
        exact = Length(numerator * INCH_NM // denominator)
        text = format_inches(exact.mm)
        assert parse_length(f"{text} in") == exact
        whole, _, part = text.rpartition(" ")
        assert Fraction(whole or 0) + Fraction(part) == Fraction(numerator, denominator)


@pytest.mark.parametrize(
    ("quarters", "surfaced"),
    [
        # hardwood surfaced two sides, grading rules' table: thickness in inches
        ("1", "13/16"),
        ("1 1/4", "1 1/16"),
        ("1 1/2", "1 5/16"),
        ("2", "1 3/4"),
        ("3", "2 3/4"),
        ("4", "3 3/4"),
    ],
)
def test_lumber_thicknesses_keep_their_names(quarters: str, surfaced: str) -> None:
    for text in (quarters, surfaced):
        length = parse_length(f'{text}"')
        assert format_length(length.mm, Units.INCH) == f"{text} in"
    assert parse_length(f"{surfaced} in") < parse_length(f"{quarters} in")


@pytest.mark.parametrize("step", [0.5, 25.4 / 32])
def test_setting_steps_hold_exactly(step: float) -> None:
    # 1/32 in = 0.79375 mm exactly (25.4 / 32)
    assert Rules.model_validate({"setting_step": step}).setting_step == Length(round(step * 1e6))
    assert Rules.model_validate({"setting_step": "1/32 in"}).setting_step == Length(793_750)


def test_glue_spread_is_within_what_is_published() -> None:
    # PVA, 100 to 200 g/m²: a chapter on industrial adhesives for wood (one secondary source)
    assert 100 <= Rules().glue_spread <= 200


def test_glue_of_one_joint_worked_by_hand() -> None:
    spec = SingleJoint.model_validate(
        {"mark": "L", "breadth": 50, "run": 40, "angle": 90, "behind": [60, 60], "quantity": 10}
    )
    assembly = take_off_assembly(spec, trade.SECTIONS, Rules())
    # 10 × 50 mm × 40 mm = 0.02 m²; at 150 g/m² that is 3 g, the reference's 0.3 g for 20 cm² each
    rules = Rules.model_validate({"glue_spread": 150})
    assert count([assembly], rules).glue_grams == pytest.approx(3.0)


def test_blow_off_air_in_both_units() -> None:
    """29 CFR 1910.242(b): below 30 psi; the cautions say what that is in bar."""
    pascal = 0.45359237 * 9.80665 / 0.0254**2
    assert pascal == pytest.approx(6894.757, abs=1e-3)
    told = " ".join(caution.rest for group in CAUTIONS for caution in group.cautions)
    stated = re.search(r"30 psi, about ([\d.]+) bar", told)
    assert stated is not None
    assert float(stated[1]) == pytest.approx(30 * pascal / 1e5, abs=0.1)
