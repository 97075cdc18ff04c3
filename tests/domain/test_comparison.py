"""Two takeoffs side by side: every change that was made by hand is told, and nothing else."""

from __future__ import annotations

import json
from copy import deepcopy
from typing import Any

import pytest

from domain.spec.catalogue import Section
from domain.spec.rules import Rules
from domain.takeoff.build import take_off
from domain.takeoff.comparison import (
    AssemblyDifference,
    CountChange,
    Difference,
    FieldChange,
    Measure,
    State,
    compare_takeoffs,
)
from domain.takeoff.document import takeoff_document
from domain.takeoff.means_comparison import compare_rules, compare_sections
from tests.factories import a_frame, a_project

SECTION = Section(
    name="14",
    waist=11.2,
    half_depth=6,
    flank=12,
    tip_diameter=13.815,
    lengths=[16, 22, 38],
    drive_limit=60,
    stock_from=14,
    stock_to=40,
)
Json = dict[str, Any]


def document(*assemblies: Json, rules: Rules | None = None) -> Json:
    project = a_project(*assemblies)
    # through JSON, as a stored snapshot comes back
    taken: Json = json.loads(json.dumps(takeoff_document(take_off(project, [SECTION], rules or Rules()))))
    return taken


@pytest.fixture
def frame() -> Json:
    return document(a_frame())


def the_joint(taken: Json) -> Json:
    joint: Json = taken["assemblies"][0]["joints"][0]
    return joint


def test_the_same_twice_differs_in_nothing(frame: Json) -> None:
    assert compare_takeoffs(frame, deepcopy(frame)).same
    assert compare_takeoffs(document(), document()).same


CHANGES = [
    ("quantity", 7, FieldChange("quantity", Measure.COUNT, 4, 7)),
    ("section", "10", FieldChange("section", Measure.TEXT, "14", "10")),
    ("section", None, FieldChange("section", Measure.TEXT, "14", None)),
    ("cutter", "free", FieldChange("cutter", Measure.TEXT, "close", "free")),
    ("kind", "edge_butt", FieldChange("kind of joint", Measure.TEXT, "mitre", "edge butt")),
    ("members", ["A1", "A9"], FieldChange("between", Measure.TEXT, "A1 and A2", "A1 and A9")),
    ("angle", 30, FieldChange("angle", Measure.ANGLE, 45, 30)),
    ("breadth", 60, FieldChange("along the joint line", Measure.LENGTH, 63.64, 60)),
    ("run", 19, FieldChange("along the slot", Measure.LENGTH, 20, 19)),
    ("projection", 6, FieldChange("projection", Measure.FINE, 6.251, 6)),
    ("depth_stop", 18, FieldChange("depth stop", Measure.FINE, 16.5, 18)),
    ("hold", 0.5, FieldChange("hold", Measure.SHARE, 0.8, 0.5)),
    ("notes", ["Clamp it.", "Slowly."], FieldChange("notes", Measure.TEXT, None, "Clamp it. Slowly.")),
]


@pytest.mark.parametrize(("key", "value", "told"), CHANGES, ids=[f"{key}-{value}" for key, value, _ in CHANGES])
def test_one_field_of_a_joint(frame: Json, key: str, value: object, told: FieldChange) -> None:
    changed = deepcopy(frame)
    the_joint(changed)[key] = value
    assembly = AssemblyDifference("A", State.CHANGED, (), (Difference("A-J1", State.CHANGED, (told,)),), ())
    found = compare_takeoffs(frame, changed)
    assert found.assemblies == (assembly,)
    assert (found.keys, found.plugs, found.glue) == ((), (), None)


def test_slots_are_told_once_where_they_agree_and_one_by_one_where_not(frame: Json) -> None:
    assert [slot["keys"] for slot in the_joint(frame)["slots"]] == [[16], [16]]
    first, second = (slot["centre"] for slot in the_joint(frame)["slots"])
    changed = deepcopy(frame)
    one, _ = the_joint(changed)["slots"]
    one |= {"centre": first + 1, "keys": [22, 16], "depth": 38.5}
    (joint,) = compare_takeoffs(frame, changed).assemblies[0].joints
    assert joint.fields == (
        FieldChange("centres", Measure.LENGTHS, (first, second), (first + 1, second)),
        FieldChange("depth", Measure.LENGTHS, (16.5,), (38.5, 16.5)),
        FieldChange("keys in each slot", Measure.TEXT, "16", "22 + 16; 16"),
    )


def test_a_stack_of_two_is_not_one_key_in_each_of_two_slots(frame: Json) -> None:
    stacked, apart = deepcopy(frame), deepcopy(frame)
    for slot in the_joint(stacked)["slots"]:
        slot["keys"] = [16, 22]
    for slot, key in zip(the_joint(apart)["slots"], (16, 22), strict=True):
        slot["keys"] = [key]
    (joint,) = compare_takeoffs(stacked, apart).assemblies[0].joints
    assert joint.fields == (FieldChange("keys in each slot", Measure.TEXT, "16 + 22", "16; 22"),)


def test_joints_and_parts_come_and_go(frame: Json) -> None:
    changed = deepcopy(frame)
    assembly = changed["assemblies"][0]
    assembly["joints"][0] |= {"mark": "A-J9"}
    assembly["members"][0] |= {"mark": "A9"}
    (found,) = compare_takeoffs(frame, changed).assemblies
    assert found.joints == (Difference("A-J9", State.ADDED), Difference("A-J1", State.REMOVED))
    assert found.parts == (Difference("A9", State.ADDED), Difference("A1", State.REMOVED))


def test_assemblies_come_and_go_with_their_joints(frame: Json) -> None:
    both = document(a_frame(), a_frame("B", quantity=3))
    (added,) = compare_takeoffs(frame, both).assemblies
    assert (added.mark, added.state, added.fields) == ("B", State.ADDED, ())
    assert added.joints == (Difference("B-J1", State.ADDED),)
    (removed,) = compare_takeoffs(both, frame).assemblies
    assert (removed.mark, removed.state) == ("B", State.REMOVED)
    assert {part.state for part in removed.parts} == {State.REMOVED}


def test_the_order_of_assemblies_is_no_difference() -> None:
    a, b = a_frame(), a_frame("B", width=500)
    assert compare_takeoffs(document(a, b), document(b, a)).assemblies == ()


def test_a_wider_frame_changes_its_parts_and_not_its_joints(frame: Json) -> None:
    wider = document(a_frame(width=450))
    found = compare_takeoffs(frame, wider)
    (assembly,) = found.assemblies
    assert assembly.joints == ()
    assert [(part.mark, part.state) for part in assembly.parts] == [("A1", State.CHANGED)]
    assert assembly.parts[0].fields == (
        FieldChange("length", Measure.LENGTH, 400, 450),
        FieldChange("short length", Measure.LENGTH, 310, 360),
    )
    assert found.keys == ()


def test_more_of_it_needs_more_keys_and_glue(frame: Json) -> None:
    # 4 corners x 2 slots; a test joint; 5 % spare rounded up: 8 + 1 + 1, then 24 + 1 + 2
    more = compare_takeoffs(frame, document(a_frame(quantity=3)))
    assert more.keys == (CountChange("14 × 16", 10, 27),)
    assert more.assemblies[0].fields == (FieldChange("quantity", Measure.COUNT, 1, 3),)
    assert more.glue is not None
    assert (more.glue.name, more.glue.measure) == ("glue", Measure.GRAMS)
    assert more.glue.after == pytest.approx(3 * float(str(more.glue.before)), abs=0.01)


def test_keys_and_plugs_that_are_on_one_side_only(frame: Json) -> None:
    plugged = document(a_frame(keys={"plug": {"material": "oak", "height": 3}}))
    found = compare_takeoffs(frame, plugged)
    (plugs,) = found.plugs
    assert (plugs.item, plugs.before) == ("oak, for section 14, 3 mm high", 0)
    assert plugs.after > 0
    assert compare_takeoffs(plugged, frame).plugs == (CountChange(plugs.item, plugs.after, 0),)
    assert compare_takeoffs(frame, document()).keys == (CountChange("14 × 16", 10, 0),)


def test_rules_by_name() -> None:
    usual = Rules().model_dump(mode="json")
    other = deepcopy(usual) | {"wall": 2.5, "spare": 0.1, "scale_tip_diameter": 12.7}
    other["change_minutes"]["cutter"] = 12
    assert compare_rules(usual, deepcopy(usual)) == ()
    assert compare_rules(usual, other) == (
        FieldChange("wall", Measure.FINE, 2, 2.5),
        FieldChange("scale tip diameter", Measure.FINE, None, 12.7),
        FieldChange("spare", Measure.SHARE, 0.05, 0.1),
        FieldChange("minutes to change the cutter", Measure.MINUTES, 10, 12),
    )


def test_every_rule_and_every_size_of_a_section_is_compared() -> None:
    rules = Rules().model_dump(mode="json")
    for name in set(rules) - {"change_minutes"}:
        assert len(compare_rules(rules, rules | {name: 77})) == 1
    for name, minutes in rules["change_minutes"].items():
        more = rules | {"change_minutes": rules["change_minutes"] | {name: minutes + 1}}
        assert len(compare_rules(rules, more)) == 1
    section = SECTION.model_dump(mode="json")
    for name in set(section) - {"name", "lengths"}:
        (difference,) = compare_sections([section], [section | {name: 77}])
        assert len(difference.fields) == 1
    assert compare_sections([section], [section | {"lengths": [16]}])[0].fields == (
        FieldChange("lengths", Measure.LENGTHS, (16, 22, 38), (16,)),
    )


def test_sections_by_name() -> None:
    section = SECTION.model_dump(mode="json", exclude_none=True)
    renamed = section | {"name": "14b"}
    assert compare_sections([section], [deepcopy(section)]) == ()
    assert compare_sections([section], [section | {"lengths": [38, 22, 16]}]) == ()
    assert compare_sections([section], [section, renamed]) == (Difference("14b", State.ADDED),)
    assert compare_sections([section, renamed], [section]) == (Difference("14b", State.REMOVED),)
