"""The printed joint schedule against the takeoff, read back as a person would: line by line."""

from __future__ import annotations

import re
from itertools import pairwise
from typing import Any

import pytest

from domain.lengths import Units, format_inches, format_mm
from domain.planning.plans import JointPlan
from tests.webapp.papers.paper_samples import DEMOS, Planned, Word, demo, printed, project, text_of, words_of
from webapp.papers.kinds import DocumentKind, Paper
from webapp.papers.schedule import schedule_data

NARROW = {"kind": "single_joint", "mark": "B", "breadth": 6, "run": 20, "behind": [50, 50]}
FRAME: dict[str, Any] = {
    "kind": "mitred_frame",
    "mark": "A",
    "measure": "outside",
    "width": 400,
    "height": 300,
    "stock": {"width": 45, "thickness": 20},
}


def row_of(words: list[Word], mark: str, below: float = 6.0) -> str:
    """What stands beside a joint's mark in the table, its second line included."""
    for one in words:
        if one.text == mark:
            row = [
                word
                for word in words
                if word.page == one.page and one.top - 1 < word.top < one.top + below and word.left >= one.left - 1
            ]
            line = " ".join(word.text for word in sorted(row, key=lambda word: (round(word.top), word.left)))
            if " to " in line:
                return line
    raise AssertionError(f"no row for {mark}")


def coarse(mm: float, units: Units) -> str:
    return format_mm(mm, 2) if units is Units.MM else format_inches(mm)


def fine(mm: float, units: Units) -> str:
    return format_mm(mm, 2) if units is Units.MM else f"{mm / 25.4:.3f}"


def figures(joint: JointPlan, units: Units) -> list[str]:
    plan = joint.plan
    assert plan is not None
    assert joint.depth_stop is not None
    machine = (plan.projection, plan.depth, joint.depth_stop, plan.recess, plan.cutter.tip_diameter, *plan.centres)
    return [
        str(joint.joint.quantity),
        " to ".join(joint.joint.members),
        plan.section.name,
        plan.cutter.kind.value,
        joint.slots[0].entry.value,
        " + ".join(format_mm(key) for key in plan.keys),
        coarse(plan.reach, units),
        f"{format_mm(100 * plan.hold, 1)} %",
        *(fine(mm, units) for mm in machine),
    ]


@pytest.mark.parametrize("paper", Paper)
@pytest.mark.parametrize("name", DEMOS)
def test_every_joint_has_its_row_with_every_figure(name: str, paper: Paper) -> None:
    planned = demo(name)
    units = planned[0].units
    words = words_of(printed(DocumentKind.SCHEDULE, planned, paper))
    for assembly in planned[1].assemblies:
        for joint in assembly.joints:
            row = row_of(words, joint.joint.mark)
            missing = [figure for figure in figures(joint, units) if figure not in row]
            assert missing == [], row


@pytest.mark.parametrize("name", DEMOS)
def test_every_part_place_face_and_note_is_on_it(name: str) -> None:
    planned = demo(name)
    units = planned[0].units
    text = text_of(printed(DocumentKind.SCHEDULE, planned))
    for assembly in planned[1].assemblies:
        for part in assembly.expansion.parts:
            for words in (part.mark, part.name, *(coarse(mm, units) for mm in (part.length, part.width))):
                assert words in text
        for joint in assembly.joints:
            face = joint.joint.face
            assert (
                f"{coarse(face.breadth, units)} × {coarse(face.run, units)} {units.value}, {face.angle:.4g}°"
                in text
            )
            assert joint.joint.place in text
            assert all(note.text(units) in text for note in joint.notes)


def test_drawings_are_lettered_in_words_that_can_be_found() -> None:
    words = words_of(printed(DocumentKind.SCHEDULE, demo("frame-set")))
    # the elevation of the first frame: its two outside sizes, drawn, and its joints' marks
    drawn = [word.text for word in words if word.page == 0 and word.left < 100]
    members = demo("frame-set")[1].assemblies[0].expansion.members
    assert {format_mm(member.length, 2) for member in members} <= set(drawn)
    assert drawn.count("J1") == 4


def test_an_unmakeable_joint_is_printed_and_stands_out() -> None:
    planned = project(FRAME, NARROW)
    document = printed(DocumentKind.SCHEDULE, planned)
    row = row_of(words_of(document), "B-J1")
    assert "Cannot be made as it stands" in row
    text = text_of(document)
    assert "1 of 2 joints cannot be made as they stand; they are not counted." in text
    joint = planned[1].assemblies[1].joints[0]
    assert joint.plan is None
    assert all(note.text() in text for note in joint.notes)
    assert "Cannot be made" not in row_of(words_of(document), "A-J1")


@pytest.mark.parametrize("kind", DocumentKind)
def test_an_empty_project_says_so(kind: DocumentKind) -> None:
    text = text_of(printed(kind, project()))
    said = {
        DocumentKind.SCHEDULE: "There are no joints to show.",
        DocumentKind.SET_UPS: "There are no slots to mill.",
        DocumentKind.SETTING_OUT: "There are no pieces to set out.",
        DocumentKind.ASSEMBLY: "There is nothing to put together.",
        DocumentKind.MEMBERS: "There are no members to list.",
        DocumentKind.CUTTING: "There is nothing to cut.",
        DocumentKind.KEYS: "No keys are needed.",
        DocumentKind.LABELS: "There are no parts to label.",
        DocumentKind.STRIPS: "There are no slots to mark.",
        DocumentKind.MOVEMENT: "The project tells no climate, so movement is not reckoned.",
    }
    assert said[kind] in text


def test_the_cautions_come_before_the_figures() -> None:
    words = words_of(printed(DocumentKind.SCHEDULE, demo("frame-set")))
    plan = next(word for word in words if word.text == "instruction.")
    first = next(word for word in words if word.text == "A-J1")
    assert plan.page == 0
    assert plan.top < first.top
    assert "manual" in text_of(printed(DocumentKind.SCHEDULE, demo("frame-set")))


def test_words_of_the_table_do_not_stand_on_each_other() -> None:
    for name in DEMOS:
        for paper in Paper:
            words = [word for word in words_of(printed(DocumentKind.SCHEDULE, demo(name), paper)) if word.text]
            rows: dict[tuple[int, int], list[Word]] = {}
            for word in words:
                rows.setdefault((word.page, round(word.top * 10)), []).append(word)
            for row in rows.values():
                row.sort(key=lambda word: word.left)
                assert all(before.right <= after.left + 0.2 for before, after in pairwise(row)), (name, row)


def test_joints_of_one_assembly_are_under_its_heading() -> None:
    planned: Planned = demo("hall-cabinet")
    words = words_of(printed(DocumentKind.SCHEDULE, planned))
    places = []
    for assembly in planned[1].assemblies:
        mark = assembly.expansion.mark
        heading = next(
            one for one, after in pairwise(words) if one.text == mark and after.text == "·" and one.left < 20
        )
        places.append((heading.page, heading.top))
        joint = next(one for one in words if one.text == f"{mark}-J1")
        assert (heading.page, heading.top) < (joint.page, joint.top)
    assert places == sorted(places)


@pytest.mark.parametrize("name", DEMOS)
def test_every_assembly_is_shown_together_and_apart(name: str) -> None:
    planned = demo(name)
    text = text_of(printed(DocumentKind.SCHEDULE, planned))
    # marks with their entry, as "J1 back", are on the pictorial of what is put together alone
    for assembly in planned[1].assemblies:
        for joint in assembly.joints:
            for slot in joint.slots:
                assert f"{joint.joint.mark.rpartition('-')[2]} {slot.entry.value}" in text
    data = schedule_data(*planned, Units.MM)
    for assembly in data["assemblies"]:
        together, apart = assembly["pictorials"]
        assert "put together" in together["alt"]
        assert "taken apart" in apart["alt"]


def test_how_the_other_member_is_slotted_stands_under_the_face() -> None:
    frames, cabinet = (
        text_of(printed(DocumentKind.SCHEDULE, demo(name))) for name in ("frame-set", "hall-cabinet")
    )
    joints = [joint for assembly in demo("frame-set")[1].assemblies for joint in assembly.joints]
    assert frames.count("The other member is its mirror image.") == len(joints)
    assert "The other member has the same slots in its face" in cabinet


@pytest.mark.parametrize("name", DEMOS)
def test_the_fit_is_shown_once_for_every_section_cutter_and_projection(name: str) -> None:
    planned = demo(name)
    plans = [joint.plan for assembly in planned[1].assemblies for joint in assembly.joints]
    settings = {(plan.section.name, plan.cutter, plan.projection) for plan in plans if plan is not None}
    text = text_of(printed(DocumentKind.SCHEDULE, planned))
    assert text.count("(snug at ") == len(settings)
    assert len(re.findall(r"A × \d+: (?:squeeze|gap) ", text)) == len(settings)
