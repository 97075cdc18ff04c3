"""Fewest fence readings, against every choice tried one by one."""

from __future__ import annotations

from dataclasses import replace
from itertools import product
from random import Random

import pytest

from domain.lengths import Mm
from domain.machine.turning import Asked, fewest
from domain.planning.plans import CutterKind
from domain.planning.set_up import SetUp

ONE = SetUp("12", CutterKind.CLOSE, Mm(12.0), Mm(2.0), False, 90.0, Mm(10.0), Mm(16.5), Mm(20.0))


def at(reading: float, depth_stop: float = 16.5) -> SetUp:
    return replace(ONE, fence_reading=Mm(reading), depth_stop=Mm(depth_stop))


def slots(breadth: float, *centres: float) -> list[Asked]:
    return [Asked(at(centre), at(breadth - centre)) for centre in centres]


def milled(asked: list[Asked]) -> set[SetUp]:
    return {one.milled_with(turned=turn) for one, turn in zip(asked, fewest(asked), strict=True)}


def least(asked: list[Asked]) -> int:
    """How few set-ups will do, by trying every choice."""
    ways = [[each for each in (one.own, one.other) if each is not None] for one in asked]
    return min(len(set(choice)) for choice in product(*ways))


def test_mirror_images_are_measured_from_the_nearer_edge() -> None:
    # 36 − 26.5 = 9.5
    assert fewest(slots(36, 9.5, 26.5)) == (False, True)
    assert fewest(slots(36, 26.5, 9.5)) == (True, False)


def test_a_reading_that_is_set_anyway_serves_again() -> None:
    # 52 − 33.5 = 64 − 45.5 = 18.5
    asked = [*slots(52, 13, 33.5), *slots(64, 16, 45.5)]
    assert milled(asked) == {at(13), at(16), at(18.5)}


def test_the_middle_and_what_has_one_edge_only_stay() -> None:
    assert fewest([*slots(40, 20), Asked(at(30), None), *slots(40, 10)]) == (False, False, True)
    assert fewest([Asked(None, at(45)), *slots(60, 15)]) == (True, True)


def test_other_values_of_the_machine_are_not_shared() -> None:
    asked = [*slots(40, 10), Asked(at(30, depth_stop=20), at(10, depth_stop=20))]
    assert len(milled(asked)) == 2


@pytest.mark.parametrize("seed", range(60))
def test_no_choice_needs_fewer(seed: int) -> None:
    rng = Random(f"turning {seed}")
    asked = []
    for _ in range(rng.randint(1, 9)):
        breadth, centre = rng.randint(4, 12), rng.randint(1, 9)
        if centre < breadth:
            asked += [Asked(at(centre), at(breadth - centre) if rng.random() < 0.9 else None)]
    if asked:
        assert len(milled(asked)) == least(asked)
        shuffled = rng.sample(asked, len(asked))
        assert milled(shuffled) == milled(asked)
