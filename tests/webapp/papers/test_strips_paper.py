"""Marking strips measured on the paper: the lines that the PDF draws against the takeoff, in millimetres."""

from __future__ import annotations

from itertools import pairwise
from typing import Any

import pytest

from domain.lengths import format_mm
from domain.planning.plans import JointPlan
from tests.webapp.papers.paper_samples import (
    DEMOS,
    Planned,
    Stroke,
    demo,
    printed,
    project,
    strokes_of,
    text_of,
    words_of,
)
from webapp.papers.kinds import DocumentKind, Paper
from webapp.papers.strips import OVERLAP, cuts_of, strips_data

TRUE = 0.05
"""How far a line on paper may be from where it belongs, in mm."""
TALL = 18.0
LONG: dict[str, Any] = {
    "kind": "single_joint",
    "mark": "L",
    "breadth": 1000,
    "run": 40,
    "behind": [80, 80],
    "angle": 60,
}
NARROW = {"kind": "single_joint", "mark": "B", "breadth": 6, "run": 20, "behind": [50, 50]}
SHAPES = {
    "hexagon": {"kind": "mitred_frame", "mark": "A", "measure": "outside", "sides": 6, "across": 420}
    | {"stock": {"width": 40, "thickness": 22}},
    "box": {
        "kind": "box",
        "mark": "A",
        "measure": "outside",
        "length": 280,
        "width": 180,
        "height": 90,
        "wall": 12,
    }
    | {"corner": "mitre"},
    "wide butt": {"kind": "single_joint", "mark": "A", "breadth": 240, "run": 44, "behind": [90, 90]},
}


def planned_of(name: str) -> Planned:
    return project(SHAPES[name]) if name in SHAPES else demo(name)


def joints_of(planned: Planned) -> list[JointPlan]:
    return [joint for assembly in planned[1].assemblies for joint in assembly.joints]


def strips_drawn(strokes: list[Stroke]) -> list[list[float]]:
    """Slot centres of every strip on the paper, from its heavy line at the tip or reference edge."""
    upright = [stroke for stroke in strokes if stroke.upright and abs(stroke.length - TALL) < TRUE]
    origins = [stroke for stroke in upright if stroke.weight > 1.5]
    centres = [stroke for stroke in upright if abs(stroke.weight - 0.5) < 0.01 and not stroke.dashed]
    found = []
    for origin in origins:
        row = [one for one in origins if one.page == origin.page and abs(one.start[1] - origin.start[1]) < TRUE]
        after = min((one.start[0] for one in row if one.start[0] > origin.start[0]), default=1e9)
        found.append(
            sorted(
                line.start[0] - origin.start[0]
                for line in centres
                if line.page == origin.page
                and abs(line.start[1] - origin.start[1]) < TRUE
                and origin.start[0] < line.start[0] < after
            )
        )
    return found


@pytest.mark.parametrize("paper", Paper)
@pytest.mark.parametrize("name", [*DEMOS, *SHAPES])
def test_every_slot_centre_is_where_the_takeoff_has_it(name: str, paper: Paper) -> None:
    planned = planned_of(name)
    drawn = strips_drawn(strokes_of(printed(DocumentKind.STRIPS, planned, paper)))
    wanted = [joint.plan.centres for joint in joints_of(planned) if joint.plan is not None]
    assert drawn
    for centres in wanted:
        assert any(
            len(strip) == len(centres)
            and all(abs(line - centre) <= TRUE for line, centre in zip(strip, centres, strict=True))
            for strip in drawn
        ), (centres, drawn)
    for strip in drawn:
        assert any(strip == pytest.approx(centres, abs=TRUE) for centres in wanted)


@pytest.mark.parametrize("paper", Paper)
def test_the_check_bar_is_100_mm_long(paper: Paper) -> None:
    strokes = strokes_of(printed(DocumentKind.STRIPS, demo("frame-set"), paper))
    level = [stroke for stroke in strokes if abs(stroke.start[1] - stroke.end[1]) < 1e-6 and stroke.weight == 1]
    bars = [stroke for stroke in level if 95 < stroke.length < 105]
    assert [round(bar.length, 2) for bar in bars] == [100.0]
    bar = bars[0]
    ticks = sorted(
        stroke.start[0]
        for stroke in strokes
        if stroke.upright and stroke.length < 7 and stroke.start[1] < bar.start[1] < stroke.end[1]
    )
    assert len(ticks) == 11
    assert all(after - before == pytest.approx(10, abs=TRUE) for before, after in pairwise(ticks))
    assert "Print at 100 %" in text_of(printed(DocumentKind.STRIPS, demo("frame-set"), paper))


def test_the_outline_of_a_strip_is_as_long_as_the_joint_line() -> None:
    planned = planned_of("hexagon")
    for joint, strip in zip(
        joints_of(planned), strips_data(planned[1], planned[0].units, Paper.A4)["strips"], strict=True
    ):
        assert strip["length"] == pytest.approx(joint.joint.face.breadth, abs=1e-4)


def test_strips_say_mark_section_stop_and_every_figure() -> None:
    planned = demo("frame-set")
    text = text_of(printed(DocumentKind.STRIPS, planned))
    for joint in joints_of(planned):
        plan = joint.plan
        assert plan is not None
        assert joint.depth_stop is not None
        assert f"{joint.joint.mark} ({joint.joint.quantity} ×)" in text
        assert f"section {plan.section.name}, {plan.cutter.kind.value}-fit cutter" in text
        assert f"depth stop {format_mm(joint.depth_stop, 2)} mm" in text
        assert all(format_mm(centre, 2) in text.split() for centre in plan.centres)


@pytest.mark.parametrize("paper", Paper)
def test_a_long_strip_goes_on_over_parts_that_meet_at_their_register_marks(paper: Paper) -> None:
    planned = project(LONG)
    plan = joints_of(planned)[0].plan
    assert plan is not None
    parts = strips_data(planned[1], planned[0].units, paper)["strips"]
    assert len(parts) > 1
    room = paper.height - 28
    start = 0.0
    found: dict[float, None] = {}
    for before, part in pairwise([None, *parts]):
        assert part["length"] <= room
        if before is not None:
            # the last mark of one part lies on the first mark of the next
            assert before["registers"][-1]["name"] == part["registers"][0]["name"]
            start += before["registers"][-1]["at"] - part["registers"][0]["at"]
        found |= dict.fromkeys(round(start + slot["at"], 3) for slot in part["slots"])
    assert sorted(found) == pytest.approx(sorted(plan.centres), abs=0.002)
    assert start + parts[-1]["length"] == pytest.approx(1000, abs=0.01)


@pytest.mark.parametrize("paper", Paper)
def test_nothing_of_a_long_strip_leaves_the_paper(paper: Paper) -> None:
    document = printed(DocumentKind.STRIPS, project(LONG), paper)
    for stroke in strokes_of(document):
        for x, y in (stroke.start, stroke.end):
            assert 0 < x < paper.height
            assert 0 < y < paper.width
    registers = [
        stroke for stroke in strokes_of(document) if stroke.upright and abs(stroke.length - TALL - 4) < TRUE
    ]
    assert len(registers) == 2 * (len(cuts_of(1000, paper.height - 28)) - 2)
    for word in words_of(document):
        assert word.left > 0
        assert word.right < paper.height


def test_cuts_leave_room_for_both_overlaps() -> None:
    for breadth in (10.0, 268.9, 269.0, 269.1, 700.0, 5000.0):
        cuts = cuts_of(breadth, 269.0)
        assert cuts[0] == 0
        assert cuts[-1] == pytest.approx(breadth)
        for low, high in pairwise(cuts):
            ends = (low > 0) + (high < breadth)
            assert high - low + ends * OVERLAP <= 269.0 + 1e-9


def test_a_joint_that_cannot_be_made_has_no_strip_and_says_so() -> None:
    planned = project(LONG, NARROW)
    text = text_of(printed(DocumentKind.STRIPS, planned))
    assert "No strip for B-J1: it cannot be made as it stands." in text
