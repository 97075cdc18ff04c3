"""The cut list of every kind of assembly: sizes, wood, grain, grooves, and what somebody changed."""

from __future__ import annotations

from math import isclose, radians, tan
from typing import Any

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from domain.cut_list.listing import Job, cut_list
from domain.cut_list.long_lengths import long_lengths
from domain.cut_list.part import Sort
from domain.cut_list.to_cut import to_cut
from domain.ordering.items import Item
from domain.parts import Side
from domain.problems import BadInput
from domain.spec.assemblies import Fit
from domain.spec.rules import Rules
from domain.spec.wood import Grain
from domain.timber.item_names import sheet_item
from tests.domain.builders import Json, box, carcass, frame, polygon, railed, read, single
from tests.domain.cut_lists import group_of, job, listed, part_of

ALLOWED = {"length_allowance": 20, "width_allowance": 4, "thickness_allowance": 3}


def sizes(part: Any) -> tuple[float | None, ...]:
    found = (part.rough.length, part.rough.width, part.rough.thickness)
    return tuple(None if one is None else round(one, 3) for one in found)


# --- every kind ------------------------------------------------------------------------------------


def test_a_frames_sides_are_lengths_of_one_section_and_its_glazing_is_a_sheet() -> None:
    stock = {"width": 45, "thickness": 20, "rabbet_width": 6, "rabbet_depth": 10}
    found = listed(frame(material="ash", stock=stock, quantity=3))
    assert [group.item for group in found.groups] == ["ash 45 × 20", "glazing"]
    long, short = group_of(found, "ash 45 × 20").parts
    assert (long.quantity, sizes(long), long.short_length, long.ends) == (6, (400, 45, 20), 310, (45, 45))
    assert (short.quantity, sizes(short), short.short_length) == (6, (300, 45, 20), 210)
    assert (long.joints, long.grain, long.bevelled) == (("A-J1",), Grain.LENGTH, False)
    (rabbet,) = long.grooves
    # the rabbet's width lies across the stock, so its depth into the edge is 6 and it is 10 wide from the back
    assert (rabbet.fit, rabbet.surface, rabbet.edge) == (Fit.RABBET, Side.INSIDE, Side.BACK)
    assert (rabbet.offset, rabbet.width, rabbet.depth, rabbet.pieces) == (0, 10, 6, 6)
    assert rabbet.is_through
    (glazing,) = group_of(found, "glazing").parts
    assert (glazing.sort, glazing.grain, glazing.room) == (Sort.SHEET, Grain.ANY, 10)


def test_a_polygons_sides_are_sawn_at_half_its_turn() -> None:
    (side,) = listed(polygon(8, 400)).parts
    assert side.item == "wood 45 × 20"
    assert side.ends == (67.5, 67.5)
    # the side of an octagon 400 across its flats: 400·tan 22.5°
    assert isclose(side.rough.length, 400 * tan(radians(22.5)))


def test_a_doors_groove_stops_in_the_stiles_before_the_rails_outer_edge() -> None:
    panel = {"fit": "groove", "depth": 9, "width": 6, "thickness": 6}
    found = listed(railed(panel=panel, material="cherry"))
    stile, top, bottom = (part_of(found, mark) for mark in ("A1", "A2", "A3"))
    assert [part.name for part in (stile, top, bottom)] == ["stile", "top rail", "bottom rail"]
    # rails 45 and 60 wide, and the panel's corner lies 9 past their inner edge: 36 and 51 from the stile's ends
    (groove,) = stile.grooves
    assert groove.stops == ((Side.BOTTOM, 51), (Side.TOP, 36))
    assert (groove.pieces, stile.shapes) == (2, ())
    assert [part.grooves[0].is_through for part in (top, bottom)] == [True, True]
    (sheet,) = group_of(found, "sheet 6").parts
    assert (sheet.name, sheet.is_panel, sheet.grain) == ("panel", True, Grain.LENGTH)


def test_a_boxs_walls_are_bevelled_and_its_lining_is_called_so() -> None:
    more = {"bottom": {"fit": "groove", "thickness": 5, "depth": 5, "up": 6}, "lining": 1.5, "veneer": 0.6}
    found = listed(box(**more, material="walnut"))
    assert [group.item for group in found.groups] == ["walnut 90 × 12", "lining 1.5", "sheet 5", "veneer 0.6"]
    front = part_of(found, "A1")
    assert (front.bevelled, front.ends, front.short_length) == (True, (45, 45), 280 - 24)
    (run,) = long_lengths(found)
    # all four walls share the bottom's groove: 2·280 + 2·180 and three cuts of 3.2
    assert (run.item, run.pieces, round(run.length, 6)) == ("walnut 90 × 12", 4, 920 + 9.6)
    assert [(groove.width, groove.depth, groove.offset) for groove in run.shape.grooves] == [(5, 5, 6)]


def test_a_butted_boxs_front_has_its_groove_stopped_and_is_run_by_itself() -> None:
    found = listed(box(corner="butt", bottom={"fit": "groove", "thickness": 5, "depth": 5, "up": 6}))
    front, side = part_of(found, "A1"), part_of(found, "A2")
    # the side stands 12 in; the bottom reaches 5 past the inside, so the groove ends 7 before the end
    assert front.grooves[0].stops == ((Side.LEFT, 7), (Side.RIGHT, 7))
    assert side.grooves[0].is_through
    (run,) = long_lengths(found)
    assert [(part.mark, each) for part, each in run.parts] == [("A2", 2)]


def test_a_carcass_of_plywood_is_sheets_and_one_of_wood_is_boards_of_their_section() -> None:
    ply, wood = (listed(carcass(material=name, shelves=[300])) for name in ("birch plywood", "white oak"))
    assert [(group.item, group.sort) for group in ply.groups] == [("birch plywood 18", Sort.SHEET)]
    assert [(group.item, group.sort) for group in wood.groups] == [("white oak 350 × 18", Sort.BAR)]
    assert {part.grain for part in ply.parts} == {Grain.LENGTH}
    assert {part.grain for part in listed(carcass(material="MDF")).parts} == {Grain.ANY}


def test_a_single_joint_lists_the_wood_that_is_known_of_it() -> None:
    found = listed(single(material="ash"))
    assert [(part.mark, sizes(part), part.joints) for part in found.parts] == [
        ("A1", (60, 40, 20), ("A-J1",)),
        ("A2", (60, 40, 20), ("A-J1",)),
    ]


def test_a_species_is_the_one_that_was_said_or_that_the_name_leaves_no_doubt_of() -> None:
    found = listed(
        frame(material="ash"),
        frame(mark="B", material="cherry"),
        frame(mark="C", material="cherry", species="Cherry, wild"),
    )
    # of ash the handbook knows four
    species = [part_of(found, mark).species for mark in ("A1", "B1", "C1")]
    assert species == [None, "Cherry, black", "Cherry, wild"]


# --- allowances and changes ------------------------------------------------------------------------


def test_allowances_go_on_solid_wood_and_on_no_sheet() -> None:
    found = listed(railed(material="ash"), carcass(mark="B", material="birch plywood"), rules=ALLOWED)
    stile, side = part_of(found, "A1"), part_of(found, "B1")
    assert sizes(stile) == (740, 49, 23)
    assert (stile.finished.length, stile.finished.width, stile.finished.thickness) == (720, 45, 20)
    assert stile.item == "ash 49 × 23"
    assert side.rough == side.finished


def test_what_was_changed_is_cut_and_what_the_plan_says_stays_beside_it() -> None:
    changes = {"A1": {"rough_length": 730, "material": "White oak", "note": "from the short board"}}
    found = listed(railed(material="ash"), parts=changes, rules=ALLOWED)
    stile = part_of(found, "A1")
    # its width and thickness are still those of the plan, with what the rules add
    assert (sizes(stile), stile.item) == ((730, 49, 23), "White oak 49 × 23")
    assert stile.note == "from the short board"
    assert stile.as_planned is not None
    assert (sizes(stile.as_planned), stile.as_planned.item) == ((740, 49, 23), "ash 49 × 23")
    assert part_of(found, "A2").as_planned is None


def test_a_part_that_goes_over_to_plywood_is_cut_from_sheets() -> None:
    found = listed(carcass(material="oak"), parts={"A1": {"material": "oak plywood"}}, rules=ALLOWED)
    side, top = part_of(found, "A1"), part_of(found, "A2")
    assert (side.sort, side.item, side.species) == (Sort.SHEET, "oak plywood 18", None)
    # nothing is planed off it any more
    assert side.rough == side.finished
    assert top.item == "oak 354 × 21"


def test_a_change_goes_on_counting_when_the_plan_changes_and_says_where_it_falls_short() -> None:
    changes = {"A1": {"rough_length": 730}}
    assert part_of(listed(railed(), parts=changes), "A1").too_small == ()
    assert part_of(listed(railed(height=760), parts=changes), "A1").too_small == ("length",)


def test_a_change_of_a_part_that_is_gone_is_told() -> None:
    found = listed(railed(), parts={"A9": {"note": "keep"}, "A1": {"note": "knot"}})
    assert [(lost.source, lost.mark, lost.change.note) for lost in found.lost] == [(0, "A9", "keep")]


def test_changes_of_an_assembly_whose_sizes_clash_wait_for_it() -> None:
    project = read(railed(), parts={"A1": {"note": "knot"}, "B1": {"note": "gone"}})
    clashing = Job(project.name, ((project.assemblies[0], None),), Rules(), tuple((project.parts or {}).items()))
    assert [lost.mark for lost in cut_list([clashing]).lost] == ["B1"]


def test_grain_is_changed_on_a_sheet_and_not_on_solid_wood() -> None:
    changes = {"A1": {"grain": "width"}, "B1": {"grain": "width"}}
    found = listed(railed(), carcass(mark="B", material="birch plywood"), parts=changes)
    assert (part_of(found, "A1").grain, part_of(found, "B1").grain) == (Grain.LENGTH, Grain.WIDTH)


# --- groups, strips, several projects --------------------------------------------------------------


def test_one_wood_is_one_group_however_it_is_typed() -> None:
    found = listed(railed(material="ash"), frame(mark="B", material="Ash"))
    assert [group.item for group in found.groups] == ["ash 60 × 20", "ash 45 × 20"]
    assert {part.mark for part in group_of(found, "ash 45 × 20").parts} == {"A1", "A2", "B1", "B2"}


def test_a_section_has_one_name_whichever_side_is_the_wider_and_it_is_the_stockrooms() -> None:
    lying, standing = {"width": 40, "thickness": 24}, {"width": 24, "thickness": 40}
    (group,) = listed(frame(material="ash", stock=lying), frame(mark="B", material="Ash", stock=standing)).groups
    assert group.item == Item.bar("ash", 24, 40, 2400).wood == "ash 40 × 24"
    assert Item.sheet("birch plywood", 18, 2440, 1220).wood == sheet_item("birch plywood", 18.0)


def test_a_strip_takes_its_rough_width_and_a_kerf_of_a_board() -> None:
    found = listed(railed(material="ash"), rules=ALLOWED | {"kerf": 3})
    group = group_of(found, "ash 49 × 23")
    # stiles 740 and the top rail 510 + 20, each with 20 to trim: two cuts between the three
    assert (group.strip, group.strip_takes) == (49, 52)
    assert (group.pieces, group.length, group.sawn_length) == (3, 2 * 740 + 530, 2010 + 2 * 3)


def test_parts_of_several_projects_are_told_apart_by_the_projects_place() -> None:
    one, other = read(frame(material="ash")), read(frame(material="ash", width=500), name="Other")
    found = cut_list([job(one), job(other)])
    (group,) = found.groups
    assert [found.called(part) for part in group.parts] == ["1 A1", "1 A2", "2 A1", "2 A2"]
    (item,) = to_cut(found).bars
    assert [(piece.mark, piece.length.mm) for piece in item.pieces] == [
        ("1 A1", 400),
        ("1 A2", 300),
        ("2 A1", 500),
        ("2 A2", 300),
    ]


def test_only_pieces_of_one_section_and_shape_are_run_together() -> None:
    found = listed(
        frame(material="ash", stock={"width": 45, "thickness": 20, "rabbet_width": 6, "rabbet_depth": 10}),
        frame(mark="B", material="ash", stock={"width": 45, "thickness": 20, "front": [[0, 20], [45, 12]]}),
        frame(mark="C", material="ash"),
    )
    runs = [[part.mark for part, _ in run.parts] for run in long_lengths(found)]
    assert runs == [["A1", "A2"], ["B1", "B2"]]
    assert [bool(run.shape.front) for run in long_lengths(found)] == [False, True]


# --- what is to be cut -----------------------------------------------------------------------------


def test_a_cutting_plan_is_asked_for_rough_sizes_with_the_rules_kerf() -> None:
    wood = railed(material="ash", quantity=2)
    asked = to_cut(listed(wood, carcass(mark="B", material="MDF"), rules=ALLOWED | {"kerf": 2.8}))
    assert [(item.item, item.kerf.mm, item.stock) for item in asked.bars] == [
        ("ash 64 × 23", 2.8, ()),
        ("ash 49 × 23", 2.8, ()),
    ]
    stile = next(piece for piece in asked.bars[1].pieces if piece.mark == "A1")
    assert (stile.length.mm, stile.count) == (740, 4)
    (sheet,) = asked.sheets
    side = next(piece for piece in sheet.pieces if piece.mark == "B1")
    assert (side.length.mm, side.width.mm, side.count, side.grain) == (900, 350, 2, Grain.ANY)


def test_more_pieces_than_are_planned_at_once_are_refused() -> None:
    with pytest.raises(BadInput, match="20000"):
        to_cut(listed(frame(quantity=5_001)))


def test_a_mark_with_more_pieces_than_an_item_counts_goes_on_under_a_number() -> None:
    (item,) = to_cut(listed(frame(width=300, quantity=4_000))).bars
    assert [(piece.mark, piece.count) for piece in item.pieces] == [("A1", 10_000), ("A1 (2)", 6_000)]


# --- sums ------------------------------------------------------------------------------------------

MATERIALS = st.sampled_from([None, "ash", "Ash", "birch plywood", "MDF"])
ASSEMBLIES = st.sampled_from([frame, railed, box, carcass, single])


@st.composite
def projects(draw: st.DrawFn) -> Json:
    count = draw(st.integers(1, 5))
    assemblies = []
    for index in range(count):
        made = draw(ASSEMBLIES)(mark=f"P{index}", quantity=draw(st.integers(1, 7)))
        material = draw(MATERIALS)
        assemblies.append(made if material is None else made | {"material": material})
    return {"assemblies": assemblies, "rules": {"length_allowance": draw(st.integers(0, 30)), "kerf": 3}}


@settings(suppress_health_check=[HealthCheck.too_slow], deadline=None)
@given(projects(), projects())
def test_quantities_and_lengths_add_up_over_any_projects(one: Json, other: Json) -> None:
    jobs = [job(read(*each["assemblies"], rules=each["rules"])) for each in (one, other)]
    found = cut_list(jobs)
    parts = [
        (source, part)
        for source, each in enumerate(jobs)
        for _, expansion in each.assemblies
        if expansion is not None
        for part in expansion.parts
    ]
    # every part stands on the list once
    assert sorted((part.source, part.mark) for part in found.parts) == sorted((s, part.mark) for s, part in parts)
    assert sum(group.pieces for group in found.groups) == sum(part.quantity for _, part in parts)
    finished = sum(part.quantity * part.length for _, part in parts)
    added = sum(
        part.quantity * jobs[part.source].rules.length_allowance.mm
        for part in found.parts
        if part.sort is Sort.BAR
    )
    assert isclose(sum(group.length for group in found.groups), finished + added)
    for group in found.groups:
        assert isclose(group.sawn_length - group.length, 3 * (group.pieces - 1), abs_tol=1e-6)
        runs = [run for run in long_lengths(found) if run.item == group.item and group.sort is Sort.BAR]
        assert sum(run.pieces for run in runs) <= group.pieces
    asked = to_cut(found)
    counted = sum(piece.count for item in asked.bars for piece in item.pieces)
    counted += sum(piece.count for item in asked.sheets for piece in item.pieces)
    assert counted == sum(part.quantity for _, part in parts)
    assert len({piece.mark for item in asked.bars for piece in item.pieces}) == sum(
        part.sort is Sort.BAR for part in found.parts
    )


@settings(suppress_health_check=[HealthCheck.too_slow], deadline=None)
@given(projects())
def test_without_an_allowance_or_a_change_rough_is_finished(one: Json) -> None:
    for part in cut_list([job(read(*one["assemblies"]))]).parts:
        assert part.rough == part.finished
        assert (part.as_planned, part.change, part.too_small) == (None, None, ())
