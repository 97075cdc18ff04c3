"""Which backups stay: told by names and days alone."""

from __future__ import annotations

from datetime import UTC, date, datetime, timedelta

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from webapp.store.keeping import BackupName, Why, kept

SUM = "0123456789abcdef"


def name(moment: datetime, why: Why = Why.DAILY) -> str:
    return str(BackupName("shop", moment, why, SUM))


def daily(first: date, days: int) -> list[str]:
    start = datetime(first.year, first.month, first.day, 8, tzinfo=UTC)
    return [name(start + timedelta(days=number)) for number in range(days)]


@given(
    st.datetimes(datetime(2000, 1, 1), datetime(2999, 12, 31), timezones=st.just(UTC)).map(
        lambda moment: moment.replace(microsecond=0)
    ),
    st.sampled_from(Why),
    st.text("0123456789abcdef", min_size=16, max_size=16),
    st.sampled_from(["dovetally", "shop", "my-shop-2026"]),
)
def test_a_name_says_what_was_written_into_it(moment: datetime, why: Why, bytes_sum: str, stem: str) -> None:
    said = BackupName(stem, moment, why, bytes_sum)
    assert BackupName.read(str(said)) == said


@pytest.mark.parametrize(
    "other",
    [
        "shop.db",
        "shop.db.before-version-6",
        "shop-2026-02-30T080000Z-daily-0123456789abcdef.db",
        "shop-2026-02-28T080000Z-weekly-0123456789abcdef.db",
        "shop-2026-02-28T080000Z-daily-0123456789abcdeg.db",
        ".shop-2026-02-28T080000Z-daily-0123456789abcdef.db.part",
    ],
)
def test_another_name_is_no_backups_and_stays(other: str) -> None:
    assert BackupName.read(other) is None
    assert kept([other], date(2030, 1, 1)) == {other}


def test_two_years_of_days_leave_7_days_5_weeks_and_12_months() -> None:
    """Worked out by hand from a calendar of 2025 and 2026; weeks begin on Monday (ISO 8601)."""
    stays = kept(daily(date(2024, 11, 27), 731), date(2026, 11, 27))
    days = {f"2026-11-{day}" for day in (27, 26, 25, 24, 23, 22, 21)}
    # Friday the 27th and Sunday the 22nd are there; three Sundays more
    weeks = {"2026-11-15", "2026-11-08", "2026-11-01"}
    months = {"2026-10-31", "2026-09-30", "2026-08-31", "2026-07-31", "2026-06-30", "2026-05-31"}
    months |= {"2026-04-30", "2026-03-31", "2026-02-28", "2026-01-31", "2025-12-31"}
    assert {each[5:15] for each in stays} == days | weeks | months


def test_letting_go_day_by_day_leaves_what_letting_go_once_would() -> None:
    every, there = daily(date(2024, 2, 1), 800), set[str]()
    for number, made in enumerate(every):
        today = date(2024, 2, 1) + timedelta(days=number)
        there = set(kept(there | {made}, today))
        assert len(there) <= 7 + 5 + 12
    assert there == kept(every, date(2024, 2, 1) + timedelta(days=799))


def test_all_of_today_stays_and_yesterdays_newest() -> None:
    morning, noon = datetime(2026, 11, 26, 8, tzinfo=UTC), datetime(2026, 11, 26, 12, tzinfo=UTC)
    both = [name(morning, Why.BY_HAND), name(noon)]
    assert kept(both, date(2026, 11, 26)) == set(both)
    assert kept(both, date(2026, 11, 27)) == {both[1]}


def test_what_was_there_before_a_restore_stays_five_weeks() -> None:
    before = name(datetime(2026, 10, 1, 8, tzinfo=UTC), Why.BEFORE_RESTORE)
    others = daily(date(2026, 9, 1), 80)
    assert before in kept([before, *others], date(2026, 11, 5))
    assert before not in kept([before, *others], date(2026, 11, 6))


def test_nothing_is_lost_to_a_long_holiday_or_a_clock_that_was_wrong() -> None:
    old, wrong = daily(date(2020, 1, 1), 3), name(datetime(2099, 1, 1, tzinfo=UTC))
    assert kept([*old, wrong], date(2026, 11, 27)) == {*old, wrong}


@settings(max_examples=50)
@given(
    st.sets(st.dates(date(2020, 1, 1), date(2026, 12, 31)), max_size=60),
    st.dates(date(2020, 1, 1), date(2027, 1, 1)),
)
def test_the_newest_always_stays_and_no_more_than_the_rule_says(days: set[date], today: date) -> None:
    names = [name(datetime(day.year, day.month, day.day, tzinfo=UTC)) for day in days]
    stays = kept(names, today)
    past = [each for each in names if each[5:15] <= today.isoformat()]
    assert not past or max(past) in stays
    assert len([each for each in stays if each in past]) <= 7 + 5 + 12
