"""Pieces by their names: few one by one, many by what they have in common; none is left out."""

from __future__ import annotations

import re
from dataclasses import replace

import pytest

from domain.takeoff.pieces import Joined, joined, of_copy
from tests.domain.builders import expanded, frame
from webapp.wording.pieces import named


def places(each: int, numbers: list[int]) -> list[Joined]:
    """Places of these pieces of a copy that has ``each`` of the mark."""
    (one, *_) = next(iter(joined(expanded(frame())).values()))
    return [replace(one, piece=replace(one.piece, mark="A1", number=number, total=each)) for number in numbers]


@pytest.mark.parametrize(
    ("each", "numbers", "copies", "words"),
    [
        (1, [1], 1, "A1 1/1"),
        (2, [1, 2], 1, "A1 1/2, 2/2"),
        (2, [1], 2, "A1 1/4, 3/4"),
        (2, [1], 4, "A1 1/8, 3/8 … 7/8"),
        (2, [2], 40, "A1 2/80, 4/80 … 80/80"),
        (4, [1, 2, 3, 4], 1, "A1 1/4, 2/4 … 4/4"),
        (2, [1, 2], 10_000, "A1 1/20000, 2/20000 … 20000/20000"),
        (4, [1, 3], 3, "A1 1/12, 3/12, 5/12, 7/12, 9/12, 11/12"),
        (4, [1, 3], 4, "A1 1/16, 5/16 … 13/16, 3/16, 7/16 … 15/16"),
        (20, [1, 2, 3, 4, 5, 9, 11], 1, "A1 1/20, 2/20 … 5/20, 9/20, 11/20"),
    ],
)
def test_pieces_by_name(each: int, numbers: list[int], copies: int, words: str) -> None:
    here = places(each, numbers)
    said = named(here, copies).replace("\xa0", " ")
    assert said == words
    assert said_numbers(said) == sorted(
        of_copy(one, copies, copy).piece.number for copy in range(copies) for one in here
    )


def said_numbers(words: str) -> list[int]:
    """Every number that is meant, dots and all."""
    found: list[int] = []
    for dots, number in re.findall(r"(… )?(\d+)/\d+", words):
        if dots:
            step = found[-1] - found[-2]
            found += range(found[-1] + step, int(number) + 1, step)
        else:
            found.append(int(number))
    return sorted(found)
