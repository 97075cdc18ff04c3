"""Single pieces and their mating marks: every joint has two labels, and they name each other."""

from __future__ import annotations

from collections import Counter, defaultdict
from typing import Any

import pytest

from domain.parts import Expansion
from tests.webapp.papers.paper_samples import DEMOS, demo, project
from webapp.papers.pieces import Hand, Piece, pieces

STOCK = {"width": 40, "thickness": 22}
SHAPES: dict[str, dict[str, Any]] = {
    "triangle": {"kind": "mitred_frame", "measure": "outside", "sides": 3, "across": 420, "stock": STOCK},
    "square": {"kind": "mitred_frame", "measure": "outside", "width": 300, "height": 300, "stock": STOCK},
    "hexagon": {"kind": "mitred_frame", "measure": "outside", "sides": 6, "across": 420, "stock": STOCK},
    "box with lid": {"kind": "box", "measure": "outside", "length": 280, "width": 180, "height": 110, "wall": 16}
    | {"corner": "mitre", "lid": {"height": 40, "kerf": 2, "lip": 6, "clearance": 0.1}},
    "butted box": {"kind": "box", "measure": "outside", "length": 280, "width": 180, "height": 90, "wall": 14}
    | {"corner": "butt"},
    "carcass": {"kind": "carcass", "width": 800, "height": 900, "depth": 350, "thickness": 18}
    | {"corner": "top_between", "shelves": [300, 600], "partitions": [400], "plinth": 80},
    "mitred carcass": {"kind": "carcass", "width": 800, "height": 500, "depth": 350, "thickness": 20}
    | {"corner": "mitre", "shelves": [240]},
    "railed frame": {"kind": "railed_frame", "width": 600, "height": 720, "thickness": 20, "stile": 45}
    | {"top_rail": 45, "bottom_rail": 60, "mid_rail": 38, "mid_stile": 38}
    | {"rows": [{"opening": 140}, {"opening": "rest", "columns": [200, "rest"]}]},
    "single joint": {"kind": "single_joint", "breadth": 63.64, "run": 20, "angle": 45, "behind": [60, 60]},
}


def taken(name: str, quantity: int = 3) -> Expansion:
    return project({"mark": "A", "quantity": quantity} | SHAPES[name])[1].assemblies[0].expansion


def everything() -> list[Expansion]:
    demos = [assembly.expansion for name in DEMOS for assembly in demo(name)[1].assemblies]
    return [*demos, *(taken(name) for name in SHAPES)]


def of_mark(expansion: Expansion, mark: str) -> list[Piece]:
    return [piece for piece in pieces(expansion) if piece.part.mark == mark]


def test_every_part_is_counted_out_once() -> None:
    for expansion in everything():
        numbers: dict[str, list[int]] = defaultdict(list)
        for piece in pieces(expansion):
            numbers[piece.part.mark].append(piece.number)
            assert piece.total == piece.part.quantity
            assert 1 <= piece.copy <= expansion.quantity
        for part in (*expansion.members, *expansion.panels):
            assert numbers[part.mark] == list(range(1, part.quantity + 1))


def test_every_joint_is_on_exactly_two_labels_that_name_each_other() -> None:
    for expansion in everything():
        ends: dict[tuple[str, int], list[tuple[tuple[str, int], tuple[str, int]]]] = defaultdict(list)
        for piece in pieces(expansion):
            for meeting in piece.meetings:
                own = (piece.part.mark, piece.number)
                partner = (meeting.partner, meeting.partner_number)
                ends[meeting.joint, meeting.number].append((own, partner))
        counted = Counter(joint for joint, _ in ends)
        assert counted == {joint.mark: joint.quantity for joint in expansion.joints}
        for joint in expansion.joints:
            for number in range(1, joint.quantity + 1):
                (one, to_other), (other, to_one) = ends[joint.mark, number]
                assert (to_other, to_one) == (other, one)
                assert sorted((one[0], other[0])) == sorted(joint.members)


def test_partners_are_of_the_same_copy() -> None:
    for expansion in everything():
        copies = {(piece.part.mark, piece.number): piece.copy for piece in pieces(expansion)}
        for piece in pieces(expansion):
            assert all(copies[one.partner, one.partner_number] == piece.copy for one in piece.meetings)


def test_a_frame_s_pieces_meet_at_their_ends() -> None:
    for piece in pieces(taken("square")):
        assert len({meeting.place for meeting in piece.meetings}) == 2
        assert all(meeting.place.endswith(" end") for meeting in piece.meetings)
        assert piece.hand is None


def test_a_stile_says_where_its_rails_are() -> None:
    left, right = of_mark(taken("railed frame", 1), "A1")
    # bottom rail, mid rail 38 high under a row of 140 and a top rail of 45: 720 − 45 − 140 − 38 = 497
    assert [(one.place, one.along) for one in left.meetings] == [
        ("bottom end", None),
        ("from the bottom", pytest.approx(497)),
        ("top end", None),
    ]
    assert [one.partner for one in left.meetings] == ["A4", "A3", "A2"]
    assert (left.hand, right.hand) == (Hand.LEFT, Hand.RIGHT)


def test_sides_of_a_carcass_are_left_and_right_hand() -> None:
    expansion = taken("carcass", 2)
    assert [piece.hand for piece in of_mark(expansion, "A1")] == [Hand.LEFT, Hand.RIGHT] * 2
    assert {piece.hand for piece in pieces(expansion) if piece.part.name == "shelf"} == {None}


def test_pieces_that_only_need_turning_have_no_hand() -> None:
    for name in ("triangle", "square", "hexagon", "box with lid", "butted box"):
        assert {piece.hand for piece in pieces(taken(name))} == {None}, name


def test_a_box_is_seen_from_above() -> None:
    places = {meeting.place for piece in pieces(taken("box with lid")) for meeting in piece.meetings}
    assert places == {"left end", "right end", "front end", "back end"}


def test_a_joint_along_the_whole_piece_is_at_its_side() -> None:
    left, right = pieces(taken("single joint", 1))
    tall = SHAPES["single joint"] | {"breadth": 200, "angle": 90}
    wide = [*pieces(project({"mark": "A"} | tall)[1].assemblies[0].expansion)]
    assert [piece.meetings[0].place for piece in wide] == ["right side", "left side"]
    assert [piece.meetings[0].partner for piece in (left, right)] == ["A2", "A1"]
