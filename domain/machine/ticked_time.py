"""Planned minutes beside those that were ticked, by the moments at which pieces were ticked off.

Between two ticks of one set-up lies the work that the second of them names; between the last tick of a set-up
and the first of the next lie the change at the machine and the work of that first tick. Each such step is
compared with the shop's own minutes for the same work. A step longer than ``PAUSE`` is a pause, or a day's
end, and is left out on both sides. Keys are driven at the bench and not ticked, so driving is not compared.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from itertools import pairwise

from domain.machine.changing import Prices, changes
from domain.machine.sheet import Line, Sheet
from domain.machine.ticking import Tickable, tickables
from domain.spec.rules import Rules

PAUSE = 30.0
"""Minutes. Longer than this, nobody stood at the machine: common practice (no source)."""
FEWEST_STEPS = 3
"""With fewer steps than these, one interruption is all that would be seen."""
LEAST_SHARE = 0.1
"""Ticked in less than this share of the planned time: all at once, after the work."""


@dataclass(frozen=True, slots=True)
class Mark:
    """A tick that stands: ``count`` pieces of a row done at a moment of the device's clock, in minutes."""

    set_up: str
    piece: str
    count: int
    at: float


@dataclass(frozen=True, slots=True)
class Compared:
    """Minutes planned and minutes ticked for the same ``steps``; ``pauses`` steps were left out as too long."""

    planned: float = 0.0
    ticked: float = 0.0
    steps: int = 0
    pauses: int = 0

    @property
    def too_few(self) -> bool:
        """Too few steps to say anything."""
        return self.steps < FEWEST_STEPS

    @property
    def at_once(self) -> bool:
        """Ticked faster than anyone works: after the work, not during it."""
        return not self.too_few and self.ticked < LEAST_SHARE * self.planned

    @property
    def telling(self) -> bool:
        """Whether the two can be compared."""
        return not self.too_few and not self.at_once

    def __add__(self, other: Compared) -> Compared:
        return Compared(
            self.planned + other.planned,
            self.ticked + other.ticked,
            self.steps + other.steps,
            self.pauses + other.pauses,
        )


@dataclass(frozen=True, slots=True)
class LineTime:
    """One set-up of the sheet: all that is planned for its milling, and what its ticks tell of it."""

    line: Line
    planned: float
    milling: Compared


@dataclass(frozen=True, slots=True)
class TickedTime:
    """A project's milling set-up by set-up, and the changes between its set-ups with the test that follows."""

    lines: tuple[LineTime, ...]
    changing: Compared
    elsewhere: int

    @property
    def milling(self) -> Compared:
        """The milling of those set-ups whose ticks can be compared."""
        return sum((each.milling for each in self.lines if each.milling.telling), Compared())


def ticked_time(sheet: Sheet, marks: Iterable[Mark], rules: Rules) -> TickedTime:
    """Compare the sheet's minutes with the marks, in whatever order they come.

    Marks of set-ups or pieces that the sheet does not have are counted (``elsewhere``), not compared.
    """
    rows = {(row.set_up, key): row for line in sheet.lines for row in tickables(line.work) for key in row.keys}
    ordered = sorted(marks, key=lambda mark: mark.at)
    known = [mark for mark in ordered if (mark.set_up, mark.piece) in rows]
    milling, changing = {line.work.key: Compared() for line in sheet.lines}, Compared()
    prices = Prices(rules.change_minutes)
    for before, after in pairwise(known):
        work = after.count * rows[after.set_up, after.piece].slots * rules.milling_minutes
        if before.set_up == after.set_up:
            milling[after.set_up] += _step(before, after, work)
        else:
            changed = changes(_line(sheet, before).work.set_up, _line(sheet, after).work.set_up)
            changing += _step(before, after, work + prices.minutes(prices.of(changed)))
    lines = tuple(
        LineTime(line, _planned(tickables(line.work), rules), milling[line.work.key]) for line in sheet.lines
    )
    return TickedTime(lines, changing, len(ordered) - len(known))


def _step(before: Mark, after: Mark, planned: float) -> Compared:
    taken = after.at - before.at
    if taken > PAUSE:
        return Compared(pauses=1)
    return Compared(planned, taken, steps=1)


def _line(sheet: Sheet, mark: Mark) -> Line:
    line = sheet.line(mark.set_up)
    assert line is not None
    return line


def _planned(rows: Sequence[Tickable], rules: Rules) -> float:
    return sum(row.quantity * row.slots for row in rows) * rules.milling_minutes
