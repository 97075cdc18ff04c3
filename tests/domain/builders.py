"""Small builders: project files as people write them, and a key whose numbers can be worked by hand."""

from __future__ import annotations

import json
from typing import Any

from domain.assemblies.expand import expand
from domain.faces.face import Backing, MatingFace
from domain.faces.region import Region
from domain.notes import Note, NoteCode
from domain.parts import Expansion, Joint, JointKind, Panel
from domain.planning.planner import plan_joint
from domain.planning.plans import JointPlan, SectionPlan
from domain.problems import BadInput, path_text
from domain.project_file import read_project_file
from domain.spec.catalogue import Section
from domain.spec.choices import Entry, KeyChoices
from domain.spec.project import Project
from domain.spec.rules import Rules
from domain.takeoff.build import take_off
from domain.takeoff.document import takeoff_document
from domain.takeoff.takeoff import Takeoff
from tests.workshop import WORKSHOP

Json = dict[str, Any]

KEY: Json = {
    "name": "12",
    "waist": 8,
    "half_depth": 2,
    "flank": 45,
    "tip_diameter": 12,
    "lengths": [10, 16, 30],
    "drive_limit": 60,
    "stock_from": 10,
    "stock_to": 60,
}
"""At 45° tan θ is 1: overall width 8 + 2·2 = 12, snug projection (12 − 8)/2 = 2, mouth 12 − 2·2 = 8."""

EXACT: Json = {"preload": 0, "setting_step": 0}
"""Rules under which KEY's slot is 2 deep and 12 wide, and centres are not moved to the machine's steps."""


def section(**more: Any) -> Section:
    return Section.model_validate(KEY | more)


def rules(**more: Any) -> Rules:
    return Rules.model_validate(EXACT | more)


SMALL = section(name="8", waist=5, half_depth=1.5, tip_diameter=8, stock_from=5, stock_to=15)
LARGE = section(name="18", waist=14, half_depth=2, tip_diameter=18, stock_from=18, stock_to=40)


def project(*assemblies: Json, **more: Any) -> Json:
    return {"format": "dovetally-project", "version": 1, "name": "Test", "assemblies": list(assemblies)} | more


def frame(**more: Any) -> Json:
    stock = {"width": 45, "thickness": 20}
    sizes = {"measure": "outside", "width": 400, "height": 300}
    return {"kind": "mitred_frame", "mark": "A", "stock": stock} | sizes | more


def polygon(sides: int, across: float, **more: Any) -> Json:
    bare = {name: value for name, value in frame().items() if name not in {"width", "height"}}
    return bare | {"sides": sides, "across": across} | more


def railed(**more: Any) -> Json:
    bars = {"stile": 45, "top_rail": 45, "bottom_rail": 60}
    sizes = {"width": 600, "height": 720, "thickness": 20}
    return {"kind": "railed_frame", "mark": "A"} | sizes | bars | more


def box(**more: Any) -> Json:
    sizes = {"measure": "outside", "length": 280, "width": 180, "height": 90, "wall": 12}
    return {"kind": "box", "mark": "A", "corner": "mitre"} | sizes | more


def carcass(**more: Any) -> Json:
    sizes = {"width": 800, "height": 900, "depth": 350, "thickness": 18}
    return {"kind": "carcass", "mark": "A", "corner": "top_between"} | sizes | more


def single(**more: Any) -> Json:
    sizes = {"breadth": 40, "run": 20, "angle": 90, "behind": [60, 60]}
    return {"kind": "single_joint", "mark": "A"} | sizes | more


def read(*assemblies: Json, **more: Any) -> Project:
    return read_project_file(project(*assemblies, **more))


def expanded(assembly: Json, **keys: Any) -> Expansion:
    """An assembly taken apart; ``keys`` are the project's own choices."""
    return expand(read(assembly).assemblies[0], KeyChoices.model_validate(keys))


def refused(data: object) -> dict[str, str]:
    """What a bad project file is told: what is allowed, by path. Fails where nothing is refused."""
    try:
        read_project_file(data)
    except BadInput as refusal:
        return {path_text(problem.path): problem.text() for problem in refusal.problems}
    raise AssertionError("the file was taken as good")


def taken_off(*assemblies: Json, shop: tuple[Section, ...] = (), **more: Any) -> Takeoff:
    """A takeoff with KEY alone under the EXACT rules, unless told otherwise."""
    chosen = more.pop("rules", EXACT)
    return take_off(read(*assemblies, rules=chosen, **more), shop or (section(),), rules())


def demo_sections() -> tuple[Section, ...]:
    shop = json.loads((WORKSHOP / "shop.json").read_text(encoding="utf-8"))
    return tuple(Section.model_validate(one) for one in shop["sections"])


def demo_document(name: str) -> Json:
    data = json.loads((WORKSHOP / f"{name}.json").read_text(encoding="utf-8"))
    return takeoff_document(take_off(read_project_file(data), demo_sections(), Rules()))


def butt_joint(
    width: float,
    run: float,
    *,
    kind: JointKind = JointKind.BUTT,
    entries: tuple[Entry, ...] = (Entry.BACK,),
    backings: tuple[Backing, ...] = (),
    region: Region | None = None,
    **choices: Any,
) -> Joint:
    """A square joint on a face ``width`` across and ``run`` along the slot."""
    face = MatingFace(region or Region(width, run), 90.0, (Entry.BACK, Entry.FRONT), backings)
    return Joint("A-J1", kind, "corner", 1, ("A1", "A2"), face, entries, KeyChoices.model_validate(choices))


def planned(joint: Joint, *sections: Section, under: Rules | None = None) -> JointPlan:
    return plan_joint(joint, sections or (section(),), under or rules())


def made(joint: Joint, *sections: Section, under: Rules | None = None) -> SectionPlan:
    plan = planned(joint, *sections, under=under).plan
    assert plan is not None
    return plan


def codes(notes: tuple[Note, ...]) -> list[NoteCode]:
    return [note.code for note in notes]


def figures(notes: tuple[Note, ...], code: NoteCode) -> dict[str, float | str]:
    """The figures of the one note with this code, rounded to a micrometre."""
    (note,) = [one for one in notes if one.code is code]
    return {name: round(value, 3) if isinstance(value, float) else value for name, value in note.figures}


def member_lines(expansion: Expansion) -> list[tuple[object, ...]]:
    """mark, name, quantity, length, short length, width, thickness."""
    return [
        (
            one.mark,
            one.name,
            one.quantity,
            round(one.length, 3),
            None if one.short_length is None else round(one.short_length, 3),
            round(one.width, 3),
            round(one.thickness, 3),
        )
        for one in expansion.members
    ]


def panel_lines(expansion: Expansion) -> list[tuple[object, ...]]:
    """mark, name, quantity, length, width, thickness; of glazing 0 and the room in its rabbet."""
    return [
        (one.mark, one.name, one.quantity, round(one.length, 3), round(one.width, 3), round(one.thickness, 3))
        + (() if one.room is None else (round(one.room, 3),))
        for one in expansion.panels
    ]


def joint_lines(expansion: Expansion) -> list[tuple[object, ...]]:
    """mark, kind, quantity, members, angle, breadth, run."""
    return [
        (
            one.mark,
            one.kind.value,
            one.quantity,
            one.members,
            one.face.angle,
            round(one.face.breadth, 3),
            round(one.face.run, 3),
        )
        for one in expansion.joints
    ]


def assert_hangs_together(expansion: Expansion) -> None:
    """Sizes above nothing, marks once, joints between members that exist, a drawing within its bounds."""
    parts = expansion.parts
    marks = [part.mark for part in parts]
    assert set(marks) == {f"{expansion.mark}{number}" for number in range(1, len(parts) + 1)}
    for part in parts:
        thick = part.room if isinstance(part, Panel) and part.room is not None else part.thickness
        assert min(part.length, part.width, thick, part.quantity) > 0, part
    for member in expansion.members:
        assert member.short_length is None or 0 < member.short_length < member.length
    members = {member.mark for member in expansion.members}
    joints = [joint.mark for joint in expansion.joints]
    assert joints == [f"{expansion.mark}-J{number}" for number in range(1, len(joints) + 1)]
    for joint in expansion.joints:
        assert set(joint.members) <= members
        assert joint.quantity > 0
        assert joint.face.mating_area > 0
    elevation = expansion.elevation
    assert {outline.mark for outline in elevation.members} <= members
    assert {outline.mark for outline in elevation.panels} <= set(marks) - members
    assert {line.mark for line in elevation.joints} <= set(joints)
    points = [point for outline in (*elevation.members, *elevation.panels) for point in outline.points]
    points += [point for line in elevation.joints for point in (line.start, line.end)]
    for x, y in points:
        assert -1e-6 <= x <= elevation.width + 1e-6
        assert -1e-6 <= y <= elevation.height + 1e-6
