"""The next projection: what several trials agree on, which contradict, and what to set. At 45°, by hand."""

from __future__ import annotations

from math import inf
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from domain.lengths import Units
from domain.planning.fit import FitRegime, key_fit
from domain.problems import BadInput
from domain.trials.fit import Bounds, Solved
from domain.trials.proposal import Proposal, Reason, next_projection
from domain.trials.trial import KeptTrial, Trial
from domain.trials.weighing import Quantity, Reading, bounds_text, weigh
from tests.domain.builders import rules, section
from tests.domain.trial_samples import at, book, held, loose_by, trial

SHOP: dict[str, Any] = {"preload": 0.1, "squeeze_limit": 0.25}


def proposed(*trials: Trial, **more: Any) -> Proposal:
    return next_projection(book(*trials), section(**more), rules(**SHOP))


@pytest.mark.parametrize(
    ("trials", "projection", "reason"),
    [
        # exact: snug at 2.05 + 0.15 = 2.2, and the preload of 0.1
        ([loose_by(2.05, 0.3)], 2.3, Reason.SNUG_FOUND),
        ([at(2.1, "snug")], 2.2, Reason.SNUG_FOUND),
        # the newest exact one counts where two agree within the slack
        ([at(2.1, "snug"), loose_by(2.05, 0.2)], 2.25, Reason.SNUG_FOUND),
        # a tight one bounds from above, and agrees
        ([loose_by(2.05, 0.3), at(2.3, "tight")], 2.3, Reason.SNUG_FOUND),
        # held 0.8 apart at 1.6: at least 2.0 deep, hence the catalogue's 2 + 0.1
        ([held(1.6, 0.8)], 2.1, Reason.DEEPER),
        # held 1.2 apart at 1.6: 2.2 deep, so 2.2 + 0.1
        ([held(1.6, 1.2)], 2.3, Reason.DEEPER),
        # tight at 2.3: one step of 0.1 less, but not more than the catalogue's 2.1
        ([at(2.3, "tight")], 2.1, Reason.SHALLOWER),
        ([at(2.1, "tight")], 2.0, Reason.SHALLOWER),
        # the key is 2 deep: never shallower than that, even after a burst (2.2 − 0.25 = 1.95)
        ([at(2.2, "burst")], 2.0, Reason.SHALLOWER),
        ([at(2.2, "stopped", stopped_at=5)], 2.1, Reason.SHALLOWER),
        # at least 2.0 (held apart), at most 2.4: half way
        ([held(1.6, 0.8), at(2.4, "tight")], 2.2, Reason.HALF_WAY),
        # nothing known of the flanks: burst in a slot shallower than the key
        ([at(1.9, "burst")], 2.1, Reason.NOTHING_SAID),
        # snug at 2.2, but 2.25 burst: between them
        ([loose_by(2.05, 0.3), at(2.25, "burst")], 2.225, Reason.BELOW_TOO_MUCH),
        # burst at 2.8 is far from 2.3
        ([loose_by(2.05, 0.3), at(2.8, "burst")], 2.3, Reason.SNUG_FOUND),
        # snug at 1.9 with a key 2.05 deep: 2.05 squeezes by 0.15, which the shop's limit allows
        ([held(1.7, 0.6), at(1.92, "snug")], 2.0 + 0.02, Reason.SNUG_FOUND),
    ],
)
def test_what_to_set_next(trials: list[Trial], projection: float, reason: Reason) -> None:
    found = proposed(*trials)
    assert found.why.reason is reason
    assert found.projection == pytest.approx(projection)
    assert found.contradictions == ()
    assert sorted(found.evidence) == list(range(1, len(trials) + 1))


def test_two_readings_within_their_slack_leave_room_to_the_keys_bottom() -> None:
    # snug at 2, and held 0.76 apart at 1.7: 2.08 deep. Without preload the slot must go to 2.08
    found = next_projection(book(held(1.7, 0.76), at(2, "snug")), section(), rules(preload=0))
    assert (found.why.reason, found.projection) == (Reason.HALF_DEPTH, pytest.approx(2.08))


@pytest.mark.parametrize(
    ("tip", "made", "projection", "reason"),
    [
        # the key is 2.2 deep. Tried with a tip of 12, ground to 11.6 since: snug at 2.2 − 0.2 = 2.0, and the
        # slot goes to the key's bottom, 2.2, where it squeezes by 0.2
        (11.6, at(2.2, "snug"), 2.2, Reason.HALF_DEPTH),
        # ground to 11: snug at 1.7; at the bottom it would squeeze by 0.5, twice the shop's limit
        (11, at(2.2, "snug"), None, Reason.CUTTER_TOO_SMALL),
        # tight then, so now snug at less than 2.0, and the key is 2.2 deep
        (11.6, at(2.2, "tight"), None, Reason.CUTTER_TOO_SMALL),
    ],
)
def test_a_cutter_ground_too_far_is_told(
    tip: float, made: Trial, projection: float | None, reason: Reason
) -> None:
    found = proposed(made, tip_diameter=tip, half_depth=2.2)
    assert found.why.reason is reason
    assert found.projection == (projection and pytest.approx(projection))


def test_two_that_contradict_one_another_are_named_and_the_newer_is_repeated() -> None:
    found = proposed(at(2.1, "snug"), loose_by(2.1, 0.5), at(2.6, "tight"))
    # 1 says 2.1, 2 says 2.1 + 0.25 = 2.35: neither stands until 2.1 was set again
    assert (found.projection, found.why.reason) == (pytest.approx(2.1), Reason.REPEAT)
    assert found.why.text() == (
        "Trials 2 and 1 contradict one another: repeat trial 2 at the same setting before anything is changed. The"
        " one that the repeat agrees with stands."
    )
    assert found.evidence == (3, 2)
    (clash,) = found.contradictions
    assert (clash.quantity, clash.kept, clash.set_aside) == (Quantity.SNUG, 2, 1)
    assert clash.text() == (
        "Trials 2 and 1 contradict one another: by trial 2 the snug projection is 2.35 mm,"
        " by trial 1 it is 2.1 mm. Make one of them again."
    )
    assert "2 the snug projection is 0.093 in" in clash.text(Units.INCH)


def test_the_repeat_decides_whichever_it_agrees_with() -> None:
    older, newer = at(2.1, "snug"), loose_by(2.2, 0.4)
    # 2.1 against 2.2 + 0.2
    first = proposed(older, newer)
    assert (first.projection, first.why.reason) == (pytest.approx(2.2), Reason.REPEAT)
    # loose again: 2.38, and the preload; trial 1 has two against it
    again = proposed(older, newer, loose_by(2.2, 0.36))
    assert (again.projection, again.why.reason, again.evidence) == (
        pytest.approx(2.48),
        Reason.SNUG_FOUND,
        (3, 2),
    )
    # tight: it agrees with trial 1, and trial 2 is set aside by both
    other = proposed(older, newer, at(2.2, "tight"))
    assert (other.projection, other.why.reason, other.evidence) == (
        pytest.approx(2.2),
        Reason.SNUG_FOUND,
        (3, 1),
    )


@pytest.mark.parametrize(
    "trials",
    [
        [at(2.24, "burst"), at(2.0, "tight")],
        [at(2.2, "tight"), at(2.0, "tight")],
        [at(2.2, "burst"), at(2.0, "burst")],
        [at(2.0, "stopped", stopped_at=5)],
        # snug there, and burst the next time
        [loose_by(2.05, 0.3), at(2.2, "burst")],
    ],
)
def test_no_setting_is_proposed_twice(trials: list[Trial]) -> None:
    found = proposed(*trials)
    assert (found.projection, found.why.reason) == (None, Reason.NOTHING_LEFT)
    assert "down to the key's half depth of 2 mm: key and cutter do not fit in this wood" in found.why.text()


def test_a_tight_trial_is_offered_as_it_is() -> None:
    found = proposed(at(2.3, "tight"), at(2.2, "tight"), at(2.25, "tight", species="ash"), at(2.35, "tight"))
    # the shallowest in this wood
    assert found.clamped is not None
    assert (found.clamped.number, found.clamped.projection) == (2, pytest.approx(2.2))
    assert found.clamped.text() == (
        "Trial 2 clamped the joint at 2.2 mm, driven with force: that can be planned with as it is."
    )
    # not where as much burst this wood, nor where the snug projection is known
    assert proposed(at(2.2, "tight"), at(2.2, "burst")).clamped is None
    assert proposed(at(2.2, "tight"), at(2.1, "snug")).clamped is None


def test_the_depth_of_the_key_may_be_contradicted_too() -> None:
    # held apart at 2.2 by 0.2: 2.3 deep; yet another joint closed at 2.05
    found = proposed(held(2.2, 0.2), loose_by(2.05, 0.6))
    assert {clash.quantity for clash in found.contradictions} == {Quantity.HALF_DEPTH}
    assert found.evidence == (2,)
    assert "half depth is at most 2.05 mm, by trial 1 it is 2.3 mm" in found.contradictions[0].text()


def test_what_burst_in_another_wood_or_in_thinner_stock_does_not_count_here() -> None:
    snug = loose_by(2.05, 0.3)
    for other, counts in [
        (at(2.25, "burst"), True),
        (at(2.25, "burst", species="Oak"), True),
        (at(2.25, "burst", species="ash"), False),
        (at(2.25, "burst", thickness=12), False),
        (at(2.25, "burst", thickness=30), True),
        (at(2.25, "stopped", stopped_at=4, thickness=12), True),
    ]:
        # the last trial is the loose one: in oak, 20 mm thick
        found = proposed(other, snug)
        assert (found.why.reason is Reason.BELOW_TOO_MUCH) is counts, other


def test_the_newest_is_the_one_of_the_latest_day() -> None:
    older = KeptTrial(9, "2026-03-01", at(2.1, "snug"))
    newer = KeptTrial(2, "2026-03-05", loose_by(2.1, 0.5))
    found = next_projection([older, newer], section(), rules(**SHOP))
    assert (found.evidence, found.contradictions[0].set_aside) == ((2,), 9)


def test_trials_of_another_section_or_cutter_are_refused() -> None:
    with pytest.raises(BadInput, match="must be of section 12 and the close-fit cutter"):
        proposed(at(2.1, "snug"), at(2.1, "snug", section="14"))
    with pytest.raises(BadInput, match="trial 1: section 12, free-fit cutter"):
        proposed(at(2.1, "snug", cutter="free"), at(2.1, "snug"))
    with pytest.raises(BadInput, match="make one trial first"):
        proposed()


@pytest.mark.parametrize(
    ("bounds", "said"),
    [
        (Bounds.at(2.1), "2.1 mm"),
        (Bounds(low=2), "at least 2 mm"),
        (Bounds(high=2.25), "at most 2.25 mm"),
        (Bounds(2, 2.25), "between 2 mm and 2.25 mm"),
        (Bounds(), "not known"),
    ],
)
def test_bounds_in_words(bounds: Bounds, said: str) -> None:
    assert bounds_text(bounds, Units.MM) == said


@pytest.mark.parametrize(
    ("trials", "said"),
    [
        ([at(2.1, "snug")], "The trials found the key snug at 2.1 mm; a preload of 0.1 mm goes on top."),
        ([held(1.6, 0.8)], "The key is snug at 2 mm or deeper: the slot must be deeper."),
        (
            [at(2.3, "tight")],
            "The key is snug at less than 2.3 mm: the slot must be shallower, yet deep enough for the key's half"
            " depth of 2 mm.",
        ),
        (
            [held(1.6, 0.8), at(2.4, "tight")],
            "The key is snug between 2 mm and 2.4 mm: half way between tells most.",
        ),
        (
            [at(1.9, "burst")],
            "These trials do not tell where the key is snug: the catalogue's snug projection of 2 mm and a preload"
            " of 0.1 mm.",
        ),
        (
            [loose_by(2.05, 0.3), at(2.25, "burst")],
            "The trials found the key snug at 2.2 mm, and 2.25 mm was too much for this wood: half way between.",
        ),
    ],
)
def test_the_reason_in_words(trials: list[Trial], said: str) -> None:
    assert proposed(*trials).why.text() == said


def test_the_reasons_of_a_ground_cutter_in_words() -> None:
    deep = proposed(at(2.2, "snug"), tip_diameter=11.6, half_depth=2.2).why
    assert deep.text() == (
        "The trials found the key snug at 2 mm, but it is 2.2 mm deep on each side and must not bottom."
    )
    small = proposed(at(2.2, "snug"), tip_diameter=11, half_depth=2.2).why
    assert small.text(Units.INCH).startswith(
        "The flanks touch at 0.067″ at the most, before the key's half depth of 0.087″ is reached"
    )


def outcome_of(waist: float, half_depth: float, projection: float) -> Trial | None:
    """A trial as the forward geometry gives it with a true key of this size and a tip of 12; None in between."""
    true = section(waist=waist, half_depth=half_depth)
    fit = key_fit(true, 12, projection, rules(**SHOP).squeeze_limit)
    if fit.regime is FitRegime.HELD_APART and fit.amount >= 1e-3 and half_depth <= (12 - waist) / 2:
        return held(projection, round(fit.amount, 6))
    if fit.regime is FitRegime.LOOSE and fit.amount >= 1e-3:
        return loose_by(projection, round(fit.amount, 6))
    if fit.regime is FitRegime.CLAMPED and fit.amount > 0.001:
        return at(projection, "tight")
    if fit.regime is FitRegime.OVER_TIGHT:
        return at(projection, "burst")
    return None


@settings(max_examples=300, deadline=None)
@given(
    snug=st.floats(1.8, 2.4),
    shallow=st.floats(0, 0.3),
    tried=st.lists(st.floats(1.2, 3.2), min_size=1, max_size=6),
)
def test_honest_trials_never_contradict_and_lead_to_a_clamping_key(
    snug: float, shallow: float, tried: list[float]
) -> None:
    """From any start, following the proposal, a few test pieces end within the preload's clamping range."""
    snug, half_depth = round(snug, 4), round(snug - shallow, 4)
    waist = round(12 - 2 * snug, 4)
    made = [one for p in tried if (one := outcome_of(waist, half_depth, round(p, 4)))]
    for _ in range(12):
        if not made:
            made.append(at(2.1, "tight") if snug < 2.1 else loose_by(2.1, round(2 * (snug - 2.1), 6) or 0.001))
        found = next_projection(book(*made), section(), rules(**SHOP))
        assert found.contradictions == ()
        assert found.snug.low - 1e-6 <= snug <= found.snug.high + 1e-6
        if found.projection is None or found.snug.value is not None:
            break
        following = outcome_of(waist, half_depth, round(found.projection, 4))
        if following is None:
            break
        made.append(following)
    if found.projection is not None and found.snug.value is not None:
        squeeze = found.projection - snug
        ceilings = [one.projection.mm for one in made if one.outcome.value == "burst"]
        assert -1e-6 <= squeeze <= 0.1 + 0.2
        assert found.projection < min(ceilings, default=inf)


def test_bounds_that_cross_within_the_slack_of_a_gauge_meet_in_the_middle() -> None:
    # one piece says at least 2.06, another at most 2: 0.05 is what each projection is good for
    low, high = (
        Reading(one, Solved(bounds, Bounds()))
        for one, bounds in zip(book(trial(), trial()), (Bounds(low=2.06), Bounds(high=2.0)), strict=True)
    )
    assert weigh([low, high]).snug.value == pytest.approx(2.03)
