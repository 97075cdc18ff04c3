"""Where a job starts by the trials nearest to it, and what the shop accepts of it."""

from __future__ import annotations

import pytest

from domain.lengths import Units
from domain.problems import BadInput
from domain.spec.catalogue import CutterKind
from domain.spec.starts import check_start
from domain.trials.evidence import Start, accept, nearest_first, start_for
from domain.trials.proposal import Reason
from domain.trials.trial import KeptTrial, Trial
from tests.domain.builders import rules, section
from tests.domain.trial_samples import at, book, held, loose_by

SHOP = rules(preload=0.1)
CLOSE = CutterKind.CLOSE


def start(*trials: Trial, species: str | None = "oak", thickness: float = 20) -> Start:
    return start_for(section(), CLOSE, species, thickness, book(*trials), SHOP)


def test_without_trials_the_start_is_the_catalogues() -> None:
    found = start()
    assert found.projection == pytest.approx(2.1)
    assert found.projection == found.catalogue_projection
    assert (found.difference, found.snug_found, found.evidence) == (0, None, ())
    assert found.why.reason is Reason.NO_TRIALS
    assert found.why.text() == (
        "No trial with this section and cutter yet:"
        " the catalogue's snug projection of 2 mm and a preload of 0.1 mm."
    )


def test_both_figures_stand_side_by_side() -> None:
    found = start(loose_by(2.05, 0.3))
    assert found.projection == pytest.approx(2.3)
    assert found.snug_found == pytest.approx(2.2)
    assert (found.catalogue_projection, found.catalogue_snug) == (pytest.approx(2.1), pytest.approx(2.0))
    assert found.difference == pytest.approx(0.2)


def test_nearest_is_the_species_then_the_thickness_then_the_newest() -> None:
    trials = (
        KeptTrial(1, "2026-03-01", at(2.1, "snug", species="ash", thickness=20)),
        KeptTrial(2, "2026-03-01", at(2.1, "snug", species="Oak", thickness=26)),
        KeptTrial(3, "2026-03-01", at(2.1, "snug", species="oak", thickness=18)),
        KeptTrial(4, "2026-03-02", at(2.1, "snug", species="oak", thickness=22)),
        KeptTrial(5, "2026-03-02", at(2.1, "snug", species="oak", thickness=22)),
        KeptTrial(6, "2026-03-03", at(2.1, "snug", section="14")),
        KeptTrial(7, "2026-03-03", at(2.1, "snug", cutter="free")),
    )
    order = [kept.number for kept in nearest_first("12", CLOSE, "oak", 20, trials)]
    assert order == [5, 4, 3, 2, 1]
    assert [kept.number for kept in nearest_first("12", CLOSE, None, 20, trials)] == [1, 5, 4, 3, 2]


def test_each_trial_says_how_far_from_the_job_it_is() -> None:
    found = start(
        at(2.1, "snug", thickness=22),
        at(2.12, "tight", species="Brown ash", thickness=18.5),
        at(2.1, "snug"),
    )
    assert [each.text() for each in found.evidence] == [
        "same species, same thickness: snug",
        "same species, 2 mm thicker: snug",
        "another species (Brown ash), 1.5 mm thinner: tight",
    ]
    # 2 mm is 5.04 / 64 in
    assert found.evidence[1].text(Units.INCH) == "same species, 5/64 in thicker: snug"


def test_the_nearest_exact_trial_gives_the_snug_projection() -> None:
    found = start(loose_by(2.05, 0.3, species="ash"), loose_by(2.05, 0.2))
    assert found.snug_found == pytest.approx(2.15)  # the oak's own, not a mean of both
    assert [each.set_aside for each in found.evidence] == [False, False]


def test_a_trial_that_contradicts_a_nearer_one_is_set_aside_and_named() -> None:
    found = start(at(2.6, "snug", species="ash"), at(2.1, "snug"))
    assert found.snug_found == 2.1
    assert [(each.kept.number, each.set_aside) for each in found.evidence] == [(2, False), (1, True)]
    assert [(one.kept, one.set_aside) for one in found.contradictions] == [(2, 1)]


def test_the_shop_accepts_a_start_for_its_wood_or_for_any() -> None:
    found = start(loose_by(2.05, 0.3), at(2.4, "tight"))
    taken = accept(found, "2026-03-09")
    assert (taken.section, taken.cutter, taken.species, taken.day) == ("12", CLOSE, "oak", "2026-03-09")
    assert (taken.snug.mm, taken.projection.mm, taken.tip_diameter.mm) == (2.2, 2.3, 12)
    assert taken.trials == (2, 1)
    assert not tuple(check_start(taken))
    assert accept(found, "2026-03-09", any_wood=True).species is None


@pytest.mark.parametrize("trials", [[], [held(1.6, 0.8)], [at(1.9, "burst")], [at(2.3, "tight", species="ash")]])
def test_bounds_alone_are_nothing_to_accept(trials: list[Trial]) -> None:
    with pytest.raises(BadInput, match="trials: 'no snug projection'"):
        accept(start(*trials), "2026-03-09")


def test_a_tight_trial_may_be_accepted_as_it_is() -> None:
    taken = accept(start(at(2.3, "tight")), "2026-03-09")
    # snug by the preload of 0.1 shallower
    assert (taken.snug.mm, taken.projection.mm, taken.trials) == (2.2, 2.3, (1,))
    # with a preload of 0.3; but held 0.8 apart at 1.7: snug at 2.1 at the least
    trials = book(held(1.7, 0.8), at(2.3, "tight"))
    taken = accept(start_for(section(), CLOSE, "oak", 20, trials, rules(preload=0.3)), "2026-03-09")
    assert (taken.snug.mm, taken.projection.mm) == (pytest.approx(2.1), 2.3)


def test_two_that_contradict_one_another_are_nothing_to_accept() -> None:
    with pytest.raises(BadInput, match="contradict one another: repeat trial 2"):
        accept(start(at(2.1, "snug"), loose_by(2.2, 0.4)), "2026-03-09")


def test_an_accepted_start_names_the_nearest_fifty() -> None:
    found = start(*(at(2.1, "snug") for _ in range(60)))
    assert accept(found, "2026-03-09").trials == tuple(range(60, 10, -1))


def test_a_section_without_that_cutter_is_an_error_of_the_program() -> None:
    with pytest.raises(ValueError, match="has no free-fit cutter"):
        start_for(section(), CutterKind.FREE, "oak", 20, (), SHOP)
