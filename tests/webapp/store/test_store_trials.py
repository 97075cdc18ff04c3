"""The book of trials: added to, never changed; starts that are accepted and ended; mouldings that come back."""

from __future__ import annotations

import sqlite3
from contextlib import closing
from pathlib import Path
from typing import Any

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from domain.lengths import Length
from domain.problems import BadInput
from domain.spec.catalogue import CutterKind
from domain.spec.starts import AcceptedStart
from domain.trials.mouldings import Moulding
from domain.trials.trial import Trial
from tests.webapp.store.store_samples import Clock, lengths, names, rooms, section
from webapp.store import Store, catalogue, shop, trials
from webapp.store.errors import NotFound, Unreadable
from webapp.usecases.trials import book_edition

DAY = "2026-03-02"


def trial(**more: Any) -> Trial:
    plain = {"section": "14", "tip_diameter": 13.815, "species": "oak", "thickness": 20, "projection": 6.1}
    return Trial.model_validate(
        plain | {"depth": 16.5, "fence_reading": 12, "outcome": "loose", "gap": 0.2} | more
    )


def start(**more: Any) -> AcceptedStart:
    plain = {"section": "14", "species": "oak", "snug": 6.2, "projection": 6.3, "tip_diameter": 13.815}
    return AcceptedStart.model_validate(plain | {"trials": (1,), "day": DAY} | more)


def moulding(**more: Any) -> Moulding:
    stock = {"width": 45, "thickness": 20, "rabbet_width": 6, "rabbet_depth": 10}
    plain = {"name": "No. 7", "stock": stock, "section": "14", "projection": 6.25, "fence_readings": [18, 46]}
    return Moulding.model_validate(plain | {"day": DAY} | more)


def add(store: Store, *made: Trial, day: str = DAY) -> list[int]:
    with store.writing() as session:
        return [trials.add_trial(session, each, day) for each in made]


def listed(store: Store, **of: Any) -> list[int]:
    with store.reading() as session:
        return [kept.number for kept in trials.list_trials(session, **of)]


@settings(max_examples=60, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(data=st.data())
def test_a_trial_comes_back_as_it_was_written(store: Store, data: st.DataObject) -> None:
    outcome = data.draw(st.sampled_from(["held_apart", "loose", "snug", "tight", "burst", "stopped"]))
    depth = data.draw(st.integers(2, 10**11))
    made = Trial(
        section=data.draw(names),
        cutter=data.draw(st.sampled_from(list(CutterKind))),
        tip_diameter=data.draw(lengths),
        species=data.draw(names),
        thickness=data.draw(lengths),
        projection=data.draw(lengths),
        depth=Length(depth),
        fence_reading=data.draw(rooms),
        outcome=outcome,
        gap=Length(data.draw(st.integers(1, 5_000_000))) if outcome in {"held_apart", "loose"} else None,
        stopped_at=Length(data.draw(st.integers(0, depth - 1))) if outcome == "stopped" else None,
    )
    (number,) = add(store, made)
    with store.reading() as session:
        kept, withdrawn = trials.load_trial(session, number)
    assert (kept.number, kept.day, kept.trial, withdrawn) == (number, DAY, made, None)


def test_the_newest_comes_first_and_lists_may_be_of_one_section_and_cutter(store: Store) -> None:
    add(store, trial(), trial(section="10"), trial(cutter="free"))
    add(store, trial(), day="2026-03-01")
    assert listed(store) == [3, 2, 1, 4]
    assert listed(store, section="14") == [3, 1, 4]
    assert listed(store, section="14", cutter=CutterKind.CLOSE) == [1, 4]
    assert listed(store, section="20") == []


def test_what_the_domain_refuses_is_not_written(store: Store) -> None:
    with pytest.raises(BadInput, match="measure the gap"):
        add(store, trial(gap=None))
    assert listed(store) == []


def test_a_withdrawn_trial_counts_no_more_and_stays_readable(store: Store, clock: Clock) -> None:
    add(store, trial(), trial())
    clock.forward(hours=1)
    with store.writing() as session:
        trials.withdraw_trial(session, 1, "  gauge   misread ")
    clock.forward(hours=1)
    with store.writing() as session:
        trials.withdraw_trial(session, 1, "again")
    assert listed(store) == [2]
    with store.reading() as session:
        ((kept, withdrawal),) = trials.withdrawn_trials(session)
        assert trials.load_trial(session, 1) == (kept, withdrawal)
    assert (kept.number, withdrawal.why, withdrawal.at.hour) == (1, "gauge misread", 9)


@pytest.mark.parametrize("number", [0, -1, 3, 2**40])
def test_trials_starts_and_mouldings_that_are_not_there(store: Store, number: int) -> None:
    add(store, trial(), trial())
    with store.writing() as session:
        for ask in (
            lambda: trials.load_trial(session, number),
            lambda: trials.withdraw_trial(session, number, ""),
            lambda: trials.end_start(session, number),
            lambda: trials.delete_moulding(session, number),
            lambda: trials.add_start(session, start(trials=(3,))),
        ):
            with pytest.raises(NotFound, match=r"There is no (trial|start|moulding)"):
                ask()


def test_starts_hold_in_the_order_in_which_they_were_accepted_until_they_are_ended(store: Store) -> None:
    add(store, trial(), trial())
    first, second = start(trials=(2, 1)), start(species=None, cutter="free")
    with store.writing() as session:
        assert [trials.add_start(session, each) for each in (first, second)] == [1, 2]
        assert trials.shops_starts(session) == (first, second)
        trials.end_start(session, 1)
        trials.end_start(session, 1)
    with store.reading() as session:
        assert trials.shops_starts(session) == (second,)
        ended, holding = trials.list_starts(session, ended=True)
    assert (ended.start, holding.start, holding.ended) == (first, second, None)
    assert ended.ended == ended.accepted


def test_a_start_that_would_be_loose_is_refused(store: Store) -> None:
    add(store, trial())
    with pytest.raises(BadInput, match="must be the snug projection or more"), store.writing() as session:
        trials.add_start(session, start(projection=6.1))


def test_what_is_planned_with_has_another_revision_after_a_start(store: Store) -> None:
    def revision() -> int:
        with store.reading() as session:
            return shop.load_shop(session).edition

    add(store, trial())
    seen = [revision()]
    with store.writing() as session:
        trials.add_start(session, start())
    seen.append(revision())
    with store.writing() as session:
        trials.end_start(session, 1)
    seen.append(revision())
    assert seen[0] < seen[1] < seen[2]


def test_a_trial_outlives_its_section(store: Store) -> None:
    with store.writing() as session:
        number = catalogue.create_section(session, section(), {})
        trials.add_trial(session, trial(), DAY)
        catalogue.delete_section(session, number, 1)
    assert listed(store) == [1]


def test_mouldings_are_kept_by_name_and_may_be_dropped(store: Store) -> None:
    newer = moulding(day="2026-04-01", stock={"width": 40, "thickness": 18, "front": [[0, 18], [40, 10]]})
    with store.writing() as session:
        for each in (moulding(name="Reeded"), moulding(), newer):
            trials.add_moulding(session, each)
    with store.reading() as session:
        kept = trials.list_mouldings(session)
    assert [(each.number, each.moulding) for each in kept] == [
        (3, newer),
        (2, moulding()),
        (1, moulding(name="Reeded")),
    ]
    with store.writing() as session:
        trials.delete_moulding(session, 2)
    with store.reading() as session:
        assert [each.number for each in trials.list_mouldings(session)] == [3, 1]


def test_a_moulding_with_readings_off_the_stock_is_refused(store: Store) -> None:
    with pytest.raises(BadInput, match="less than the joint line"), store.writing() as session:
        trials.add_moulding(session, moulding(fence_readings=[18, 70]))


def test_a_moulding_that_the_domain_no_longer_reads_is_named(store: Store, file: Path) -> None:
    with store.writing() as session:
        trials.add_moulding(session, moulding())
    with closing(sqlite3.connect(file, isolation_level=None)) as connection:
        connection.execute('UPDATE moulding SET spec_json = \'{"name": "No. 7"}\'')
    with pytest.raises(Unreadable, match="The stored moulding 1 cannot be read"), store.reading() as session:
        trials.list_mouldings(session)


KEPT = ["trial", "trial_withdrawn", "accepted_start", "start_trial", "start_ended", "calibration", "tick"]
CHANGES = [
    "UPDATE {table} SET rowid = rowid",
    "DELETE FROM {table}",
    "INSERT OR REPLACE INTO {table} SELECT * FROM {table} LIMIT 1",
]


@pytest.mark.parametrize("table", KEPT)
@pytest.mark.parametrize("change", CHANGES)
def test_the_database_itself_keeps_what_was_written_down(
    store: Store, file: Path, table: str, change: str
) -> None:
    from domain.trials.calibration import Calibration, Scale
    from webapp.store import calibrations, ticks

    add(store, trial())
    with store.writing() as session:
        trials.add_start(session, start())
        trials.end_start(session, 1)
        trials.withdraw_trial(session, 1, "")
        made = Calibration(scale=Scale.FENCE, reading=Length.from_mm(18), measured=Length.from_mm(18.2), day=DAY)
        calibrations.add_calibration(session, made)
        moment = trials.list_starts(session, ended=True)[0].accepted
        tick = ticks.Tick("0b9f7d34-0000-4000-8000-000000000001", 1, "s", "p", 1, moment)
        ticks.book_ticks(session, [tick])
    with closing(sqlite3.connect(file, isolation_level=None)) as connection:
        connection.execute("PRAGMA recursive_triggers=ON")
        before = connection.execute(f"SELECT * FROM {table}").fetchall()
        assert before
        with pytest.raises(sqlite3.IntegrityError, match="stays as it is"):
            connection.execute(change.format(table=table))
        assert connection.execute(f"SELECT * FROM {table}").fetchall() == before


def test_the_book_has_another_edition_every_day(store: Store, clock: Clock) -> None:
    before = book_edition(store)
    assert book_edition(store) == before
    clock.forward(days=1)
    assert book_edition(store) != before
