"""Accepted starts: a projection from trials is planned with, said so, and never taken by itself."""

from __future__ import annotations

import json
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from domain.lengths import Units
from domain.notes import NoteCode
from domain.planning.plans import SectionPlan
from domain.spec.catalogue import CutterKind
from domain.spec.starts import AcceptedStart, check_start, in_this_wood, same_wood
from domain.takeoff.build import take_off
from domain.takeoff.document import takeoff_document
from tests.domain.builders import (
    Json,
    box,
    carcass,
    demo_sections,
    frame,
    project,
    railed,
    read,
    refused,
    rules,
    section,
    single,
)


def start(**more: Any) -> AcceptedStart:
    """KEY's snug projection is 2 with its tip of 12; these trials found 2.1 and start at 2.2."""
    plain: Json = {"section": "12", "snug": 2.1, "projection": 2.2, "tip_diameter": 12, "trials": (4, 5)}
    return AcceptedStart.model_validate(plain | {"day": "2026-03-02"} | more)


def plan_with(*starts: AcceptedStart, assembly: Json | None = None, **under: Any) -> SectionPlan:
    spec = read(assembly or single())
    plan = take_off(spec, (section(),), rules(**under), starts).assemblies[0].joints[0].plan
    assert plan is not None
    return plan


@pytest.mark.parametrize(
    ("one", "other", "same"),
    [
        ("oak", "Oak", True),
        ("white  oak", "White Oak ", True),
        ("Straße", "STRASSE", True),
        ("oak", "ash", False),
        ("oak", None, False),
        (None, None, True),
    ],
)
def test_species_are_compared_as_people_write_them(one: str | None, other: str | None, same: bool) -> None:
    assert same_wood(one, other) is same


def test_a_start_for_the_wood_comes_before_one_for_any_wood() -> None:
    any_wood, oak = start(snug=2.05), start(species="Oak")
    for starts in [(any_wood, oak), (oak, any_wood)]:
        assert in_this_wood(starts, "oak") == (oak,)
        assert in_this_wood(starts, "ash") == (any_wood,)
        assert in_this_wood(starts, None) == (any_wood,)
    assert in_this_wood((oak,), None) == ()


def test_the_start_accepted_last_counts() -> None:
    older, newer = start(day="2026-03-01"), start(day="2026-03-02", trials=(9,))
    assert in_this_wood((newer, older), "oak") == (newer,)
    corrected = start(day="2026-03-02", trials=(10,))
    assert in_this_wood((older, newer, corrected), "oak") == (corrected,)


def test_each_section_and_cutter_has_its_own_start() -> None:
    starts = (start(), start(cutter="free"), start(section="18"))
    assert in_this_wood(starts, "oak") == starts


def test_the_slot_is_planned_with_the_accepted_projection() -> None:
    plain, tried = plan_with(), plan_with(start())
    assert (plain.projection, plain.snug_projection) == (pytest.approx(2), pytest.approx(2))
    assert (tried.projection, tried.snug_projection) == (pytest.approx(2.2), pytest.approx(2.1))
    assert (plain.start, tried.start) == (None, start())
    # a snug projection of 2.1 with a tip of 12 at 45°: the key's waist is 12 − 2·2.1 = 7.8
    assert (plain.waist, tried.waist) == (8, pytest.approx(7.8))
    assert tried.overall_width == pytest.approx(11.8)


def test_a_deeper_slot_moves_the_keys_of_a_mitre() -> None:
    # on a mitre the fat end leans to the tip: 0.5 deeper is 0.5·cos 45° further out across the stock
    mitred = single(breadth=60, run=20, angle=45)
    plain, tried = plan_with(assembly=mitred), plan_with(start(snug=2.4, projection=2.5), assembly=mitred)
    assert tried.extent[0] - plain.extent[0] == pytest.approx(-0.5 * 0.5**0.5)
    # the nearest centre to the tip moves in by the same, measured along the joint line: / sin 45°
    assert tried.allowed[0][0] - plain.allowed[0][0] == pytest.approx(0.5)


def test_a_projection_too_deep_for_the_wood_is_refused_as_ever() -> None:
    shallow = single(behind=[4.1, 4.1])  # 4.1 less the wall of 2 leaves 2.1
    fits = take_off(read(shallow), (section(),), rules()).assemblies[0].joints[0]
    tried = take_off(read(shallow), (section(),), rules(), (start(),)).assemblies[0].joints[0]
    assert fits.plan is not None
    assert tried.plan is None
    assert tried.notes[0].code is NoteCode.TOO_DEEP_FOR_EDGE


def test_a_cutter_ground_since_the_trials_takes_the_start_along() -> None:
    # 0.2 off the tip at 45°: (12 − 12.2) / 2 = 0.1 less deep
    moved = plan_with(start(tip_diameter=12.2))
    assert (moved.snug_projection, moved.projection) == (pytest.approx(2.0), pytest.approx(2.1))


def test_the_squeeze_is_judged_by_the_snug_projection_that_was_found() -> None:
    # by the catalogue 2.2 would squeeze 0.2 with snug at 2; found snug at 2.19, it squeezes 0.01
    limit: dict[str, Any] = {"squeeze_limit": 0.15}
    codes = {note.code for note in plan_with(start(snug=2.19), **limit).notes}
    assert NoteCode.OVER_TIGHT not in codes
    codes = {note.code for note in plan_with(start(snug=2.0), **limit).notes}
    assert NoteCode.OVER_TIGHT in codes


def test_the_joint_says_where_its_projection_comes_from() -> None:
    (note,) = (one for one in plan_with(start()).notes if one.code is NoteCode.START_FROM_TRIALS)
    assert note.text() == (
        "The projection of 2.2 mm comes from trials 4 and 5; the catalogue gives 2 mm, which is 0.2 mm less."
    )
    # 2.2 / 25.4 = 0.0866, 2 / 25.4 = 0.0787, 0.2 / 25.4 = 0.0079
    assert note.text(Units.INCH) == (
        "The projection of 0.087″ comes from trials 4 and 5; the catalogue gives 0.079″, which is 0.008″ less."
    )
    (note,) = (
        one
        for one in plan_with(start(trials=(7,), snug=1.9, projection=1.95)).notes
        if one.code is NoteCode.START_FROM_TRIALS
    )
    assert note.text().startswith("The projection of 1.95 mm comes from trial 7; the catalogue gives 2 mm")


EVERY_KIND = [frame(material="oak"), railed(mark="B"), box(mark="C"), carcass(mark="D"), single(mark="E")]
ELSEWHERE = [
    start(section="14", species="ash", snug=6, projection=6.1, tip_diameter=14),
    start(section="no such", snug=6, projection=6.1),
    start(section="14", cutter="free", species="elm", snug=6, projection=6.1, tip_diameter=14),
]


@pytest.mark.parametrize("starts", [(), *((one,) for one in ELSEWHERE), tuple(ELSEWHERE)])
def test_starts_of_other_woods_and_sections_change_not_one_byte(starts: tuple[AcceptedStart, ...]) -> None:
    spec = read(*EVERY_KIND)
    plain, told = (
        json.dumps(takeoff_document(take_off(spec, demo_sections(), rules(), given))) for given in ((), starts)
    )
    assert plain == told
    assert "trial" not in plain


def test_a_project_may_bring_its_own_starts() -> None:
    own = [json.loads(start().model_dump_json())]
    spec = read(single(), starts=own)
    assert spec.starts == (start(),)
    (joint,) = take_off(spec, (section(),), rules()).assemblies[0].joints
    assert joint.plan is not None
    assert joint.plan.projection == pytest.approx(2.2)
    # its own, even where it has none: the shop's do not slip in
    (joint,) = take_off(read(single(), starts=[]), (section(),), rules(), (start(),)).assemblies[0].joints
    assert joint.plan is not None
    assert joint.plan.projection == pytest.approx(2)


@pytest.mark.parametrize(
    ("wrong", "path", "words"),
    [
        ({"projection": 2.05}, "starts[0].projection", "must be the snug projection or more, 2.1 mm"),
        ({"day": "2026-02-29"}, "starts[0].day", "must be a day of the calendar, such as 2026-03-31"),
        ({"day": "2.3.2026"}, "starts[0].day", "must match"),
        ({"trials": ()}, "starts[0].trials", "must have at least 1 items"),
        ({"trials": (0,)}, "starts[0].trials[0]", "must be 1 or more"),
        ({"cutter": "spare"}, "starts[0].cutter", "must be one of 'close' or 'free'"),
    ],
)
def test_a_start_that_cannot_be_is_named(wrong: Json, path: str, words: str) -> None:
    given = json.loads(start().model_dump_json()) | wrong
    assert refused(project(single(), starts=[given]))[path].startswith(words)


@pytest.mark.parametrize("day", ["2024-02-29", "2000-02-29", "2026-12-31"])
def test_leap_days_are_days(day: str) -> None:
    assert start(day=day).day == day


@pytest.mark.parametrize("day", ["1900-02-29", "2026-04-31", "2026-13-01", "2026-00-10", "2026-01-00"])
def test_days_outside_the_calendar_are_refused(day: str) -> None:
    with pytest.raises(ValueError, match="a day of the calendar"):
        start(day=day)


@settings(max_examples=60, deadline=None)
@given(
    waist=st.floats(7, 9),
    preload=st.floats(0, 0.3),
    angle=st.sampled_from([30, 45, 54, 60, 90]),
    breadth=st.floats(45, 160),
    run=st.floats(14, 60),
)
def test_a_start_plans_as_the_key_that_the_trials_imply(
    waist: float, preload: float, angle: float, breadth: float, run: float
) -> None:
    """Trials that found p₀ tell of a key of waist D − 2·p₀·tan θ; planned with it, every place is the same."""
    true = section(waist=round(waist, 3))
    found = start(
        snug=round((12 - round(waist, 3)) / 2, 6), projection=round((12 - round(waist, 3)) / 2 + preload, 6)
    )
    assert not tuple(check_start(found))
    spec = read(single(breadth=round(breadth, 2), run=round(run, 2), angle=angle))
    by_trials = take_off(spec, (section(),), rules(), (found,)).assemblies[0].joints[0].plan
    under = rules(preload=found.projection.mm - found.snug.mm)
    by_size = take_off(spec, (true,), under).assemblies[0].joints[0].plan
    assert (by_trials is None) is (by_size is None)
    if by_trials is None or by_size is None:
        return
    assert by_trials.cutter.kind is CutterKind.CLOSE
    assert by_trials.projection == pytest.approx(by_size.projection, abs=2e-6)
    assert by_trials.centres == pytest.approx(by_size.centres, abs=1e-4)
    assert by_trials.extent == pytest.approx(by_size.extent, abs=1e-5)
    assert (by_trials.keys, by_trials.depth) == (by_size.keys, pytest.approx(by_size.depth, abs=1e-4))
