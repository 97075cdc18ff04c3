"""The set-up sheet: every set-up of one or several projects in the best order, and what changes from the last."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

from domain.machine.changing import Change, Prices, best_order, changes
from domain.machine.set_ups import SetUpWork, Source, set_up_works
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
    lines = []
    for number, (before, after) in enumerate(pairwise((None, *ordered.order)), start=1):
        if after is not None:
            changed = changes(before, after)
            lines.append(Line(number, by_set_up[after], changed, prices.minutes(prices.of(changed))))
    return Sheet(tuple(lines), ordered.minutes, ordered.bound)
