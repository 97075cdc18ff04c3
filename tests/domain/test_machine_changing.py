"""What a change costs and which order is best, in cases that can be seen at a glance."""

from __future__ import annotations

from dataclasses import replace
from itertools import permutations

import pytest

from domain.lengths import Mm
from domain.machine.bounding import least_possible
from domain.machine.changing import Change, best_order, changes
from domain.machine.improving import improved, path_cost
from domain.machine.subsets import best_path
from domain.planning.plans import CutterKind
from domain.planning.set_up import SetUp
from domain.spec.rules import ChangeMinutes

ONE = SetUp("14", CutterKind.CLOSE, Mm(14.06), Mm(6.24), True, 45.0, Mm(16.5), Mm(18.5), Mm(24.0))
USUAL = ChangeMinutes()
FREE = ChangeMinutes(cutter=0, projection=0, fence=0, fence_reading=0, depth_stop=0, clamp_height=0)


def at(reading: float, **more: object) -> SetUp:
    return replace(ONE, fence_reading=reading, **more)  # type: ignore[arg-type]


@pytest.mark.parametrize(
    ("other", "changed"),
    [
        (ONE, ()),
        (replace(ONE, fence_reading=Mm(17.0)), (Change.FENCE_READING,)),
        (replace(ONE, angle=60.0), (Change.FENCE,)),
        (replace(ONE, mitred=False), (Change.FENCE,)),
        (replace(ONE, cutter=CutterKind.FREE), (Change.CUTTER,)),
        (replace(ONE, section="10", clamp_height=Mm(20.0)), (Change.CUTTER, Change.CLAMP_HEIGHT)),
        (replace(ONE, tip_diameter=Mm(14.0)), (Change.CUTTER,)),
        (replace(ONE, projection=Mm(6.3), depth_stop=Mm(19.0)), (Change.PROJECTION, Change.DEPTH_STOP)),
    ],
)
def test_changes_are_the_values_that_differ(other: SetUp, changed: tuple[Change, ...]) -> None:
    assert changes(ONE, other) == changed
    assert changes(other, ONE) == changed


def test_the_first_set_up_changes_everything() -> None:
    assert changes(None, ONE) == tuple(Change)
    assert [change.value for change in Change] == list(ChangeMinutes.model_fields)
    assert best_order([ONE], USUAL).minutes == 21.5


def test_nothing_to_set_up_takes_no_time() -> None:
    found = best_order([], USUAL)
    assert (found.order, found.minutes, found.bound, found.proven) == ((), 0, 0, True)


def test_twice_the_same_is_set_up_once() -> None:
    assert best_order([ONE, ONE, ONE], USUAL).order == (ONE,)


def test_the_dear_change_is_made_once() -> None:
    thin = {"section": "10"}
    mixed = [at(10), at(11, **thin), at(12), at(10, **thin), at(11)]
    found = best_order(mixed, USUAL)
    # three of 14 by their readings, the cutter at a reading that both have, one more reading
    assert found.minutes == 21.5 + 1 + 1 + 10 + 1
    assert found.proven


def test_a_value_given_up_is_paid_again_when_it_comes_back() -> None:
    square = [at(10), at(20), at(10, depth_stop=1.0), at(20, depth_stop=1.0)]
    # round the square, one value at a time; across it costs two
    assert best_order(square, USUAL).minutes == 21.5 + 3


def test_what_costs_nothing_may_change_at_will() -> None:
    found = best_order([at(reading) for reading in (3, 1, 2)], FREE)
    assert (found.minutes, found.bound) == (0, 0)
    # then the order is the one that a person would write
    assert [one.fence_reading for one in found.order] == [1, 2, 3]


def test_sums_are_those_of_the_decimals_that_were_typed() -> None:
    # 0.1 three times is 0.30000000000000004 in binary
    found = best_order([at(reading) for reading in range(1, 5)], FREE.model_copy(update={"fence_reading": 0.1}))
    assert (found.minutes, found.bound) == (0.4, 0.4)
    third = FREE.model_copy(update={"fence_reading": 1 / 3, "depth_stop": 5e-324, "cutter": 1_000})
    assert best_order([at(1), at(2)], third).proven


def test_the_order_given_does_not_matter() -> None:
    some = [at(1), at(2), at(1, section="10"), at(3, angle=60.0), at(2, depth_stop=3.0)]
    assert len({best_order(one, USUAL).order for one in permutations(some)}) == 1


def test_forty_readings_of_one_job_are_proven_at_once() -> None:
    found = best_order([at(float(reading)) for reading in range(40)], USUAL)
    assert (found.minutes, found.bound) == (21.5 + 39, 21.5 + 39)


@pytest.mark.parametrize("count", [15, 40, 401, 1_000])
def test_however_many_all_are_there_and_the_bound_is_below(count: int) -> None:
    many = [
        at(float(n % 37), section=str(n % 3), depth_stop=float(n % 11), clamp_height=float(n // 37))
        for n in range(count)
    ]
    found = best_order(many, USUAL)
    assert set(found.order) == set(many)
    assert len(found.order) == count
    assert 0 < found.bound <= found.minutes


SQUARE = [[0, 1, 2, 1], [1, 0, 1, 2], [2, 1, 0, 1], [1, 2, 1, 0]]


def test_a_path_round_a_square() -> None:
    assert best_path(SQUARE) == (0, 1, 2, 3)
    assert path_cost(SQUARE, [0, 2, 1, 3]) == 5
    assert path_cost(SQUARE, improved(SQUARE, [0, 2, 1, 3], 0)) == 3
    assert least_possible(SQUARE, 3) == 3


@pytest.mark.parametrize("count", [0, 1, 2])
def test_one_point_or_two_need_no_search(count: int) -> None:
    costs = [row[:count] for row in SQUARE[:count]]
    assert best_path(costs) == tuple(range(count))


def test_a_star_costs_more_than_its_tree() -> None:
    # three ends one step from the middle: the least tree is 3 long, but a path must go to and fro: 1 + 1 + 2
    star = [[0, 1, 1, 1], [1, 0, 2, 2], [1, 2, 0, 2], [1, 2, 2, 0]]
    assert path_cost(star, best_path(star)) == 4
    assert least_possible(star, 4) == 4
