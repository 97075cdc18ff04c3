"""What advice need not try: nothing is taken apart twice, and no joint is asked again what it was asked before."""

from __future__ import annotations

from collections import Counter

import pytest

from domain.advice import advise as advising
from domain.advice import trying
from domain.advice.advise import advise
from domain.advice.together import sizes_together
from domain.assemblies.expand import expand
from domain.parts import Joint
from domain.planning.planner import can_be_made, plan_joint
from domain.planning.sections import Question
from domain.spec.rules import Rules
from domain.takeoff.build import take_off_assembly
from domain.takeoff.takeoff import AssemblyTakeoff
from tests.domain.builders import Json, box, carcass, demo_sections, frame, railed, read, single

WORKSHOP = demo_sections()
THIN: list[Json] = [
    box(wall=8),
    carcass(thickness=9.5, depth=240, shelves=[300, 500]),
    frame(stock={"width": 16, "thickness": 9}),
    railed(thickness=8, stile=14, top_rail=14, bottom_rail=14),
    single(breadth=5, run=5, behind=[5, 5]),
]


def planned(assembly: Json) -> AssemblyTakeoff:
    return take_off_assembly(read(assembly).assemblies[0], WORKSHOP, Rules())


@pytest.mark.parametrize("assembly", THIN, ids=[str(each["kind"]) for each in THIN])
def test_an_assembly_is_taken_apart_once_for_every_change(assembly: Json, monkeypatch: pytest.MonkeyPatch) -> None:
    taken_apart: Counter[str] = Counter()

    def counted(spec: object, *more: object) -> object:
        taken_apart[repr(spec)] += 1
        return expand(spec, *more)  # type: ignore[arg-type]

    monkeypatch.setattr(trying, "expand", counted)
    advise(read(assembly).assemblies[0], planned(assembly), WORKSHOP, Rules())
    assert len(taken_apart) > 10
    assert set(taken_apart.values()) == {1}


@pytest.mark.parametrize("assembly", THIN, ids=[str(each["kind"]) for each in THIN])
def test_a_size_that_leaves_the_face_as_it_is_costs_no_plan(
    assembly: Json, monkeypatch: pytest.MonkeyPatch
) -> None:
    before = planned(assembly)
    refused = {Question.of(each.joint) for each in before.joints if each.plan is None}
    asked: list[Question] = []

    def noted(joint: Joint, sections: object, rules: Rules, *more: object) -> bool:
        if rules == Rules():
            asked.append(Question.of(joint))
        return can_be_made(joint, sections, rules, *more)  # type: ignore[arg-type]

    monkeypatch.setattr(trying, "can_be_made", noted)
    advise(read(assembly).assemblies[0], before, WORKSHOP, Rules())
    assert asked
    assert not refused & set(asked)


def test_equal_joints_are_told_together_what_makes_them(monkeypatch: pytest.MonkeyPatch) -> None:
    # every end of this carcass asks alike, corner or shelf, and no single size makes one
    spec = carcass(thickness=5, depth=9, width=600, height=400, corner="top_between", shelves=[150, 250])
    before = planned(spec)
    refused = [each for each in before.joints if each.plan is None]
    looked: list[object] = []

    def counted(*arguments: object) -> object:
        looked.append(arguments)
        return sizes_together(*arguments)  # type: ignore[arg-type]

    monkeypatch.setattr(advising, "sizes_together", counted)
    found = advise(read(spec).assemblies[0], before, WORKSHOP, Rules())
    told = [each.nearest for each in found.joints if each.plan is None]
    assert len(looked) == len({Question.of(each.joint) for each in refused}) < len(refused)
    assert all(told)


@pytest.mark.parametrize("assembly", THIN, ids=[str(each["kind"]) for each in THIN])
def test_whether_a_joint_can_be_made_is_what_its_plan_says(assembly: Json) -> None:
    for pins in ({}, {"section": "7"}, {"count": 3}, {"section": "20"}):
        spec = read(assembly | {"keys": pins}).assemblies[0]
        for rules in (Rules(), Rules.model_validate({"cross_grooves": False, "wall": 1})):
            for each in take_off_assembly(spec, WORKSHOP, rules).joints:
                alone = plan_joint(each.joint, WORKSHOP, rules)
                assert can_be_made(each.joint, WORKSHOP, rules) == (alone.plan is not None)
