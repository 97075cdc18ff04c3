"""Boxes by hand: wall height = closed height + lip + kerf, corner breadth = t·√2, panels to the grooves."""

from __future__ import annotations

import pytest

from domain.faces.face import Backing, Behind
from domain.faces.region import Void
from domain.notes import NoteCode
from domain.spec.choices import Entry
from tests.domain.builders import (
    Json,
    assert_hangs_together,
    box,
    codes,
    expanded,
    figures,
    joint_lines,
    member_lines,
    panel_lines,
    project,
    refused,
)

BOTTOM = {"fit": "groove", "thickness": 5, "depth": 5, "up": 6}
TOP = {"material": "glass", "thickness": 3, "depth": 4, "down": 4}
OVER = {"fit": "over", "material": "ash", "thickness": 5}
LID = {"height": 30, "kerf": 2, "lip": 6, "clearance": 0.1}


def test_a_mitred_box_has_long_and_short_walls() -> None:
    made = expanded(box(quantity=3, material="cherry"))
    assert member_lines(made) == [
        ("A1", "front and back", 6, 280, 256, 90, 12),  # 280 − 2·12
        ("A2", "side", 6, 180, 156, 90, 12),
    ]
    # 12·√2; keys from both edges, or from either where one is closed
    assert joint_lines(made) == [("A-J1", "edge_mitre", 12, ("A1", "A2"), 45, 16.971, 90)]
    assert made.joints[0].entries == (Entry.BOTH, Entry.BOTTOM, Entry.TOP)
    assert made.joints[0].face.backings == ()
    assert (made.panels, made.notes) == ((), ())
    assert_hangs_together(made)


def test_a_square_mitred_box_has_four_like_walls() -> None:
    made = expanded(box(length=180))
    assert member_lines(made) == [("A1", "wall", 4, 180, 156, 90, 12)]
    assert joint_lines(made) == [("A-J1", "edge_mitre", 4, ("A1", "A1"), 45, 16.971, 90)]
    assert_hangs_together(made)


def test_a_butted_boxs_sides_stand_between_front_and_back() -> None:
    made = expanded(box(corner="butt", bottom=BOTTOM))
    assert member_lines(made) == [
        ("A1", "front and back", 2, 280, None, 90, 12),
        ("A2", "side", 2, 156, None, 90, 12),
    ]
    assert joint_lines(made) == [("A-J1", "edge_butt", 4, ("A2", "A1"), 90, 12, 90)]
    # the slot goes into the front's inner face: its show face is 12 away
    assert made.joints[0].face.backings == (Backing(12, Behind.SHOW_FACE),)
    assert codes(made.notes) == [NoteCode.GROOVES_STOP, NoteCode.PANEL_FULL]
    assert_hangs_together(made)


@pytest.mark.parametrize("corner", ["mitre", "butt"])
def test_a_box_comes_out_the_same_measured_inside(corner: str) -> None:
    outside = expanded(box(corner=corner, bottom=BOTTOM, top=TOP))
    # 280 − 24, 180 − 24, and clear height 90 − (6 + 5) − (4 + 3)
    sizes = {"measure": "inside", "length": 256, "width": 156, "height": 72}
    assert expanded(box(corner=corner, bottom=BOTTOM, top=TOP, **sizes)) == outside


@pytest.mark.parametrize(
    ("fit", "low"),
    [
        ("groove", 6),  # its underside 6 up, 5 thick
        ("rabbet", 0),  # open to the edge
    ],
)
def test_bottom_and_top_run_to_the_bottom_of_their_grooves(fit: str, low: float) -> None:
    made = expanded(box(bottom=BOTTOM | {"fit": fit}, top=TOP))
    # 256 + 2·5 and 156 + 2·5; 256 + 2·4 and 156 + 2·4
    assert panel_lines(made) == [("A3", "bottom", 1, 266, 166, 5), ("A4", "top", 1, 264, 164, 3)]
    assert [one.material for one in made.panels] == [None, "glass"]
    # v from the bottom edge: the top's groove lies 90 − 7 … 90 − 4
    assert made.joints[0].face.region.voids == (Void(7, 12, low, 11, "bottom"), Void(8, 12, 83, 86, "top"))
    assert_hangs_together(made)


def test_a_sawn_off_lid_parts_the_corners_and_adds_lip_and_kerf_to_the_walls() -> None:
    made = expanded(box(bottom=BOTTOM, top=TOP, lid=LID, quantity=2))
    assert [line[5] for line in member_lines(made)] == [98, 98]  # 90 + 6 + 2
    # body 90 − 30 up to the foot of its lip; lid 30 less the lip
    assert joint_lines(made) == [
        ("A-J1", "edge_mitre", 8, ("A1", "A2"), 45, 16.971, 60),
        ("A-J2", "edge_mitre", 8, ("A1", "A2"), 45, 16.971, 24),
    ]
    body, lid = made.joints
    assert (body.entries, lid.entries) == ((Entry.BOTTOM,), (Entry.TOP,))
    # each seen from its own entry edge
    assert (body.face.ends, lid.face.ends) == ((Entry.BOTTOM, Entry.TOP), (Entry.TOP, Entry.BOTTOM))
    assert body.face.region.voids == (Void(7, 12, 6, 11, "bottom"),)
    assert lid.face.region.voids == (Void(8, 12, 4, 7, "top"),)
    # sawn above the lip: 60 + 6 … + 2
    assert figures(made.notes, NoteCode.SAW_LINE) == {"low": 66, "high": 68}
    assert_hangs_together(made)


def test_a_top_laid_over_the_walls_counts_to_the_height_and_has_no_groove() -> None:
    made = expanded(box(bottom=BOTTOM, top=OVER))
    # 90 less the top's 5; the top is as long and wide as the box
    assert member_lines(made) == [
        ("A1", "front and back", 2, 280, 256, 85, 12),
        ("A2", "side", 2, 180, 156, 85, 12),
    ]
    assert panel_lines(made) == [("A3", "bottom", 1, 266, 166, 5), ("A4", "top", 1, 280, 180, 5)]
    assert made.joints[0].face.region.voids == (Void(7, 12, 6, 11, "bottom"),)
    assert codes(made.notes) == [NoteCode.TOP_LAID_OVER, NoteCode.PANEL_FULL]
    assert codes(expanded(box(top=OVER)).notes) == [NoteCode.TOP_LAID_OVER]
    assert_hangs_together(made)


def test_a_lid_s_height_is_measured_with_the_top_that_is_laid_over_it() -> None:
    made = expanded(box(top=OVER, lid=LID, lining=1.5))
    # walls 90 − 5 + 6 + 2; body 90 − 30 to the foot of its lip, the lid's walls 30 − 5 less the lip
    assert {member[5] for member in member_lines(made)} == {93}
    assert [(joint.place, joint.face.run) for joint in made.joints] == [("body corner", 60), ("lid corner", 19)]
    high = {name: width for _, name, _, _, width, _ in panel_lines(made)}
    assert (high["body lining, side"], high["lid lining, side"]) == (66, 19)
    # clear inside: 90 over the bottom, and the walls end there
    inside = expanded(box(measure="inside", bottom=BOTTOM, top=OVER))
    assert {member[5] for member in member_lines(inside)} == {101}


def test_no_slot_of_body_or_lid_comes_near_the_saw_line() -> None:
    body, lid = expanded(box(bottom=BOTTOM, top=TOP, lid=LID)).joints
    # the wall is 98 high: body keys stay under 60, lid keys above 98 − 24 = 74; the saw runs from 66 to 68
    assert body.face.run < 66
    assert 98 - lid.face.run > 68


def test_lining_covers_the_inside_and_veneer_the_outside() -> None:
    made = expanded(box(bottom=BOTTOM, top=TOP, lining=1.5, veneer=0.6))
    assert panel_lines(made)[2:] == [
        ("A5", "lining, front and back", 2, 256, 72, 1.5),  # 90 − 11 − 7
        ("A6", "lining, side", 2, 153, 72, 1.5),  # between them: 156 − 2·1.5
        ("A7", "veneer, front and back", 2, 280, 90, 0.6),
        ("A8", "veneer, side", 2, 180, 90, 0.6),
    ]
    # 2·(256 + 153)·72 = 58 896 mm²; 2·(280 + 180)·90 = 82 800 mm²
    assert figures(made.notes, NoteCode.LINING_AREA) == {"area_n": pytest.approx(0.058896, abs=1e-3)}
    assert figures(made.notes, NoteCode.VENEER_AREA) == {"area_n": pytest.approx(0.0828, abs=1e-3)}
    assert_hangs_together(made)


def test_body_and_lid_are_lined_apart_and_together_cover_the_same() -> None:
    made = expanded(box(bottom=BOTTOM, top=TOP, lid=LID, lining=1.5, veneer=0.6))
    lines = panel_lines(made)
    high = {str(line[1]): line[4] for line in lines if "lining" in str(line[1])}
    assert set(high) == {
        "body lining, front and back",
        "body lining, side",
        "lid lining, front and back",
        "lid lining, side",
    }
    # parted at the top of the lip, the inner half of the body's wall: 90 − 30 + 6 − 11 and 30 − 6 − 7
    assert (high["body lining, side"], high["lid lining, side"]) == (55, 17)
    # veneer goes on before the saw: over the whole wall
    assert [line[4] for line in lines if "veneer" in str(line[1])] == [98, 98]
    assert figures(made.notes, NoteCode.LINING_AREA) == {"area_n": pytest.approx(0.058896, abs=1e-3)}
    assert_hangs_together(made)


def test_the_drawing_is_the_plan() -> None:
    mitred, butted = expanded(box()).elevation, expanded(box(corner="butt")).elevation
    assert (mitred.view, mitred.width, mitred.height) == ("plan", 280, 180)
    assert mitred.members[0].points == ((0, 0), (280, 0), (268, 12), (12, 12))
    assert butted.members[0].points == ((0, 0), (280, 0), (280, 12), (0, 12))
    assert butted.members[1].points == ((268, 12), (280, 12), (280, 168), (268, 168))
    assert len(mitred.joints) == len(butted.joints) == 4


@pytest.mark.parametrize(
    ("change", "problems"),
    [
        ({"width": 24}, {"width": "must be more than two walls, 24 mm"}),
        ({"length": 20, "width": 20}, {
            "width": "must be more than two walls, 24 mm",
            "length": "must be more than two walls, 24 mm",
        }),
        ({"bottom": BOTTOM | {"depth": 12}}, {"bottom.depth": "must be less than the wall, 12 mm"}),
        ({"bottom": BOTTOM | {"up": 85}},
         {"bottom.up": "must be less than the body's height, panel and all, 90 mm"}),
        ({"bottom": BOTTOM | {"up": 55}, "top": TOP, "lid": LID},
         {"bottom.up": "must be less than the body's height, panel and all, 60 mm"}),
        ({"top": TOP | {"depth": 12}}, {"top.depth": "must be less than the wall, 12 mm"}),
        ({"bottom": BOTTOM, "top": TOP | {"down": 76}},
         {"top.down": "must be less than the height there, with the panel's thickness, 79 mm"}),  # 90 − 11
        ({"top": TOP | {"down": 21}, "lid": LID},
         {"top.down": "must be less than the height there, with the panel's thickness, 24 mm"}),
        ({"top": TOP, "lid": LID | {"height": 90}}, {"lid.height": "must be less than the closed height, 90 mm"}),
        ({"lid": LID},
         {"top": "is needed where a lid is sawn off: a panel in a groove, or a top laid over the walls"}),
        ({"top": {"material": "ash", "thickness": 3, "down": 4}}, {"top.depth": "is needed"}),
        ({"top": OVER | {"depth": 4, "down": 2}}, {
            "top.depth": "is not for a top laid over the walls; leave it out",
            "top.down": "is not for a top laid over the walls; leave it out",
        }),
        ({"top": OVER | {"thickness": 90}},
         {"top.thickness": "must be less than the height over the bottom, 90 mm"}),
        ({"top": OVER | {"thickness": 30}, "lid": LID},
         {"lid.height": "must be more than the top's thickness, 30 mm",
          "lid.lip": "must be less than the lid's height under its top, 0 mm"}),
        ({"top": OVER, "lid": LID | {"lip": 25}},
         {"lid.lip": "must be less than the lid's height under its top, 25 mm"}),
        ({"top": OVER, "lid": LID | {"height": 90}}, {"lid.height": "must be less than the closed height, 90 mm"}),
        ({"top": TOP, "lid": LID | {"lip": 30}},
         {"top.down": "must be less than the height there, with the panel's thickness, 0 mm",
          "lid.lip": "must be less than the lid's height, 30 mm"}),
        ({"top": TOP, "lid": LID | {"clearance": 6}}, {"lid.clearance": "must be less than half the wall, 6 mm"}),
        ({"lining": 78}, {"lining": "must be less than half the inside, 78 mm"}),
    ],
)  # fmt: skip
def test_sizes_that_clash_are_named(change: Json, problems: dict[str, str]) -> None:
    expected = {f"assemblies[0].{path}": allowed for path, allowed in problems.items()}
    assert refused(project(box(**change))) == expected
