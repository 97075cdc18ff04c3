"""Key and slot in section, at 45° where tan θ is 1 and everything can be done in the head."""

from __future__ import annotations

import pytest

from domain.lengths import Length
from domain.planning.fit import FitRegime, key_fit, mouth, snug_projection
from domain.spec.catalogue import Section
from tests.domain.builders import demo_sections, section

LIMIT = Length.from_mm(0.25)


def test_a_key_is_named_by_its_overall_width() -> None:
    assert section().overall_width == pytest.approx(12)  # 8 + 2·2·1
    # 5.7 + 2·3·tan 12° = 5.7 + 6·0.212557 = 6.975; 11.45 + 12·0.212557 = 14.001
    assert [round(one.overall_width, 3) for one in demo_sections()] == [6.975, 10.013, 14.001, 20.013]


@pytest.mark.parametrize(
    ("tip", "snug"),
    [(12, 2), (13, 2.5), (12.4, 2.2), (9, 0.5)],  # (D − 8)/2
)
def test_the_snug_projection_is_where_the_flanks_just_touch(tip: float, snug: float) -> None:
    assert snug_projection(section(), tip) == pytest.approx(snug)
    # there the slot's width at the joint line is the waist
    assert mouth(section(), tip, snug) == pytest.approx(8)


@pytest.mark.parametrize(
    ("number", "tip", "snug"),
    [
        (0, 7.04, 3.152),  # 1.34 / (2·0.2125566) = 1.34 / 0.4251131
        (1, 10.08, 4.658),  # 1.98 / 0.4251131
        (2, 14.06, 6.140),  # 2.61 / 0.4251131
        (2, 14.4, 6.939),  # 2.95 / 0.4251131
        (3, 20.08, 8.657),  # 3.68 / 0.4251131
    ],
)
def test_the_shops_sections_sit_snug_where_trigonometry_says(number: int, tip: float, snug: float) -> None:
    assert snug_projection(demo_sections()[number], tip) == pytest.approx(snug, abs=5e-4)


@pytest.mark.parametrize(
    ("projection", "regime", "amount"),
    [
        # half depth 2, tip 13: snug at 2.5
        (0.5, FitRegime.HELD_APART, 3),  # 2·(2 − 0.5)
        (1.5, FitRegime.HELD_APART, 1),
        (2, FitRegime.LOOSE, 1),  # 2·(2.5 − 2)
        (2.2, FitRegime.LOOSE, 0.6),
        (2.5, FitRegime.CLAMPED, 0),
        (2.6, FitRegime.CLAMPED, 0.1),  # (2.6 − 2.5)·1 on each flank
        (2.75, FitRegime.CLAMPED, 0.25),  # exactly the limit
        (2.8, FitRegime.OVER_TIGHT, 0.3),
    ],
)
def test_what_a_key_does_as_the_slot_gets_deeper(projection: float, regime: FitRegime, amount: float) -> None:
    fit = key_fit(section(), 13, projection, LIMIT)
    assert (fit.regime, round(fit.amount, 9)) == (regime, amount)


def test_a_small_cutter_lets_the_key_bottom_before_its_flanks_touch() -> None:
    # tip 11: snug at 1.5, yet the key is 2 deep on each side: held apart by 2·(2 − 1.6)
    small: Section = section(tip_diameter=11)
    fit = key_fit(small, 11, 1.6, LIMIT)
    assert (fit.regime, round(fit.amount, 9)) == (FitRegime.HELD_APART, 0.8)
