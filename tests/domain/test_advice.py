"""Advice: what is proposed makes the joint, costs no other, is the least that does, and comes smallest first."""

from __future__ import annotations

import copy
from collections.abc import Iterator
from random import Random
from typing import Any

import pytest

from domain.advice.advise import advised
from domain.advice.trying import carried_out
from domain.notes import NoteCode
from domain.planning.plans import JointPlan
from domain.problems import BadInput
from domain.project_file import read_project_file
from domain.proposals import Change, Proposal
from domain.spec.catalogue import Section
from domain.spec.rules import Rules
from domain.takeoff.build import take_off
from domain.takeoff.document import takeoff_document
from domain.takeoff.takeoff import Takeoff
from tests.domain.builders import (
    EXACT,
    Json,
    box,
    carcass,
    demo_sections,
    frame,
    project,
    railed,
    section,
    single,
)
from tests.published.assorted import assorted
from tests.torture import torture

WORKSHOP = demo_sections()
TOP = {"material": "plywood", "thickness": 3, "depth": 3, "down": 4}


def told(
    *assemblies: Json, sections: tuple[Section, ...] = WORKSHOP, under: Rules | None = None, **more: Any
) -> Takeoff:
    spec = read_project_file(project(*assemblies, **more))
    using = under or Rules()
    return advised(spec, take_off(spec, sections, using), sections, using)


def joint_of(found: Takeoff, mark: str = "A-J1") -> JointPlan:
    return next(one for each in found.assemblies for one in each.joints if one.joint.mark == mark)


def says(proposals: tuple[Proposal, ...]) -> list[str]:
    return [one.says.text() for one in proposals]


def changed(document: Json, changes: list[Json]) -> Json:
    """The document with changes put at their paths, as any reader of the open JSON would put them."""
    for change in changes:
        *way, last = [int(step) if step.isdigit() else step for step in change["path"].split("/")[1:]]
        place: Any = document
        for step in way:
            place = place[step] if isinstance(step, int) else place.setdefault(step, {})
        place[last] = change["value"]
    return document


def made_in(document: Json, sections: tuple[Section, ...] = WORKSHOP) -> set[str]:
    """The joints of a project file that can be made."""
    found = takeoff_document(take_off(read_project_file(document), sections, Rules()))
    return {joint["mark"] for each in found["assemblies"] for joint in each["joints"] if joint["section"]}


def assert_advice_works(assembly: Json, **more: Any) -> int:
    """Every ``nearest`` of the assembly carried out makes its joint, every ``near`` betters its own; none is lost.

    How many there were. ``more``: the project's own rules, say.
    """
    before, proposed = held_in(project(assembly, **more)), 0
    document = takeoff_document(told(assembly, **more))
    for joint in document["assemblies"][0]["joints"]:
        mark = joint["mark"]
        assert not (joint["section"] and "nearest" in joint)
        for proposal in (*joint.get("nearest", ()), *joint.get("near", ())):
            after = held_in(changed(_copy(assembly, **more), proposal["changes"]))
            assert set(after) >= set(before) | {mark}, (assembly, more, proposal)
            if "near" in joint:
                assert gains(before[mark], after[mark]), (assembly, more, proposal)
            for change in proposal["changes"]:
                if change["path"].startswith("/rules/") and change["path"] != "/rules/cross_grooves":
                    assert change["value"] >= LEAST[change["path"]]
            proposed += 1
    return proposed


LEAST = {
    "/rules/wall": 1.5,
    "/rules/short_grain_wall": 2.0,
    "/rules/sheet_wall": 1.8,
    "/rules/skin": 1.0,
    "/rules/web": 1.5,
}
"""Below these no rule is ever loosened."""
Held = tuple[int, float, float]


def held_in(document: Json) -> dict[str, Held]:
    """The joints of a project file that can be made: rows, width of the section, hold."""
    found = take_off(read_project_file(document), WORKSHOP, Rules())
    return {
        joint.joint.mark: (joint.plan.count, joint.plan.section.overall_width, joint.plan.hold)
        for each in found.assemblies
        for joint in each.joints
        if joint.plan is not None
    }


def gains(before: Held, after: Held) -> bool:
    """A row or a larger section with no less hold, or more hold with no row less."""
    (rows, width, hold), (rows_now, width_now, hold_now) = before, after
    return (hold_now >= hold - 1e-6 and (rows_now, width_now) > (rows, width)) or (
        rows_now >= rows and hold_now > hold + 0.04
    )


def _copy(assembly: Json, **more: Any) -> Json:
    return project(_deep(assembly), **_deep(more))


def _deep(value: Any) -> Any:
    if isinstance(value, dict):
        return {name: _deep(each) for name, each in value.items()}
    return [_deep(each) for each in value] if isinstance(value, list) else value


# --- figures worked by hand ------------------------------------------------------------------------


def test_a_carcass_too_thin_for_any_key_is_told_the_wood_that_the_smallest_needs() -> None:
    # section 7, mouth and fat end of its slot 7.04 wide, the side's short grain 2.5 and a wall of 2: 11.54
    found = told(carcass(width=300, height=400, depth=120, thickness=10))
    for mark in ("A-J1", "A-J2"):
        (nearest,) = [one for one in joint_of(found, mark).nearest if one.changes[0].path == ("thickness",)]
        assert nearest == joint_of(found, mark).nearest[0]
        value = nearest.changes[0].value
        assert isinstance(value, float)
        assert 11.54 <= value <= 11.64
    assert not made_in(project(carcass(width=300, height=400, depth=120, thickness=10.26)))
    assert made_in(project(carcass(width=300, height=400, depth=120, thickness=11.54)))


@pytest.mark.parametrize(
    ("joint", "words"),
    [
        # 12 and two walls of 2: 16
        ({"breadth": 15, "run": 20}, "breadth 16 mm"),
        ({"breadth": 13, "run": 20}, "breadth 16 mm"),
        # 10 + 0.3 + 1.5
        ({"breadth": 40, "run": 11}, "run 11.8 mm"),
        # twice 10.3 and the wall of 2
        ({"breadth": 40, "run": 22, "entry": "both", "keys": {"entry": "both"}}, "run 22.6 mm"),
        # the slot goes 2 deep, and a wall of 2 stays
        ({"breadth": 40, "run": 20, "behind": [3.5, 3.5]}, "wood behind both sides 4 mm"),
        ({"breadth": 40, "run": 20, "behind": [3.5, 60]}, "wood behind the first side 4 mm"),
    ],
)
def test_the_least_size_is_the_one_that_the_rules_come_to(joint: Json, words: str) -> None:
    found = told(single(**joint), sections=(section(),), under=Rules.model_validate(EXACT))
    assert words in says(joint_of(found).nearest)


def test_fewer_keys_another_section_and_another_entry_are_free_and_come_first() -> None:
    pinned = joint_of(told(frame(keys={"section": "20"})))
    assert says(pinned.nearest)[:3] == ["section 14", "section 10", "section 7"]
    assert pinned.nearest[0].changes == (Change(("joints", "A-J1", "section"), "14"),)
    sizes = [one for one in pinned.nearest if one.changes[0].path[0] != "joints"]
    assert sizes
    assert pinned.nearest[-len(sizes) :] == tuple(sizes)
    many = joint_of(told(frame(keys={"count": 9})))
    assert says(many.nearest)[0].startswith("keys across the joint ")


def test_the_cause_is_named_where_a_groove_is_it() -> None:
    bottom = {"fit": "groove", "thickness": 5, "depth": 5, "up": 6}
    lidded = box(lid={"height": 30, "kerf": 2, "lip": 6}, bottom=bottom, top=TOP)
    found = told(lidded, under=Rules())
    if joint_of(found).plan is None:
        assert "leaves 7 mm of 12 mm" in " ".join(note.text() for note in joint_of(found).notes)
    assert_advice_works(lidded)


def test_a_groove_that_may_be_moved_comes_before_thicker_wood_where_it_is_less() -> None:
    found = joint_of(told(box(wall=8)))
    assert says(found.nearest)[0] == "wall 10.8 mm"


def test_a_shaped_front_grows_with_its_stock() -> None:
    thin = frame(stock={"width": 20, "thickness": 8, "front": [[0, 8], [20, 6]]})
    (nearest, *_) = [one for one in joint_of(told(thin)).nearest if one.changes[0].path == ("stock", "thickness")]
    thickness, front = (one.value for one in nearest.changes)
    assert isinstance(thickness, float)
    assert front == [[0, thickness], [20, pytest.approx(thickness - 2)]]
    assert assert_advice_works(thin) >= 1


def test_an_inch_project_is_told_fractions() -> None:
    found = told(box(wall="3/8 in", length="10 in"), units="in")
    (nearest, *_) = joint_of(found).nearest
    assert nearest.changes == (Change(("wall",), 11.1125),)
    assert made_in(project(box(wall="7/16 in", length="10 in")))


def test_a_weak_joint_is_told_what_a_hair_of_wood_gains() -> None:
    # the 14's slot with its walls, that of short grain 2.5, needs 18.56 of a corner
    found = joint_of(told(carcass(depth=350, thickness=18.5)))
    (near,) = [one for one in found.near if one.changes[0].path == ("thickness",)]
    assert near.changes[0].value == 18.56
    assert near.says.text().startswith("thickness 0.06 mm more: ")
    after = joint_of(told(carcass(depth=350, thickness=18.56)))
    assert after.plan is not None
    assert found.plan is not None
    assert after.plan.hold >= found.plan.hold


def test_a_joint_that_holds_enough_is_told_nothing() -> None:
    found = told(single(run=30, breadth=60))
    assert joint_of(found).plan is not None
    for each in (one for assembly in found.assemblies for one in assembly.joints):
        if each.plan is not None and each.plan.hold >= 0.8:
            assert each.near == ()


def test_a_change_at_a_place_that_is_none_is_refused() -> None:
    spec = read_project_file(project(box())).assemblies[0]
    for path in (("wal",), ("wall", "depth"), ("joints", "A-J1", "colour")):
        with pytest.raises(BadInput):
            carried_out(spec, [Change(path, 3)])
    with pytest.raises(BadInput):
        carried_out(spec, [Change(("wall",), -3)])


# --- assemblies of all kinds ----------------------------------------------------------------------


def some(random: Random) -> Json:
    """An assembly of any kind, often too thin for its keys; figures of no project."""

    def size(low: float, high: float) -> float:
        return round(random.uniform(low, high), 1)

    kind = random.choice(("frame", "railed", "box", "carcass", "single"))
    if kind == "frame":
        stock: Json = {"width": size(14, 50), "thickness": size(8, 24)}
        if random.random() < 0.5:
            stock |= {"rabbet_width": size(3, 9), "rabbet_depth": size(3, 7)}
        return frame(stock=stock, sides=4, keys=pins(random, ("back", "front", "both")))
    if kind == "railed":
        panel = {"fit": "groove", "depth": size(4, 10), "width": size(3, 7), "thickness": 6}
        bars = {name: size(12, 60) for name in ("stile", "top_rail", "bottom_rail")}
        return railed(thickness=size(9, 24), panel=panel, keys=pins(random, ("back", "front")), **bars)
    if kind == "box":
        bottom = {"fit": random.choice(("groove", "rabbet")), "thickness": size(3, 6), "depth": size(2.5, 6)}
        lid = {"lid": {"height": size(25, 40), "kerf": 2, "lip": 5}, "top": TOP} if random.random() < 0.5 else {}
        corner = random.choice(("mitre", "butt"))
        return box(wall=size(8, 18), bottom=bottom | {"up": size(3, 9)}, corner=corner, **lid)
    if kind == "carcass":
        back = {"fit": "groove", "thickness": 6, "depth": size(4, 8), "inset": size(4, 14)}
        return carcass(thickness=size(9, 22), depth=size(60, 400), back=back, shelves=[300], keys=pins(random, ()))
    return single(run=size(6, 30), breadth=size(10, 60), behind=[size(4, 30), size(4, 30)])


def pins(random: Random, entries: tuple[str, ...]) -> Json:
    pinned: Json = {}
    if random.random() < 0.3:
        pinned["section"] = random.choice(WORKSHOP).name
    if entries and random.random() < 0.3:
        pinned["entry"] = random.choice(entries)
    if random.random() < 0.2:
        pinned["count"] = random.randint(1, 4)
    return pinned


def thinned(random: Random) -> Json:
    """An assembly of any kind as people build them, in wood that is often too thin for its keys."""
    assembly = assorted(random.randrange(1_000_000))
    thin: Json = assembly.get("stock", assembly)
    for name in ("thickness", "wall", "stile", "top_rail", "bottom_rail", "mid_rail", "mid_stile", "run"):
        if name in thin:
            thin[name] = round(thin[name] * random.uniform(0.3, 0.8), 1)
    if "back" in assembly:
        assembly["back"]["depth"] = min(assembly["back"]["depth"], round(thin["thickness"] / 2, 1))
    for panel in ("bottom", "top"):
        if "depth" in assembly.get(panel, {}):
            assembly[panel]["depth"] = min(assembly[panel]["depth"], round(assembly["wall"] / 2, 1))
    return assembly


def some_rules(random: Random) -> Json:
    """Mostly the usual rules, else a project's own: stricter ones, some of them already at their floor."""
    if random.random() < 0.5:
        return {}
    walls = {"wall": random.choice((1.4, 1.5, 2, 2.6)), "skin": random.choice((0.9, 1.5, 2.2))}
    return {"rules": walls | {"web": random.choice((1.5, 2, 3)), "cross_grooves": random.random() < 0.5}}


def seen(seed: str, assemblies: int) -> Iterator[int]:
    random = Random(seed)
    for number in range(assemblies):
        assembly = some(random) if number % 2 else thinned(random)
        try:
            yield assert_advice_works(assembly, **some_rules(random))
        except BadInput:
            continue


def test_every_change_proposed_makes_its_joint() -> None:
    assert sum(seen("advice", 20)) >= 12


def test_slots_too_near_to_another_joint_s_are_freed_by_where_the_part_stands() -> None:
    """Worked in test_keeping_apart: the shelf is 1.773 mm too near to the top."""
    back = {"fit": "groove", "thickness": 4, "depth": 4, "inset": 9}
    near = carcass(corner="top_over", shelves=[863.9], back=back)
    found = told(near, sections=(section(),), under=Rules.model_validate(EXACT | {"web": 4}))
    shelf = joint_of(found, "A-J3")
    assert shelf.plan is None
    first, by_rule = says(shelf.nearest)
    assert first == "shelf 1 at 862.1 mm"
    # what is left of the way the slots are moved along their joint line
    assert by_rule.startswith("web between slots 2.3 mm by the project's rules")
    for web, made in ((2.4, False), (2.3, True)):
        again = told(near, sections=(section(),), under=Rules.model_validate(EXACT | {"web": web}))
        assert (joint_of(again, "A-J3").plan is not None) is made
    (change,) = shelf.nearest[0].changes
    assert change.path == ("shelves", 0)
    # no groove is to blame
    assert [note.code for note in shelf.notes].count(NoteCode.GROOVE_LEAVES) == 0


@pytest.mark.parametrize(
    ("spec", "words"),
    [
        (
            carcass(corner="top_over", shelves=[300, {"at": 863.9, "bay": 2}], partitions=[400]),
            "shelf 2 at 862.1 mm",
        ),
        (carcass(corner="top_between", partitions=[18.1]), "partition 1 at"),
        (railed(rows=[{"opening": "rest", "columns": [0.1, "rest"]}], mid_stile=18), "opening 1 of row 1"),
        (railed(columns=[{"opening": 0.1}, {"opening": "rest"}], mid_stile=18), "opening of column 1"),
    ],
    ids=["shelf in a bay", "partition", "opening in a row", "column"],
)
def test_whatever_stands_too_near_is_named_by_its_place(spec: Json, words: str) -> None:
    found = told(spec, sections=(section(),), under=Rules.model_validate(EXACT | {"web": 4}))
    near = [one for each in found.assemblies for one in each.joints if one.plan is None]
    assert near
    for joint in near:
        assert joint.notes[0].code is NoteCode.SLOTS_NEAR
        assert any(said.startswith(words) for said in says(joint.nearest)), says(joint.nearest)


def test_sizes_that_make_a_joint_only_together_are_said_together() -> None:
    """5 × 5 with 5 behind both sides: no size alone makes it, and no two of the three."""
    found = told(single(breadth=5, run=5, behind=[5, 5]))
    (nearest,) = joint_of(found).nearest
    assert {change.path[0] for change in nearest.changes} == {"behind", "run", "breadth"}
    document = project(single(breadth=5, run=5, behind=[5, 5]))
    sent: list[Json] = [
        {"path": change.pointer("assemblies", 0), "value": change.value} for change in nearest.changes
    ]
    assert made_in(changed(copy.deepcopy(document), sent)) == {"A-J1"}
    for left_out in ("behind", "run", "breadth"):
        fewer = [change for change in sent if left_out not in change["path"]]
        assert made_in(changed(copy.deepcopy(document), fewer)) == set(), left_out
    # and a tenth less of any one is not enough
    for less in sent:
        almost = [{**change, "value": change["value"] - 0.1} if change == less else change for change in sent]
        assert made_in(changed(copy.deepcopy(document), almost)) == set(), less["path"]


def test_choices_that_stand_in_the_way_together_are_let_go_together() -> None:
    found = told(carcass(keys={"section": "20", "count": 4}))
    for joint in found.assemblies[0].joints:
        assert says(joint.nearest) == ["section and keys across the joint left open"]
        mark = joint.joint.mark
        assert joint.nearest[0].changes == (
            Change(("joints", mark, "section"), None),
            Change(("joints", mark, "count"), None),
        )
    assert assert_advice_works(carcass(keys={"section": "20", "count": 4})) > 0


def test_rails_that_are_equal_are_each_told_of_their_own_size() -> None:
    found = told(railed(thickness=20, stile=60, top_rail=9, bottom_rail=9))
    top, bottom = (says(joint.nearest) for joint in found.assemblies[0].joints)
    assert top == ["top rail 11.6 mm", "rails 11.6 mm"]
    assert bottom == ["bottom rail 11.6 mm", "rails 11.6 mm"]


@torture
def test_every_change_proposed_makes_its_joint_in_hundreds() -> None:
    assert sum(seen("advice in hundreds", 600)) >= 400
