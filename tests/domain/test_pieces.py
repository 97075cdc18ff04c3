"""Single pieces: every joint has two, they name each other, and each knows its place and its hand."""

from __future__ import annotations

from collections import Counter, defaultdict
from typing import Any

import pytest
import shapely

from domain.parts import Expansion, Side
from domain.spec.choices import Entry
from domain.takeoff.pieces import Hand, Joined, Piece, pieces
from tests.webapp.papers.paper_samples import DEMOS, demo, project

STOCK = {"width": 40, "thickness": 22}
SHAPES: dict[str, dict[str, Any]] = {
    "triangle": {"kind": "mitred_frame", "measure": "outside", "sides": 3, "across": 420, "stock": STOCK},
    "square": {"kind": "mitred_frame", "measure": "outside", "width": 300, "height": 300, "stock": STOCK},
    "hexagon": {"kind": "mitred_frame", "measure": "outside", "sides": 6, "across": 420, "stock": STOCK},
    "box with lid": {"kind": "box", "measure": "outside", "length": 280, "width": 180, "height": 110, "wall": 16}
    | {"corner": "mitre", "lid": {"height": 40, "kerf": 2, "lip": 6, "clearance": 0.1}}
    | {"top": {"fit": "over", "material": "ash", "thickness": 5}},
    "butted box": {"kind": "box", "measure": "outside", "length": 280, "width": 180, "height": 90, "wall": 14}
    | {"corner": "butt"},
    "carcass": {"kind": "carcass", "width": 800, "height": 900, "depth": 350, "thickness": 18}
    | {"corner": "top_between", "shelves": [300, 600], "partitions": [400], "plinth": 80},
    "mitred carcass": {"kind": "carcass", "width": 800, "height": 500, "depth": 350, "thickness": 20}
    | {"corner": "mitre", "shelves": [240]},
    "carcass of other bays": {"kind": "carcass", "width": 900, "height": 900, "depth": 350, "thickness": 18}
    | {"corner": "top_over", "partitions": [300, 550], "plinth": {"height": 80, "setback": 50}}
    | {"shelves": [{"at": 250, "bay": 1}, {"at": 250, "bay": 2}, {"at": 400, "bay": 3, "setback": 25}, 600]},
    "railed frame": {"kind": "railed_frame", "width": 600, "height": 720, "thickness": 20, "stile": 45}
    | {"top_rail": 45, "bottom_rail": 60, "mid_rail": 38, "mid_stile": 38}
    | {"rows": [{"opening": 140}, {"opening": "rest", "columns": [200, "rest"]}]},
    "columns before rows": {"kind": "railed_frame", "width": 600, "height": 720, "thickness": 20, "stile": 45}
    | {"top_rail": 45, "bottom_rail": 60, "mid_rail": 38, "mid_stile": 38}
    | {"columns": [{"opening": 200, "rows": [140, "rest"]}, {"opening": "rest", "rows": [200, 150, "rest"]}]},
    "rails through": {"kind": "railed_frame", "width": 600, "height": 720, "thickness": 20, "stile": 45}
    | {"top_rail": 45, "bottom_rail": 60, "mid_rail": 38, "mid_stile": 38, "through": "rails"}
    | {"rows": [{"opening": 140, "columns": [180, "rest"]}, {"opening": "rest", "columns": [200, "rest"]}]},
    "rails through, columns": {"kind": "railed_frame", "width": 600, "height": 720, "thickness": 20, "stile": 45}
    | {"top_rail": 45, "bottom_rail": 60, "mid_rail": 38, "mid_stile": 38, "through": "rails"}
    | {"columns": [{"opening": 200, "rows": [140, "rest"]}, {"opening": "rest", "rows": [200, 150, "rest"]}]},
    "single joint": {"kind": "single_joint", "breadth": 63.64, "run": 20, "angle": 45, "behind": [60, 60]},
}


def taken(name: str, quantity: int = 3) -> Expansion:
    return project({"mark": "A", "quantity": quantity} | SHAPES[name])[1].assemblies[0].expansion


def everything() -> list[Expansion]:
    demos = [assembly.expansion for name in DEMOS for assembly in demo(name)[1].assemblies]
    return [*demos, *(taken(name) for name in SHAPES)]


def of_mark(expansion: Expansion, mark: str) -> list[Piece]:
    return [piece for piece in pieces(expansion) if piece.part.mark == mark]


def place(one: Joined) -> tuple[str, Side, float]:
    """Where a joint is said to be on its piece: at an end, at an edge, on a whole side, or from an end."""
    spot = one.spot
    if spot.whole:
        return ("side", spot.surface, 0)
    if one.index == 0 or spot.start is None:
        return ("end", spot.surface, 0)
    return ("edge" if spot.across else "from" if spot.offset else "end", spot.start, spot.offset)


def test_every_part_is_counted_out_once() -> None:
    for expansion in everything():
        numbers: dict[str, list[int]] = defaultdict(list)
        for piece in pieces(expansion):
            numbers[piece.part.mark].append(piece.name.number)
            assert (piece.name.mark, piece.name.total) == (piece.part.mark, piece.part.quantity)
            assert 1 <= piece.copy <= expansion.quantity
        for part in expansion.parts:
            assert numbers[part.mark] == list(range(1, part.quantity + 1))


def test_every_joint_is_at_exactly_two_pieces_that_name_each_other() -> None:
    for expansion in everything():
        ends: dict[tuple[str, int], list[Joined]] = defaultdict(list)
        for piece in pieces(expansion):
            for one in piece.joints:
                assert one.piece == piece.name
                ends[one.joint.mark, one.number].append(one)
        counted = Counter(joint for joint, _ in ends)
        assert counted == {joint.mark: joint.quantity for joint in expansion.joints}
        for joint in expansion.joints:
            for number in range(1, joint.quantity + 1):
                one, other = sorted(ends[joint.mark, number], key=lambda each: each.index)
                assert (one.index, other.index) == (0, 1)
                assert (one.partner, other.partner) == (other.piece, one.piece)
                assert (one.piece.mark, other.piece.mark) == joint.members
                assert one.hand is other.hand.other
                assert one.total == other.total == joint.quantity


def test_partners_are_of_the_same_copy() -> None:
    for expansion in everything():
        copies = {piece.name: piece.copy for piece in pieces(expansion)}
        for piece in pieces(expansion):
            assert all(copies[one.partner] == piece.copy for one in piece.joints)


def test_a_frame_s_pieces_meet_at_their_ends() -> None:
    for piece in pieces(taken("square")):
        assert len({place(one) for one in piece.joints}) == 2
        assert all(place(one)[0] == "end" for one in piece.joints)
        # one goes round the frame against the clock: with the back down, a piece's tip lies left of the cutter at
        # the end that it begins with, and right at the other
        assert sorted(one.hand for one in piece.joints) == [Hand.LEFT, Hand.RIGHT]
        assert piece.stands is None


def test_a_stile_says_where_its_rails_are() -> None:
    left, right = of_mark(taken("railed frame", 1), "A1")
    # bottom rail, mid rail 38 high under a row of 140 and a top rail of 45: 720 − 45 − 140 − 38 = 497
    assert [place(one) for one in left.joints] == [
        ("end", Side.BOTTOM, 0),
        ("from", Side.BOTTOM, pytest.approx(497)),
        ("end", Side.TOP, 0),
    ]
    assert [one.partner.mark for one in left.joints] == ["A4", "A3", "A2"]
    assert (left.stands, right.stands) == (Side.LEFT, Side.RIGHT)


def test_a_stile_s_hands_by_hand() -> None:
    left, right = of_mark(taken("railed frame", 1), "A1")
    # the left stile, its back down and its inner edge to the machine: one looks to the right of the frame, its
    # front is above, so its bottom is on the right hand side. Bottom and mid rail are counted from below, the top
    # rail from above
    assert [one.hand for one in left.joints] == [Hand.RIGHT, Hand.RIGHT, Hand.LEFT]
    assert [one.hand for one in right.joints] == [Hand.LEFT, Hand.LEFT, Hand.RIGHT]
    for one in left.joints:
        assert one.hand_with(Entry.BACK) is one.hand
        assert one.hand_with(Entry.FRONT) is one.hand.other


def test_sides_of_a_carcass_stand_left_and_right() -> None:
    expansion = taken("carcass", 2)
    assert [piece.stands for piece in of_mark(expansion, "A1")] == [Side.LEFT, Side.RIGHT] * 2
    assert {piece.stands for piece in pieces(expansion) if piece.part.name == "shelf"} == {None}


def test_a_plinth_is_a_joint_of_the_sides_too() -> None:
    left, right = of_mark(taken("carcass", 1), "A1")
    (at_left, *_), (at_right, *_) = left.joints, right.joints
    assert (at_left.joint.place, place(at_left)) == ("plinth end", ("edge", Side.FRONT, 0))
    # bottom down, inner face to the machine: of the left side one looks to the right, so its front edge is on the
    # right; of the right side, on the left
    assert (at_left.hand, at_right.hand) == (Hand.RIGHT, Hand.LEFT)
    (plinth,) = [piece for piece in pieces(taken("carcass", 1)) if piece.part.name == "plinth"]
    assert [(place(one)[1], one.hand) for one in plinth.joints] == [
        (Side.LEFT, Hand.LEFT),
        (Side.RIGHT, Hand.RIGHT),
    ]


def test_a_plinth_frame_s_four_corners_by_hand() -> None:
    expansion = project({"mark": "A"} | SHAPES["mitred carcass"] | {"plinth": 70})[1].assemblies[0].expansion
    ends = [piece for piece in pieces(expansion) if piece.part.name == "plinth end"]
    # bottom down; the left end piece with its front end to the machine: one looks to the front, so the left of the
    # cabinet, where its outer face is, lies to the right
    assert [[(place(one)[1], one.hand) for one in piece.joints] for piece in ends] == [
        [(Side.FRONT, Hand.RIGHT), (Side.BACK, Hand.LEFT)],
        [(Side.FRONT, Hand.LEFT), (Side.BACK, Hand.RIGHT)],
    ]
    walls = [piece for piece in pieces(expansion) if piece.part.name == "plinth front and back"]
    assert [[place(one)[1] for one in piece.joints] for piece in walls] == [[Side.LEFT, Side.RIGHT]] * 2


def test_a_partition_has_slots_in_both_faces() -> None:
    (partition,) = [piece for piece in pieces(taken("carcass", 1)) if piece.part.name == "partition"]
    inner = [(one.spot.surface, place(one)[2], one.hand) for one in partition.joints if one.index]
    # shelves at 300 and 600 above a floor at 80 + 18; front up, back down: with the left face to the machine one
    # looks to the left, the bottom lies to the left
    assert inner == [
        (side, above, hand)
        for above in (202, 502)
        for side, hand in ((Side.LEFT, Hand.LEFT), (Side.RIGHT, Hand.RIGHT))
    ]


def test_pieces_that_only_need_turning_are_told_by_no_side() -> None:
    for name in ("triangle", "square", "hexagon", "box with lid", "butted box"):
        assert {piece.stands for piece in pieces(taken(name))} == {None}, name


def test_a_box_is_seen_from_the_front() -> None:
    places = {place(one)[:2] for piece in pieces(taken("box with lid")) for one in piece.joints}
    assert places == {("end", side) for side in (Side.LEFT, Side.RIGHT, Side.FRONT, Side.BACK)}


def test_a_butted_box_s_corners_by_hand() -> None:
    front, back, right, left = pieces(taken("butted box", 1))
    # bottom down, its front end to the machine: one looks to the front, the box's left lies to the right
    assert [(place(one)[1], one.hand) for one in left.joints] == [
        (Side.FRONT, Hand.RIGHT),
        (Side.BACK, Hand.LEFT),
    ]
    assert [(place(one)[1], one.hand) for one in right.joints] == [
        (Side.FRONT, Hand.LEFT),
        (Side.BACK, Hand.RIGHT),
    ]
    assert [(place(one)[1], one.spot.surface) for one in (*front.joints, *back.joints)] == [
        (side, Side.INSIDE) for side in (Side.LEFT, Side.RIGHT)
    ] * 2


def test_a_joint_along_the_whole_piece_is_at_its_side() -> None:
    left, right = pieces(taken("single joint", 1))
    tall = SHAPES["single joint"] | {"breadth": 200, "angle": 90}
    wide = [*pieces(project({"mark": "A"} | tall)[1].assemblies[0].expansion)]
    assert [place(piece.joints[0])[:2] for piece in wide] == [("side", Side.RIGHT), ("side", Side.LEFT)]
    assert [piece.joints[0].partner.mark for piece in (left, right)] == ["A2", "A1"]


def test_what_the_kinds_hand_over_stands_where_the_elevation_draws_it() -> None:
    """Every line of the elevation has its meeting, in the same order, between outlines that touch it."""
    for expansion in everything():
        lines = [line.mark for line in expansion.elevation.joints]
        drawn = [meeting for meeting in expansion.meetings if meeting.joint in lines]
        hidden = {meeting.joint for meeting in expansion.meetings} - set(lines)
        assert all("plinth" in joint.place for joint in expansion.joints if joint.mark in hidden)
        seen: Counter[str] = Counter()
        for outline in expansion.elevation.members:
            seen[outline.mark] += 1
        each = {member.mark: member.quantity // expansion.quantity for member in expansion.members}
        for mark in lines:
            own = [line for line in expansion.elevation.joints if line.mark == mark]
            meetings = [meeting for meeting in drawn if meeting.joint == mark]
            assert len(own) == len(meetings)
            for line, meeting in zip(own, meetings, strict=True):
                for spot in (meeting.first, meeting.second):
                    outlines = [one for one in expansion.elevation.members if one.mark == spot.piece.mark]
                    assert len(outlines) == each[spot.piece.mark]
                    touching = shapely.Polygon(outlines[spot.piece.index].points)
                    middle = shapely.LineString([line.start, line.end]).interpolate(0.5, normalized=True)
                    assert touching.exterior.distance(middle) < 1e-6, (expansion.mark, mark, spot)
