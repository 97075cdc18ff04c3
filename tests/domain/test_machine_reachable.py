"""Readings that the machine cannot do, pieces too small for the hand, and the other way that is named."""

from __future__ import annotations

from math import radians, sin
from typing import Any

import pytest

from domain.lengths import Units
from domain.machine.hands import Carried
from domain.machine.reachable import HELD
from domain.machine.set_ups import SetUpWork, Source, set_up_works
from domain.notes import Note, NoteCode
from domain.spec.rules import Rules
from tests.domain.builders import EXACT, carcass, codes, frame, polygon, railed, single, taken_off
from tests.domain.test_machine_set_ups import demo

OFF = {"least_piece": 0}


def milled(assembly: dict[str, Any], **more: Any) -> tuple[SetUpWork, ...]:
    """KEY (12 wide at its bottom) under the EXACT rules; no piece is too small unless told otherwise."""
    rules = Rules.model_validate(EXACT | OFF | more)
    return set_up_works([Source("1", taken_off(assembly, rules=rules.model_dump(mode="json")), rules)])


def notes(assembly: dict[str, Any], **more: Any) -> tuple[Note, ...]:
    return tuple(note for one in milled(assembly, **more) for note in one.notes)


def test_what_the_machine_can_do_needs_no_word() -> None:
    assert notes(frame()) == ()
    assert notes(single()) == ()


def test_a_fence_in_the_cutters_way_and_the_opposite_edge() -> None:
    # 60 across: centres at 15 and 45. With 10 of clearance the fence needs 12/2 + 10 = 16: the first is too near
    assert notes(single(breadth=60), fence_clearance=10) == ()
    (one,) = milled(single(breadth=60), fence_clearance=10)
    # so it is measured from the opposite edge, 60 − 15
    assert one.set_up.fence_reading == 45
    assert sorted(batch.turned for batch in one.batches) == [False, False, True, True]


def test_the_clearance_itself_is_enough() -> None:
    assert notes(single(breadth=60), fence_clearance=9) == ()


def test_where_neither_edge_serves_a_spacer_does() -> None:
    # 40 across: 10 and 30; with 25 of clearance 31 are needed
    found = notes(single(breadth=40), fence_clearance=25)
    assert set(codes(found)) == {NoteCode.FENCE_NEAR_SPACER}
    assert dict(found[0].figures) == {"reading": 10, "least": 31, "spacer": 25, "instead": 35}
    assert dict(found[1].figures) == {"reading": 30, "least": 31, "spacer": 5, "instead": 35}


@pytest.mark.parametrize("sides", [4, 6])
def test_at_a_mitre_a_spacer_moves_the_tip_by_more_than_its_thickness(sides: int) -> None:
    work = frame() if sides == 4 else polygon(6, 400)
    for one in milled(work, fence_clearance=20):
        reading, needed = one.set_up.fence_reading, 26
        found = [{name: float(figure) for name, figure in note.figures} for note in one.notes]
        if reading >= needed:
            assert found == []
            continue
        (note,) = found
        spacer, instead = note["spacer"], note["instead"]
        # the stock's edge leans at φ to the joint line
        sine = sin(radians(one.set_up.angle))
        assert spacer % 5 == 0
        assert instead == pytest.approx(reading + spacer / sine, abs=1e-3)
        assert instead - 5 / sine < needed <= instead


def test_a_stop_that_reads_beyond_the_stroke() -> None:
    # depth 10 + 0.5 with a stroke of 11; the scale was set with a cutter 4 mm larger: 2 mm deeper
    found = notes(single(run=20), stroke=11, scale_tip_diameter=16)
    assert set(codes(found)) == {NoteCode.STOP_OFF_SCALE}
    assert dict(found[0].figures) == {"stop": 12.5, "stroke": 11, "depth": 10.5}
    assert notes(single(run=20), stroke=11) == ()


def test_a_stop_that_would_read_below_nought() -> None:
    key = {"waist": 38, "tip_diameter": 42, "half_depth": 2, "flank": 45, "lengths": [5]}
    rules = Rules.model_validate(EXACT | OFF | {"scale_tip_diameter": 10})
    sections = [key | {"name": "42", "drive_limit": 60, "stock_from": 10, "stock_to": 90}]
    wide = taken_off(single(breadth=200), sections=sections, rules=rules.model_dump(mode="json"))
    found = set_up_works([Source("1", wide, rules)])[0].notes
    # three keys of 5 and the recess, 15.5; 15.5 + (10 − 42)/2
    assert dict(found[0].figures) == {"stop": -0.5, "stroke": 90, "depth": 15.5}


def test_a_piece_too_small_for_the_hand() -> None:
    # sides 140 long, top and bottom 300
    (first, *_) = milled(frame(height=140, width=300), least_piece=150)
    assert {batch.member.name: codes(batch.notes) for batch in first.batches} == {
        "top and bottom": [],
        "side": [NoteCode.PIECE_TOO_SMALL_TWICE],
    }
    (note,) = first.notes
    assert dict(note.figures) == {"piece_text": "A2, side", "length": 140, "least": 150, "blank": 150}
    assert "slotted in both ends. Mill the first end while it is still part of a blank at least 150 mm long" in (
        note.text()
    )
    assert "mill the second end with the whole piece in a carrier at least 150 mm long" in note.text()
    assert note.text(Units.INCH).startswith("A2, side: 5 33/64″ long, less than the 5 29/32″")


def test_a_blank_leaves_room_for_the_cut() -> None:
    (note,) = set(notes(frame(height=148, width=300), least_piece=150, kerf=3.2))
    # 148 and a kerf of 3.2
    assert dict(note.figures)["blank"] == 151.2


def test_a_small_piece_that_is_slotted_in_one_end_needs_no_second_way() -> None:
    found = set(notes(single(behind=[60, 200]), least_piece=150))
    (note,) = [note for note in found if note.code in {NoteCode.PIECE_TOO_SMALL, NoteCode.PIECE_TOO_SMALL_TWICE}]
    assert note.code is NoteCode.PIECE_TOO_SMALL
    assert "second end" not in note.text()


def test_an_end_whose_joint_cannot_be_made_does_not_count() -> None:
    """A mid stile 60 long, its head at a mid rail; one 3.5 high leaves no wall behind a slot 2 deep."""
    rows = [{"opening": "rest"}, {"opening": 60, "columns": [200, "rest"]}]

    def said(mid_rail: float) -> set[NoteCode]:
        found = notes(railed(mid_rail=mid_rail, mid_stile=45, rows=rows), least_piece=150)
        return {note.code for note in found if "mid stile" in note.text()}

    assert said(30) == {NoteCode.PIECE_TOO_SMALL_TWICE}
    assert said(3.5) == {NoteCode.PIECE_TOO_SMALL}


def test_as_long_as_the_rule_is_long_enough() -> None:
    assert notes(frame(height=150, width=300), least_piece=150) == ()


def test_the_demo_can_be_milled_as_it_stands_but_for_its_short_mid_stiles() -> None:
    for name in ("frame-set", "keepsake-box"):
        assert all(one.notes == () for one in set_up_works([demo(name)]))
    found = {note for one in set_up_works([demo("hall-cabinet")]) for note in one.notes}
    assert {dict(note.figures)["piece_text"] for note in found} == {"B5, mid stile"}


# --- long and heavy pieces -----------------------------------------------------------------------


def large(assembly: dict[str, Any], **more: Any) -> dict[str, list[dict[str, float | str]]]:
    """What is said of each piece that is too long or heavy, once for each way in which it lies."""
    found: dict[str, list[dict[str, float | str]]] = {}
    for note in dict.fromkeys(notes(assembly, **more)):
        if note.code in {NoteCode.PIECE_LONG, NoteCode.PIECE_HEAVY}:
            figures = dict(note.figures)
            found.setdefault(str(figures.pop("piece_text")), []).append(figures)
    return found


def test_a_long_piece_is_told_what_holds_it_by_how_it_lies() -> None:
    tall = carcass(height=2000, width=700, plinth=90, shelves=[1000])
    # the plinth's ends stand against the sides' faces, bottom down: a side is upright then; else it lies along
    assert {piece: {note["how_text"] for note in told} for piece, told in large(tall).items()} == {
        "A1, side": {HELD[Carried.ALONG], HELD[Carried.UPRIGHT]},
    }
    (told, *_) = large(tall)["A1, side"]
    assert (told["length"], told["most"]) == (2000, 1200)
    wide = carcass(height=700, width=1500, corner="mitre")
    assert {piece: {note["how_text"] for note in told} for piece, told in large(wide).items()} == {
        "A2, top": {HELD[Carried.OUT]},
        "A3, bottom": {HELD[Carried.OUT]},
    }


def test_a_piece_of_just_the_longest_needs_nothing_and_a_rule_of_nought_asks_for_nothing() -> None:
    assert large(carcass(height=1200)) == {}
    assert "A1, side" in large(carcass(height=1200.1))
    assert large(carcass(height=2000), longest_piece=0) == {}


def test_a_heavy_piece_says_its_weight_and_the_wood_it_was_reckoned_with() -> None:
    # cherry at 560 kg/m³: 900 × 350 × 18 mm are 5.67 litres, 3.1752 kg
    assert large(carcass(material="cherry")) == {}
    assert large(carcass(material="cherry"), heaviest_piece=3)["A1, side"] == [
        {"kilos_n": 3.2, "wood_text": "Cherry, black", "most_n": 3}
    ]
    assert large(carcass(material="wenge"), heaviest_piece=0.1) == {}
    assert large(carcass(material="cherry"), heaviest_piece=0) == {}


def test_the_assembly_names_the_pieces_that_need_support() -> None:
    (assembly,) = taken_off(carcass(height=2000, width=1500, material="cherry")).assemblies
    (note,) = [note for note in assembly.expansion.notes if note.code is NoteCode.SUPPORT_NEEDED]
    assert dict(note.figures) == {"pieces_text": "A1 side, A2 top, A3 bottom"}
    (assembly,) = taken_off(carcass(material="cherry")).assemblies
    assert NoteCode.SUPPORT_NEEDED not in {note.code for note in assembly.expansion.notes}
