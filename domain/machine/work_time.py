"""Minutes of setting up, milling and driving, from the shop's own numbers.

Minutes a slot and a key are common practice (no source) until the shop puts its own in their place.
"""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction

from domain.machine.set_ups import Source
from domain.machine.sheet import Sheet, set_up_sheet

PIECES_OF_A_TEST = 2
"""A test joint has a left- and a right-hand piece, and one slot in each."""


@dataclass(frozen=True, slots=True)
class WorkTime:
    """Minutes of a project: setting the machine up, milling every slot, driving every key."""

    set_up: float
    milling: float
    driving: float

    @property
    def total(self) -> float:
        """All of it."""
        return self.set_up + self.milling + self.driving


def work_time(source: Source, sheet: Sheet | None = None) -> WorkTime:
    """The time one project takes by itself, test joints counted, spare keys not.

    ``sheet`` is the project's own set-up sheet where it is at hand already.
    """
    rules, takeoff = source.rules, source.takeoff
    alone = sheet or set_up_sheet([source], rules.change_minutes)
    slots = sum(line.work.passes + PIECES_OF_A_TEST * line.work.test_joints for line in alone.lines)
    keys = sum(key.used + key.tests for key in takeoff.totals.keys)
    return WorkTime(alone.minutes, _times(slots, rules.milling_minutes), _times(keys, rules.driving_minutes))


def _times(number: int, minutes: float) -> float:
    """Exact in the decimals that were typed: 3 × 0.1 is 0.3."""
    return float(number * Fraction(Decimal(repr(minutes))))
