"""Minutes of a quote as they were ticked at the machine: worked by hand on one frame of two set-ups."""

from __future__ import annotations

from fractions import Fraction

import pytest

from domain.machine.sheet import Sheet
from domain.machine.ticked_time import Mark
from tests.domain.test_machine_ticked_time import START, a_source, at, rows, sheet  # noqa: F401
from webapp.usecases.quotes import AT_ONCE, TOO_FEW, minutes_of


def test_what_was_ticked_counts_as_ticked_and_the_rest_as_planned(sheet: Sheet) -> None:  # noqa: F811
    """Planned 22.5 min of setting up and 18 slots of 0.5 min, 31.5 min; four slots took 4 min instead of 2."""
    test, left, right, *_ = rows(sheet, 1)
    found = minutes_of(a_source(), sheet, [at(0, test), at(1, left), at(1.5, left), at(4, right, 2)])
    assert found.at_the_machine == Fraction(63, 2)
    assert (found.ticked, found.why) == (Fraction(67, 2), "")
    # keys are driven at the bench, which nobody ticks
    assert found.driving == minutes_of(a_source(), sheet, []).driving > 0


@pytest.mark.parametrize(("minutes", "why"), [((0, 1), TOO_FEW), ((), TOO_FEW), ((0, 0.01, 0.02, 0.03), AT_ONCE)])
def test_ticks_that_tell_nothing_are_no_minutes(sheet: Sheet, minutes: tuple[float, ...], why: str) -> None:  # noqa: F811
    row = rows(sheet, 1)[1]
    found = minutes_of(a_source(), sheet, [at(each, row) for each in minutes])
    assert (found.ticked, found.why) == (None, why)


def test_ticks_of_what_is_gone_by_now_tell_nothing(sheet: Sheet) -> None:  # noqa: F811
    gone = [Mark("0" * 16, "1/gone", 1, START + minutes) for minutes in range(9)]
    assert minutes_of(a_source(), sheet, gone).ticked is None
