"""Where the keys go along a joint line: cases whose answer can be seen."""

from __future__ import annotations

import pytest

from domain.intervals import Intervals
from domain.planning.layout import Layout, least_reach_layout, most_keys, reach_of, snapped

FREE: Intervals = ((0, 100),)


@pytest.mark.parametrize(
    ("centres", "breadth", "reach"),
    [
        ([30], 60, 30),
        ([20], 60, 40),
        ([16, 46], 63, 17),  # to the far end
        ([10, 50], 60, 20),  # half way between
        ([25, 45], 60, 25),  # to the tip
    ],
)
def test_the_reach_is_the_farthest_any_point_lies_from_a_key(
    centres: list[float], breadth: float, reach: float
) -> None:
    assert reach_of(centres, breadth) == reach


@pytest.mark.parametrize(
    ("allowed", "pitch", "most"),
    [
        ((), 10, 0),
        (((5, 5),), 10, 1),
        (((0, 9.99),), 10, 1),
        (((0, 10),), 10, 2),
        (((8, 52),), 14, 4),  # 8, 22, 36, 50
        (((0, 5), (9, 12)), 10, 2),  # 0 and 10
        (((0, 5), (6, 8)), 10, 1),
        (((0, 3), (20, 41)), 10, 4),  # 0, 20, 30, 40
    ],
)
def test_how_many_keys_there_is_room_for(allowed: Intervals, pitch: float, most: int) -> None:
    assert most_keys(allowed, pitch) == most


@pytest.mark.parametrize(
    ("allowed", "breadth", "count", "pitch", "centres", "reach"),
    [
        # free of constraints: (2i − 1)·b/2n
        (FREE, 100, 1, 14, [50], 50),
        (FREE, 100, 2, 14, [25, 75], 25),
        (FREE, 100, 4, 14, [12.5, 37.5, 62.5, 87.5], 12.5),
        # the ends are kept away from: both go as near to the quarter points as they may
        (((30, 70),), 100, 2, 14, [30, 70], 30),
        (((30, 100),), 100, 2, 14, [30, 75], 30),
        # the first must stand at 8; the others stay even: 52.5/…, here 22.5 and 37.5 are free
        (((8, 52),), 60, 4, 14, [8, 22.5, 37.5, 52], 8),
        # the tip can only be served from 45; the second stands a pitch off, the third at its even place 83.3
        (((45, 100),), 100, 3, 10, [45, 55, 250 / 3], 45),
        # two islands: 10 is nearest to 25, 60 is nearest to 75, and the far end is 40 away
        (((0, 10), (50, 60)), 100, 2, 20, [10, 60], 40),
        # first at most 5: half the way to the second equals the second's way to the end:
        # (u − 5)/2 = 100 − u, u = 205/3, reach 95/3
        (((0, 5), (60, 100)), 100, 2, 14, [5, 205 / 3], 95 / 3),
        # just room for two at the least distance
        (((40, 56),), 100, 2, 16, [40, 56], 44),
        # the middle is barred: 49 stays within a hair of even spacing on the left
        (((10, 49), (60, 90)), 100, 1, 14, [49], 51),
    ],
)
def test_the_least_reach_and_then_the_evenest(
    allowed: Intervals, breadth: float, count: int, pitch: float, centres: list[float], reach: float
) -> None:
    found = least_reach_layout(allowed, breadth, count, pitch)
    assert found is not None
    assert found.centres == pytest.approx(centres, abs=1e-5)
    assert found.reach == pytest.approx(reach, abs=1e-5)


def test_more_keys_than_fit_have_no_layout() -> None:
    assert least_reach_layout(((0, 10), (50, 60)), 100, 3, 20) is None
    assert least_reach_layout((), 100, 1, 20) is None


@pytest.mark.parametrize(
    ("centres", "allowed", "step", "limit", "snapped_to"),
    [
        ((10.2, 30.1), ((8, 32),), 0.5, 40, (10, 30)),
        ((10.3, 29.6), ((8, 32),), 0.5, 40, (10.5, 29.5)),
        ((10.2, 30.1), ((8, 32),), 0, 40, (10.2, 30.1)),  # snapping is off
        ((10.2, 30.1), ((10.1, 30.2),), 0.5, 40, (10.5, 30)),  # 10 is not allowed
        ((10.2, 30.1), ((10.1, 10.4), (20, 32)), 0.5, 40, (10.2, 30.1)),  # nothing on the step is: as it was
        ((10.2, 24.2), ((8, 32),), 0.5, 40, (10, 24)),  # 14 apart still
        ((9.8, 30.1), ((8, 32),), 1 / 32 * 25.4, 40, (9.525, 30.1625)),  # 12/32 in and 38/32 in
        ((10, 30), ((8, 32),), 0.5, 10, (10, 30)),
        # the far edge is 19.7 away; 20.5 would bring the tip's side over a limit of 20.4, not over 20.5
        ((20.3,), ((20.3, 30),), 0.5, 20.4, (20.3,)),
        ((20.3,), ((20.3, 30),), 0.5, 20.5, (20.5,)),
    ],
)
def test_centres_move_to_the_machines_steps_where_an_allowed_set_exists(
    centres: tuple[float, ...], allowed: Intervals, step: float, limit: float, snapped_to: tuple[float, ...]
) -> None:
    before = Layout(centres, reach_of(centres, 40))
    found = snapped(before, allowed, 40, 14, step, limit)
    assert found.centres == pytest.approx(snapped_to)
    assert found.reach == pytest.approx(reach_of(snapped_to, 40))
