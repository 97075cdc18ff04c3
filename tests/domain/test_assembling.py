"""In what order assemblies go together: hand-worked orders of every kind, and parts that lock one another."""

from __future__ import annotations

from math import hypot, sqrt
from typing import Any

import pytest

from domain.assembling.order import Order, order_of
from domain.assembling.relations import Join, Relations, relations
from domain.assembling.sheet import AssemblySheet, Works, assembly_sheet
from domain.parts import Single, Vector
from domain.space.bodies import bodies
from domain.spec.choices import Entry
from domain.spec.rules import Rules
from domain.takeoff.build import take_off
from tests.domain.builders import box, carcass, frame, polygon, railed, read, section, single

GROOVE = {"fit": "groove", "thickness": 6, "depth": 8, "inset": 10}
RABBET = {"fit": "rabbet", "thickness": 6, "depth": 8}


def sheet(assembly: dict[str, Any], **rules: Any) -> AssemblySheet:
    project, own = read(assembly), Rules.model_validate(rules)
    takeoff = take_off(project, (section(),), own)
    return assembly_sheet(project.assemblies[0], takeoff.assemblies[0], own)


def named(pieces: tuple[Single, ...]) -> str:
    return " ".join(sorted(f"{piece.mark}.{piece.index + 1}" for piece in pieces))


def told(found: AssemblySheet) -> list[tuple[str, list[str]]]:
    """Every step: what stands, and what comes."""
    return [(named(step.base), sorted(named(each.pieces) for each in step.coming)) for step in found.steps]


def way(found: AssemblySheet, step: int) -> Vector:
    ways = {each.way for each in found.steps[step].coming}
    assert len(ways) == 1
    return ways.pop()


class TestFrames:
    def test_a_rectangle_is_closed_with_its_halves_along_the_diagonal(self) -> None:
        found = sheet(frame())
        assert [len(step.base) for step in found.steps] == [1, 1, 2]
        assert [step.joints[0].count for step in found.steps] == [1, 1, 2]
        x, y, z = way(found, 2)
        # square to both faces at 45°
        assert (abs(x), abs(y), z) == pytest.approx((sqrt(0.5), sqrt(0.5), 0))

    def test_the_glazing_comes_last_and_from_behind(self) -> None:
        stock = {"width": 45, "thickness": 20, "rabbet_width": 6, "rabbet_depth": 10}
        found = sheet(frame(stock=stock))
        assert found.steps[-1].works is Works.LET_IN
        assert way(found, -1) == (0, 0, 1)

    @pytest.mark.parametrize("sides", [6, 8, 12])
    def test_an_even_ring_is_closed_with_two_halves(self, sides: int) -> None:
        found = sheet(polygon(sides, 600))
        assert len(found.steps) == sides - 1
        last = found.steps[-1]
        assert (len(last.base), [len(each.pieces) for each in last.coming]) == (sides // 2, [sides // 2])

    @pytest.mark.parametrize("sides", [3, 5, 7])
    def test_an_odd_ring_is_closed_with_a_half_and_the_rest(self, sides: int) -> None:
        last = sheet(polygon(sides, 600)).steps[-1]
        assert sorted([len(last.base), len(last.coming[0].pieces)]) == [sides // 2, sides // 2 + 1]

    def test_rails_and_panel_go_to_one_stile_before_the_other_closes(self) -> None:
        panel = {"fit": "groove", "depth": 10, "width": 6, "thickness": 6}
        found = sheet(railed(panel=panel))
        # A1 stiles, A2 top rail, A3 bottom rail, A4 panel
        (one, rails), (two, let_in), (three, closes) = told(found)
        stile = one
        assert stile in {"A1.1", "A1.2"}
        assert rails == ["A2.1", "A3.1"]
        assert (two, let_in) == (f"{stile} A2.1 A3.1", ["A4.1"])
        assert three == f"{stile} A2.1 A3.1 A4.1"
        assert closes == ["A1.1" if stile == "A1.2" else "A1.2"]

    def test_a_rabbeted_panel_goes_in_last(self) -> None:
        panel = {"fit": "rabbet", "depth": 10, "width": 8, "thickness": 6}
        found = sheet(railed(panel=panel))
        assert told(found)[-1][1] == ["A4.1"]
        assert way(found, -1) == (0, 0, 1)

    def test_mid_stiles_are_joined_to_their_rails_first(self) -> None:
        rows = [{"opening": 140}, {"opening": "rest", "columns": [200, "rest"]}]
        found = sheet(railed(mid_rail=38, mid_stile=38, rows=rows))
        # A1 stiles, A2 A3 A4 rails from the top, A5 the mid stile between A3 and A4
        closed = [{work.joint.joint.place for work in step.joints} for step in found.steps]
        assert closed[0] | closed[1] == {"mid-stile end"}
        assert all("mid-stile end" not in each for each in closed[2:])


BOTTOM = {"fit": "groove", "thickness": 5, "depth": 5, "up": 12}


class TestBoxes:
    def test_a_butted_box_is_two_sides_on_one_wall_the_bottom_and_the_other_wall(self) -> None:
        found = told(sheet(box(corner="butt", wall=18, bottom=BOTTOM)))
        # A1 front and back, A2 sides, A3 the bottom
        assert [come for _, come in found] == [["A2.1", "A2.2"], ["A3.1"], [found[2][1][0]]]
        assert found[0][0] + " " + found[2][1][0] in {"A1.1 A1.2", "A1.2 A1.1"}

    def test_a_mitred_box_takes_its_bottom_in_before_its_halves_close(self) -> None:
        found = sheet(box(wall=18, bottom=BOTTOM))
        assert [len(step.joints) for step in found.steps].count(0) == 1
        assert len(found.steps[-1].coming) == 1
        assert found.steps[-1].joints[0].count == 2
        assert found.steps[-1].works is Works.JOINED

    def test_a_rabbeted_bottom_comes_last_from_below(self) -> None:
        found = sheet(box(wall=18, bottom={"fit": "rabbet", "thickness": 5, "depth": 5}))
        assert told(found)[-1][1] == ["A3.1"]
        assert way(found, -1) == (0, 1, 0)

    def test_lining_and_veneer_are_laid_on_afterwards_and_the_lid_is_sawn_off(self) -> None:
        top = {"material": "ply", "thickness": 3, "depth": 4, "down": 5}
        found = sheet(box(wall=18, lining=2, veneer=1, top=top, lid={"height": 30, "kerf": 2}))
        assert len(found.after) == 12
        assert found.sawn
        assert not sheet(box(wall=18)).sawn


class TestCarcasses:
    def test_all_boards_go_to_one_side_then_the_back_then_the_other_side(self) -> None:
        found = told(sheet(carcass(shelves=[300, 600], back=GROOVE)))
        # A1 sides, A2 top, A3 bottom, A4 shelves, A5 the back
        side = found[0][0]
        assert side in {"A1.1", "A1.2"}
        assert [come for _, come in found[:2]] == [["A2.1", "A3.1", "A4.1", "A4.2"], ["A5.1"]]
        assert [come for _, come in found[2:]] == [["A1.1" if side == "A1.2" else "A1.2"]]

    @pytest.mark.parametrize("corner", ["mitre", "top_between", "top_over"])
    def test_a_rabbeted_back_goes_in_last(self, corner: str) -> None:
        found = sheet(carcass(corner=corner, shelves=[400], partitions=[390], back=RABBET))
        back = next(body.piece for body in found.bodies if body.is_panel)
        assert named(found.steps[-1].coming[0].pieces) == named((back,))
        assert way(found, -1) == (0, 0, 1)

    def test_a_top_over_the_sides_comes_down_on_them(self) -> None:
        found = sheet(carcass(corner="top_over", back=GROOVE))
        top = told(found)[-1]
        assert top[1] == ["A2.1"]
        assert way(found, -1) == (0, -1, 0)

    def test_what_stands_under_a_carcass_is_set_under_it_last(self) -> None:
        found = sheet(carcass(corner="mitre", plinth=80, back=RABBET))
        assert found.steps[-1].works is Works.SET_ON
        assert len(found.steps[-1].coming[0].pieces) == 4

    def test_no_face_is_slid_along(self) -> None:
        for assembly in (
            carcass(shelves=[300, 600], partitions=[300, 500], plinth=80),
            carcass(shelves=[300], partitions=[300, 500], corner="top_over"),
        ):
            project = read(assembly)
            takeoff = take_off(project, (section(),), Rules()).assemblies[0]
            found = relations(takeoff.expansion, takeoff.joints, bodies(project.assemblies[0], takeoff.expansion))
            for step in order_of(found, 0.25, 8).steps:
                for arrival in step.arrivals:
                    for join in arrival.joins:
                        met = sum(one * other for one, other in zip(arrival.way, join.normal, strict=True))
                        assert abs(met) == pytest.approx(1)


class TestFigures:
    def test_keys_glue_and_time_add_up(self) -> None:
        assembly = carcass(shelves=[300, 600], back=GROOVE, plinth=80, quantity=3)
        takeoff = take_off(read(assembly), (section(),), Rules())
        found = sheet(assembly)
        used = sum(key.used for key in takeoff.totals.keys)
        assert 3 * sum(key.count for step in found.steps for key in step.keys) == used
        assert 3 * sum(step.glue for step in found.steps) == pytest.approx(takeoff.totals.glue_grams)
        assert 3 * sum(step.seconds for step in found.steps) == pytest.approx(used * 15)

    def test_diagonals_are_asked_for_where_a_ring_closes(self) -> None:
        assert [step.diagonals for step in sheet(frame()).steps[:-1]] == [None, None]
        assert sheet(frame()).steps[-1].diagonals.length == pytest.approx(500)  # type: ignore[union-attr]
        assert sheet(carcass(back=RABBET)).steps[-2].diagonals.length == pytest.approx(  # type: ignore[union-attr]
            hypot(800, 900)
        )
        # partitions of 864 from 300 to 518; top and bottom of 764 over them; the left side; all of it
        inner = sheet(carcass(shelves=[300, 600], partitions=[300, 500]))
        rings = [step.diagonals.length for step in inner.steps if step.diagonals]
        sides = [(218, 864), (764, 900), (782, 900), (800, 900)]
        assert rings == pytest.approx([hypot(*each) for each in sides])
        assert sheet(polygon(5, 400)).steps[-1].diagonals.length is None  # type: ignore[union-attr]

    def test_work_is_split_where_the_open_time_is_short(self) -> None:
        long, short = sheet(carcass(shelves=[300, 600])), sheet(carcass(shelves=[300, 600]), open_seconds=60)
        assert len(short.steps) > len(long.steps)
        assert not any(step.too_long for step in short.steps[:-1])
        # nothing splits the side that closes over all
        assert short.steps[-1].too_long
        assert not any(step.too_long for step in long.steps)

    def test_a_joint_that_cannot_be_made_has_no_keys(self) -> None:
        found = sheet(single(breadth=5))
        assert found.steps[0].keys == ()
        assert found.steps[0].joints[0].count == 1


class TestLocked:
    """Relations written by hand: what blocks what is the whole of them."""

    @staticmethod
    def order(blocks: dict[Vector, dict[int, set[int]]], panels: dict[int, int], count: int) -> Order:
        ways = tuple(one for each in blocks for one in (each, (-each[0], -each[1], -each[2])))
        table = []
        for each in ways:
            row = [0] * count
            for mover, others in blocks.get(each, {}).items():
                row[mover] |= sum(1 << other for other in others)
            turned = blocks.get((-each[0], -each[1], -each[2]), {})
            for mover, others in turned.items():
                for other in others:
                    row[other] |= 1 << mover
            table.append(tuple(row))
        project = read(single())
        takeoff = take_off(project, (section(),), Rules()).assemblies[0]
        body = bodies(project.assemblies[0], takeoff.expansion)[0]
        return order_of(Relations((body,) * count, (), ways, tuple(table), panels, ()), 0.25, 8)

    def test_two_parts_that_hold_each_other_both_ways_have_no_order(self) -> None:
        found = self.order({(1.0, 0.0, 0.0): {0: {1}, 1: {0}}}, {}, 2)
        assert found.steps == ()
        assert [stuck.parts for stuck in found.stuck] == [0b11]
        assert not found.stuck[0].keys

    def test_a_panel_without_which_the_rest_comes_apart_is_named(self) -> None:
        # the panel 2 is held by both members, and they by it
        held = {0: {2}, 1: {2}, 2: {0, 1}}
        found = self.order({(1.0, 0.0, 0.0): held}, {2: 0b011}, 3)
        assert [stuck.trapped for stuck in found.stuck] == [0b100]

    def test_keys_behind_a_part_are_driven_before_it_comes(self) -> None:
        assembly = carcass(back=RABBET, keys={"entry": "back"})
        project = read(assembly)
        takeoff = take_off(project, (section(),), Rules()).assemblies[0]
        found = relations(takeoff.expansion, takeoff.joints, bodies(project.assemblies[0], takeoff.expansion))
        panel = next(iter(found.let_into))
        # as if the back lay over every way in
        joins = tuple(
            Join(
                join.meeting, join.plan, join.first, join.second, join.normal, join.run, join.keys,
                ((Entry.BACK, 1 << panel),), (Entry.FRONT,),
            )
            for join in found.joins
        )  # fmt: skip
        covered = Relations(found.bodies, joins, found.ways, found.in_the_way, found.let_into, found.corners)
        steps = order_of(covered, 0.25, 8).steps
        assert steps[-1].arrivals[0].parts == 1 << panel
        # and one that lies there from the first to the last has no order at all
        groove = read(carcass(back=GROOVE))
        planned = take_off(groove, (section(),), Rules()).assemblies[0]
        inside = relations(planned.expansion, planned.joints, bodies(groove.assemblies[0], planned.expansion))
        trapped = tuple(
            Join(
                join.meeting, join.plan, join.first, join.second, join.normal, join.run, join.keys,
                ((Entry.BACK, 1 << next(iter(inside.let_into))),), (),
            )
            for join in inside.joins
        )  # fmt: skip
        stuck = order_of(
            Relations(inside.bodies, trapped, inside.ways, inside.in_the_way, inside.let_into, inside.corners),
            0.25,
            8,
        ).stuck
        assert len(stuck) == 1
        assert stuck[0].keys
