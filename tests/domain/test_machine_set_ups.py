"""Set-ups and the sheet they stand on: the demo's worked by hand, and what holds of any work."""

from __future__ import annotations

import json
from collections import Counter
from collections.abc import Sequence
from itertools import pairwise
from random import Random
from typing import Any

import pytest

from domain.lengths import Length, Mm
from domain.machine.changing import Change
from domain.machine.document import set_ups_document
from domain.machine.hands import Datum, Lie, Place
from domain.machine.set_ups import Batch, SetUpTest, Source, set_up_key, set_up_works
from domain.machine.sheet import Sheet, set_up_sheet
from domain.machine.work_time import WorkTime, work_time
from domain.planning.plans import CutterKind
from domain.planning.set_up import SetUp
from domain.project_file import read_project_file
from domain.spec.choices import Entry
from domain.spec.rules import ChangeMinutes, Rules
from domain.takeoff.build import gather, take_off, take_off_assembly
from domain.takeoff.pieces import Hand
from tests.domain.builders import (
    KEY,
    Json,
    carcass,
    demo_sections,
    frame,
    polygon,
    railed,
    read,
    single,
    taken_off,
)
from tests.published import trade
from tests.workshop import WORKSHOP

FRAMES, KEEPSAKE, CABINET = "frame-set", "keepsake-box", "hall-cabinet"
NAMES = ("cutter", "projection", "fence", "fence_reading", "depth_stop", "clamp_height")
PRICES = (10, 5, 4, 1, 1, 0.5)


def demo(name: str, rules: Rules | None = None) -> Source:
    project = read_project_file(json.loads((WORKSHOP / f"{name}.json").read_text(encoding="utf-8")))
    rules = rules or project.rules or Rules()
    planned = project.model_copy(update={"rules": rules})
    return Source(name, take_off(planned, demo_sections(), rules), rules)


def source(*assemblies: Json, key: str = "1", **more: Any) -> Source:
    """KEY alone under the EXACT rules, as ``taken_off`` has it; ``more`` are other rules."""
    rules = Rules.model_validate({"preload": 0, "setting_step": 0} | more)
    return Source(key, taken_off(*assemblies, rules=rules.model_dump(mode="json")), rules)


# --- the demo, by hand -----------------------------------------------------------------------------
#
# Cutters, projections, centres and depths are those of test_demo_takeoffs.py, worked there by hand. The stop
# is zeroed for the cutter, so it reads the depth. The clamp is on the stock's thickness: 24, 20, 22 mm for
# the frames, 5/8 in for the box, 19 mm for the panels, 20 mm for rails. As many left as right: one joint each.

Row = tuple[str, float, str, float, float, float, float, int]

FRAME_ROWS: list[Row] = [
    ("10 close", 4.758, "mitre", 45, 13, 16.3, 20, 16),  # small prints: 4 frames of 4 corners
    ("10 close", 4.758, "mitre", 45, 25.5, 16.3, 20, 16),
    ("14 close", 6.240, "mitre", 45, 16.5, 18.5, 24, 8),  # large prints: 2 of 4
    ("14 close", 6.240, "mitre", 45, 44.5, 18.5, 24, 8),
    ("14 close", 6.240, "mitre", 60, 14.5, 16.5, 22, 6),  # the hexagon
    ("14 close", 6.240, "mitre", 60, 40, 16.5, 22, 6),
]
BOX_ROWS: list[Row] = [
    ("7 free", 3.864, "mitre", 45, 11, 64.5, 15.875, 4),  # body
    ("7 close", 3.252, "mitre", 45, 11, 26.5, 15.875, 4),  # lid
]
CABINET_ROWS: list[Row] = [
    ("14 free", 7.039, "square", 90, 9.5, 82.5, 19, 4),  # corners 2 + 2
    ("14 close", 6.240, "square", 90, 9.5, 60.5, 19, 8),  # partition 1 + 1, shelves 2 + 2, plinth 2
    # with mirror-image centres, both slots are measured from the nearer edge
    ("14 close", 6.240, "square", 90, 9.5, 16.5, 20, 8),  # mid rails: 36 − 26.5
    ("14 close", 6.240, "square", 90, 11, 16.5, 20, 4),  # top rail: 45 − 34
    ("14 close", 6.240, "square", 90, 15, 16.5, 20, 4),  # bottom rail: 60 − 45
    ("14 close", 6.240, "square", 90, 10, 16.5, 20, 8),  # mid stiles, 1 + 2 + 1: 40 − 30
    ("14 close", 6.240, "square", 90, 13, 16.5, 20, 4),  # doors' top rails
    ("14 close", 6.240, "square", 90, 16, 16.5, 20, 4),  # doors' bottom rails
    ("14 close", 6.240, "square", 90, 18.5, 16.5, 20, 8),  # of both the second slot: 52 − 33.5 = 64 − 45.5
]

BY_HAND = {
    # 21.5 to begin with; three second readings 3; 10 to 14: 10 + 5 + 1 + 1 + 0.5; 45° to 60°: 4 + 1 + 1 + 0.5
    (FRAMES,): (FRAME_ROWS, 21.5 + 3 + 17.5 + 6.5),
    # cutter, projection, stop
    (KEEPSAKE,): (BOX_ROWS, 21.5 + 16),
    # panels; to the plinth 10 + 5 + 1; to the rails, reading 9.5 kept, stop and clamp 1.5; six more readings
    (CABINET,): (CABINET_ROWS, 21.5 + 16 + 1.5 + 6),
    # the cabinet 45; to the hexagon, stop kept, 4 + 1 + 0.5, and 1; to the large prints 6.5 and 1; to the small
    # ones 17.5 and 1; to the box, fence kept, 10 + 5 + 1 + 1 + 0.5, and 16
    (FRAMES, KEEPSAKE, CABINET): (
        FRAME_ROWS + BOX_ROWS + CABINET_ROWS,
        45 + (5.5 + 1) + (6.5 + 1) + (17.5 + 1) + (17.5 + 16),
    ),
}  # fmt: skip


def row_of(line: Json) -> Row:
    assert line["left"] == line["right"]
    values = (line["cutter"], line["projection"], line["fence"]["kind"], line["fence"]["angle"])
    return (*values, line["fence_reading"], line["depth_stop"], line["clamp_height"], line["left"])


@pytest.mark.parametrize("names", BY_HAND, ids="+".join)
def test_the_demos_set_up_sheet(names: tuple[str, ...]) -> None:
    rows, minutes = BY_HAND[names]
    document = set_ups_document(set_up_sheet([demo(name) for name in names], ChangeMinutes()))
    assert (document["format"], document["version"]) == ("dovetally-setups", 1)
    assert sorted(map(row_of, document["setups"])) == sorted(rows)
    assert document["minutes"] == minutes
    assert document["bound"] == minutes
    assert_adds_up(document)


def assert_adds_up(document: Json) -> None:
    """Changes named and priced line by line from the document alone, as one reads it."""
    lines = document["setups"]
    for before, after in pairwise([None, *lines]):
        changed = [name for name in NAMES if before is None or before[name] != after[name]]
        assert after["changes"] == changed
        assert after["minutes"] == sum(price for name, price in zip(NAMES, PRICES, strict=True) if name in changed)
    assert document["minutes"] == sum(line["minutes"] for line in lines)


def ended(piece: str, hand: str, to_machine: str) -> Json:
    """A mitred end of the lid, entered from above."""
    told = {"piece": piece, "joint": "A-J2", "hand": hand, "milled": "end", "at_fence": "tip", "down": "top"}
    return told | {"to_machine": to_machine}


# As one goes round the box, seen from above and against the clock: front, right side, back, left side. With the
# bottom edge down and the end to the machine, the outer face would lie left at the end that a wall begins with;
# upside down, as a lid's wall lies, right.
KEEPSAKE_PASSES = [
    ended("A1 1/2", "L", "right"),
    ended("A1 2/2", "L", "left"),
    ended("A1 1/2", "R", "left"),
    ended("A1 2/2", "R", "right"),
    ended("A2 1/2", "L", "back"),
    ended("A2 2/2", "L", "front"),
    ended("A2 1/2", "R", "front"),
    ended("A2 2/2", "R", "back"),
]


def test_the_contracts_fields_and_no_others() -> None:
    document = set_ups_document(set_up_sheet([demo(KEEPSAKE)], ChangeMinutes()))
    assert list(document) == ["format", "version", "minutes", "bound", "setups"]
    assert document["setups"][0] == {
        "cutter": "7 close",
        "tip_diameter": 7.04,
        "projection": 3.252,
        "fence": {"kind": "mitre", "angle": 45},
        "fence_reading": 11,
        "depth_stop": 26.5,
        "clamp_height": 15.875,
        "left": 4,
        "right": 4,
        "pieces": KEEPSAKE_PASSES,
        "changes": list(NAMES),
        "minutes": 21.5,
    }
    assert json.loads(json.dumps(document)) == document


def test_the_frame_sets_time() -> None:
    # slots 2 × (32 + 16 + 12) = 120 and 2 for each of 2 tests, the 10 and the 14 in ash; keys 32 + 28 and 2 tests
    assert work_time(demo(FRAMES)) == WorkTime(48.5, 124 * 0.5, 62 * 0.25)
    own = Rules.model_validate({"milling_minutes": 0.1, "driving_minutes": 0, "test_joints": 0})
    assert work_time(demo(FRAMES, own)) == WorkTime(48.5, 12, 0)
    assert work_time(demo(FRAMES, own)).total == 60.5


# --- pieces and their hands ------------------------------------------------------------------------


def told(pieces: Sequence[Batch]) -> list[tuple[str, Place, Hand, int]]:
    return [(piece.member.mark, piece.place, piece.hand, piece.quantity) for piece in pieces]


def test_a_rectangles_ends_are_half_left_and_half_right() -> None:
    first = set_up_works([demo(FRAMES)])[0]
    assert told(first.batches) == [
        (mark, Place.MITRED_END, hand, 4) for mark in ("A1", "A2") for hand in (Hand.LEFT, Hand.RIGHT)
    ]
    for piece in first.batches:
        assert piece.datum is Datum.TIP
        assert piece.lies == (Lie(Entry.BACK, piece.hand),)
        assert (piece.assembly, piece.joint) == ("A", "A-J1")
    assert [piece.meets for piece in first.batches] == ["A2", "A2", "A1", "A1"]
    assert (first.left, first.right, first.passes, first.tests) == (8, 8, 16, (SetUpTest("ash", 1),))


def test_a_polygons_equal_sides_are_one_piece_of_each_hand() -> None:
    (first, *_) = set_up_works([source(polygon(5, 400, quantity=3))])
    assert told(first.batches) == [("A1", Place.MITRED_END, hand, 15) for hand in (Hand.LEFT, Hand.RIGHT)]


def test_a_rails_end_is_one_hand_and_the_stiles_edge_the_other() -> None:
    pieces = [piece for one in set_up_works([source(railed())]) for piece in one.batches if piece.joint == "A-J1"]
    assert {(p.member.name, p.place, p.datum, p.meets) for p in pieces} == {
        ("top rail", Place.SQUARE_END, Datum.REFERENCE_EDGE, "A1"),
        ("stile", Place.EDGE, Datum.FLUSH_END, "A2"),
    }
    # two corners: each member is left at one of them and right at the other
    assert {(p.member.name, p.hand, p.quantity) for p in pieces} == {
        (name, hand, 1) for name in ("top rail", "stile") for hand in Hand
    }


def test_a_single_tee_has_its_left_on_one_member_and_its_right_on_the_other() -> None:
    pieces = [piece for one in set_up_works([demo(CABINET)]) for piece in one.batches]
    joints = {(piece.joint, piece.member.mark): piece for piece in pieces}
    top, above, foot = joints["A-J3", "A4"], joints["A-J3", "A2"], joints["A-J4", "A4"]
    # the partition's reference is its left face; front down and its top to the machine, that is on the right
    assert (top.place, top.datum, top.hand, top.quantity) == (
        Place.SQUARE_END,
        Datum.REFERENCE_EDGE,
        Hand.RIGHT,
        1,
    )
    assert (above.place, above.datum, above.hand, above.quantity) == (Place.FACE, Datum.MARKED_LINE, Hand.LEFT, 1)
    assert foot.hand is Hand.LEFT


def test_entered_from_both_edges_a_piece_is_counted_once_and_milled_twice() -> None:
    thick = {"width": 45, "thickness": 63}
    (first, *_) = set_up_works([source(frame(stock=thick, keys={"entry": "both"}))])
    assert (first.left, first.right, first.passes) == (4, 4, 16)
    for piece in first.batches:
        assert piece.entries == (Entry.BACK, Entry.FRONT)
        # turned over, its tip comes to lie on the other side
        assert piece.lies[1].hand is piece.hand.other
        assert piece.passes == 2 * piece.quantity


def test_where_the_ends_have_a_depth_each_there_is_a_set_up_for_each() -> None:
    thick = {"width": 45, "thickness": 50}
    works = set_up_works([source(frame(stock=thick, keys={"entry": "both"}))])
    stops = {entries: stop for stop, entries in ((w.set_up.depth_stop, w.batches[0].entries) for w in works)}
    # 30 and 16 with recess and wall: 30.5 + 16.5 + 2 ≤ 50, where 16 and 16 is the most with one depth
    assert stops == {(Entry.BACK,): 30.5, (Entry.FRONT,): 16.5}
    assert len(works) == 2 * len({work.set_up.fence_reading for work in works})
    for work in works:
        assert (work.left, work.right, work.passes) == (4, 4, 8)
        assert len({work.set_up.depth_stop for piece in work.batches for _ in piece.lies}) == 1
    # turned over between the two, a piece has the other hand in the other
    hands = {
        entry: {(piece.member.mark, one.piece, piece.hand) for work in works for piece in work.batches
                if piece.entries == (entry,) for one in piece.here}
        for entry in (Entry.BACK, Entry.FRONT)
    }  # fmt: skip
    assert hands[Entry.FRONT] == {(mark, piece, hand.other) for mark, piece, hand in hands[Entry.BACK]}
    # a piece is ticked off in each of them
    keys = [(work.key, piece.key) for work in works for piece in work.batches]
    assert len(set(keys)) == len(keys)


def test_entered_from_the_front_hands_change_over() -> None:
    back, front = (
        set_up_works([source(frame(keys={"entry": entry}, width=500))])[0] for entry in ("back", "front")
    )
    assert {p.key for p in back.batches} == {p.key for p in front.batches}
    one = single(angle=60, breadth=60)
    hands = []
    for entry in ("back", "front"):
        (first, *_) = set_up_works([source(one | {"keys": {"entry": entry}})])
        hands.append([piece.hand for piece in first.batches])
    assert hands == [[Hand.RIGHT, Hand.LEFT], [Hand.LEFT, Hand.RIGHT]]


# --- several projects ------------------------------------------------------------------------------


def test_equal_set_ups_of_several_projects_are_one() -> None:
    alone = set_up_works([source(frame(), test_joints=2)])
    both = set_up_works([source(frame(), test_joints=2), source(frame(width=700), single(mark="B"), key="2")])
    assert {one.set_up for one in alone} < {one.set_up for one in both}
    merged = {one.set_up: one for one in both}
    for one in alone:
        assert (merged[one.set_up].left, merged[one.set_up].tests) == (2 * one.left, (SetUpTest(None, 2),))
        assert {piece.source for piece in merged[one.set_up].batches} == {"1", "2"}
        assert len({piece.key for piece in merged[one.set_up].batches}) == 2 * len(one.batches)


def test_cutters_of_one_name_and_different_size_are_different_set_ups() -> None:
    sections = demo_sections()
    more = Length.from_mm(0.5)
    other = tuple(one.model_copy(update={"tip_diameter": one.tip_diameter + more}) for one in sections)
    (spec,) = read(frame()).assemblies
    sources = [
        Source(str(number), gather("T", (take_off_assembly(spec, shop, Rules()),), Rules()), Rules())
        for number, shop in enumerate((sections, other))
    ]
    sheet = set_up_sheet(sources, ChangeMinutes())
    assert len(sheet.lines) == 4
    assert sum(Change.CUTTER in line.changes for line in sheet.lines) == 2


def test_each_cutter_projection_and_wood_is_tested_in_the_first_set_up_that_has_it() -> None:
    # two frames of one stock in two woods share their two set-ups; oak's project asks for three test joints
    ash, oak = (
        source(frame(material=wood), key=wood, test_joints=tests) for wood, tests in (("ash", 1), ("oak", 3))
    )
    first, second = (line.work.tests for line in set_up_sheet([ash, oak], ChangeMinutes()).lines)
    assert first == (SetUpTest("ash", 1), SetUpTest("oak", 3))
    assert second == (SetUpTest("ash", 1, made_in=1), SetUpTest("oak", 3, made_in=1))
    # a square joint in ash comes later or sooner: its cutter and projection are those of the frame's
    other = source(single(material="Ash"), key="2", test_joints=2)
    lines = set_up_sheet([ash, other], ChangeMinutes()).lines
    assert [(test.joints, test.made_in) for line in lines for test in line.work.tests] == [
        (2, None), (2, 1), (2, 1)]  # fmt: skip
    assert sum(line.work.test_joints for line in lines) == 2


def test_the_sheet_does_not_depend_on_the_order_of_the_projects() -> None:
    sources = [demo(name) for name in (FRAMES, KEEPSAKE, CABINET)]
    forwards, backwards = set_up_sheet(sources, ChangeMinutes()), set_up_sheet(sources[::-1], ChangeMinutes())
    assert order_of(forwards) == order_of(backwards)


def order_of(sheet: Sheet) -> list[SetUp]:
    return [line.work.set_up for line in sheet.lines]


def test_nothing_to_mill_is_an_empty_sheet() -> None:
    # the second joint is 10 across: 16 are needed
    for work in ([], [source()], [source(single(breadth=10))]):
        document = set_ups_document(set_up_sheet(work, ChangeMinutes()))
        assert (document["setups"], document["minutes"], document["bound"]) == ([], 0, 0)


# --- keys that ticks are kept under ----------------------------------------------------------------


def test_a_set_up_keeps_its_key() -> None:
    one = SetUp("14", CutterKind.CLOSE, Mm(14.06), Mm(6.24), True, 45.0, Mm(16.5), Mm(18.5), Mm(24.0))
    # what ticks are kept under in a shop's database: it may not change
    assert set_up_key(one) == "501ddacb0cc489e1"
    changed = [
        SetUp("14", CutterKind.FREE, Mm(14.06), Mm(6.24), True, 45.0, Mm(16.5), Mm(18.5), Mm(24.0)),
        SetUp("14", CutterKind.CLOSE, Mm(14.06), Mm(6.25), True, 45.0, Mm(16.5), Mm(18.5), Mm(24.0)),
        SetUp("14", CutterKind.CLOSE, Mm(14.06), Mm(6.24), False, 45.0, Mm(16.5), Mm(18.5), Mm(24.0)),
        SetUp("14", CutterKind.CLOSE, Mm(14.06), Mm(6.24), True, 45.0, Mm(17.0), Mm(18.5), Mm(24.0)),
    ]
    assert len({set_up_key(other) for other in (one, *changed)}) == 5


def test_a_sheet_finds_a_line_by_its_key_again() -> None:
    sheet, again = (set_up_sheet([demo(FRAMES)], ChangeMinutes()) for _ in range(2))
    for line in sheet.lines:
        assert again.line(line.work.key) == line
    assert sheet.line("0" * 16) is None


def test_pieces_of_a_set_up_have_keys_of_their_own() -> None:
    for one in set_up_works([demo(name) for name in (FRAMES, KEEPSAKE, CABINET)]):
        keys = [piece.key for piece in one.batches]
        assert len(set(keys)) == len(keys)
    assert set_up_works([demo(FRAMES)])[0].batches[0].key == "frame-set/A-J1/A1/mitred_end/left"


# --- the stop --------------------------------------------------------------------------------------


def test_a_cutter_4_mm_smaller_needs_the_stop_2_mm_deeper() -> None:
    # common practice (no source)
    joint = single(breadth=80, run=40, behind=[90, 90])
    stops = []
    for tip in (18, 14):
        shop = [KEY | {"waist": tip - 4, "tip_diameter": tip}]
        rules = Rules.model_validate({"preload": 0, "setting_step": 0, "scale_tip_diameter": 18})
        taken = taken_off(joint, sections=shop, rules=rules.model_dump(mode="json"))
        (stop,) = {one.set_up.depth_stop for one in set_up_works([Source("1", taken, rules)])}
        stops.append(stop)
    # keys 16 + 10 + 10, driven 0.5 below the edge; the scale was set with the larger cutter
    assert stops == [36.5, 38.5]


def test_stock_of_the_same_thickness_keeps_the_stop() -> None:
    # common practice (no source)
    work = [frame(width=400, mark="A"), frame(width=700, mark="B"), polygon(6, 500, mark="C"), railed(mark="D")]
    assert {one.set_up.depth_stop for one in set_up_works([source(*work)])} == {16.5}
    sheet = set_up_sheet([source(*work)], ChangeMinutes())
    assert sum(Change.DEPTH_STOP in line.changes for line in sheet.lines) == 1


# --- any work --------------------------------------------------------------------------------------


MAKERS = (
    trade.random_frame,
    trade.random_box,
    trade.random_carcass,
    trade.random_railed_frame,
    trade.random_single_joint,
)


@pytest.mark.parametrize("maker", MAKERS, ids=lambda maker: maker.__name__)
def test_every_slot_is_in_one_set_up_and_both_hands_are_even(maker: Any) -> None:
    rng = Random(f"set-ups {maker.__name__}")
    milled_at_all = 0
    for _ in range(30):
        rules = trade.random_rules(rng)
        taken = take_off_assembly(maker(rng), trade.SECTIONS, rules)
        found = set_up_works([Source("1", gather("T", (taken,), rules), rules)])
        milled: Counter[tuple[str, Entry, float]] = Counter()
        for one in found:
            assert one.left == one.right > 0
            for piece in one.batches:
                for lie in piece.lies:
                    reading = one.set_up.fence_reading
                    centre = round(piece.face.breadth - reading, 3) if piece.turned else reading
                    milled[piece.joint, lie.entry, centre] += piece.quantity
        wanted: Counter[tuple[str, Entry, float]] = Counter()
        for joint in taken.joints:
            for slot in joint.slots:
                # once in each of the two members
                wanted[joint.joint.mark, slot.entry, round(slot.centre, 3)] += 2 * joint.joint.quantity
        assert milled == wanted
        milled_at_all += milled.total()
    assert milled_at_all


def test_carcass_shelves_of_two_bays_have_even_hands() -> None:
    found = set_up_works([source(carcass(shelves=[300, 600], partitions=[400], plinth=80, thickness=19))])
    assert all(one.left == one.right for one in found)
