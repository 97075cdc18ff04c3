"""Counting: used = Σ quantity × slots × stack, a test joint a cutter, projection and wood; spares, plugs, glue.

KEY in a square joint 40 × 20: two slots (10 and 30), one 16 key each.
"""

from __future__ import annotations

from math import sqrt
from typing import Any

import pytest

from domain.notes import NoteCode
from domain.spec.catalogue import key_item
from domain.takeoff.takeoff import KeyCount, Takeoff
from tests.domain.builders import EXACT, Json, box, carcass, codes, frame, section, single, taken_off


def counts(takeoff: Takeoff) -> list[tuple[object, ...]]:
    """section, length, used, tests, spare, total."""
    return [(key.section, key.length, key.used, key.tests, key.spare, key.total) for key in takeoff.totals.keys]


def test_keys_are_quantity_times_slots_times_stack() -> None:
    # 7 joints × 2 slots × one 16; one test for both fence readings; 5 % of 14 is 0.7, so 1
    assert counts(taken_off(single(quantity=7))) == [("12", 16, 14, 1, 1, 16)]


def test_every_length_of_a_stack_is_counted() -> None:
    # run 38: stacks of 16 + 10 + 10; 3 joints × 2 slots
    assert counts(taken_off(single(quantity=3, run=38))) == [("12", 10, 12, 2, 1, 15), ("12", 16, 6, 1, 1, 8)]


def test_an_assemblys_quantity_multiplies_its_joints() -> None:
    # 5 frames × 4 corners × 2 slots = 40; spares 2
    assert counts(taken_off(frame(quantity=5)))[0][2:] == (40, 1, 2, 43)


def test_slots_from_both_edges_share_their_set_up() -> None:
    # run 35, both: 2 rows × 2 entries × 16
    assert counts(taken_off(single(run=35, entry="both"))) == [("12", 16, 4, 1, 1, 6)]


def test_joints_of_one_wood_are_tested_once() -> None:
    # the same stock in two frames of different sizes; ash is ash, however it is written
    both = taken_off(frame(material="ash"), frame(mark="B", width=700, quantity=2, material=" Ash"))
    assert counts(both)[0][2:4] == (24, 1)  # 4·2 + 8·2 used


@pytest.mark.parametrize(
    "other",
    [
        single(mark="B", run=18.2),  # other depth (16.5 stays, clamp height differs)
        single(mark="B", breadth=42),  # other fence readings
        single(mark="B", angle=60),  # other fence
        single(mark="B", keys={"recess": 1}),  # other depth stop
    ],
)
def test_another_set_up_of_one_cutter_projection_and_wood_is_no_other_test(other: Json) -> None:
    # the fit depends on none of what they differ in
    assert sum(key[3] for key in counts(taken_off(single(), other))) == 1  # type: ignore[misc]


@pytest.mark.parametrize(
    ("one", "other"),
    [
        ({"material": "ash"}, {"material": "oak"}),  # another wood
        ({}, {"material": "oak"}),  # one that nobody named
        ({}, {"keys": {"section": "more"}}),  # another cutter
    ],
)
def test_another_wood_or_cutter_is_another_test(one: Json, other: Json) -> None:
    shop = (section(), section(name="more", tip_diameter=13.1))
    takeoff = taken_off(single(keys={"section": "12"}) | one, single(mark="B") | other, shop=shop)
    assert sum(key[3] for key in counts(takeoff)) == 2  # type: ignore[misc]


@pytest.mark.parametrize("tests", [0, 1, 3])
def test_each_is_tested_with_as_many_test_joints_as_the_shop_asks(tests: int) -> None:
    assert counts(taken_off(single(quantity=2), rules=EXACT | {"test_joints": tests}))[0][3] == tests


def test_of_two_stacks_the_longer_is_tried() -> None:
    # a recess of 6.5 leaves a 10 key in a slot as deep as the other's 16 and 0.5: the machine stays as it is
    both = [single(), single(mark="B", keys={"recess": 6.5})]
    for order in (both, both[::-1]):
        assert counts(taken_off(*order)) == [("12", 10, 2, 0, 1, 3), ("12", 16, 2, 1, 1, 4)]


@pytest.mark.parametrize(
    ("used", "share", "spare"),
    [
        (20, 0.05, 1),  # 1.0000000000000002 in binary
        (21, 0.05, 2),
        (1, 0.05, 1),
        (40, 0.05, 2),
        (41, 0.05, 3),
        (100, 0.07, 7),  # 7.000000000000001
        (3, 0.1, 1),
        (30, 0.1, 3),
        (300, 0.29, 87),  # 86.99999999999999
        (100, 0.55, 55),  # 55.00000000000001
        (7, 0, 0),
        (7, 1, 7),
        (7, 2.5, 18),  # 17.5
    ],
)
def test_spares_are_a_share_of_what_is_used_rounded_up(used: int, share: float, spare: int) -> None:
    one_each = single(quantity=used, keys={"count": 1})
    assert counts(taken_off(one_each, rules=EXACT | {"spare": share})) == [
        ("12", 16, used, 1, spare, used + 1 + spare)
    ]


def test_sections_and_lengths_stand_in_order_of_size() -> None:
    sections = tuple(section(name=name) for name in ("wide", "9", "10", "narrow"))
    pins = [("A", "narrow"), ("B", "10"), ("C", "wide"), ("D", "9")]
    parts = [single(mark=mark, run=38, keys={"section": name}) for mark, name in pins]
    order = [(key[0], key[1]) for key in counts(taken_off(*parts, shop=sections))]
    assert order == [(name, length) for name in ("9", "10", "narrow", "wide") for length in (10, 16)]


def test_plugs_are_counted_by_slot_with_spares() -> None:
    plugged = {"plug": {"material": "walnut", "height": 3}}
    takeoff = taken_off(
        single(quantity=10, keys=plugged),  # 20 slots
        single(mark="B", quantity=1, keys=plugged),  # 2 more of the same
        single(mark="C", quantity=2, keys={"plug": {"material": "maple", "height": 3}}),  # 4
        single(mark="D", quantity=1, keys={"plug": {"material": "walnut", "height": 2}}),  # 2
        single(mark="E", quantity=9),
    )
    lines = [
        (plug.material, plug.section, plug.height, plug.used, plug.spare, plug.total)
        for plug in takeoff.totals.plugs
    ]
    assert lines == [
        ("maple", "12", 3, 4, 1, 5),
        ("walnut", "12", 2, 2, 1, 3),
        ("walnut", "12", 3, 22, 2, 24),  # 1.1 is 2
    ]


@pytest.mark.parametrize(
    ("assembly", "grams"),
    [
        # 40 × 20 = 800 mm² at 200 g/m² is 0.16 g
        (single(), 0.16),
        (single(quantity=10), 1.6),
        # 45 × 20 across a mitre is 900·√2 mm², four corners
        (frame(), 4 * 900 * sqrt(2) * 200e-6),
        # less a rabbet of 6 × 10
        (frame(stock={"width": 45, "thickness": 20, "rabbet_width": 6, "rabbet_depth": 10}),
         4 * 840 * sqrt(2) * 200e-6),
        # a moulded front: 30·20 and 15·(20 + 12)/2
        (frame(stock={"width": 45, "thickness": 20, "front": [[0, 20], [30, 20], [45, 12]]}),
         4 * (600 + 240) * sqrt(2) * 200e-6),
        # a box's corners: 12·√2 × 90, less a groove of 5 × 5 across the mitre
        (box(wall=18), 4 * 18 * 90 * sqrt(2) * 200e-6),
        (box(wall=18, bottom={"fit": "groove", "thickness": 5, "depth": 5, "up": 6}),
         4 * (18 * 90 - 25) * sqrt(2) * 200e-6),
        # four square corners of 18 × 350
        (carcass(), 4 * 18 * 350 * 200e-6),
    ],
)  # fmt: skip
def test_glue_goes_on_one_mating_face_of_every_joint(assembly: Json, grams: float) -> None:
    takeoff = taken_off(assembly)
    assert takeoff.makeable
    assert takeoff.totals.glue_grams == pytest.approx(grams)
    spread_thin = taken_off(assembly, rules=EXACT | {"glue_spread": 100})
    assert spread_thin.totals.glue_grams == pytest.approx(grams / 2)


def test_a_joint_that_cannot_be_made_is_named_and_the_rest_still_counts() -> None:
    # the second is 10 across: 16 are needed
    takeoff = taken_off(single(quantity=3), single(mark="B", breadth=10), single(mark="C", breadth=40))
    assert not takeoff.makeable
    assert [one.makeable for one in takeoff.assemblies] == [True, False, True]
    assert counts(takeoff) == [("12", 16, 8, 1, 1, 10)]  # (3 + 1) × 2
    assert takeoff.totals.glue_grams == pytest.approx(0.64)  # 4 × 0.16
    assert codes(takeoff.notes) == [NoteCode.UNMAKEABLE]
    assert dict(takeoff.notes[0].figures) == {"count_n": 1, "total_n": 3}


def test_an_empty_project_counts_nothing_and_says_so() -> None:
    takeoff = taken_off()
    assert (takeoff.totals.keys, takeoff.totals.plugs, takeoff.totals.glue_grams) == ((), (), 0)
    assert codes(takeoff.notes) == [NoteCode.EMPTY]
    assert takeoff.makeable


@pytest.mark.parametrize(("length", "item"), [(16.0, "14 × 16"), (12.7, "14 × 12.7"), (9.525, "14 × 9.525")])
def test_a_key_is_called_by_section_and_length(length: float, item: str) -> None:
    assert key_item("14", length) == item
    assert KeyCount("14", length, 1, 0, 0).item == item


def test_a_projects_own_sections_and_rules_come_first() -> None:
    own: dict[str, Any] = {
        "sections": [section(name="own").model_dump(mode="json", exclude_none=True)],
        "rules": EXACT | {"test_joints": 5},
    }
    assert counts(taken_off(single(), **own)) == [("own", 16, 2, 5, 1, 8)]
