"""Trials from the book to the plan: recorded, accepted, planned with, exported and issued; ticks and scales."""

from __future__ import annotations

import json
from collections.abc import Iterator
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

import pytest

from domain.lengths import Length, Mm
from domain.notes import NoteCode
from domain.problems import BadInput, path_text
from domain.spec.assemblies import MitredFrame, SingleJoint
from domain.spec.catalogue import CutterKind, Section
from domain.spec.project import Project
from domain.trials.calibration import FENCE, Calibration, Figure, Scale
from domain.trials.mouldings import Moulding
from domain.trials.proposal import Proposal, Reason, next_projection
from domain.trials.trial import Trial
from tests.factories import sending
from tests.webapp.databases import Databases, nothing
from webapp.store import Store
from webapp.store.catalogue import create_section, list_sections
from webapp.store.errors import NotFound
from webapp.store.projects import create_project
from webapp.store.revisions import RevisionHead, add_revision
from webapp.usecases import projects, scales, ticking, trials
from webapp.usecases.exchange import book_import, export_project
from webapp.usecases.snapshots import canonical, look_in, snapshot, spec_of, stand
from webapp.usecases.trials import Stock

KEY: dict[str, Any] = {
    "name": "12",
    "waist": 8,
    "half_depth": 2,
    "flank": 45,
    "tip_diameter": 12,
    "lengths": [10, 16, 30],
    "drive_limit": 60,
    "stock_from": 10,
    "stock_to": 60,
}
"""At 45° tan θ is 1: snug at (12 − 8) / 2 = 2."""
OAK = Stock("12", CutterKind.CLOSE, "oak", 20.0)
TOKENS = (sending(f"a-token-for-a-form-{number:04}") for number in range(10_000))


class Hand:
    """The clock of the store, moved by hand."""

    moment = datetime(2026, 3, 2, 12, 0, tzinfo=UTC)

    def __call__(self) -> datetime:
        return self.moment


@pytest.fixture
def clock() -> Hand:
    return Hand()


@pytest.fixture
def store(tmp_path: Path, databases: Databases, clock: Hand) -> Iterator[Store]:
    with databases.opened("empty", nothing, tmp_path / "shop.db", clock) as opened:
        with opened.writing() as session:
            create_section(session, Section.model_validate(KEY), {})
        yield opened


def trial(**more: Any) -> Trial:
    plain = {"section": "12", "tip_diameter": 12, "species": "Oak", "thickness": 20, "projection": 2.05}
    return Trial.model_validate(
        plain | {"depth": 16.5, "fence_reading": 12, "outcome": "loose", "gap": 0.3} | more
    )


def record(store: Store, *made: Trial) -> list[int]:
    return [trials.record(store, next(TOKENS), each) for each in made]


def single(mark: str = "A", **more: Any) -> SingleJoint:
    return SingleJoint.model_validate(
        {"mark": mark, "breadth": 60, "run": 20, "behind": [60, 60], "material": "oak"} | more
    )


def a_project(store: Store, *assemblies: Any, **fields: Any) -> int:
    with store.writing() as session:
        return create_project(session, Project(name="Screen", assemblies=assemblies or (single(),), **fields))


def projections(store: Store, number: int) -> list[float]:
    planned = projects.plan(store, number)
    plans = [joint.plan for each in planned.assemblies if each.takeoff for joint in each.takeoff.joints]
    return [round(plan.projection, 6) for plan in plans if plan is not None]


def accept(store: Store, stock: Stock = OAK, **more: Any) -> int:
    shown = trials.start(store, stock).projection
    assert shown is not None
    return trials.accept_start(store, next(TOKENS), stock, Length.from_mm(shown), **more)


def test_a_trial_is_recorded_once_for_its_form_under_the_shops_day(store: Store) -> None:
    token = next(TOKENS)
    assert [trials.record(store, token, trial()) for _ in range(3)] == [1, 1, 1]
    book = trials.book(store)
    assert [(kept.number, kept.day) for kept in book.trials] == [(1, book.today)]
    assert [section.name for section in book.sections] == ["12"]


@pytest.mark.parametrize(
    ("wrong", "path"),
    [
        ({"section": "14"}, "section"),
        ({"tip_diameter": 7}, "tip_diameter"),
        ({"gap": 4.5}, "gap"),
        ({"cutter": "free"}, "cutter"),
        ({"gap": None}, "gap"),
    ],
)
def test_a_trial_that_cannot_be_is_refused_whole(store: Store, wrong: dict[str, Any], path: str) -> None:
    with pytest.raises(BadInput) as refusal:
        record(store, trial(**wrong))
    assert path in {path_text(problem.path) for problem in refusal.value.problems}
    assert trials.book(store).trials == ()


def proposal(store: Store) -> Proposal:
    book = trials.book(store)
    section = next(section for section in book.sections if section.name == "12")
    return next_projection(book.trials, section, book.rules)


def test_the_next_projection_is_proposed_from_the_book(store: Store) -> None:
    with pytest.raises(BadInput, match="make one trial first"):
        proposal(store)
    record(store, trial())
    found = proposal(store)
    # 2.05 + 0.3 / 2 = 2.2, and the usual preload of 0.1
    assert (found.why.reason, found.projection) == (Reason.SNUG_FOUND, pytest.approx(2.3))
    trials.withdraw(store, next(TOKENS), 1, "gauge misread")
    with pytest.raises(BadInput, match="make one trial first"):
        proposal(store)


def test_trials_alone_change_no_plan_and_an_accepted_start_does(store: Store) -> None:
    number = a_project(store, single("A"), single("B", material="ash"), single("C", material=None))
    before = projections(store, number)
    assert before == [2.1, 2.1, 2.1]
    record(store, trial())
    assert projections(store, number) == before
    accept(store)
    assert projections(store, number) == [2.3, 2.1, 2.1]
    planned = projects.plan(store, number).assemblies[0].takeoff
    assert planned is not None
    assert NoteCode.START_FROM_TRIALS in {note.code for note in planned.joints[0].notes}
    trials.end_start(store, next(TOKENS), 1)
    assert projections(store, number) == before


def test_a_start_may_be_accepted_for_any_wood(store: Store) -> None:
    number = a_project(store, single("A"), single("B", material="ash"))
    record(store, trial())
    accept(store, any_wood=True)
    assert projections(store, number) == [2.3, 2.3]


def test_what_the_form_opens_with_follows_an_accepted_start(store: Store) -> None:
    number = a_project(store)
    assert projects.bench(store, number).means.starts == ()
    record(store, trial())
    accept(store)
    assert [start.projection.mm for start in projects.bench(store, number).means.starts] == [2.3]


def test_what_was_not_shown_is_not_accepted(store: Store) -> None:
    record(store, trial())
    shown = trials.start(store, OAK).projection
    assert shown is not None
    record(store, trial(gap=0.34))
    with pytest.raises(BadInput, match=r"the trials say 2.32 mm by now"):
        trials.accept_start(store, next(TOKENS), OAK, Length.from_mm(shown))
    assert trials.book(store).starts == ()


def test_bounds_are_not_accepted(store: Store) -> None:
    record(store, trial(outcome="burst", gap=None, projection=2.3))
    with pytest.raises(BadInput, match="no snug projection"):
        trials.accept_start(store, next(TOKENS), OAK, Length.from_mm(2.1))


def test_a_project_with_keys_of_its_own_takes_none_of_the_shops_starts(store: Store) -> None:
    other = Section.model_validate(KEY | {"waist": 8.2})
    own, shops = a_project(store, sections=(other,)), a_project(store)
    record(store, trial())
    accept(store)
    # its own 12 has a waist of 8.2: snug at 1.9
    assert projections(store, own) == [2.0]
    assert projections(store, shops) == [2.3]


def test_an_exported_project_carries_the_starts_that_it_is_planned_with(store: Store) -> None:
    number = a_project(store)
    plain = export_project(store, number).text
    assert "starts" not in json.loads(plain)
    record(store, trial())
    accept(store)
    text = export_project(store, number).text
    (start,) = json.loads(text)["starts"]
    assert (start["projection"], start["trials"], start["species"]) == (2.3, [1], "oak")
    same = book_import(store, next(TOKENS), text.encode())
    trials.end_start(store, next(TOKENS), 1)
    kept = book_import(store, next(TOKENS), text.encode())
    # imported while the start was the shop's, it goes with the shop; imported after, it keeps its own
    assert [projections(store, each) for each in (same, kept)] == [[2.1], [2.3]]


def test_a_snapshot_is_whole_with_its_starts(store: Store) -> None:
    number = a_project(store)
    with store.reading() as session:
        plain = canonical(snapshot(stand(look_in(session, number))))
    assert "starts" not in plain
    record(store, trial())
    accept(store)
    with store.reading() as session:
        document = json.loads(canonical(snapshot(stand(look_in(session, number)))))
    assert document["takeoff"]["assemblies"][0]["joints"][0]["projection"] == 2.3
    with store.writing() as session:
        copied = create_project(session, spec_of(document))
    trials.end_start(store, next(TOKENS), 1)
    assert projections(store, copied) == [2.3]


def test_the_book_lies_beside_a_projects_set_ups(store: Store) -> None:
    stock = {"width": 45, "thickness": 20}
    frame = MitredFrame.model_validate(
        {"mark": "F", "measure": "outside", "width": 400, "height": 300, "material": "oak", "stock": stock}
    )
    number = a_project(store, frame, single("L", material="ash"))
    record(store, trial())
    moulding = {"name": "Flat", "stock": stock, "section": "12", "projection": 2.3, "fence_readings": [16, 48]}
    made = Moulding.model_validate(moulding | {"day": "2026-03-01"})
    token = next(TOKENS)
    assert [trials.keep_moulding(store, token, made) for _ in range(2)] == [1, 1]
    found = trials.beside(store, projects.plan(store, number))
    assert {(key.species, key.thickness) for key in found.starts} == {("oak", 20.0), ("ash", 20.0)}
    assert found.starts[OAK].evidence[0].text() == "same species, same thickness: loose"
    assert {mark: [each.number for each in kept] for mark, kept in found.mouldings.items()} == {"F": [1]}
    trials.drop_moulding(store, next(TOKENS), 1)
    assert trials.beside(store, projects.plan(store, number)).mouldings == {}


UUID = "0b9f7d34-0000-4000-8000-00000000000{}"


def ticks(*counts: int, **more: Any) -> list[dict[str, Any]]:
    plain = {"set_up": "9f3c", "piece": "A1", "at": "2026-03-02T09:30:00+01:00"}
    return [plain | {"uuid": UUID.format(index), "count": count} | more for index, count in enumerate(counts)]


def test_ticks_are_booked_once_and_summed_within_the_pieces_there_are(store: Store) -> None:
    number = a_project(store)
    sent = ticking.read_ticks(number, ticks(3, 1, -2))
    first, again = ticking.book(store, number, sent), ticking.book(store, number, (*sent, sent[0]))
    assert (len(first.new), first.known) == (3, ())
    assert (again.new, again.known) == ((), tuple(tick.uuid for tick in sent))
    booked = [each.tick for each in ticking.history(store, number)]
    assert sum(tick.count for tick in booked if (tick.set_up, tick.piece) == ("9f3c", "A1")) == 2
    assert [stored.tick.at.hour for stored in ticking.history(store, number)] == [8, 8, 8]


def test_ticks_of_a_project_that_is_gone_are_refused(store: Store) -> None:
    with pytest.raises(NotFound, match="There is no project 7"):
        ticking.book(store, 7, ticking.read_ticks(7, ticks(1)))


@pytest.mark.parametrize(
    ("wrong", "path"),
    [
        ({"uuid": "abc"}, "ticks[0].uuid"),
        ({"uuid": "{0b9f7d34-0000-4000-8000-0000000000}"}, "ticks[0].uuid"),
        ({"uuid": 7}, "ticks[0].uuid"),
        ({"set_up": ""}, "ticks[0].set_up"),
        ({"piece": "x" * 201}, "ticks[0].piece"),
        ({"piece": "a\0b"}, "ticks[0].piece"),
        ({"count": 0}, "ticks[0].count"),
        ({"count": True}, "ticks[0].count"),
        ({"count": 10_001}, "ticks[0].count"),
        ({"at": "2026-03-02T09:30:00"}, "ticks[0].at"),
        ({"at": "yesterday"}, "ticks[0].at"),
        ({"at": "0001-01-01T00:00:00+14:00"}, "ticks[0].at"),
        ({"mood": "good"}, "ticks[0].mood"),
    ],
)
def test_a_tick_that_does_not_read_is_named(wrong: dict[str, Any], path: str) -> None:
    with pytest.raises(BadInput) as refusal:
        ticking.read_ticks(1, ticks(1, **wrong))
    assert [path_text(problem.path) for problem in refusal.value.problems] == [path]


@pytest.mark.parametrize("data", [None, {}, "ticks", [[]], [{}], ticks(1) * 501])
def test_what_is_no_list_of_ticks_is_refused(data: object) -> None:
    with pytest.raises(BadInput):
        ticking.read_ticks(1, data)


def depth(measured: float, day: str = "2026-03-02", **more: Any) -> Calibration:
    plain = {"scale": "depth", "section": "12", "cutter": "close", "reading": 16.5, "measured": measured}
    return Calibration.model_validate(plain | {"day": day} | more)


TWELVE = Figure(Scale.DEPTH, "12", CutterKind.CLOSE)


def test_settings_are_corrected_by_the_newest_calibration(store: Store) -> None:
    assert scales.corrections(store).depth("12", CutterKind.CLOSE, Mm(16.5)) == 16.5
    token = next(TOKENS)
    assert [scales.calibrate(store, token, depth(16.8)) for _ in range(2)] == [1, 1]
    scales.calibrate(store, next(TOKENS), depth(16.7))
    now = scales.corrections(store)
    assert now.depth("12", CutterKind.CLOSE, Mm(16.5)) == pytest.approx(16.3)
    assert now.fence(Mm(18)) == 18
    page = scales.load_scales(store)
    assert {figure: each and each.number for figure, each in page.in_force.items()} == {FENCE: None, TWELVE: 2}
    assert [each.number for each in page.calibrations] == [2, 1]


@pytest.mark.parametrize(
    ("wrong", "said"),
    [
        (depth(16.8, section="14"), "there is no such section; there is 12"),
        (depth(16.8, cutter="free"), "the section 12 has a close-fit cutter only"),
        (depth(16.8, day="2026-03-09"), "must not be later than today"),
        (depth(22), "must be within 5 mm of the reading"),
        (depth(16.8, section=None), "calibrated for each cutter"),
    ],
)
def test_a_calibration_that_cannot_be_is_refused(store: Store, wrong: Calibration, said: str) -> None:
    with pytest.raises(BadInput, match=said):
        scales.calibrate(store, next(TOKENS), wrong)
    assert scales.load_scales(store).calibrations == ()


def issue(store: Store, project_id: int, number: int, moment: datetime) -> None:
    with store.writing() as session:
        text = canonical(snapshot(stand(look_in(session, project_id))))
        head = RevisionHead(project_id, number, "Screen", None, moment, "0.1.0", "0" * 64)
        add_revision(session, head, text, {("setups", "A4"): b"%PDF"})


def test_a_calibration_marks_the_revisions_issued_before_it(store: Store, clock: Hand) -> None:
    number = a_project(store)
    issue(store, number, 1, clock.moment)
    clock.moment = datetime(2026, 3, 4, 12, 0, tzinfo=UTC)
    scales.calibrate(store, next(TOKENS), depth(16.8))
    clock.moment = datetime(2026, 3, 5, 12, 0, tzinfo=UTC)
    issue(store, number, 2, clock.moment)
    (sheet,) = scales.outdated_sheets(store, number)
    (change,) = sheet.changes
    assert sheet.head.number == 1
    assert (change.figure, change.before, change.after) == (TWELVE, 0.0, 0.3)


def test_a_revision_without_slots_is_outdated_by_nothing(store: Store, clock: Hand) -> None:
    with store.writing() as session:
        assert list_sections(session)
        number = create_project(session, Project(name="Empty"))
    issue(store, number, 1, clock.moment)
    clock.moment = datetime(2026, 3, 4, 12, 0, tzinfo=UTC)
    scales.calibrate(store, next(TOKENS), depth(16.8))
    assert scales.outdated_sheets(store, number) == ()
