"""Planned and ticked minutes: worked by hand, pauses left out, silence where there is too little to compare."""

from __future__ import annotations

from itertools import pairwise
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from domain.machine.set_ups import Source
from domain.machine.sheet import Sheet, set_up_sheet
from domain.machine.ticked_time import PAUSE, Compared, Mark, ticked_time
from domain.machine.ticking import Tickable, is_finished, tickables
from domain.spec.rules import Rules
from domain.takeoff.build import take_off
from tests.domain.builders import demo_sections
from tests.factories import a_frame, a_project

START = 1_000.0
RULES = Rules()


def a_source(key: str = "1", **fields: Any) -> Source:
    return Source(key, take_off(a_project(a_frame(**fields)), demo_sections(), RULES), RULES)


@pytest.fixture(scope="module")
def sheet() -> Sheet:
    """One frame, two slots at each mitre: two set-ups that differ in the fence reading alone."""
    found = set_up_sheet([a_source()], RULES.change_minutes)
    assert [line.minutes for line in found.lines] == [21.5, 1]
    return found


def rows(sheet: Sheet, number: int) -> tuple[Tickable, ...]:
    return tickables(sheet.lines[number - 1].work)


def at(minutes: float, row: Tickable, count: int = 1) -> Mark:
    return Mark(row.set_up, row.key, count, START + minutes)


class TestWhatIsTickedOff:
    def test_the_test_first_then_every_hand_of_every_member(self, sheet: Sheet) -> None:
        test, *pieces = rows(sheet, 1)
        assert (test.batch, test.key, test.quantity) == (None, "1/test", 1)
        found = [(row.batch.member.mark, row.batch.hand.value, row.quantity) for row in pieces if row.batch]
        assert found == [("A1", "left", 2), ("A1", "right", 2), ("A2", "left", 2), ("A2", "right", 2)]

    def test_never_more_than_there_are_nor_fewer_than_none(self, sheet: Sheet) -> None:
        row = rows(sheet, 1)[1]
        for ticked, done in ((-3, 0), (0, 0), (1, 1), (2, 2), (4, 2)):
            assert row.done({(row.set_up, row.key): ticked}) == done

    def test_a_set_up_is_finished_with_its_last_row(self, sheet: Sheet) -> None:
        work = rows(sheet, 1)
        sums = {(row.set_up, row.key): row.quantity for row in work}
        assert is_finished(work, sums)
        assert not is_finished(work, {**sums, (work[0].set_up, work[0].key): 0})
        # the other set-up mills the same pieces under the same keys
        assert not is_finished(rows(sheet, 2), sums)

    def test_a_shared_test_is_done_for_all(self) -> None:
        both = set_up_sheet([a_source("1"), a_source("2")], RULES.change_minutes)
        test = rows(both, 1)[0]
        assert test.keys == ("1/test", "2/test")
        assert test.done({(test.set_up, "2/test"): 1}) == 1

    def test_what_did_not_change_keeps_its_keys(self, sheet: Sheet) -> None:
        more = set_up_sheet([a_source(quantity=3)], RULES.change_minutes)
        for before, after in zip(sheet.lines, more.lines, strict=True):
            old, new = tickables(before.work), tickables(after.work)
            assert [(row.set_up, row.key) for row in old] == [(row.set_up, row.key) for row in new]
            assert [row.quantity for row in new] == [1, 6, 6, 6, 6]
        thicker = set_up_sheet([a_source(stock={"width": 45, "thickness": 24})], RULES.change_minutes)
        assert not {row.set_up for row in rows(sheet, 1)} & {row.set_up for row in rows(thicker, 1)}


class TestWorkedByHand:
    def test_milling(self, sheet: Sheet) -> None:
        test, left, right, *_ = rows(sheet, 1)
        # after the test at 0: one left piece by 1.0, one by 1.5, two right ones by 4.0: four slots of 0.5 min
        found = ticked_time(sheet, [at(0, test), at(1, left), at(1.5, left), at(4, right, 2)], RULES)
        assert found.lines[0].milling == Compared(planned=2.0, ticked=4.0, steps=3)
        assert found.lines[1].milling == Compared()
        assert found.milling == found.lines[0].milling
        # 8 ends and, in the first, 2 test pieces, a slot in each
        assert [each.planned for each in found.lines] == [5.0, 4.0]

    def test_changing_takes_the_change_and_the_first_tick_after_it(self, sheet: Sheet) -> None:
        last, first = rows(sheet, 1)[-1], rows(sheet, 2)[0]
        found = ticked_time(sheet, [at(0, last), at(7, first)], RULES)
        # the fence reading, 1 min; the fit was tested in the set-up before
        assert found.changing == Compared(planned=1.0, ticked=7.0, steps=1)
        assert [each.milling for each in found.lines] == [Compared(), Compared()]

    def test_a_pause_is_left_out_on_both_sides(self, sheet: Sheet) -> None:
        _, left, right, *_ = rows(sheet, 1)
        limit = PAUSE
        marks = [at(0, left), at(limit, left), at(2 * limit + 0.01, right)]
        assert ticked_time(sheet, marks, RULES).lines[0].milling == Compared(0.5, limit, steps=1, pauses=1)

    def test_ticks_that_arrive_late_count_by_their_own_moments(self, sheet: Sheet) -> None:
        test, left, right, *_ = rows(sheet, 1)
        marks = [at(0, test), at(2, left), at(3, left), at(4, right)]
        assert ticked_time(sheet, reversed(marks), RULES) == ticked_time(sheet, marks, RULES)

    def test_ticks_of_an_older_sheet_are_counted_and_not_compared(self, sheet: Sheet) -> None:
        row = rows(sheet, 1)[1]
        gone = Mark("0" * 16, row.key, 1, START)
        other = Mark(row.set_up, "1/gone", 1, START)
        found = ticked_time(sheet, [gone, other, at(1, row)], RULES)
        assert found.elsewhere == 2
        assert found.lines[0].milling == Compared()


class TestTooLittleToCompare:
    def compare(self, sheet: Sheet, *minutes: float) -> Compared:
        return ticked_time(sheet, [at(each, rows(sheet, 1)[1]) for each in minutes], RULES).lines[0].milling

    def test_a_few_steps(self, sheet: Sheet) -> None:
        few = self.compare(sheet, 0, 1, 2)
        assert (few.too_few, few.at_once, few.telling) == (True, False, False)
        assert self.compare(sheet, 0, 1, 2, 3).telling

    def test_all_at_once_after_the_work(self, sheet: Sheet) -> None:
        quick = self.compare(sheet, 0, 0.01, 0.02, 0.03)
        assert (quick.too_few, quick.at_once, quick.telling) == (False, True, False)

    def test_nothing_ticked(self, sheet: Sheet) -> None:
        found = ticked_time(sheet, [], RULES)
        assert (found.milling, found.changing, found.elsewhere) == (Compared(), Compared(), 0)


@given(minutes=st.lists(st.integers(0, 600), max_size=40))
def test_every_step_is_counted_once(minutes: list[int]) -> None:
    made = set_up_sheet([a_source()], RULES.change_minutes)
    work = [row for number in (1, 2) for row in rows(made, number)]
    marks = [at(each, work[place % len(work)]) for place, each in enumerate(minutes)]
    found = ticked_time(made, marks, RULES)
    parts = [found.changing, *(each.milling for each in found.lines)]
    gaps = [later - earlier for earlier, later in pairwise(sorted(minutes))]
    assert sum(part.ticked for part in parts) == sum(gap for gap in gaps if gap <= PAUSE)
    assert sum(part.pauses for part in parts) == sum(gap > PAUSE for gap in gaps)
    assert sum(part.steps + part.pauses for part in parts) == len(gaps)
