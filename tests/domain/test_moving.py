"""What a climate does to the parts of an assembly, worked by hand: parts, panels, mitres, crossings of grain.

Coefficients are those of the Wood Handbook's table 13-5: cherry 0.00248 and 0.00126.
"""

from __future__ import annotations

from math import atan, degrees, hypot, radians, sin, tan
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from domain.lengths import Units
from domain.moving.mitres import gap_of, turn_of
from domain.moving.movement import Movement
from domain.moving.parts import PartMovement
from domain.notes import Note, NoteCode
from domain.takeoff.document import takeoff_document
from domain.takeoff.takeoff import AssemblyTakeoff
from tests.domain.builders import box, carcass, frame, polygon, railed, refused, single, taken_off
from tests.domain.builders import project as file

FROM_8_TO_12 = {"from": {"moisture": 8}, "to": {"moisture": 12}}
BOTH_WAYS = {"from": {"moisture": 9}, "to": {"moisture": 12}, "other_to": {"moisture": 7}}
CHERRY = {"species": "Cherry, black", "cut": "flat"}
PANEL = {"fit": "groove", "depth": 10, "width": 6, "thickness": 5}


def moved(assembly: dict[str, Any], climate: Any = FROM_8_TO_12, **more: Any) -> AssemblyTakeoff:
    (found,) = taken_off(assembly, climate=climate, **more).assemblies
    return found


def movement(assembly: dict[str, Any], climate: Any = FROM_8_TO_12, **more: Any) -> Movement:
    found = moved(assembly, climate, **more).movement
    assert found is not None
    return found


def part(found: Movement, mark: str) -> PartMovement:
    return next(each for each in found.parts if each.mark == mark)


def told(takeoff: AssemblyTakeoff, *codes: NoteCode) -> list[Note]:
    return [note for note in takeoff.expansion.notes if note.code in codes]


def test_without_a_climate_nothing_is_said_of_movement() -> None:
    takeoff = taken_off(frame(**CHERRY))
    assert takeoff.assemblies[0].movement is None
    assert "movement" not in takeoff_document(takeoff)
    assert taken_off(frame(**CHERRY), climate=FROM_8_TO_12).assemblies[0].joints == takeoff.assemblies[0].joints


def test_a_part_moves_across_its_width_and_its_thickness() -> None:
    rail = part(movement(frame(**CHERRY)), "A1")
    # 45 · 0.00248 · 4, and 20 · 0.00126 · 4
    assert (rail.across, rail.home.across.most) == (45, pytest.approx(0.4464))
    assert rail.home.thickness.most == pytest.approx(0.1008)
    quartered = part(movement(frame(**CHERRY | {"cut": "quarter"})), "A1")
    assert (quartered.home.across.most, quartered.home.thickness.most) == (
        pytest.approx(45 * 0.00126 * 4),
        pytest.approx(20 * 0.00248 * 4),
    )


def test_a_row_of_the_takeoff_says_it_in_both_seasons() -> None:
    document = takeoff_document(taken_off(carcass(**CHERRY), climate=BOTH_WAYS))
    side = document["movement"][0]
    assert side == {
        "member": "A1",
        "across": 350,
        "species": "Cherry, black",
        "cut": "flat",
        "moisture_from": 9,
        "moisture_to": 12,
        "change": 2.604,
        "moisture_other": 7,
        "change_other": -1.736,
    }


def test_a_range_is_told_by_its_ends() -> None:
    document = takeoff_document(taken_off(carcass(material="oak"), climate=FROM_8_TO_12))
    side = document["movement"][0]
    # of the oaks overcup moves most, 0.00462, and black least, 0.00230
    assert (side["species"], side["cut"]) == ("oak, of 8 kinds", "unknown")
    assert (side["change"], side["change_least"]) == (6.468, 3.22)


def test_the_contracts_row() -> None:
    climate = {"from": {"moisture": 8}, "to": {"moisture": 11}}
    case = carcass(mark="C", **CHERRY)
    assert takeoff_document(taken_off(case, climate=climate))["movement"][0] == {
        "member": "C1",
        "across": 350,
        "species": "Cherry, black",
        "cut": "flat",
        "moisture_from": 8,
        "moisture_to": 11,
        "change": 2.604,
    }


def test_climate_is_told_by_the_air_as_well() -> None:
    air = {"from": {"temperature": 20, "humidity": 50}, "to": {"temperature": 20, "humidity": 65}}
    side = part(movement(carcass(**CHERRY), air), "A1")
    # 9.271 and 11.996 % by the handbook's equation
    assert (side.shop, side.home.moisture) == (pytest.approx(9.271, abs=5e-4), pytest.approx(11.996, abs=5e-4))
    assert side.home.across.most == pytest.approx(350 * 0.00248 * 2.725, abs=1e-3)


def test_beyond_the_coefficients_the_other_formula_is_used_and_said() -> None:
    takeoff = moved(carcass(**CHERRY), {"from": {"moisture": 12}, "to": {"moisture": 5}})
    assert takeoff.movement is not None
    # shrinkage of cherry 7.1 %: −7 / (3000/7.1 − 30 + 12)
    assert part(takeoff.movement, "A1").home.across.most == pytest.approx(350 * -7 / (3000 / 7.1 - 18))
    assert told(takeoff, NoteCode.OTHER_FORMULA)
    assert not told(moved(carcass(**CHERRY)), NoteCode.OTHER_FORMULA)
    one_of_two = FROM_8_TO_12 | {"other_to": {"moisture": 5}}
    assert told(moved(carcass(**CHERRY), one_of_two), NoteCode.OTHER_FORMULA)


@pytest.mark.parametrize(
    ("assembly", "marks"),
    [
        (carcass(material="birch plywood"), []),
        (carcass(material="birch plywood", species="Birch, yellow"), []),
        (box(material="ash", top={"material": "glass", "thickness": 3, "depth": 4, "down": 4}), ["A1", "A2"]),
        (box(material="ash", lining=1.5, veneer=0.6), ["A1", "A2"]),
        (
            frame(material="ash", stock={"width": 45, "thickness": 20, "rabbet_width": 6, "rabbet_depth": 9}),
            ["A1", "A2"],
        ),
        (single(material="ash"), ["A1", "A2"]),
    ],
)
def test_only_solid_wood_moves(assembly: dict[str, Any], marks: list[str]) -> None:
    assert [each.mark for each in movement(assembly).parts] == marks


def test_the_parts_list_says_what_a_part_is_made_of_and_how_its_grain_runs() -> None:
    case = carcass(shelves=[300], **CHERRY)
    changes = {"A1": {"material": "birch plywood"}, "A4": {"grain": "width"}, "A2": {"material": "red alder"}}
    found = movement(case, parts=changes)
    assert [each.mark for each in found.parts] == ["A2", "A3", "A4"]
    assert (part(found, "A4").across, part(found, "A4").turned) == (764, True)
    assert part(found, "A2").wood.said == "Alder, red"


# panels: 490 + 2 · 10 across the grain of a panel between stiles of 45 in 580


def test_a_panel_is_cut_narrower_by_what_it_swells() -> None:
    (fit,) = movement(railed(width=580, panel=PANEL, **CHERRY), BOTH_WAYS).panels
    # 510 · 0.00248 · 3 wider, 510 · 0.00248 · 2 narrower
    assert (fit.listed, fit.ease) == (510, pytest.approx(3.7944))
    assert fit.cut_to == pytest.approx(506.2056)
    assert fit.narrow == pytest.approx(10 - (3.7944 + 2.5296) / 2)
    assert (fit.dry, fit.wet, fit.stays) == (7, 12, True)


def test_a_panel_that_leaves_its_groove_says_how_much_deeper_would_do() -> None:
    shallow = PANEL | {"depth": 5}
    takeoff = moved(railed(width=580, panel=shallow, **CHERRY), BOTH_WAYS)
    (note,) = told(takeoff, NoteCode.PANEL_LEAVES)
    # 500 across: 500 · 0.00248 · 5 / 2 = 3.1 goes, 1.9 stays of the 2.5 that half a groove is
    assert dict(note.figures)["stays_fine"] == pytest.approx(1.9)
    assert dict(note.figures)["more_fine"] == pytest.approx(0.6)
    assert note.text().startswith("If it is of solid wood: A4 panel leaves its groove at 7 %: 1.9 mm")


def test_a_wide_panel_drops_out_of_a_shallow_groove() -> None:
    takeoff = moved(railed(width=1200, panel=PANEL | {"depth": 3}, material="red oak"), BOTH_WAYS)
    assert told(takeoff, NoteCode.PANEL_DROPS_OUT)
    assert not told(takeoff, NoteCode.PANEL_LEAVES, NoteCode.PANEL_STAYS)


def test_a_panel_that_only_shrinks_is_cut_as_listed() -> None:
    takeoff = moved(railed(panel=PANEL, **CHERRY), {"from": {"moisture": 12}, "to": {"moisture": 8}})
    assert takeoff.movement is not None
    assert takeoff.movement.panels[0].ease == 0
    assert not told(takeoff, NoteCode.PANEL_SWELLS)
    assert told(takeoff, NoteCode.PANEL_STAYS)


def test_a_thick_panel_may_outgrow_its_groove() -> None:
    # quartered, its thickness lies along the rings: 20 · 0.00248 · 4 = 0.198, and 9 of it 0.089, which is let pass
    tight = PANEL | {"width": 20, "thickness": 20}
    wood = CHERRY | {"cut": "quarter"}
    (note,) = told(moved(railed(thickness=30, panel=tight, **wood)), NoteCode.PANEL_TIGHT)
    assert dict(note.figures)["more_fine"] == pytest.approx(0.1984)
    small = PANEL | {"width": 9, "thickness": 9}
    assert not told(moved(railed(thickness=30, panel=small, **wood)), NoteCode.PANEL_TIGHT)
    # in a rabbet nothing holds its thickness
    rabbet = tight | {"fit": "rabbet"}
    assert not told(moved(railed(thickness=30, panel=rabbet, **wood)), NoteCode.PANEL_TIGHT)


def test_a_back_and_a_bottom_are_panels_too() -> None:
    case = carcass(back={"fit": "rabbet", "thickness": 6, "depth": 8}, **CHERRY)
    assert [fit.part.name for fit in movement(case).panels] == ["back"]
    chest = box(bottom={"fit": "groove", "thickness": 5, "depth": 5, "up": 6}, **CHERRY)
    (fit,) = movement(chest).panels
    # 180 − 24 + 10 across
    assert (fit.listed, fit.ease) == (166, pytest.approx(166 * 0.00248 * 4))


# mitres


@given(st.floats(30, 75), st.floats(20, 150), st.floats(-0.03, 0.03).filter(lambda share: abs(share) > 1e-6))
def test_a_mitre_opens_by_what_two_cut_ends_drawn_out_stand_apart(
    angle: float, width: float, share: float
) -> None:
    """The corner as coordinates: both cuts drawn, each end moved square to its own outer edge."""
    change = width * share
    along = width / tan(radians(angle))
    # the first piece runs along x with its outer edge at y = 0; the joint line leans at `angle` from the tip
    first = (along, width + change)
    # its mirror image across the joint line, whose unit normal this is
    normal = (sin(radians(angle)), -((1 - sin(radians(angle)) ** 2) ** 0.5))
    off = first[0] * normal[0] + first[1] * normal[1]
    second = (first[0] - 2 * off * normal[0], first[1] - 2 * off * normal[1])
    apart = hypot(first[0] - second[0], first[1] - second[1])
    assert gap_of(angle, change, change) == pytest.approx(apart)
    assert turn_of(angle, width, change) == pytest.approx(degrees(atan((width + change) / along)) - angle)


def test_a_square_frame_opens_at_the_inside_as_it_dries() -> None:
    takeoff = moved(frame(**CHERRY), {"from": {"moisture": 12}, "to": {"moisture": 8}})
    assert takeoff.movement is not None
    (opening,) = takeoff.movement.mitres
    # √2 · 45 · 0.00248 · 4
    assert (opening.gap, opening.inside) == (pytest.approx(0.6313, abs=1e-4), True)
    (note,) = told(takeoff, NoteCode.MITRE_OPENS)
    assert "wants to open 0.63 mm at the inside" in note.text()
    assert "wants to open 0.025″ at the inside" in note.text(Units.INCH)


def test_a_frame_of_many_sides_opens_less() -> None:
    (six,) = movement(polygon(6, 400, **CHERRY)).mitres
    # at 60° the cosine is a half: 2 · Δ · ½
    assert six.gap == pytest.approx(45 * 0.00248 * 4)
    assert not six.inside


def test_a_box_is_mitred_over_its_walls_thickness() -> None:
    takeoff = moved(box(**CHERRY))
    assert takeoff.movement is not None
    (opening,) = takeoff.movement.mitres
    assert opening.gap == pytest.approx(2**0.5 * 12 * 0.00126 * 4)
    assert not told(takeoff, NoteCode.MITRE_OPENS)


# grain that crosses


def test_wide_rails_cross_the_stiles() -> None:
    found = movement(railed(bottom_rail=140, **CHERRY)).crossings
    # 140 · 0.00248 · 4 = 1.39 over the limit of 1; a top rail of 45 is not
    assert [(each.moves.name, round(each.differ, 4)) for each in found] == [("bottom rail", 1.3888)]
    assert movement(railed(bottom_rail=140, **CHERRY), rules={"cross_grain_limit": 1.5}).crossings == ()


def test_what_parts_most_is_said_first() -> None:
    found = movement(railed(top_rail=140, bottom_rail=210, **CHERRY)).crossings
    assert [each.moves.name for each in found] == ["bottom rail", "top rail"]


def test_a_mitre_is_no_crossing_of_grain() -> None:
    wide = frame(stock={"width": 130, "thickness": 20}, **CHERRY)
    assert movement(wide).crossings == ()


def test_boards_of_one_wood_go_together() -> None:
    assert movement(carcass(shelves=[300], **CHERRY)).crossings == ()


def test_solid_shelves_between_sides_that_do_not_move() -> None:
    takeoff = moved(carcass(shelves=[300], **CHERRY), parts={"A1": {"material": "birch plywood"}})
    notes = told(takeoff, NoteCode.CROSSING_EDGE)
    assert [note.text().split(" grows ")[0] for note in notes] == ["A2 top", "A3 bottom", "A4 shelf"]
    # 350 · 0.00248 · 4
    assert notes[0].text() == (
        "A2 top grows 3.47 mm wider from front to back, and A1 side does not go with it: glue and key only the"
        " front third, 117 mm, and leave it free at the back."
    )


def test_a_shelf_whose_grain_runs_to_the_front_is_held_by_nothing_that_goes_with_it() -> None:
    takeoff = moved(carcass(shelves=[300], **CHERRY), parts={"A4": {"grain": "width"}})
    assert takeoff.movement is not None
    (crossing,) = takeoff.movement.crossings
    assert (crossing.moves.name, crossing.held, crossing.differ) == ("side", "A4 shelf", pytest.approx(3.472))


def test_a_keyed_plinth_crosses_the_sides_it_stands_between() -> None:
    takeoff = moved(carcass(plinth=120, **CHERRY))
    (note,) = told(takeoff, NoteCode.CROSSING_PLINTH)
    assert note.text().startswith("A4 plinth grows 1.19 mm wider over its height, and A1 side, whose grain")
    assert not told(moved(carcass(plinth=90, **CHERRY)), NoteCode.CROSSING_PLINTH)


def test_a_bottom_moves_on_a_plinth_frame_that_does_not() -> None:
    (note,) = told(moved(carcass(corner="mitre", plinth=80, **CHERRY)), NoteCode.CROSSING_PLINTH_FRAME)
    assert "elongated holes" in note.text()


def test_a_plinth_frame_whose_ends_move_too_holds_nothing() -> None:
    case = carcass(corner="mitre", plinth=80, **CHERRY)
    assert not told(moved(case, parts={"A5": {"grain": "width"}}), NoteCode.CROSSING_PLINTH_FRAME)


def test_what_dries_grows_narrower() -> None:
    dries = {"from": {"moisture": 12}, "to": {"moisture": 8}}
    (note,) = told(moved(railed(bottom_rail=140, **CHERRY), dries), NoteCode.CROSSING_RAIL)
    assert note.text().startswith("A3 bottom rail grows 1.39 mm narrower over its end")


def test_a_top_over_the_walls_is_fastened_in_its_middle() -> None:
    takeoff = moved(box(top={"material": "cherry", "fit": "over", "thickness": 8}, **CHERRY))
    assert len(told(takeoff, NoteCode.CROSSING_TOP)) == 1
    plywood = {"material": "birch plywood", "fit": "over", "thickness": 8}
    assert not told(moved(box(top=plywood, **CHERRY)), NoteCode.CROSSING_TOP)


# what is said of the wood


@pytest.mark.parametrize(
    ("wood", "codes"),
    [
        (CHERRY, {NoteCode.MOVES}),
        ({"material": "cherry"}, {NoteCode.MOVES, NoteCode.SAWN_UNKNOWN}),
        ({"material": "ash", "cut": "quarter"}, {NoteCode.MOVES_BETWEEN}),
        ({"material": "wenge", "cut": "flat"}, {NoteCode.MOVES_BETWEEN, NoteCode.WOOD_NOT_IN_TABLE}),
        ({"cut": "flat"}, {NoteCode.MOVES_BETWEEN, NoteCode.NO_WOOD_NAMED}),
    ],
)
def test_what_was_reckoned_with_is_said(wood: dict[str, Any], codes: set[NoteCode]) -> None:
    said = {NoteCode.MOVES, NoteCode.MOVES_BETWEEN, NoteCode.SAWN_UNKNOWN, NoteCode.WOOD_NOT_IN_TABLE}
    takeoff = moved(single(**wood))
    assert {note.code for note in told(takeoff, *said, NoteCode.NO_WOOD_NAMED)} == codes


def test_a_wood_that_is_not_in_the_table_is_named() -> None:
    (note,) = told(moved(single(material="wenge")), NoteCode.WOOD_NOT_IN_TABLE)
    assert note.text().startswith("The movement of wenge is not published")


@given(st.floats(6, 14), st.floats(6, 14))
def test_equal_air_moves_nothing_and_more_of_it_more(shop: float, home: float) -> None:
    found = movement(frame(**CHERRY), {"from": {"moisture": shop}, "to": {"moisture": home}})
    for each in found.parts:
        assert each.most == pytest.approx(each.across * 0.00248 * (home - shop))
    back = movement(frame(**CHERRY), {"from": {"moisture": shop}, "to": {"moisture": shop}})
    assert {each.most for each in back.parts} == {0}
    assert {each.gap for each in back.mitres} == {0}


def test_a_climate_that_cannot_be_is_one_sentence() -> None:
    # what of a climate is refused is held by test_wood_of_a_project; that a takeoff refuses it too, here
    bad = file(frame(), climate={"from": {"moisture": 40}, "to": {"moisture": 8}})
    assert refused(bad) == {"climate.from.moisture": "must be 30 or less"}
