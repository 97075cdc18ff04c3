"""The set-up sheet: every set-up of one or several projects in the best order, and what changes from the last."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from itertools import pairwise

from domain.machine.changing import Change, Prices, best_order, changes
from domain.machine.set_ups import SetUpTest, SetUpWork, Source, set_up_works
from domain.planning.set_up import Tried, tried_with
from domain.spec.rules import ChangeMinutes


@dataclass(frozen=True, slots=True)
class Line:
    """One set-up on the sheet: its number from 1, what differs from the one before, and the minutes of that."""

    number: int
    work: SetUpWork
    changes: tuple[Change, ...]
    minutes: float


@dataclass(frozen=True, slots=True)
class Sheet:
    """The set-ups in order; ``minutes`` is the sum of all changes, ``bound`` what no order can undercut."""

    lines: tuple[Line, ...]
    minutes: float
    bound: float

    @property
    def proven(self) -> bool:
        """True where no order takes less."""
        return self.minutes == self.bound

    def line(self, key: str) -> Line | None:
        """The line of the set-up with this key; None where the sheet has none."""
        return next((line for line in self.lines if line.work.key == key), None)


def set_up_sheet(sources: Sequence[Source], change_minutes: ChangeMinutes) -> Sheet:
    """The sheet of these projects together; ``change_minutes`` are those of the machine they go to."""
    by_set_up = {work.set_up: work for work in set_up_works(sources)}
    ordered = best_order(by_set_up, change_minutes)
    prices = Prices(change_minutes)
    asked = _asked(by_set_up.values())
    tested: dict[Tried, int] = {}
    lines = []
    for number, (before, after) in enumerate(pairwise((None, *ordered.order)), start=1):
        if after is not None:
            changed = changes(before, after)
            work = _tested_once(by_set_up[after], number, asked, tested)
            lines.append(Line(number, work, changed, prices.minutes(prices.of(changed))))
    return Sheet(tuple(lines), ordered.minutes, ordered.bound)


def _asked(works: Iterable[SetUpWork]) -> dict[Tried, int]:
    """How many test joints each cutter, projection and wood gets: the most that any of its set-ups asks for."""
    asked: dict[Tried, int] = {}
    for work in works:
        for test in work.tests:
            tried = tried_with(work.set_up, test.wood)
            asked[tried] = max(asked.get(tried, 0), test.joints)
    return asked


def _tested_once(work: SetUpWork, number: int, asked: Mapping[Tried, int], tested: dict[Tried, int]) -> SetUpWork:
    """The work with the tests that no earlier set-up has made; they are noted in ``tested``."""
    tests = []
    for test in work.tests:
        tried = tried_with(work.set_up, test.wood)
        made_in = tested.setdefault(tried, number)
        tests.append(SetUpTest(test.wood, asked[tried], None if made_in == number else made_in))
    return replace(work, tests=tuple(tests))
