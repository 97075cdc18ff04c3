"""The project's rules as advice: the least that does, last of all, and never below the floor of a rule."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from itertools import product

import pytest

from domain.advice.advise import advised
from domain.advice.loosening import FLOORS, changes_back, loosened, losing_none
from domain.planning.plans import JointPlan
from domain.problems import BadInput
from domain.project_file import read_project_file
from domain.proposals import Change, Proposal
from domain.spec.rules import Rules
from domain.takeoff.build import take_off
from domain.takeoff.document import takeoff_document
from domain.takeoff.takeoff import AssemblyTakeoff
from tests.domain.builders import EXACT, Json, box, carcass, demo_sections, project, section, single
from tests.domain.test_advice import changed, joint_of, made_in, says, told

ONE = (section(),)
RULES = Rules.model_validate(EXACT)


def by_rules(joint: JointPlan) -> list[Proposal]:
    return [one for one in (*joint.nearest, *joint.near) if one.of_rules]


@pytest.mark.parametrize(
    ("joint", "change"),
    [
        # the slot's 12 and two walls of 2: 16
        ({"breadth": 15.6, "run": 20}, ("wall", 1.8)),
        ({"breadth": 15, "run": 20}, ("wall", 1.5)),
        ({"breadth": 14.9, "run": 20}, None),
        # 10 + 0.3 + 1.5
        ({"breadth": 40, "run": 11.5}, ("skin", 1.2)),
        ({"breadth": 40, "run": 11.3}, ("skin", 1)),
        ({"breadth": 40, "run": 11.2}, None),
        # twice 10.3 and the wall of 2
        ({"breadth": 40, "run": 22.3, "entry": "both", "keys": {"entry": "both"}}, ("wall", 1.7)),
    ],
)
def test_a_rule_is_loosened_as_little_as_does(joint: Json, change: tuple[str, float] | None) -> None:
    found = joint_of(told(single(**joint), sections=ONE, under=RULES))
    assert found.plan is None
    of_rules = [[(one.path[1], one.value) for one in each.changes] for each in by_rules(found)]
    assert [each[-1] for each in of_rules] == ([] if change is None else [change])


def test_it_comes_after_all_else_and_says_its_floor_and_why() -> None:
    found = joint_of(told(box(wall=10.4)))
    *first, last = found.nearest
    assert first
    assert not any(one.of_rules for one in first)
    assert last.changes == (Change(("rules", "wall"), 1.8),)
    assert says((last,)) == [
        "edge wood beside a slot 1.8 mm by the project's rules (1.5 mm at least: less breaks out as the key"
        " pulls the joint shut)"
    ]


def test_the_whole_document_with_its_rules_makes_the_joint() -> None:
    ruled: list[Json] = [{}, {"rules": {"wall": 2.2, "kerf": 2}}]
    told_of: set[str] = set()
    # before a piece's end stands short grain: its wall and the usual one share the thickness
    for thickness, material, more in product((11.1, 11.3), ("ash", "birch plywood"), ruled):
        thin = carcass(width=300, height=400, depth=120, thickness=thickness, material=material)
        document = takeoff_document(told(thin, **more))
        offered = [each["changes"] for each in document["assemblies"][0]["joints"][0].get("nearest", ())]
        for (change,) in (each for each in offered if each[0]["path"].startswith("/rules/")):
            told_of.add(change["path"])
            assert made_in(changed(project(thin, **more), [change])) == {"A-J1", "A-J2"}
            change["value"] += 0.1
            assert made_in(changed(project(thin, **more), [change])) == set()
    assert told_of == {"/rules/wall", "/rules/short_grain_wall", "/rules/sheet_wall"}


def test_a_project_that_goes_by_the_shop_s_rules_takes_them_along() -> None:
    shop = Rules.model_validate({"wall": 2.2, "skin": 1.2, "hold_target": 0.6})
    spec = read_project_file(project(box(wall=10.8)))
    found = advised(spec, take_off(spec, demo_sections(), shop), demo_sections(), shop)
    (proposal,) = by_rules(joint_of(found))
    assert {one.path[1]: one.value for one in proposal.changes} == {"wall": 2.0, "skin": 1.2, "hold_target": 0.6}
    # the document alone, read by somebody whose shop has the usual rules
    sent = [{"path": one.pointer("assemblies", 0), "value": one.value} for one in proposal.changes]
    after = read_project_file(changed(project(box(wall=10.8)), sent))
    assert after.rules == shop.model_copy(update={"wall": type(shop.wall).from_mm(2)})
    assert take_off(after, demo_sections(), Rules()).makeable


def test_grooves_may_be_crossed_where_the_rule_forbids_it() -> None:
    bottom = {"fit": "groove", "thickness": 5, "depth": 5, "up": 6}
    lid = {"height": 30, "kerf": 2, "lip": 6}
    top = {"material": "plywood", "thickness": 3, "depth": 3, "down": 4}
    spec = box(lid=lid, bottom=bottom, top=top)
    found = told(spec, rules={"cross_grooves": False})
    told_of = [
        one for joint in found.assemblies[0].joints for one in by_rules(joint) if len(one.changes) == 1
        and one.changes[0].path == ("rules", "cross_grooves")
    ]  # fmt: skip
    assert told_of
    assert "slots that may cross grooves, by the project's rules" in says(tuple(told_of))[0]
    assert all(one.changes[0].value is True for one in told_of)


def test_a_rule_at_its_floor_or_below_is_let_be() -> None:
    for wall in (1.5, 1.4, 1):
        found = joint_of(told(single(breadth=13, run=20), sections=ONE, under=RULES, rules={"wall": wall}))
        assert not by_rules(found)


def test_what_would_cost_another_assembly_a_joint_is_not_said() -> None:
    thin = box(wall=10.4)
    found = told(thin, carcass(mark="B"))
    assert by_rules(joint_of(found))

    def losing(lost: int | None) -> Callable[[int, Rules], AssemblyTakeoff]:
        def again(place: int, rules: Rules) -> AssemblyTakeoff:
            assert rules.wall.mm == 1.8
            takeoff = found.assemblies[place]
            unmade = tuple(replace(each, plan=None) for each in takeoff.joints)
            return replace(takeoff, joints=unmade) if place == lost else takeoff

        return again

    for lost, kept in ((None, True), (0, True), (1, False)):
        after = losing_none(found.assemblies, Rules(), losing(lost))
        assert bool(by_rules(after[0].joints[0])) is kept
        # and nothing else goes
        others = [one for one in found.assemblies[0].joints[0].nearest if not one.of_rules]
        assert [one for one in after[0].joints[0].nearest if not one.of_rules] == others


def test_what_is_sent_is_held_to_the_floors() -> None:
    rules = Rules.model_validate({"wall": 2, "web": 1.2})
    own = loosened(rules, [Change(("rules", "wall"), 1.6), Change(("rules", "cross_grooves"), False)])
    assert own == rules.model_copy(update={"wall": type(rules.wall).from_mm(1.6), "cross_grooves": False})
    assert loosened(own, changes_back(rules, own)) == rules
    # stricter is always allowed, and what is below its floor may stay there
    assert loosened(rules, [Change(("rules", "web"), 1.2), Change(("rules", "wall"), 3)]).wall.mm == 3
    for floor in FLOORS:
        with pytest.raises(BadInput, match=r"must be .* or more"):
            loosened(Rules(), [Change(("rules", floor.rule), floor.least.mm - 0.3)])
    for path, value in (
        (("rules", "stroke"), 120), (("rules",), {}), (("rules", "wall", "x"), 2), (("rules", "wal"), 2),
        (("rules", 0), 2), (("rules", "wall"), -3), (("rules", "wall"), None), (("rules", "cross_grooves"), 3),
    ):  # fmt: skip
        with pytest.raises(BadInput, match=r"rules"):
            loosened(rules, [Change(path, value)])
