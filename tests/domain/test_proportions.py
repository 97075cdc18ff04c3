"""Keys out of proportion are asked about, with what the other reading of the depth would make of them."""

from __future__ import annotations

import json
from math import atan, degrees, radians, tan

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from domain.lengths import Length, Units
from domain.measuring.caliper import cutter_figures, cutter_findings, flank_from_widths
from domain.measuring.proportions import (
    USUAL_FLANK,
    USUAL_HALF_DEPTH,
    DepthOver,
    Oddity,
    oddities,
    other_reading,
)
from domain.measuring.sketch import bare_section, sketched
from domain.planning.fit import FitRegime, beyond_key, key_fit, snug_projection
from domain.reading import read
from domain.spec.catalogue import Section
from tests.workshop import SHIPPED

mm = Length.from_mm


def demo_sections() -> list[Section]:
    return [
        read(Section, one) for one in json.loads((SHIPPED / "shop.json").read_text(encoding="utf-8"))["sections"]
    ]


def test_the_demos_keys_are_usual() -> None:
    for section in demo_sections():
        assert oddities(section.waist, section.half_depth, section.flank) == ()


def test_a_whole_depth_taken_for_one_side_is_asked_with_the_figures_of_the_other() -> None:
    # atan((14 − 11.4) / 24) = 6.18°, and over 12 it is 12.23°
    assert degrees(atan(2.6 / 24)) == pytest.approx(6.18, abs=0.005)
    shape = bare_section(mm(11.4), mm(12), degrees(atan(2.6 / 24)))
    assert [one.doubt for one in oddities(shape.waist, shape.half_depth, shape.flank)] == [
        Oddity.FLANK,
        Oddity.HALF_DEPTH,
    ]
    other = other_reading(shape, mm(12), DepthOver.ONE_SIDE, mm(14), flank_worked_out=True)
    assert other is not None
    assert (other.over, other.half_depth) == (DepthOver.WHOLE_KEY, mm(6))
    assert other.flank == pytest.approx(12.2255, abs=1e-3)
    words = other.finding.text(Units.MM)
    assert words == (
        "Is 12 mm the whole key? Then the half depth is 6 mm, 53 % of the waist, and the flank is 12.2°."
    )
    assert other.finding.text(Units.INCH).startswith("Is 0.472″ the whole key?")


@given(
    st.floats(4, 40),
    st.floats(USUAL_HALF_DEPTH[0] + 0.005, USUAL_HALF_DEPTH[1] - 0.005),
    st.floats(USUAL_FLANK[0] + 0.1, USUAL_FLANK[1] - 0.1),
    st.sampled_from(DepthOver),
)
def test_every_usual_key_read_the_wrong_way_is_asked_and_led_back(
    wide: float, share: float, lean: float, meant: DepthOver
) -> None:
    waist, half_depth = mm(wide), mm(wide * share)
    overall = mm(waist.mm + 2 * half_depth.mm * tan(radians(lean)))
    typed = half_depth if meant is DepthOver.ONE_SIDE else half_depth * 2
    assert oddities(waist, half_depth, lean) == ()
    wrong = meant.other
    flank = flank_from_widths(overall, waist, wrong.half_depth(typed))
    assume(flank is not None and flank <= 45)
    assert flank is not None
    shape = bare_section(waist, wrong.half_depth(typed), flank)
    asked = oddities(waist, shape.half_depth, shape.flank)
    assert asked, "a factor of two is never within the usual"
    other = other_reading(shape, typed, wrong, overall, flank_worked_out=True)
    assert other is not None
    assert other.over is meant
    assert abs(other.half_depth.nm - half_depth.nm) <= 1


def test_an_angle_that_was_typed_stays_with_the_other_reading() -> None:
    shape = bare_section(mm(13), mm(14), 11)
    other = other_reading(shape, mm(14), DepthOver.ONE_SIDE, None, flank_worked_out=False)
    assert other is not None
    assert (other.half_depth, other.flank) == (mm(7), 11)


def test_an_odd_flank_alone_has_no_other_reading() -> None:
    shape = bare_section(mm(13), mm(7), 21)
    assert [one.doubt for one in oddities(shape.waist, shape.half_depth, shape.flank)] == [Oddity.FLANK]
    assert other_reading(shape, mm(7), DepthOver.ONE_SIDE, None, flank_worked_out=False) is None


# the widest place of the key and the cutter's tip measured alike: the flanks touch where the key ends, by
# p0 = (D − a) / (2·tan θ) with tan θ = (A − a) / (2·h) and D = A, whatever the figures
@given(st.integers(300, 4000), st.integers(1, 900), st.integers(100, 2500))
def test_equal_measures_of_key_and_cutter_never_hold_apart(waist: int, more: int, half: int) -> None:
    hundredths = 10_000
    a, wide, h = Length(waist * hundredths), Length((waist + more) * hundredths), Length(half * hundredths)
    flank = flank_from_widths(wide, a, h)
    assume(flank is not None and 1 <= flank <= 45)
    assert flank is not None
    section = bare_section(a, h, flank, tip=wide)
    (figures,) = cutter_figures(section)
    assert figures.excess.nm == 0
    assert beyond_key(section, wide.mm).nm == 0
    assert not list(cutter_findings(section))
    fit = key_fit(section, wide.mm, snug_projection(section, wide.mm), mm(0.25))
    assert fit.regime is FitRegime.CLAMPED


def test_a_cutter_that_is_a_hundredth_too_small_does_hold_apart() -> None:
    section = bare_section(mm(11.4), mm(6), degrees(atan(2.6 / 12)), tip=mm(13.99))
    assert beyond_key(section, 13.99).nm < 0
    assert key_fit(section, 13.99, snug_projection(section, 13.99), mm(0.25)).regime is FitRegime.HELD_APART


@given(
    st.none() | st.floats(2, 60).map(mm),
    st.none() | st.floats(2, 60).map(mm),
    st.none() | st.floats(1, 60).map(mm),
    st.none() | st.floats(0.1, 45),
)
def test_whatever_is_known_of_a_key_it_can_be_drawn(
    overall: Length | None, waist: Length | None, half_depth: Length | None, flank: float | None
) -> None:
    shape = sketched(overall, waist, half_depth, flank)
    assert waist in (None, shape.waist)
    assert half_depth in (None, shape.half_depth)
    assert 2 <= shape.flank <= 45
