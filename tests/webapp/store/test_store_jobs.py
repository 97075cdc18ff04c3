"""A project as a job: its state, the day it is due, put away and brought back, notes that follow their marks."""

from __future__ import annotations

from datetime import date

import pytest

from domain.problems import BadInput
from domain.spec.job import Stage
from tests.webapp.store.store_samples import joint, project
from webapp.store import Store, assemblies, job_notes, projects, stages
from webapp.store.errors import GoingAhead, NotFound, StaleEdit


def made(store: Store, *marks: str) -> int:
    with store.writing() as session:
        return projects.create_project(session, project(*map(joint, marks)))


def head(store: Store, number: int) -> projects.ProjectHead:
    with store.reading() as session:
        return projects.load_project(session, number).head


@pytest.mark.parametrize("stage", Stage)
def test_a_new_project_keeps_its_state_but_reserves_nothing_unseen(store: Store, stage: Stage) -> None:
    given = project(joint()).model_copy(update={"state": stage, "due": "2026-12-18", "note": "By lorry"})
    with store.writing() as session:
        number = projects.create_project(session, given)
    kept = head(store, number)
    assert kept.stage is (Stage.PLANNED if stage is Stage.GOING_AHEAD else stage)
    assert kept.due == date(2026, 12, 18)
    with store.reading() as session:
        assert projects.load_project(session, number).project.note == "By lorry"


def test_a_day_is_set_and_taken_away_and_a_stale_form_is_told(store: Store) -> None:
    number = made(store, "A")
    with store.writing() as session:
        version = stages.set_due(session, number, 1, date(2026, 12, 18))
    with pytest.raises(StaleEdit), store.writing() as session:
        stages.set_due(session, number, 1, None)
    assert head(store, number).due == date(2026, 12, 18)
    with store.writing() as session:
        stages.set_due(session, number, version, None)
    assert head(store, number).due is None
    with pytest.raises(NotFound), store.writing() as session:
        stages.set_due(session, number + 1, 1, None)


def test_what_goes_ahead_stays_in_sight(store: Store) -> None:
    number = made(store, "A")
    with store.writing() as session:
        version = stages.put_away(session, number, 1)
    away = head(store, number).put_away
    assert away is not None
    with store.writing() as session:
        version = stages.set_stage(session, number, version, Stage.GOING_AHEAD)
    assert head(store, number).put_away is None
    with pytest.raises(GoingAhead, match="Book it as built"), store.writing() as session:
        stages.put_away(session, number, version)
    assert head(store, number).version == version
    with store.writing() as session:
        version = stages.set_stage(session, number, version, Stage.BUILT)
        version = stages.put_away(session, number, version)
    with store.writing() as session:
        stages.bring_back(session, number, version)
    assert head(store, number).put_away is None


def notes_of(store: Store, number: int) -> dict[str, str]:
    with store.reading() as session:
        return projects.load_project(session, number).project.notes or {}


def test_notes_follow_the_marks_they_are_about(store: Store) -> None:
    number = made(store, "A", "AB")
    written = {"A": "Door opens left", "A-J1": "Dry fit first\nthen glue", "AB": "Spare wood is upstairs"}
    version = 1
    for mark, note in written.items():
        with store.writing() as session:
            version = job_notes.set_note(session, number, version, mark, note)
    assert notes_of(store, number) == written
    with store.writing() as session:
        whole = projects.load_project(session, number)
        first = whole.assemblies[0]
        assemblies.update_assembly(session, first.id, first.version, assemblies.under_mark(first.spec, "D"))
    assert notes_of(store, number) == {"D": written["A"], "D-J1": written["A-J1"], "AB": written["AB"]}
    with store.writing() as session:
        stored = assemblies.load_assembly(session, first.id)
        assemblies.delete_assembly(session, first.id, stored.version)
    assert notes_of(store, number) == {"AB": written["AB"]}


def test_a_note_is_taken_away_and_one_about_nothing_is_refused(store: Store) -> None:
    number = made(store, "A")
    with store.writing() as session:
        version = job_notes.set_note(session, number, 1, "", "Keys are in the drawer")
        version = job_notes.set_note(session, number, version, "A-J1", "tight")
        version = job_notes.set_note(session, number, version, "A-J1", "  ")
        version = job_notes.set_note(session, number, version, "", "")
    assert notes_of(store, number) == {}
    for mark in ("B", "B-J1", "A-J", "A-J1-J1", "a"):
        with pytest.raises(BadInput, match="no assembly's mark"), store.writing() as session:
            job_notes.set_note(session, number, version, mark, "lost")
    for note in ("x" * 2_001, "bell \a"):
        with pytest.raises(BadInput), store.writing() as session:
            job_notes.set_note(session, number, version, "A", note)
    assert head(store, number).version == version
