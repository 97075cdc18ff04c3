"""Carcasses by hand: sides, top, bottom, fixed shelves, partitions, back and plinth, joint by joint."""

from __future__ import annotations

import pytest

from domain.faces.face import Backing, Behind
from domain.faces.region import Void
from domain.machine.hands import spacer_under
from domain.notes import NoteCode
from domain.parts import Side
from domain.spec.choices import Entry
from domain.spec.rules import Rules
from domain.takeoff.build import take_off
from tests.domain.builders import (
    Json,
    assert_hangs_together,
    carcass,
    codes,
    demo_sections,
    expanded,
    joint_lines,
    member_lines,
    panel_lines,
    project,
    read,
    refused,
)

NO_LENGTH = 'not a length; write a length such as 12.5, "12,5 mm", "3 7/8 in" or 7/8"'
BACK = {"fit": "groove", "thickness": 6, "depth": 8, "inset": 10}


def test_the_top_between_the_sides() -> None:
    made = expanded(carcass(quantity=2))
    # 800 − 2·18
    assert member_lines(made) == [
        ("A1", "side", 4, 900, None, 350, 18),
        ("A2", "top", 2, 764, None, 350, 18),
        ("A3", "bottom", 2, 764, None, 350, 18),
    ]
    assert joint_lines(made) == [
        ("A-J1", "edge_butt", 4, ("A2", "A1"), 90, 18, 350),
        ("A-J2", "edge_butt", 4, ("A3", "A1"), 90, 18, 350),
    ]
    assert [joint.entries for joint in made.joints] == [(Entry.BOTH, Entry.FRONT, Entry.BACK)] * 2
    assert_hangs_together(made)


def test_the_top_over_the_sides() -> None:
    made = expanded(carcass(corner="top_over"))
    assert member_lines(made) == [
        ("A1", "side", 2, 882, None, 350, 18),
        ("A2", "top", 1, 800, None, 350, 18),
        ("A3", "bottom", 1, 764, None, 350, 18),
    ]
    assert joint_lines(made) == [
        ("A-J1", "edge_butt", 2, ("A1", "A2"), 90, 18, 350),  # the side's end under the top
        ("A-J2", "edge_butt", 2, ("A3", "A1"), 90, 18, 350),
    ]
    assert_hangs_together(made)


def test_mitred_corners() -> None:
    made = expanded(carcass(corner="mitre"))
    assert member_lines(made) == [
        ("A1", "side", 2, 900, 864, 350, 18),
        ("A2", "top", 1, 800, 764, 350, 18),
        ("A3", "bottom", 1, 800, 764, 350, 18),
    ]
    # 18·√2
    assert joint_lines(made) == [
        ("A-J1", "edge_mitre", 2, ("A2", "A1"), 45, 25.456, 350),
        ("A-J2", "edge_mitre", 2, ("A3", "A1"), 45, 25.456, 350),
    ]
    assert all(joint.face.backings == () for joint in made.joints)
    assert_hangs_together(made)


def test_shelves_and_partitions_part_the_inside_into_bays() -> None:
    made = expanded(carcass(shelves=[300, 600], partitions=[400], back=BACK, plinth=80))
    assert member_lines(made) == [
        ("A1", "side", 2, 900, None, 350, 18),
        ("A2", "top", 1, 764, None, 350, 18),
        ("A3", "bottom", 1, 764, None, 350, 18),
        ("A4", "partition", 1, 784, None, 334, 18),  # 900 − 18 − (80 + 18); 350 − (10 + 6)
        ("A5", "shelf", 2, 382, None, 334, 18),  # 18 … 400
        ("A6", "shelf", 2, 364, None, 334, 18),  # 418 … 782
        ("A7", "plinth", 1, 764, None, 80, 18),
    ]
    assert panel_lines(made) == [("A8", "back", 1, 800, 780, 6)]  # 784 + 2·8 and 764 + 2·8
    assert joint_lines(made) == [
        ("A-J1", "edge_butt", 2, ("A2", "A1"), 90, 18, 350),
        ("A-J2", "edge_tee", 2, ("A3", "A1"), 90, 18, 350),  # the sides run on down past the bottom
        ("A-J3", "edge_tee", 1, ("A4", "A2"), 90, 18, 334),
        ("A-J4", "edge_tee", 1, ("A4", "A3"), 90, 18, 334),
        ("A-J5", "edge_tee", 2, ("A5", "A1"), 90, 18, 334),
        ("A-J6", "edge_tee", 2, ("A5", "A4"), 90, 18, 334),
        ("A-J7", "edge_tee", 2, ("A6", "A4"), 90, 18, 334),
        ("A-J8", "edge_tee", 2, ("A6", "A1"), 90, 18, 334),
        ("A-J9", "edge_butt", 2, ("A7", "A1"), 90, 18, 80),
    ]
    assert_hangs_together(made)


def test_equal_bays_have_equal_shelves() -> None:
    # (764 − 2·18)/3 = 242.667: partitions at 18 + 242, then 260 + 18 + 243 …: two of 242, one of 244
    made = expanded(carcass(shelves=[300], partitions=[260, 520]))
    assert member_lines(made)[3:] == [
        ("A4", "partition", 2, 864, None, 350, 18),
        ("A5", "shelf", 2, 242, None, 350, 18),  # 18 … 260 and 278 … 520
        ("A6", "shelf", 1, 244, None, 350, 18),  # 538 … 782
    ]
    assert joint_lines(made)[2:] == [
        ("A-J3", "edge_tee", 2, ("A4", "A2"), 90, 18, 350),
        ("A-J4", "edge_tee", 2, ("A4", "A3"), 90, 18, 350),
        ("A-J5", "edge_tee", 1, ("A5", "A1"), 90, 18, 350),
        ("A-J6", "edge_tee", 3, ("A5", "A4"), 90, 18, 350),  # first bay's right end, second bay's both
        ("A-J7", "edge_tee", 1, ("A6", "A4"), 90, 18, 350),
        ("A-J8", "edge_tee", 1, ("A6", "A1"), 90, 18, 350),
    ]
    assert_hangs_together(made)


def test_what_stands_behind_each_edge() -> None:
    made = expanded(carcass(shelves=[300], partitions=[400], plinth=80))
    backings = {joint.place: joint.face.backings for joint in made.joints}
    show, shared = (Backing(18, Behind.SHOW_FACE),), (Backing(18, Behind.OPPOSITE_SLOT),)
    assert backings == {
        "top corner": show,
        "bottom corner": show,
        "partition top": show,
        "partition foot": show,
        "shelf end at side": show,
        "shelf end at partition": shared,  # a shelf in the next bay comes from the other side
        "plinth end": show,
    }


@pytest.mark.parametrize(
    ("fit", "low"),
    [
        ("groove", 10),  # its back face 10 from the back edge, 6 thick
        ("rabbet", 0),
    ],
)
def test_the_backs_groove_is_missing_from_the_corners_and_shelves_stop_before_it(fit: str, low: float) -> None:
    made = expanded(carcass(back=BACK | {"fit": fit}, shelves=[300]))
    corner, _, shelf_end = made.joints
    assert corner.face.region.voids == (Void(10, 18, low, 16, "back"),)  # 8 deep from the inner face of 18
    assert shelf_end.face.region.voids == ()
    # a back in a groove closes a shelf's back edge, so its keys come from the front; one in a rabbet goes in last
    from_behind = fit == "rabbet"
    every = (Entry.BOTH, Entry.FRONT, Entry.BACK)
    assert (corner.entries[0], shelf_end.entries) == (Entry.BOTH, every if from_behind else (Entry.FRONT,))
    assert shelf_end.face.closed is (Entry.BACK if from_behind else None)
    # the shelf's back edge lies 10 + 6 inside the side's
    assert (shelf_end.face.foot, corner.face.foot) == ((16, 0), (0, 0))
    assert codes(made.notes) == [NoteCode.GROOVES_STOP, NoteCode.PANEL_FULL]
    assert codes(expanded(carcass(corner="mitre", back=BACK)).notes) == [NoteCode.PANEL_FULL]


def test_a_mitred_carcass_stands_on_a_plinth_frame_of_its_own() -> None:
    made = expanded(carcass(corner="mitre", plinth=80))
    assert member_lines(made) == [
        ("A1", "side", 2, 820, 784, 350, 18),  # 900 − 80
        ("A2", "top", 1, 800, 764, 350, 18),
        ("A3", "bottom", 1, 800, 764, 350, 18),
        ("A4", "plinth front and back", 2, 800, None, 80, 18),
        ("A5", "plinth end", 2, 314, None, 80, 18),  # 350 − 2·18
    ]
    assert joint_lines(made)[2:] == [("A-J3", "edge_butt", 4, ("A5", "A4"), 90, 18, 80)]
    assert made.joints[2].entries == (Entry.BOTH, Entry.BOTTOM, Entry.TOP)
    assert_hangs_together(made)


def test_the_plinth_under_a_bottom_is_entered_from_below() -> None:
    joint = expanded(carcass(plinth=80)).joints[-1]
    assert (joint.place, joint.entries) == ("plinth end", (Entry.BOTTOM,))


def test_a_shelf_lies_in_one_bay_or_in_all() -> None:
    made = expanded(carcass(shelves=[{"at": 300, "bay": 1}, {"at": 450, "bay": 2}, 600], partitions=[400]))
    assert member_lines(made)[4:] == [
        ("A5", "shelf", 2, 382, None, 350, 18),  # 18 … 400, at 300 and at 600
        ("A6", "shelf", 2, 364, None, 350, 18),  # 418 … 782, at 450 and at 600
    ]
    boxes = [(one.mark, *one.points[0], *one.points[2]) for one in made.elevation.members if one.mark > "A4"]
    assert boxes == [
        ("A5", 18, 300, 400, 318),
        ("A6", 418, 450, 782, 468),
        ("A5", 18, 600, 400, 618),
        ("A6", 418, 600, 782, 618),
    ]
    # through both bays the slots meet in the partition; at other heights each has its whole thickness
    beyond = {
        (joint.members, joint.face.backings[0].beyond): joint.quantity
        for joint in made.joints
        if joint.place == "shelf end at partition"
    }
    assert beyond == {
        (("A5", "A4"), Behind.SHOW_FACE): 1,
        (("A5", "A4"), Behind.OPPOSITE_SLOT): 1,
        (("A6", "A4"), Behind.SHOW_FACE): 1,
        (("A6", "A4"), Behind.OPPOSITE_SLOT): 1,
    }
    assert_hangs_together(made)


@pytest.mark.parametrize(("higher", "beyond"), [(17, Behind.OPPOSITE_SLOT), (18, Behind.SHOW_FACE)])
def test_shelves_that_overlap_across_a_partition_share_its_wood(higher: float, beyond: Behind) -> None:
    shelves = [{"at": 300, "bay": 1}, {"at": 300 + higher, "bay": 2}]
    made = expanded(carcass(shelves=shelves, partitions=[400]))
    found = [joint.face.backings[0].beyond for joint in made.joints if joint.place == "shelf end at partition"]
    assert found == [beyond] * 2


def test_a_shelf_that_is_set_back_is_entered_from_behind() -> None:
    made = expanded(carcass(shelves=[{"at": 300, "setback": 25}, 600]))
    assert member_lines(made)[3:] == [
        ("A4", "shelf", 1, 764, None, 325, 18),  # 350 − 25
        ("A5", "shelf", 1, 764, None, 350, 18),
    ]
    back, flush = (joint for joint in made.joints if joint.place == "shelf end at side")
    assert (back.face.run, back.entries) == (325, (Entry.BACK,))
    assert (flush.face.run, flush.entries) == (350, (Entry.BOTH, Entry.FRONT, Entry.BACK))


def test_a_partition_that_is_set_back_is_entered_from_behind() -> None:
    shelves = [{"at": 300, "bay": 1, "setback": 30}, {"at": 300, "bay": 2, "setback": 55}]
    made = expanded(carcass(shelves=shelves, partitions=[{"at": 300, "setback": 30}, 550]))
    assert member_lines(made)[3:] == [
        ("A4", "partition", 1, 864, None, 320, 18),  # 350 − 30
        ("A5", "partition", 1, 864, None, 350, 18),
        ("A6", "shelf", 1, 282, None, 320, 18),  # 18 … 300
        ("A7", "shelf", 1, 232, None, 295, 18),  # 318 … 550, 350 − 55
    ]
    ends = {(joint.place, joint.members): joint for joint in made.joints}
    for place, member in (("partition top", "A2"), ("partition foot", "A3")):
        back, flush = ends[place, ("A4", member)], ends[place, ("A5", member)]
        assert (back.face.run, back.face.foot, back.entries) == (320, (0, 30), (Entry.BACK,))
        assert (flush.face.run, flush.face.foot, flush.entries[0]) == (350, (0, 0), Entry.BOTH)
    # as far back as the partition, a shelf is flush with it and may be entered from either edge
    flush = ends["shelf end at partition", ("A6", "A4")]
    assert (flush.face.foot, flush.entries) == ((0, 0), (Entry.BOTH, Entry.FRONT, Entry.BACK))
    assert ends["shelf end at side", ("A6", "A1")].entries == (Entry.BACK,)
    assert ends["shelf end at partition", ("A7", "A4")].face.foot == (0, 25)
    assert ends["shelf end at partition", ("A7", "A5")].face.foot == (0, 55)
    assert_hangs_together(made)


def test_behind_a_rabbeted_back_a_shelf_may_be_set_back() -> None:
    made = expanded(carcass(shelves=[{"at": 300, "setback": 25}], partitions=[400], back=BACK | {"fit": "rabbet"}))
    assert member_lines(made)[4] == ("A5", "shelf", 1, 382, None, 309, 18)  # 350 − (10 + 6) − 25
    ends = {joint.place: joint for joint in made.joints if joint.place.startswith("shelf")}
    # the partition ends where the shelf does, the side runs on behind both
    assert ends["shelf end at side"].face.foot == (16, 25)
    assert ends["shelf end at partition"].face.foot == (0, 25)
    assert {joint.entries for joint in ends.values()} == {(Entry.BACK,)}
    assert_hangs_together(made)


def test_from_behind_the_stop_is_set_for_the_sides_and_the_shelf_stands_on_a_spacer() -> None:
    planned = take_off(
        read(carcass(shelves=[300], back=BACK | {"fit": "rabbet"}, keys={"entry": "back"})),
        demo_sections(),
        Rules(),
    ).assemblies[0]
    corner, _, shelf_end = planned.joints
    for joint, foot in ((corner, 0), (shelf_end, 16)):
        assert joint.plan is not None
        assert joint.plan.entry is Entry.BACK
        assert joint.stop == joint.plan.depth + foot
    face = shelf_end.joint.face
    assert spacer_under(face, Entry.BACK, 0, Entry.BACK) == 16
    assert spacer_under(face, Entry.BACK, 1, Entry.BACK) == 0
    # from both edges one stop serves: in front, shelf and side are both raised
    assert [spacer_under(face, Entry.BOTH, index, Entry.FRONT) for index in (0, 1)] == [16, 16]


def test_no_slot_goes_higher_than_the_stroke() -> None:
    def deepest(**keys: str) -> float:
        rules = Rules.model_validate({"stroke": 60, "scale_tip_diameter": None})
        spec = carcass(shelves=[300], back=BACK | {"fit": "rabbet"}, keys=keys)
        joint = take_off(read(spec), demo_sections(), rules).assemblies[0].joints[-1]
        assert joint.plan is not None
        assert joint.stop == joint.plan.depth + (16 if keys["entry"] == "back" else 0)
        return joint.stop

    assert max(deepest(entry="back"), deepest(entry="front")) <= 60


def test_a_plinth_that_is_set_back_is_counted_from_the_front() -> None:
    made = expanded(carcass(plinth={"height": 80, "setback": 50}))
    assert member_lines(made)[-1] == ("A4", "plinth", 1, 764, None, 80, 18)
    joint = made.joints[-1]
    assert (joint.place, joint.kind, joint.entries) == ("plinth end", "edge_tee", (Entry.BOTTOM,))
    spots = [meeting.second for meeting in made.meetings if meeting.joint == joint.mark]
    assert [(spot.start, spot.offset, spot.across) for spot in spots] == [(Side.FRONT, 50, True)] * 2
    # a mitred carcass's frame is so much shallower: 350 − 50 − 2·18
    frame = expanded(carcass(corner="mitre", plinth={"height": 80, "setback": 50}))
    assert member_lines(frame)[-1] == ("A5", "plinth end", 2, 264, None, 80, 18)


def test_what_was_written_as_a_length_is_written_so_again() -> None:
    spec = read(
        carcass(
            shelves=[300, {"at": 500, "bay": 2}, {"at": 700}],
            partitions=[400, {"at": 500}, {"at": 600, "setback": 0}],
            plinth=80,
        )
    ).assemblies[0]
    written = spec.model_dump(mode="json")
    assert written["shelves"] == [300, {"at": 500, "bay": 2, "setback": 0}, 700]
    assert written["partitions"] == [400, 500, 600]
    assert written["plinth"] == 80
    assert read(written).assemblies[0] == spec


def test_the_drawing_is_the_front() -> None:
    made = expanded(carcass(shelves=[300], partitions=[400], plinth=80)).elevation
    assert (made.view, made.width, made.height) == ("front", 800, 900)
    boxes = [(one.mark, *one.points[0], *one.points[2]) for one in made.members]
    assert boxes == [
        ("A1", 0, 0, 18, 900),
        ("A1", 782, 0, 800, 900),
        ("A2", 18, 882, 782, 900),
        ("A3", 18, 80, 782, 98),
        ("A4", 400, 98, 418, 882),
        ("A5", 18, 300, 400, 318),
        ("A6", 418, 300, 782, 318),
        ("A7", 18, 0, 782, 80),
    ]


@pytest.mark.parametrize(
    ("change", "problems"),
    [
        ({"width": 36}, {"width": "must be more than two sides, 36 mm"}),
        ({"height": 36}, {"height": "must be more than plinth, bottom and top, 36 mm"}),
        ({"plinth": 864}, {"height": "must be more than plinth, bottom and top, 900 mm"}),
        ({"corner": "mitre", "plinth": 80, "depth": 36},
         {"depth": "must be more than the plinth's front and back, 36 mm"}),
        ({"back": BACK | {"depth": 18}}, {"back.depth": "must be less than the panel's thickness, 18 mm"}),
        ({"back": BACK | {"inset": 344}},
         {"back.inset": "must be less than the depth, with the back's thickness, 350 mm"}),
        ({"shelves": [18]}, {"shelves[0]": "must lie between 18 and 864 mm"}),
        ({"shelves": [300, 864]}, {"shelves[1]": "must lie between 18 and 864 mm"}),
        ({"shelves": [98], "plinth": 80}, {"shelves[0]": "must lie between 98 and 864 mm"}),
        ({"shelves": [300, 318]}, {"shelves[1]": "must be more than 318 mm: in order, clear"}),
        ({"shelves": [600, 300]}, {"shelves[1]": "must be more than 618 mm: in order, clear"}),
        # bay 2's own lowest may lie below bay 1's
        ({"partitions": [400], "shelves": [{"at": 500, "bay": 1}, {"at": 300, "bay": 2}, 510]},
         {"shelves[2]": "must be more than 518 mm: in order, clear"}),
        ({"shelves": [{"at": 18, "bay": 1}]}, {"shelves[0].at": "must lie between 18 and 864 mm"}),
        ({"shelves": [{"at": 300, "bay": 2}]}, {"shelves[0].bay": "must be at most 1, the number of bays"}),
        ({"shelves": [{"at": 300, "setback": 350}]},
         {"shelves[0].setback": "must be less than the shelves' depth, 350 mm"}),
        ({"shelves": [{"at": 300, "setback": 20}], "back": BACK},
         {"shelves[0].setback": "must be 0 where the back stands in a groove: keys can go in from the front only,"
          " and their slots would show before it; behind a back in a rabbet, which goes in last, they go in"
          " from the back"}),
        ({"plinth": {"height": 80, "setback": 332}},
         {"plinth.setback": "must be less than the depth less the plinth's thickness, 332 mm"}),
        ({"corner": "mitre", "plinth": {"height": 80, "setback": 314}},
         {"plinth.setback": "must be less than the depth less the plinth's front and back, 314 mm"}),
        ({"partitions": [{"at": 400, "setback": 20}], "back": BACK},
         {"partitions[0].setback": "must be 0 where the back stands in a groove: keys can go in from the front"
          " only, and their slots would show before it; behind a back in a rabbet, which goes in last, they go in"
          " from the back"}),
        ({"partitions": [{"at": 400, "setback": 350}]},
         {"partitions[0].setback": "must be less than the partitions' depth, 350 mm"}),
        # in the second bay, whose right partition is set back; in the first nothing is amiss
        ({"partitions": [300, {"at": 550, "setback": 20}],
          "shelves": [{"at": 200, "bay": 1}, {"at": 300, "bay": 2, "setback": 19},
                      {"at": 300, "bay": 3, "setback": 20}]},
         {"shelves[1].setback": "must be 20 mm or more, as far as a partition beside it is set back: the shelf's"
          " end would stand out past it"}),
        ({"partitions": [{"at": 400, "setback": 20}], "shelves": [300]},
         {"shelves[0].setback": "must be 20 mm or more, as far as a partition beside it is set back: the shelf's"
          " end would stand out past it"}),
        ({"partitions": [{"at": 18, "setback": 5}]}, {"partitions[0].at": "must lie between 18 and 764 mm"}),
        ({"partitions": [{"setback": 5}]}, {"partitions[0].at": "is needed"}),
        ({"shelves": ["high"]}, {"shelves[0]": NO_LENGTH}),
        ({"shelves": [0]}, {"shelves[0]": "must be more than 0"}),
        ({"shelves": [{"at": "high"}]}, {"shelves[0].at": NO_LENGTH}),
        ({"shelves": [{"at": 300, "deep": 20}]}, {"shelves[0].deep": "is not a field here; check the spelling"}),
        ({"shelves": [{"bay": 1}]}, {"shelves[0].at": "is needed"}),
        ({"plinth": -1}, {"plinth": "must be more than 0"}),
        ({"partitions": [18]}, {"partitions[0]": "must lie between 18 and 764 mm"}),
        ({"partitions": [400, 410]}, {"partitions[1]": "must be more than 418 mm: in order, clear"}),
    ],
)  # fmt: skip
def test_sizes_that_clash_are_named(change: Json, problems: dict[str, str]) -> None:
    expected = {f"assemblies[0].{path}": allowed for path, allowed in problems.items()}
    assert refused(project(carcass(**change))) == expected
