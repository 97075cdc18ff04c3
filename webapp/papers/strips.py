"""Full-size marking strips: the slot centres of a joint line, to be laid on the stock.

Joints whose faces are marked alike share a strip. A strip longer than the paper is cut where a register
mark stands on both of its parts.
"""

from __future__ import annotations

from collections.abc import Iterator
from itertools import pairwise
from math import ceil

from domain.lengths import Units
from domain.planning.fit import mouth
from domain.planning.plans import JointPlan, SectionPlan
from domain.takeoff.takeoff import Takeoff
from webapp.papers.kinds import Paper
from webapp.papers.pictures import Json
from webapp.wording.joint import JointWords, MadeWords, driven_from, joint_words
from webapp.wording.words import notes_text

MARGIN = 14.0
"""Margin left and right of a strip's page, in mm; the paper lies on its side."""
OVERLAP = 10.0
"""What two parts of a strip share on either side of their register mark, in mm."""
PLACES = 4


def strips_data(takeoff: Takeoff, units: Units, paper: Paper) -> Json:
    """What the strips' template sets: places on a strip in mm, whatever the project's units."""
    room = paper.height - 2 * MARGIN
    found: dict[tuple[object, ...], list[JointPlan]] = {}
    failed = []
    for joint in (joint for assembly in takeoff.assemblies for joint in assembly.joints):
        if joint.plan is None:
            failed.append(joint)
        else:
            found.setdefault(_marked(joint, joint.plan), []).append(joint)
    return {
        "strips": [strip for joints in found.values() for strip in _strips(joints, units, room)],
        "failed": [{"mark": joint.joint.mark, "notes": list(notes_text(joint.notes, units))} for joint in failed],
        "notes": list(notes_text(takeoff.notes, units)),
    }


def _marked(joint: JointPlan, plan: SectionPlan) -> tuple[object, ...]:
    """Everything that is on a strip: joints that agree in it share one."""
    face = joint.joint.face
    ends = [plan.from_edge(edge) for edge in face.edges(plan.entry)]
    sunk = [figure for end in ends for figure in (end.depth, joint.stop_from(end.entry))]
    figures = (face.breadth, face.angle, plan.projection, *sunk, *plan.centres)
    driven = (driven_from(face, plan.entry), *(end.keys for end in ends))
    return (plan.section.name, plan.cutter, driven, *(round(figure, PLACES) for figure in figures))


def _strips(joints: list[JointPlan], units: Units, room: float) -> Iterator[Json]:
    joint, plan = joints[0], joints[0].plan
    if plan is None:
        return
    breadth, words = joint.joint.face.breadth, joint_words(joint, units)
    made = words.made
    if made is None:
        return
    cuts = cuts_of(breadth, room)
    parts = len(cuts) - 1
    for part, (start, end) in enumerate(pairwise(cuts), 1):
        low = start - (OVERLAP if part > 1 else 0.0)
        high = end + (OVERLAP if part < parts else 0.0)
        yield {
            "joints": [f"{one.joint.mark} ({one.joint.quantity} ×)" for one in joints],
            "names": ", ".join(one.joint.mark for one in joints),
            "section": plan.section.name,
            "stop": str(made.stop),
            "part": f"part {part} of {parts}" if parts > 1 else "",
            "facts": _facts(words, made),
            "origin": made.origin if part == 1 else "",
            "length": round(high - low, PLACES),
            "registers": [
                {"at": round(cut - low, PLACES), "name": chr(ord("a") + (cuts.index(cut) - 1) % 26)}
                for cut in cuts[1:-1]
                if low <= cut <= high
            ],
            "slots": [
                {
                    "at": round(centre - low, PLACES),
                    "half": round(mouth(plan.section, plan.cutter.tip_diameter, plan.projection) / 2, PLACES),
                    "figure": figure.bare,
                }
                for centre, figure in zip(plan.centres, made.centres, strict=True)
                if low <= centre <= high
            ],
        }


def cuts_of(breadth: float, room: float) -> list[float]:
    """Where a joint line is cut so that every part, with its overlaps, fits the room (mm): ends included.

    >>> cuts_of(60.0, 270.0), cuts_of(600.0, 270.0)
    ([0.0, 60.0], [0.0, 200.0, 400.0, 600.0])
    """
    parts = 1 if breadth <= room else ceil(breadth / (room - 2 * OVERLAP))
    return [breadth * part / parts for part in range(parts + 1)]


def _facts(words: JointWords, made: MadeWords) -> str:
    return (
        f"section {made.section}, {made.cutter} cutter · depth stop {made.stop} · projection {made.projection}"
        f" · keys {made.driven_keys} · joint line {words.breadth}, from the {made.origin}"
    )
