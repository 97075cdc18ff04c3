"""A trial as it is written down: what belongs together, and what cannot be."""

from __future__ import annotations

from typing import Any

import pytest

from domain.problems import BadInput, path_text
from domain.reading import read
from domain.trials.trial import Trial, check_against, check_trial
from tests.domain.builders import section
from tests.domain.trial_samples import PIECE, at, held, loose_by, trial


def words(problems: Any) -> dict[str, str]:
    return {path_text(problem.path): problem.text() for problem in problems}


@pytest.mark.parametrize(
    "good",
    [
        held(1.5, 1),
        loose_by(2, 0.2),
        at(2, "snug"),
        at(2.1, "tight"),
        at(2.4, "burst"),
        at(2.4, "stopped", stopped_at=9),
        at(2.4, "stopped", stopped_at=0),
    ],
    ids=lambda one: one.outcome.value,
)
def test_each_outcome_with_what_belongs_to_it_is_taken(good: Trial) -> None:
    assert words(check_trial(good)) == {}
    assert words(check_against(good, section())) == {}


@pytest.mark.parametrize(
    ("wrong", "path", "said"),
    [
        (at(1.5, "held_apart"), "gap", "measure the gap with a feeler gauge, in mm: 0.2, say"),
        (at(2, "loose"), "gap", "measure the gap with a feeler gauge, in mm: 0.2, say"),
        (loose_by(2, 5.1), "gap", "must be 5 mm or less; measure it again"),
        (at(2, "snug", gap=0.1), "gap", "belongs to “held apart” and “loose” only; leave it empty"),
        (at(2, "burst", gap=0.1), "gap", "belongs to “held apart” and “loose” only; leave it empty"),
        (at(2.4, "stopped"), "stopped_at", "say how far the key went in, in mm"),
        (
            at(2.4, "stopped", stopped_at=16.5),
            "stopped_at",
            "must be less than the slot's depth, 16.5 mm; else the key is in",
        ),
        (at(2, "tight", stopped_at=4), "stopped_at", "belongs to “stopped” only; leave it empty"),
    ],
)
def test_what_does_not_belong_together_is_named(wrong: Trial, path: str, said: str) -> None:
    assert words(check_trial(wrong)) == {path: said}


@pytest.mark.parametrize(
    ("wrong", "path", "said"),
    [
        (trial(cutter="free"), "cutter", "the section 12 has a close-fit cutter only"),
        (trial(tip_diameter=8), "tip_diameter", "must be more than the key's waist, 8 mm"),
        # at 45° the mouth 12 − 2p closes at 6
        (at(6.1, "burst"), "projection", "must be less than 6 mm: there the slot's mouth would be closed"),
        (
            loose_by(2, 4.2),
            "gap",
            "with this projection it makes the snug projection 4.1 mm, and the catalogue's sizes make it 2 mm;"
            " read projection and gap again",
        ),
        (
            held(1.8, 4.6),
            "gap",
            "with this projection it makes the half depth 4.1 mm, and the catalogue's sizes make it 2 mm;"
            " read projection and gap again",
        ),
    ],
)
def test_what_cannot_be_of_the_section_is_named(wrong: Trial, path: str, said: str) -> None:
    assert words(check_against(wrong, section())) == {path: said}


@pytest.mark.parametrize(
    ("field", "value", "said"),
    [
        ("outcome", "splendid", "must be one of"),
        ("cutter", "spare", "must be one of"),
        ("projection", 0, "must be more than 0"),
        ("gap", -0.1, "must be more than 0"),
        ("species", " ", "must not be empty"),
        ("thickness", "thick", "not a length"),
        ("mood", "good", "is not a field here"),
    ],
)
def test_fields_that_do_not_read_are_refused(field: str, value: object, said: str) -> None:
    with pytest.raises(BadInput) as refusal:
        read(Trial, PIECE | {field: value})
    (problem,) = refusal.value.problems
    assert path_text(problem.path) == field
    assert problem.text().startswith(said)
