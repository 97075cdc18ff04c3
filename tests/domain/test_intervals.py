"""Unions of closed intervals, small enough to see through."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from domain.intervals import Intervals, contains, gaps, intersection, union, widened


@pytest.mark.parametrize(
    ("parts", "whole"),
    [
        ([], ()),
        ([(3, 5), (1, 2)], ((1, 2), (3, 5))),
        ([(1, 3), (2, 5)], ((1, 5),)),
        ([(1, 2), (2, 3)], ((1, 3),)),
        ([(1, 9), (2, 3)], ((1, 9),)),
        ([(4, 4)], ((4, 4),)),
        ([(5, 4), (1, 2)], ((1, 2),)),
    ],
)
def test_parts_that_overlap_or_touch_become_one(parts: list[tuple[float, float]], whole: Intervals) -> None:
    assert union(parts) == whole


@pytest.mark.parametrize(
    ("first", "second", "both"),
    [
        (((0, 10),), ((3, 4), (6, 12)), ((3, 4), (6, 10))),
        (((0, 2),), ((2, 5),), ((2, 2),)),
        (((0, 2),), ((3, 5),), ()),
        ((), ((3, 5),), ()),
    ],
)
def test_what_lies_in_both(first: Intervals, second: Intervals, both: Intervals) -> None:
    assert intersection(first, second) == both == intersection(second, first)


@pytest.mark.parametrize(
    ("blocked", "free"),
    [
        ([], ((0, 10),)),
        ([(3, 4)], ((0, 3), (4, 10))),
        ([(0, 4)], ((4, 10),)),
        ([(8, 12), (-3, 1)], ((1, 8),)),
        ([(-1, 11)], ()),
        ([(2, 5), (4, 6), (6, 7)], ((0, 2), (7, 10))),
        ([(20, 30)], ((0, 10),)),
    ],
)
def test_what_is_left_between_the_blocked_parts(blocked: list[tuple[float, float]], free: Intervals) -> None:
    assert gaps(0, 10, blocked) == free


def test_every_point_moved_by_anything_between_two_bounds() -> None:
    assert widened(((0, 1), (5, 6)), 1, 3) == ((1, 4), (6, 9))
    assert widened(((0, 1), (2, 3)), 1, 3) == ((1, 6),)


def test_an_empty_union_holds_no_point() -> None:
    assert not contains((), 1)


@pytest.mark.parametrize(("point", "inside"), [(0, True), (1, True), (1.1, False), (5.5, True), (4.999, False)])
def test_a_union_holds_its_end_points(point: float, inside: bool) -> None:
    assert contains(((0, 1), (5, 6)), point) is inside


parts = st.lists(st.tuples(st.integers(0, 40), st.integers(0, 8)).map(lambda pair: (pair[0], pair[0] + pair[1])))


@given(parts, parts, st.integers(-2, 50))
def test_unions_intersections_and_gaps_agree_point_by_point(
    first: list[tuple[int, int]], second: list[tuple[int, int]], point: int
) -> None:
    here = point + 0.5  # between the whole numbers, where no end point lies

    def in_any(some: list[tuple[int, int]]) -> bool:
        return any(low < here < high for low, high in some)

    assert contains(union(first), here) == in_any(first)
    assert contains(intersection(union(first), union(second)), here) == (in_any(first) and in_any(second))
    assert contains(gaps(0, 40, first), here) == (0 < here < 40 and not in_any(first))
