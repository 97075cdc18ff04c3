"""Mouldings: found again by their stock and angle."""

from __future__ import annotations

from typing import Any

import pytest

from domain.problems import path_text
from domain.spec.assemblies import FrameStock
from domain.trials.mouldings import KeptMoulding, Moulding, check_moulding, matching
from tests.domain.builders import Json

STOCK: Json = {"width": 45, "thickness": 20, "rabbet_width": 6, "rabbet_depth": 10}


def stock(**more: Any) -> FrameStock:
    return FrameStock.model_validate(STOCK | more)


def moulding(**more: Any) -> Moulding:
    plain: Json = {
        "name": "No. 7",
        "stock": STOCK,
        "section": "14",
        "projection": 6.25,
        "fence_readings": [18, 46],
    }
    return Moulding.model_validate(plain | {"day": "2026-03-02"} | more)


KEPT = (
    KeptMoulding(1, moulding()),
    KeptMoulding(2, moulding(name="No. 7 again", day="2026-04-01")),
    KeptMoulding(3, moulding(angle=60)),
    KeptMoulding(4, moulding(stock=STOCK | {"width": 46})),
    KeptMoulding(5, moulding(stock=STOCK | {"front": [[0, 20], [30, 20], [45, 12]]})),
)


def test_the_same_stock_finds_its_readings_again_newest_first() -> None:
    assert [each.number for each in matching(stock(), 45, KEPT)] == [2, 1]
    assert [each.number for each in matching(stock(), 60, KEPT)] == [3]
    assert matching(stock(), 54, KEPT) == ()


@pytest.mark.parametrize(
    ("asked", "found"),
    [
        ({"width": 45.04}, [2, 1]),  # planed a little differently
        ({"width": 45.06}, []),
        ({"thickness": 19}, []),
        ({"rabbet_width": 7}, []),
        ({"rabbet_depth": 0}, []),
        ({"front": [[0, 20], [45, 20]]}, [2, 1]),  # a flat front is none
        ({"front": [[0, 20], [30, 20], [45, 12]]}, [5]),
        ({"front": [[0, 20], [30, 20], [45, 13]]}, []),
        ({"width": 46}, [4]),
    ],
)
def test_what_counts_as_the_same_stock(asked: Json, found: list[int]) -> None:
    assert [each.number for each in matching(stock(**asked), 45, KEPT)] == found


def test_a_rabbet_of_one_size_only_is_none() -> None:
    bare = (KeptMoulding(1, moulding(stock={"width": 45, "thickness": 20})),)
    assert len(matching(stock(rabbet_width=0), 45, bare)) == 1


@pytest.mark.parametrize(
    ("wrong", "said"),
    [
        # 45 / sin 45° = 63.64
        ({"fence_readings": [18, 64]}, "must be less than the joint line, 63.6 mm for this stock at 45°"),
        ({"fence_readings": [18, 18]}, "must be more than the one before; smallest first"),
        (
            {"fence_readings": [18, 46], "angle": 90},
            "must be less than the joint line, 45 mm for this stock at 90°",
        ),
    ],
)
def test_readings_that_cannot_be_are_named(wrong: Json, said: str) -> None:
    (problem,) = check_moulding(moulding(**wrong))
    assert (path_text(problem.path), problem.text()) == ("fence_readings[1]", said)


def test_good_readings_are_taken() -> None:
    assert not tuple(check_moulding(moulding()))


def test_a_moulding_may_be_kept_before_it_was_milled_and_matches_nothing_yet() -> None:
    bare = Moulding.model_validate({"name": "No. 9", "stock": STOCK, "material": "elm", "day": "2026-03-02"})
    assert not tuple(check_moulding(bare))
    assert bare.worked is None
    assert matching(stock(), 45, [KeptMoulding(1, bare)]) == ()


def test_what_worked_is_all_of_it() -> None:
    for missing in ({"section": None}, {"projection": None}, {"fence_readings": ()}):
        (problem,) = check_moulding(moulding(**missing))
        assert problem.path == tuple(missing)
