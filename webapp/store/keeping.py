"""Which backups are kept: those of 7 days, 5 weeks and 12 months, by their names and a day alone.

A name says when the backup was made, why, and the sum of its bytes; so it says all of that on another disk too.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Hashable, Iterable
from dataclasses import dataclass
from datetime import UTC, date, datetime, timedelta
from enum import Enum

DAYS, WEEKS, MONTHS = 7, 5, 12
_WAY_BACK = timedelta(weeks=WEEKS)
_MOMENT = "%Y-%m-%dT%H%M%SZ"
_NAME = re.compile(r"(.+)-(\d{4}-\d\d-\d\dT\d{6}Z)-([a-z]+)-([0-9a-f]{16})\.db")


class Why(Enum):
    """What a backup was made for."""

    BY_HAND = "hand"
    DAILY = "daily"
    BEFORE_RESTORE = "restore"


@dataclass(frozen=True, slots=True)
class BackupName:
    """What a backup's name says: of which database (its file's stem), when, why, and the bytes' sum.

    >>> BackupName.read("shop-2026-02-28T070500Z-daily-0123456789abcdef.db").moment.isoformat()
    '2026-02-28T07:05:00+00:00'
    """

    stem: str
    moment: datetime
    why: Why
    bytes_sum: str

    @classmethod
    def read(cls, name: str) -> BackupName | None:
        """What the name says; None where it is no backup's."""
        found = _NAME.fullmatch(name)
        if found is None or found[3] not in {why.value for why in Why}:
            return None
        try:
            moment = datetime.strptime(found[2], _MOMENT).replace(tzinfo=UTC)
        except ValueError:
            return None
        return cls(found[1], moment, Why(found[3]), found[4])

    def __str__(self) -> str:
        return f"{self.stem}-{self.moment.astimezone(UTC):{_MOMENT}}-{self.why.value}-{self.bytes_sum}.db"


def kept(names: Iterable[str], today: date) -> frozenset[str]:
    """Those of ``names`` that stay; ``today`` is the day in UTC, as the names count.

    Of the last 7 days that have a backup the newest of each, the same of 5 weeks and of 12 months, and all of
    today. What was there before a restore stays for 5 weeks, so that the restore can be undone. A name that
    is no backup's, or of a day to come (a clock was wrong), is not ours to judge and stays.
    """
    every = sorted(names)
    read = {name: BackupName.read(name) for name in every}
    past = {name: said for name, said in read.items() if said is not None and said.moment.date() <= today}
    stays = set(every) - set(past)
    stays |= {name for name, said in past.items() if _stays_anyway(said, today)}
    newest_first = sorted(past, key=lambda name: past[name].moment, reverse=True)
    for period, most in _PERIODS:
        newest: dict[Hashable, str] = {}
        for name in newest_first:
            newest.setdefault(period(past[name].moment.date()), name)
        stays |= set(list(newest.values())[:most])
    return frozenset(stays)


def _stays_anyway(said: BackupName, today: date) -> bool:
    age = today - said.moment.date()
    return not age or (said.why is Why.BEFORE_RESTORE and age <= _WAY_BACK)


_PERIODS: tuple[tuple[Callable[[date], Hashable], int], ...] = (
    (lambda day: day, DAYS),
    (lambda day: day.isocalendar()[:2], WEEKS),
    (lambda day: (day.year, day.month), MONTHS),
)
