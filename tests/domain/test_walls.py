"""The wall beside a slot: what stands there, and what the rules ask of it, worked by hand."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest

from domain.assemblies.expand import expand
from domain.faces.face import MatingFace
from domain.faces.region import Region
from domain.notes import NoteCode
from domain.parts import Joint
from domain.planning.walls import Walls, walls_of
from domain.spec.choices import Entry
from domain.spec.rules import Rules
from domain.timber.stuff import Stuff, stuff_of
from tests.domain.builders import box, butt_joint, carcass, figures, planned, railed, read, rules


def face(**more: Any) -> MatingFace:
    return MatingFace(Region(40, 20), 90.0, (Entry.BACK, Entry.FRONT), **more)


@pytest.mark.parametrize(
    ("name", "stuff"),
    [
        (None, Stuff.SOLID),
        ("ash", Stuff.SOLID),
        ("Cherry, black", Stuff.SOLID),
        ("birch plywood", Stuff.PLYWOOD),
        ("Birch Ply, 13 plies", Stuff.PLYWOOD),
        ("multiplex", Stuff.PLYWOOD),
        ("MDF", Stuff.BOARD),
        ("Medium-density fiberboard", Stuff.BOARD),
        ("fibre board", Stuff.BOARD),
        ("oak-veneered chipboard", Stuff.BOARD),
        ("OSB 3", Stuff.BOARD),
        # no word of its own
        ("Applywood", Stuff.SOLID),
        ("drawboard", Stuff.SOLID),
    ],
)
def test_what_a_name_says_of_the_wood(name: str | None, stuff: Stuff) -> None:
    assert stuff_of(name) is stuff


@pytest.mark.parametrize(
    ("there", "asked", "walls"),
    [
        (face(), {}, Walls(2, 2)),
        (face(end_off=0.0), {}, Walls(2.5, 2)),
        # 0.4 mm before the end begin 2.1 of the 2.5
        (face(end_off=0.4), {}, Walls(2.1, 2)),
        (face(end_off=0.5), {}, Walls(2, 2)),
        (face(end_off=80.0), {}, Walls(2, 2)),
        # plies have no end
        (face(stuff=Stuff.PLYWOOD), {}, Walls(2.3, 2.3)),
        (face(stuff=Stuff.BOARD, end_off=0.0), {}, Walls(2.3, 2.3)),
        # no wall is thinner than the usual one
        (face(end_off=0.0), {"wall": 5}, Walls(5, 5)),
        (face(stuff=Stuff.PLYWOOD), {"wall": 5}, Walls(5, 5)),
        (face(end_off=0.0), {"short_grain_wall": 4.5}, Walls(4.5, 2)),
    ],
)
def test_what_is_asked_beside_a_slot(there: MatingFace, asked: dict[str, float], walls: Walls) -> None:
    found = walls_of(there, Rules.model_validate(asked))
    assert (found.first, found.usual) == pytest.approx((walls.first, walls.usual))


def ends(spec: dict[str, Any]) -> dict[str, float | None]:
    """How far before each joint's line the piece ends that it stands against."""
    (assembly,) = read(spec).assemblies
    return {joint.place: joint.face.end_off for joint in expand(assembly).joints}


def test_joints_that_lie_at_a_pieces_end_know_it() -> None:
    assert ends(carcass(corner="top_between", shelves=[300], partitions=[300])) == {
        "top corner": 0, "bottom corner": 0, "partition top": None, "partition foot": None,
        "shelf end at side": None, "shelf end at partition": None,
    }  # fmt: skip
    # the sides run to the floor, the plinth's board stands along their front edges
    found = ends(carcass(corner="top_over", plinth=80))
    assert found == {"top corner": 0, "bottom corner": 80, "plinth end": None}
    # mitred, the wood of both pieces runs along the edge; the plinth's own frame is butted
    found = ends(carcass(corner="mitre", plinth=80))
    assert found == {"top corner": None, "bottom corner": None, "plinth corner": 0}
    assert ends(box(corner="butt")) == {"corner": 0}
    assert ends(box(corner="mitre")) == {"corner": None}
    rows = [{"opening": 140}, {"opening": "rest"}]
    assert ends(railed(mid_rail=38, rows=rows)) == {"corner": 0, "rail end": None}


def wide(width: float, **more: Any) -> Joint:
    """A joint whose face is so wide across, with what stands beside its slots."""
    joint = butt_joint(width, 20, count=1)
    return replace(joint, face=replace(joint.face, **more))


def test_short_grain_is_kept_and_told_where_slots_come_near_to_it() -> None:
    # 12 wide, 2.5 before the end and 2 on the other side: 16.5 across is just enough
    assert planned(wide(16.4, end_off=0.0)).plan is None
    tight = planned(wide(16.5, end_off=0.0))
    assert tight.plan is not None
    assert tight.plan.centres == (8.5,)
    assert figures(tight.notes, NoteCode.SHORT_GRAIN_WALL) == {"piece_text": "A2", "wall": 2.5, "usual": 2}
    # in the middle of 60 there are 24 of wood before the slot
    roomy = planned(wide(60, end_off=0.0))
    assert NoteCode.SHORT_GRAIN_WALL not in {note.code for note in roomy.notes}


def test_a_joint_refused_for_short_grain_says_so() -> None:
    refused = planned(wide(16.4, end_off=0.0))
    assert figures(refused.notes, NoteCode.NO_ROOM)["needed"] == pytest.approx(16.5)
    assert figures(refused.notes, NoteCode.SHORT_GRAIN_WALL)["wall"] == 2.5


def test_plywood_is_asked_for_more_on_both_sides_and_says_so() -> None:
    # 12 and twice 2.3
    assert planned(wide(16.5, stuff=Stuff.PLYWOOD)).plan is None
    found = planned(wide(16.6, stuff=Stuff.PLYWOOD))
    assert found.plan is not None
    assert figures(found.notes, NoteCode.SHEET_WALL) == {
        "sheet_text": "plywood, which parts between its plies", "wall": 2.3, "usual": 2,
    }  # fmt: skip
    # a shop that keeps as much everywhere is told nothing
    board, solid = (planned(wide(18, stuff=each), under=rules(wall=2.5)) for each in (Stuff.BOARD, Stuff.SOLID))
    assert board.notes == solid.notes
