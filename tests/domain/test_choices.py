"""What the user pins: for the project, for an assembly, for one joint; the nearer word goes first."""

from __future__ import annotations

from typing import Any

import pytest

from domain.notes import NoteCode
from domain.spec.choices import Entry, KeyChoices
from tests.domain.builders import Json, box, codes, expanded, frame, project, refused, section, taken_off

PINS: list[tuple[str, Any, Any]] = [
    ("section", "12", "8"),
    ("count", 1, 2),
    ("entry", "front", "both"),
    ("plug", {"material": "oak", "height": 3}, {"material": "ash", "height": 2}),
    ("recess", 1, 2),
    ("middle", "tenons", "screws"),
]


def pinned(assembly: Json, field: str, **project_keys: Any) -> Any:
    (joint,) = expanded(assembly, **project_keys).joints
    return joint.choices.model_dump(mode="json")[field]


@pytest.mark.parametrize(("field", "far", "near"), PINS)
def test_every_choice_may_be_pinned_at_every_level(field: str, far: Any, near: Any) -> None:
    assert pinned(frame(), field) is None
    assert pinned(frame(), field, **{field: far}) == far
    assert pinned(frame(keys={field: far}), field) == far
    assert pinned(frame(joints={"A-J1": {field: far}}), field) == far


@pytest.mark.parametrize(("field", "far", "near"), PINS)
def test_the_nearer_pin_goes_before_the_farther(field: str, far: Any, near: Any) -> None:
    assert pinned(frame(keys={field: near}), field, **{field: far}) == near
    assert pinned(frame(joints={"A-J1": {field: near}}), field, **{field: far}) == near
    assert pinned(frame(keys={field: far}, joints={"A-J1": {field: near}}), field) == near


def test_levels_are_merged_field_by_field() -> None:
    one = frame(keys={"count": 2, "recess": 2}, joints={"A-J1": {"recess": 3}})
    (joint,) = expanded(one, section="12", count=1, recess=1).joints
    assert joint.choices == KeyChoices.model_validate({"section": "12", "count": 2, "recess": 3})


def test_a_pin_may_be_lifted_nearer_by() -> None:
    assert pinned(frame(joints={"A-J1": {"section": None}}), "section", section="12") is None


def test_a_joint_of_its_own_is_pinned_alone() -> None:
    top = {"material": "ash", "thickness": 3, "depth": 4, "down": 4}
    boxed = box(lid={"height": 30, "kerf": 2}, top=top, joints={"A-J2": {"recess": 2}})
    body, lid = expanded(boxed, recess=1).joints
    assert (body.choices.recess, lid.choices.recess) == (
        KeyChoices.model_validate({"recess": 1}).recess,
        KeyChoices.model_validate({"recess": 2}).recess,
    )


def test_a_pinned_entry_is_the_only_one_tried() -> None:
    (joint,) = expanded(frame(keys={"entry": "both"})).joints
    assert joint.entries == (Entry.BOTH,)
    (joint,) = expanded(box(keys={"entry": "bottom"})).joints
    assert joint.entries == (Entry.BOTTOM,)


@pytest.mark.parametrize(
    ("data", "path", "allowed"),
    [
        (
            project(frame(keys={"entry": "top"})),
            "assemblies[0].keys.entry",
            'here must be one of "back", "both", "front"',
        ),
        (
            project(box(keys={"entry": "back"})),
            "assemblies[0].keys.entry",
            'here must be one of "both", "bottom", "top"',
        ),
        (
            project(frame(joints={"A-J1": {"entry": "bottom"}})),
            "assemblies[0].joints.A-J1.entry",
            'here must be "back", "both", "front"',
        ),
        (
            project(frame(), frame(mark="B", joints={"A-J1": {"count": 1}})),
            "assemblies[1].joints.A-J1",
            "no such joint here; there is B-J1",
        ),
    ],
)
def test_a_pin_that_nothing_here_can_have_is_refused(data: Json, path: str, allowed: str) -> None:
    assert refused(data) == {path: allowed}


def test_a_projects_entry_is_passed_over_with_a_note_where_it_cannot_be() -> None:
    takeoff = taken_off(frame(stock={"width": 45, "thickness": 20}), keys={"entry": "top"})
    (joint,) = takeoff.assemblies[0].joints
    assert NoteCode.ENTRY_NOT_HERE in codes(joint.notes)
    assert {slot.entry for slot in joint.slots} == {Entry.BACK}


def test_pins_reach_the_planner() -> None:
    small = section(name="8", waist=5, half_depth=1.5, tip_diameter=8)
    pins = {"section": "8", "count": 1, "entry": "front", "recess": 1}
    takeoff = taken_off(frame(keys=pins), shop=(section(), small))
    (joint,) = takeoff.assemblies[0].joints
    assert joint.plan is not None
    assert (joint.plan.section.name, len(joint.slots)) == ("8", 1)
    assert (joint.slots[0].entry, joint.slots[0].recess) == (Entry.FRONT, 1)
