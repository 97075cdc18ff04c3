"""What one trial proves, at 45° where tan θ is 1 and everything can be done in the head."""

from __future__ import annotations

from math import inf

import pytest

from domain.spec.catalogue import CutterKind
from domain.trials.fit import Bounds, Solved, implied, solve, solve_today
from domain.trials.trial import Trial
from tests.domain.builders import demo_sections, section
from tests.domain.trial_samples import at, held, loose_by


@pytest.mark.parametrize(
    ("made", "snug", "half_depth", "ceiling"),
    [
        # held 0.8 apart at 1.6: the key is 1.6 + 0.4 deep, and its flanks touch no sooner than that
        (held(1.6, 0.8), Bounds(low=2.0), Bounds(2.0, 2.0), None),
        # open by 0.3 at 2.05: snug at 2.05 + 0.15; it closed, so the key is no deeper than the slot
        (loose_by(2.05, 0.3), Bounds(2.2, 2.2), Bounds(high=2.05), None),
        (at(2.1, "snug"), Bounds(2.1, 2.1), Bounds(high=2.1), None),
        (at(2.1, "tight"), Bounds(high=2.1), Bounds(high=2.1), None),
        (at(2.4, "burst"), Bounds(high=2.4), Bounds(), 2.4),
        (at(2.4, "stopped", stopped_at=7), Bounds(high=2.4), Bounds(), 2.4),
        # a slot shallower than the key: it may have met the bottom, so nothing is said of the flanks
        (at(1.9, "burst"), Bounds(), Bounds(), 1.9),
        (at(1.9, "stopped", stopped_at=7), Bounds(), Bounds(), 1.9),
    ],
    ids=lambda value: value.outcome.value if isinstance(value, Trial) else "",
)
def test_what_a_trial_proves(made: Trial, snug: Bounds, half_depth: Bounds, ceiling: float | None) -> None:
    solved = solve(made, section())
    ends = [solved.snug.low, solved.snug.high, solved.half_depth.low, solved.half_depth.high]
    assert ends == pytest.approx([snug.low, snug.high, half_depth.low, half_depth.high])
    assert solved.ceiling == ceiling


def test_a_cutter_ground_since_moves_the_snug_projection_and_not_the_key() -> None:
    # the trial's tip was 12.4, the catalogue has 12 now: (12 − 12.4) / 2 = 0.2 less
    found = solve_today(loose_by(2.05, 0.3, tip_diameter=12.4), section())
    assert found.snug.value == pytest.approx(2.0)
    assert found.half_depth == Bounds(high=2.05)
    burst = solve_today(at(2.4, "burst", tip_diameter=12.4), section())
    assert burst.ceiling == pytest.approx(2.2)


def test_bounds_are_apart_only_beyond_what_two_readings_are_good_for() -> None:
    assert not Bounds.at(2).apart(Bounds.at(2.1))
    assert Bounds.at(2).apart(Bounds.at(2.11))
    assert not Bounds(high=2).apart(Bounds(low=2.1))
    assert Bounds(high=2).apart(Bounds(low=2.11))
    assert not Bounds().apart(Bounds.at(7))
    assert not Bounds(high=3).apart(Bounds.at(1))


def test_bounds_know_what_they_know() -> None:
    assert (Bounds().known, Bounds(low=1).known, Bounds.at(1).known) == (False, True, True)
    assert (Bounds().value, Bounds(1, 2).value, Bounds.at(1).value) == (None, None, 1)
    assert Solved(Bounds(), Bounds()).moved(1) == Solved(Bounds(-inf, inf), Bounds())


def test_waist_or_tip_follow_from_the_snug_projection() -> None:
    # found snug at 2.1: with a tip of 12 the waist is 12 − 4.2; with a waist of 8 the tip is 8 + 4.2
    says = implied(section(), CutterKind.CLOSE, 2.1)
    assert (says.waist, says.tip, says.off) == pytest.approx((7.8, 12.2, 0.1))


def test_waist_and_tip_of_the_shops_fourteen() -> None:
    # by hand: 2·tan 12° = 0.4251131; 14.06 − 6.25·0.4251131 = 11.4030; 11.45 + 2.6570 = 14.1070
    says = implied(demo_sections()[2], CutterKind.CLOSE, 6.25)
    assert (round(says.waist, 4), round(says.tip, 4)) == (11.4030, 14.1070)


def test_a_section_without_an_free_cutter_has_nothing_to_say_of_it() -> None:
    with pytest.raises(ValueError, match="the section 12 has no free-fit cutter"):
        implied(section(), CutterKind.FREE, 2.1)
