"""How long what used to be is kept: the bin's thirty days, and states ever further apart."""

from __future__ import annotations

from datetime import timedelta
from typing import Any

import pytest
import sqlalchemy as sa

from tests.webapp.store.store_samples import Clock, joint, project
from tests.webapp.store.test_past import ask, call_it, do, edits, rows
from webapp.store import Store, assemblies, past_upkeep, projects
from webapp.store.past_kinds import KINDS
from webapp.store.past_lines import EDITS, kept_lines
from webapp.store.past_reading import in_bin
from webapp.store.past_upkeep import BIN_KEPT, NEWEST_KEPT, empty_bin, kept_of, thin
from webapp.store.undoing import bring_state_back

MOST = 12


def test_the_bin_keeps_for_thirty_days(store: Store, clock: Clock) -> None:
    first, second = (do(store, lambda s: projects.create_project(s, project(joint()))) for _ in range(2))
    call_it(store, first, "Bench")
    do(store, lambda session: projects.delete_project(session, first, 2))
    clock.forward(days=20)
    do(store, lambda session: projects.delete_project(session, second, 1))
    clock.forward(days=11)
    assert do(store, lambda session: empty_bin(session, clock.moment - BIN_KEPT)) == 1
    assert [each.number for each in ask(store, in_bin)] == [second]
    assert edits(store, "project", first) == ()
    assert do(store, lambda session: empty_bin(session, clock.moment + timedelta(seconds=1))) == 1
    with store.reading() as session:
        assert session.connection().execute(sa.select(EDITS)).first() is None


def test_a_part_that_left_the_bin_stays_in_its_projects_history(store: Store, clock: Clock) -> None:
    number = do(store, lambda session: projects.create_project(session, project(joint())))
    assembly = ask(store, lambda session: projects.load_project(session, number)).assemblies[0]
    do(store, lambda session: assemblies.delete_assembly(session, assembly.id, 1))
    do(store, lambda session: empty_bin(session, clock.moment + timedelta(seconds=1)))
    assert ask(store, in_bin) == ()
    do(
        store,
        lambda session: bring_state_back(session, "project", number, edits(store, "project", number)[-1].number),
    )
    assert len(ask(store, lambda session: projects.load_project(session, number)).assemblies) == 1


def test_states_thin_out_and_those_that_stay_are_what_they_were(
    store: Store, clock: Clock, monkeypatch: pytest.MonkeyPatch
) -> None:
    number = do(store, lambda session: projects.create_project(session, project(joint("A"), joint("B"))))
    states: dict[int, Any] = {}
    moments: dict[int, Any] = {}
    monkeypatch.setattr(past_upkeep, "NEWEST_KEPT", MOST)
    for step in range(MOST + 40):
        clock.forward(hours=9)
        call_it(store, number, f"Job {step}")
        newest = edits(store, "project", number)[0]
        states[newest.number], moments[newest.number] = rows(store, "project", number), newest.at
    do(store, lambda session: thin(session, clock.moment))
    with store.reading() as session:
        left = session.connection().execute(sa.select(EDITS.c.id)).scalars().all()
        for edit in left:
            if edit in states:
                kept = kept_lines(session, "project", number, edit)
                apart = KINDS["project"].apart
                said = {k: {n: v for n, v in line.items() if n not in apart} for k, line in kept.items()}
                assert said == states[edit]
    days = {moment.astimezone().date() for number, moment in moments.items() if number not in left}
    assert MOST < len(left) < MOST + 40
    # no day is without a state that had one
    assert days <= {moment.astimezone().date() for number, moment in moments.items() if number in left}


def test_states_of_more_than_a_year_ago_are_kept_by_the_month(clock: Clock) -> None:
    old = [(number, clock.moment + timedelta(days=number)) for number in range(400)]
    new = [(400 + number, clock.moment + timedelta(days=900)) for number in range(NEWEST_KEPT)]
    kept = kept_of([*old, *new], clock.moment + timedelta(days=900))
    assert len(kept) == NEWEST_KEPT + 14  # March of one year to April of the next
