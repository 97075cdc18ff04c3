"""One joint typed in by hand: breadth along the joint line, run, angle, the wood behind each side."""

from __future__ import annotations

from math import sqrt

import pytest

from domain.faces.face import Backing, Behind
from domain.spec.choices import Entry
from tests.domain.builders import assert_hangs_together, expanded, joint_lines, member_lines, single, taken_off


@pytest.mark.parametrize(
    ("angle", "kind", "width"),
    [
        (90, "butt", 60),
        (45, "mitre", 30 * sqrt(2)),  # 60·√½
        (30, "mitre", 30),  # 60·½
        (60, "mitre", 30 * sqrt(3)),
    ],
)
def test_the_pieces_are_as_wide_as_the_joint_line_is_across_the_stock(
    angle: float, kind: str, width: float
) -> None:
    made = expanded(single(breadth=60, angle=angle, behind=[50, 70], quantity=4))
    assert member_lines(made) == [
        ("A1", "piece left, at least", 4, 50, None, round(width, 3), 20),
        ("A2", "piece right, at least", 4, 70, None, round(width, 3), 20),
    ]
    assert joint_lines(made) == [("A-J1", kind, 4, ("A1", "A2"), angle, 60, 20)]
    assert [one.ends for one in made.members] == [(90, angle)] * 2
    assert_hangs_together(made)


def test_the_wood_behind_each_side_is_an_edge_to_keep_the_wall_from() -> None:
    (joint,) = expanded(single(behind=[50, 70])).joints
    assert joint.face.backings == (Backing(50, Behind.EDGE), Backing(70, Behind.EDGE))
    # the slot goes 2 deep: 4 behind will do, 3.9 will not, on either side
    assert taken_off(single(behind=[4, 4])).makeable
    assert not taken_off(single(behind=[3.9, 70])).makeable
    assert not taken_off(single(behind=[50, 3.9])).makeable


@pytest.mark.parametrize("entry", ["back", "both"])
def test_the_entry_is_as_typed_in(entry: str) -> None:
    (joint,) = expanded(single(entry=entry)).joints
    assert joint.entries == (Entry(entry),)


def test_a_pinned_entry_goes_before_the_typed_one() -> None:
    (joint,) = expanded(single(entry="back", keys={"entry": "front"})).joints
    assert joint.entries == (Entry.FRONT,)
