"""Slots in the two ends of a short piece: by plane geometry (shapely), the web is left between them.

The piece and its slots are drawn from the typed sizes and the key's own numbers; the planner is asked
for the centres and the depth of cut only.
"""

from __future__ import annotations

from math import cos, pi, radians, sin, sqrt, tan

import pytest
from shapely import affinity
from shapely.geometry import Polygon

from domain.faces.face import LONG, MatingFace
from domain.faces.region import Region
from domain.notes import NoteCode
from domain.planning.footprint import farthest_centre
from domain.planning.planner import plan_joint
from domain.planning.plans import JointPlan, SectionPlan
from domain.spec.choices import Entry
from tests.domain.builders import codes, expanded, frame, polygon
from tests.published.trade import EXACT, LARGE, SECTIONS

WEB = EXACT.web.mm


def slot_from_end(centre: float, plan: SectionPlan, angle: float) -> Polygon:
    """A slot in a piece lying along x with its long point at the origin and its wood at y ≥ 0, in plan."""
    slope = tan(radians(plan.section.flank))
    tip, deep = plan.cutter.tip_diameter, plan.projection
    mouth = tip - 2 * deep * slope
    # before turning: the mitre line along x, the wood behind it at y < 0
    flat = Polygon([(-mouth / 2, 0), (mouth / 2, 0), (tip / 2, -deep), (-tip / 2, -deep)])
    along_line = affinity.translate(flat, centre, 0)
    return affinity.rotate(along_line, angle, origin=(0, 0))


def web_left(joint: JointPlan, long_point: float) -> float:
    """The least wood between the slots of the two ends of a piece of this long-point length."""
    plan = joint.plan
    assert plan is not None
    angle = joint.joint.face.angle
    here = [slot_from_end(centre, plan, angle) for centre in plan.centres]
    there = [affinity.scale(slot, xfact=-1, origin=(long_point / 2, 0)) for slot in here]
    return min(one.distance(other) for one in here for other in there)


@pytest.mark.parametrize(
    ("sides", "opening"),
    [(sides, opening) for sides in (3, 5, 6, 8, 12) for opening in (5, 10, 20, 30, 40, 60, 80)],
)
def test_slots_of_a_small_polygons_sides_keep_the_web(sides: int, opening: float) -> None:
    (joint,) = expanded(polygon(sides, opening, measure="opening")).joints
    long_point = (opening + 90) * tan(radians(180 / sides))
    planned = plan_joint(joint, SECTIONS, EXACT)
    for alternative in planned.alternatives:
        if alternative.plan is not None:
            assert web_left(_as_if(planned, alternative.plan), long_point) >= WEB - 0.01
        elif alternative.why_not is not None and alternative.why_not.code is NoteCode.PIECE_TOO_SHORT:
            assert long_point < LONG + 90


@pytest.mark.parametrize("height", [95, 100, 110, 130])
def test_slots_of_a_narrow_rectangles_short_sides_keep_the_web(height: float) -> None:
    (joint,) = expanded(frame(height=height)).joints
    planned = plan_joint(joint, SECTIONS, EXACT)
    assert planned.plan is not None
    assert web_left(planned, height) >= WEB - 0.01


@pytest.mark.parametrize("angle", [45.0, 60.0, 75.0])
def test_the_farthest_centre_leaves_just_the_web(angle: float) -> None:
    section = SECTIONS[-1]
    tip, deep, length = section.tip_diameter.mm, section.half_depth.mm + 0.2, 90.0
    face = MatingFace(Region(45.0, 20.0), angle, (Entry.BACK, Entry.FRONT), long_point=length)
    far = farthest_centre(face, tip, deep, WEB)
    # the corner of the slot's floor that lies farthest along the piece
    reach = (far + tip / 2) * cos(radians(angle)) + deep * sin(radians(angle))
    assert length - 2 * reach == pytest.approx(WEB, abs=1e-9)


def test_a_piece_too_short_for_a_section_says_so_and_by_how_much() -> None:
    thick = {"width": 45, "thickness": 40}
    (joint,) = expanded(polygon(12, 5, measure="opening", stock=thick)).joints
    planned = plan_joint(joint, [LARGE], EXACT)
    assert planned.plan is None
    assert NoteCode.PIECE_TOO_SHORT in codes(planned.notes)


def test_a_long_piece_has_the_same_face_whatever_its_length() -> None:
    faces = {expanded(frame(width=width)).joints[0].face for width in (300, 400, 500)}
    assert len(faces) == 1
    assert sqrt(2) * 45 == pytest.approx(faces.pop().breadth)


def _as_if(planned: JointPlan, plan: SectionPlan) -> JointPlan:
    """The joint as if this alternative had been chosen."""
    return JointPlan(planned.joint, plan, (), None, (), ())


def test_a_piece_as_long_as_the_note_asks_takes_the_slots_and_a_shorter_one_does_not() -> None:
    # a regular polygon's side is the width across its flats times tan(180°/n); its opening is 2·W less
    stock = {"width": 40, "thickness": 30}

    def plan(long_point: float) -> JointPlan:
        across = long_point / tan(pi / 12) - 2 * stock["width"]
        (joint,) = expanded(polygon(12, across, measure="opening", stock=stock)).joints
        return plan_joint(joint, [LARGE], EXACT)

    (asked,) = [note for note in plan(23).notes if note.code is NoteCode.PIECE_TOO_SHORT]
    needed = dict(asked.figures)["needed"]
    assert isinstance(needed, float)
    assert plan(needed + 0.01).plan is not None
    assert plan(needed - 0.1).plan is None
