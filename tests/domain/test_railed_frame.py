"""Railed frames by hand: stiles run through, rails between them, mid stiles between rails."""

from __future__ import annotations

import pytest

from domain.faces.face import Backing, Behind
from domain.faces.region import Void
from domain.notes import NoteCode
from tests.domain.builders import (
    Json,
    assert_hangs_together,
    codes,
    expanded,
    joint_lines,
    member_lines,
    panel_lines,
    project,
    railed,
    refused,
)

GROOVE = {"fit": "groove", "depth": 10, "width": 6, "thickness": 6}
BARS: Json = {"mid_rail": 38, "mid_stile": 38}
ROWS = [{"opening": 140}, {"opening": "rest", "columns": [200, "rest"]}]


def test_a_plain_frame_has_two_stiles_and_two_rails() -> None:
    made = expanded(railed(quantity=2))
    # rails 600 − 2·45
    assert member_lines(made) == [
        ("A1", "stile", 4, 720, None, 45, 20),
        ("A2", "top rail", 2, 510, None, 45, 20),
        ("A3", "bottom rail", 2, 510, None, 60, 20),
    ]
    assert joint_lines(made) == [
        ("A-J1", "butt", 4, ("A2", "A1"), 90, 45, 20),
        ("A-J2", "butt", 4, ("A3", "A1"), 90, 60, 20),
    ]
    assert (made.panels, made.notes) == ((), ())
    assert_hangs_together(made)


def test_rows_and_columns_share_out_what_is_left() -> None:
    made = expanded(railed(**BARS, rows=ROWS, panel=GROOVE))
    # rows: 720 − 45 − 60 − 38 = 577, less 140 is 437. Columns: 510 − 38 = 472, less 200 is 272
    assert member_lines(made) == [
        ("A1", "stile", 2, 720, None, 45, 20),
        ("A2", "top rail", 1, 510, None, 45, 20),
        ("A3", "mid rail", 1, 510, None, 38, 20),
        ("A4", "bottom rail", 1, 510, None, 60, 20),
        ("A5", "mid stile", 1, 437, None, 38, 20),
    ]
    assert joint_lines(made) == [
        ("A-J1", "butt", 2, ("A2", "A1"), 90, 45, 20),
        ("A-J2", "tee", 2, ("A3", "A1"), 90, 38, 20),
        ("A-J3", "butt", 2, ("A4", "A1"), 90, 60, 20),
        ("A-J4", "tee", 1, ("A5", "A3"), 90, 38, 20),
        ("A-J5", "tee", 1, ("A5", "A4"), 90, 38, 20),
    ]
    # 10 into the groove on every side
    assert panel_lines(made) == [
        ("A6", "panel", 1, 160, 530, 6),
        ("A7", "panel", 1, 457, 220, 6),
        ("A8", "panel", 1, 457, 292, 6),
    ]
    assert codes(made.notes) == [NoteCode.GROOVES_STOP, NoteCode.PANEL_FULL]
    assert_hangs_together(made)


def test_like_rails_stiles_and_panels_are_counted_together() -> None:
    # rows: 720 − 105 − 2·38 = 539: 180, 180 and 179 are left
    thirds = [
        {"opening": 180, "columns": ["rest", 236]},
        {"opening": 180, "columns": ["rest", 236]},
        {"opening": "rest"},
    ]
    made = expanded(railed(**BARS, rows=thirds, panel=GROOVE, quantity=2))
    # columns: 510 − 38 − 236 = 236
    assert member_lines(made)[2:] == [
        ("A3", "mid rail", 4, 510, None, 38, 20),
        ("A4", "bottom rail", 2, 510, None, 60, 20),
        ("A5", "mid stile", 4, 180, None, 38, 20),
    ]
    assert panel_lines(made) == [("A6", "panel", 8, 200, 256, 6), ("A7", "panel", 2, 199, 530, 6)]
    # mid stiles: two ends on the top rail, two on the first mid rail from above and two from below,
    # two on the second mid rail; those on the first have each other behind them
    assert joint_lines(made)[3:] == [
        ("A-J4", "tee", 2, ("A5", "A2"), 90, 38, 20),
        ("A-J5", "tee", 4, ("A5", "A3"), 90, 38, 20),
        ("A-J6", "tee", 2, ("A5", "A3"), 90, 38, 20),
    ]
    assert_hangs_together(made)


def test_behind_a_rails_end_is_the_stile_and_behind_a_mid_stile_the_rail() -> None:
    made = expanded(railed(**BARS, rows=ROWS))
    assert [joint.face.backings for joint in made.joints] == [
        (Backing(45, Behind.EDGE),),
        (Backing(45, Behind.EDGE),),
        (Backing(45, Behind.EDGE),),
        (Backing(38, Behind.EDGE),),
        (Backing(60, Behind.EDGE),),
    ]


@pytest.mark.parametrize(
    ("lower", "backings"),
    [
        # right over each other: the rail is shared
        (200, {Backing(38, Behind.OPPOSITE_SLOT)}),
        # half over each other: shared where they meet, and a far edge beside it
        (220, {Backing(38, Behind.OPPOSITE_SLOT), Backing(38, Behind.EDGE)}),
        # clear of each other by nothing at all
        (238, {Backing(38, Behind.EDGE)}),
    ],
)
def test_mid_stiles_that_meet_across_a_rail_share_its_wood(lower: float, backings: set[Backing]) -> None:
    rows = [{"opening": 140, "columns": [200, "rest"]}, {"opening": "rest", "columns": [lower, "rest"]}]
    made = expanded(railed(**BARS, rows=rows))
    mid_rail = next(member.mark for member in made.members if member.name == "mid rail")
    faces = [
        joint.face for joint in made.joints if joint.place == "mid-stile end" and joint.members[1] == mid_rail
    ]
    assert {backing for face in faces for backing in face.backings} == backings


@pytest.mark.parametrize(
    ("fit", "low", "high"),
    [
        ("groove", 7, 13),  # 6 wide in the middle of 20
        ("rabbet", 0, 6),  # from the back
    ],
)
def test_a_panels_groove_or_rabbet_is_missing_from_the_mating_faces(fit: str, low: float, high: float) -> None:
    panel = {"fit": fit, "depth": 10, "width": 6, "thickness": 6}
    made = expanded(railed(**BARS, rows=ROWS, panel=panel))
    voids = {joint.mark: joint.face.region.voids for joint in made.joints}
    # at a corner on the inner edge only, 45 − 10; at a mid rail on both, and so at a mid stile
    assert voids["A-J1"] == (Void(35, 45, low, high),)
    assert voids["A-J2"] == (Void(0, 10, low, high), Void(28, 38, low, high))
    assert voids["A-J3"] == (Void(50, 60, low, high),)
    assert voids["A-J4"] == (Void(0, 10, low, high), Void(28, 38, low, high))


def test_the_elevation_has_the_top_rail_on_top() -> None:
    made = expanded(railed(**BARS, rows=ROWS))
    assert (made.elevation.view, made.elevation.width, made.elevation.height) == ("front", 600, 720)
    boxes = {one.mark: (*one.points[0], *one.points[2]) for one in made.elevation.members}
    assert boxes["A2"] == (45, 675, 555, 720)
    assert boxes["A3"] == (45, 497, 555, 535)  # 675 − 140 = 535
    assert boxes["A4"] == (45, 0, 555, 60)
    assert boxes["A5"] == (245, 60, 283, 497)  # 45 + 200


@pytest.mark.parametrize(
    ("change", "problems"),
    [
        ({"rows": ROWS, "mid_stile": 38}, {"mid_rail": "is needed between 2 rows"}),
        ({"rows": ROWS, "mid_rail": 38}, {"mid_stile": "is needed where a row has more than one opening"}),
        ({"stile": 300}, {
            "stile": "must be less than half the width, 300 mm",
            "rows[0].columns[0]": "nothing is left: 0 of 0 mm is taken",
        }),
        ({"bottom_rail": 675}, {
            "bottom_rail": "must be less than what the top rail leaves, 675 mm",
            "rows[0].opening": "nothing is left: 0 of 0 mm is taken",
        }),
        ({"rows": [{"opening": 600}]},
         {"rows[0].opening": 'the openings must add up to 615 mm; make one of them "rest"'}),
        ({**BARS, "rows": [{"opening": "rest"}, {"opening": "rest"}]},
         {"rows[1].opening": 'only one of a list may be "rest"'}),
        ({**BARS, "rows": [{"opening": "rest"}, {"opening": 577}]},
         {"rows[0].opening": "nothing is left: 577 of 577 mm is taken"}),
        ({**BARS, "rows": [{"opening": "rest", "columns": [200, 271]}]},
         {"rows[0].columns[1]": 'the openings must add up to 472 mm; make one of them "rest"'}),
        ({"panel": GROOVE | {"depth": 45}}, {"panel.depth": "must be less than what top_rail can give, 45 mm"}),
        ({**BARS, "rows": ROWS, "panel": GROOVE | {"depth": 19}},
         {"panel.depth": "must be less than what mid_stile can give, 19 mm"}),
        ({"panel": GROOVE | {"width": 20}}, {"panel.width": "must be less than the frame's thickness, 20 mm"}),
        ({"panel": GROOVE | {"thickness": 6.1}}, {"panel.thickness": "must be at most the groove's width, 6 mm"}),
    ],
)  # fmt: skip
def test_sizes_that_clash_are_named(change: Json, problems: dict[str, str]) -> None:
    expected = {f"assemblies[0].{path}": allowed for path, allowed in problems.items()}
    assert refused(project(railed(**change))) == expected


def test_openings_that_add_up_exactly_are_taken() -> None:
    assert len(expanded(railed(rows=[{"opening": 615}])).members) == 3


def test_a_row_with_one_opening_has_no_mid_stile_for_a_groove_to_pass() -> None:
    made = expanded(railed(rows=[{"opening": "rest", "columns": ["rest"]}], panel=GROOVE))
    (note,) = [note for note in made.notes if note.code is NoteCode.GROOVES_STOP]
    assert note.text() == (
        "The panel's groove may run through in the rail only; in the other pieces run it on by its own depth,"
        " 10 mm, past the inner edge of the piece that meets them, no farther."
    )


COLUMNS = [{"opening": 200, "rows": [140, "rest"]}, {"opening": "rest"}]


def test_with_columns_the_mid_stile_runs_from_rail_to_rail() -> None:
    made = expanded(railed(**BARS, columns=COLUMNS, panel=GROOVE))
    # height 720 − 45 − 60 = 615, less 38 is 577, less 140 is 437. Width 510 − 38 − 200 = 272
    assert member_lines(made) == [
        ("A1", "stile", 2, 720, None, 45, 20),
        ("A2", "top rail", 1, 510, None, 45, 20),
        ("A3", "bottom rail", 1, 510, None, 60, 20),
        ("A4", "mid stile", 1, 615, None, 38, 20),
        ("A5", "mid rail", 1, 200, None, 38, 20),
    ]
    assert joint_lines(made) == [
        ("A-J1", "butt", 2, ("A2", "A1"), 90, 45, 20),
        ("A-J2", "butt", 2, ("A3", "A1"), 90, 60, 20),
        ("A-J3", "tee", 1, ("A4", "A2"), 90, 38, 20),
        ("A-J4", "tee", 1, ("A4", "A3"), 90, 38, 20),
        ("A-J5", "tee", 1, ("A5", "A1"), 90, 38, 20),
        ("A-J6", "tee", 1, ("A5", "A4"), 90, 38, 20),
    ]
    assert panel_lines(made) == [
        ("A6", "panel", 1, 160, 220, 6),
        ("A7", "panel", 1, 457, 220, 6),
        ("A8", "panel", 1, 635, 292, 6),
    ]
    # behind the mid rail lies the other column's groove: 38 − 10
    assert made.joints[5].face.backings == (Backing(28, Behind.EDGE),)
    assert dict(made.notes[0].figures)["piece_text"] == "mid rail"
    assert_hangs_together(made)


def test_mid_rails_on_both_sides_of_a_mid_stile_share_its_wood_where_they_overlap() -> None:
    storeys = [{"opening": 200, "rows": [140, "rest"]}, {"opening": "rest", "rows": [150, "rest"]}]
    made = expanded(railed(**BARS, columns=storeys))
    at_mid_stile = [joint.face.backings for joint in made.joints if joint.members[1] == "A4"]
    assert at_mid_stile == [(Backing(38, Behind.OPPOSITE_SLOT), Backing(38, Behind.EDGE))] * 2


def test_rails_may_run_through_at_the_corners() -> None:
    made = expanded(
        railed(through="rails", mid_rail=38, rows=[{"opening": 140}, {"opening": "rest"}], panel=GROOVE)
    )
    # stiles 720 − 45 − 60 between the rails; the mid rail still lies between the stiles
    assert member_lines(made) == [
        ("A1", "stile", 2, 615, None, 45, 20),
        ("A2", "top rail", 1, 600, None, 45, 20),
        ("A3", "mid rail", 1, 510, None, 38, 20),
        ("A4", "bottom rail", 1, 600, None, 60, 20),
    ]
    assert joint_lines(made) == [
        ("A-J1", "butt", 2, ("A1", "A2"), 90, 45, 20),
        ("A-J2", "butt", 2, ("A1", "A4"), 90, 45, 20),
        ("A-J3", "tee", 2, ("A3", "A1"), 90, 38, 20),
    ]
    assert [joint.face.backings for joint in made.joints] == [
        (Backing(45, Behind.EDGE),),
        (Backing(60, Behind.EDGE),),
        (Backing(45, Behind.EDGE),),
    ]
    assert dict(made.notes[0].figures)["piece_text"] == "mid rail"
    assert_hangs_together(made)


@pytest.mark.parametrize(
    ("more", "piece"),
    [
        ({}, "rail"),
        ({"through": "rails"}, "stile"),
        ({"columns": [{"opening": "rest"}, {"opening": 200}], "mid_stile": 38}, "mid stile"),
        ({"columns": [{"opening": "rest"}, {"opening": 200}], "mid_stile": 38, "through": "rails"}, "stile"),
        ({"columns": [{"opening": "rest"}]}, "rail"),
    ],
)
def test_grooves_run_through_where_nothing_stands_against_a_piece(more: Json, piece: str) -> None:
    made = expanded(railed(panel=GROOVE, **more))
    assert dict(made.notes[0].figures)["piece_text"] == piece
    names = {member.mark: member.name for member in made.members}
    assert not any(names[joint.members[1]].endswith(piece) for joint in made.joints if piece.startswith("mid"))


@pytest.mark.parametrize(
    ("change", "problems"),
    [
        ({"columns": COLUMNS, "rows": [{"opening": "rest", "columns": ["rest", 100]}], **BARS},
         {"columns": "give rows, where mid rails run through, or columns, where mid stiles do, not both"}),
        ({"columns": COLUMNS}, {"mid_stile": "is needed between 2 columns"}),
        ({"columns": COLUMNS, "mid_stile": 38},
         {"mid_rail": "is needed where a column has more than one opening"}),
        ({"columns": [{"opening": 200}, {"opening": 272.5}], **BARS},
         {"columns[1].opening": 'the openings must add up to 472 mm; make one of them "rest"'}),
        ({"columns": [{"opening": "rest", "rows": [600, "rest"]}], **BARS},
         {"columns[0].rows[1]": "nothing is left: 600 of 577 mm is taken"}),
        ({"through": "both"}, {"through": "must be one of 'stiles' or 'rails'"}),
        ({"columns": []}, {"columns": "must have at least 1 items"}),
    ],
)  # fmt: skip
def test_columns_that_clash_are_named(change: Json, problems: dict[str, str]) -> None:
    expected = {f"assemblies[0].{path}": allowed for path, allowed in problems.items()}
    assert refused(project(railed(**change))) == expected
