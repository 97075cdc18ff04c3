"""Caliper measurements: what they imply agrees with the section's geometry, and the right one is doubted."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from domain.lengths import Length, Units
from domain.measuring.caliper import (
    Doubt,
    cutter_figures,
    cutter_findings,
    flank_from_widths,
    suggested_name,
    width_findings,
)
from domain.planning.fit import HAIR, FitRegime, key_fit
from domain.spec.catalogue import Section

mm = Length.from_mm


def section(waist: float = 11.45, half_depth: float = 6, flank: float = 12, tip: float = 14.06) -> Section:
    return Section(
        name="x",
        waist=mm(waist),
        half_depth=mm(half_depth),
        flank=flank,
        tip_diameter=mm(tip),
        lengths=(mm(16),),
        drive_limit=mm(16),
        stock_from=mm(10),
        stock_to=mm(30),
    )


@given(st.floats(3, 30), st.floats(2, 20), st.floats(1, 45))
def test_the_angle_that_widths_give_is_the_one_they_came_from(waist: float, half: float, flank: float) -> None:
    key = section(waist, half, flank, tip=waist + 1)
    found = flank_from_widths(mm(key.overall_width), key.waist, key.half_depth)
    assert found == pytest.approx(flank, abs=1e-4)


@pytest.mark.parametrize("overall", [5, 10])
def test_widths_that_no_dovetail_has(overall: float) -> None:
    assert flank_from_widths(mm(overall), mm(10), mm(6)) is None


@given(st.floats(3, 30), st.floats(2, 20), st.floats(1, 45), st.floats(0.01, 10))
def test_at_the_snug_projection_there_is_neither_play_nor_squeeze(
    waist: float, half: float, flank: float, wider: float
) -> None:
    key = section(waist, half, flank, tip=waist + wider)
    (figures,) = cutter_figures(key)
    assert figures.snug - figures.excess.mm == pytest.approx(key.half_depth.mm, abs=HAIR.mm)
    fit = key_fit(key, figures.tip_diameter, figures.snug, mm(0.25))
    held_apart = bool([finding for finding in cutter_findings(key) if finding.doubt is Doubt.HOLDS_APART])
    assert (fit.regime is FitRegime.HELD_APART) == held_apart
    if not held_apart:
        assert fit.amount == pytest.approx(0, abs=1e-9)


@pytest.mark.parametrize(
    ("key", "measured", "doubts"),
    [
        (section(), 14.0, []),
        (section(), 14.2, []),
        (section(), 14.25, [Doubt.ANGLE]),
        (section(), 20.0, [Doubt.WIDTHS]),
        (section(), 11.0, [Doubt.WIDTHS]),
        (section(half_depth=12), 14.0, [Doubt.WHOLE_DEPTH]),
        (section(half_depth=12), 14.4, [Doubt.WHOLE_DEPTH]),
        (section(half_depth=3), 14.0, [Doubt.HALF_DEPTH]),
    ],
)
def test_which_measurement_to_repeat(key: Section, measured: float, doubts: list[Doubt]) -> None:
    assert [finding.doubt for finding in width_findings(key, mm(measured))] == doubts


def test_an_free_cutter_runs_deep_by_its_nature() -> None:
    key = section().model_copy(update={"free_tip_diameter": mm(15)})
    assert list(cutter_findings(key)) == []
    assert [finding.doubt for finding in cutter_findings(section(tip=15))] == [Doubt.DEEP_SLOT]


@pytest.mark.parametrize("units", list(Units))
def test_every_doubt_is_worded_in_both_units(units: Units) -> None:
    found = [
        *width_findings(section(), mm(14.4)),
        *width_findings(section(), mm(20)),
        *width_findings(section(half_depth=12), mm(14)),
        *width_findings(section(half_depth=3), mm(14)),
        *cutter_findings(section(tip=12)),
        *cutter_findings(section(tip=16)),
    ]
    assert {finding.doubt for finding in found} == set(Doubt)
    for finding in found:
        sentence = finding.text(units)
        assert sentence.endswith(".")
        assert (" mm" if units is Units.MM else "″") in sentence


def test_names_are_whole_millimetres() -> None:
    assert [suggested_name(width) for width in (6.975, 13.6, 20.0135)] == ["7", "14", "20"]


def test_the_waist_that_would_agree_is_named_where_both_widths_are_doubted() -> None:
    # 20 measured, and the flanks add 2·6·tan 12° = 2.551: the waist would be 17.449
    (finding,) = width_findings(section(), mm(20.0))
    assert finding.doubt is Doubt.WIDTHS
    assert "17.45 mm" in finding.text(Units.MM)
