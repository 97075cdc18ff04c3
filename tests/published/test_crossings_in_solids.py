"""Slots that cross grooves: walls, panel and slots as solids, the panel's corner cut as the joint's note says.

A corner is built from typed sizes alone, and milled at the plan's own readings by a bit of this folder's. Space of
a corner: the first piece runs along X from the corner, its outside at Y = 0; the other along Y, outside at X = 0;
v upwards from the mating face's first edge. Solids are those of ``manifold3d``, a general-purpose library.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from math import sqrt
from random import Random
from typing import Any

import numpy as np
import pytest
from manifold3d import Manifold, OpType

from domain.assemblies.expand import expand
from domain.notes import NoteCode
from domain.planning.planner import plan_joint
from domain.planning.plans import JointPlan, SectionPlan, Slot
from domain.spec.catalogue import Section
from domain.spec.rules import Rules
from tests.domain.builders import box, carcass, demo_sections, read
from tests.published import trade
from tests.published.solids import Bit

FAR = 200.0
NOTHING = 1e-6
CROSSED = {NoteCode.CROSSES_MITRED, NoteCode.CROSSES_SQUARE}


@dataclass(frozen=True)
class Groove:
    """What is let into both walls: from the outside to its bottom, and along v from an edge."""

    bottom: float
    low: float
    high: float


@dataclass(frozen=True)
class Corner:
    """Two walls ``thick`` and ``run`` high, mitred or the second between others, with their groove."""

    thick: float
    run: float
    mitred: bool
    groove: Groove

    def walls(self) -> tuple[Manifold, Manifold]:
        """Both walls before a groove is cut."""
        if self.mitred:
            first = block((0, FAR), (0, self.thick), (0, self.run)).trim_by_plane((1, -1, 0), 0)
            return first, first.mirror((1, -1, 0))
        # the first runs through, the second ends at its inside
        first = block((0, FAR), (0, self.thick), (0, self.run))
        return first, block((0, self.thick), (self.thick, FAR), (0, self.run))

    def panel(self) -> Manifold:
        """The panel to the bottom of both grooves."""
        at = self.groove
        return block((at.bottom, FAR), (at.bottom, FAR), (at.low, at.high))

    def slot(self, slot: Slot, plan: SectionPlan, *, from_top: bool) -> Manifold:
        """Both halves of a slot, milled from the edge of its entry."""
        bit = Bit(plan.cutter.tip_diameter, plan.section.flank, plan.projection)
        radius = plan.cutter.tip_diameter / 2
        ends = [bit.stance().translate((0, start, 0)) for start in (-2 * radius, slot.depth - radius)]
        half = Manifold.batch_hull(ends)
        turn = sqrt(0.5)
        along = np.array([turn, turn, 0.0]) if self.mitred else np.array([1.0, 0.0, 0.0])
        into = np.array([turn, -turn, 0.0]) if self.mitred else np.array([0.0, 1.0, 0.0])
        start = along * slot.centre + (0.0 if self.mitred else np.array([0.0, self.thick, 0.0]))
        up = np.array([0.0, 0.0, -1.0 if from_top else 1.0])
        foot = start + np.array([0.0, 0.0, self.run if from_top else 0.0])
        halves = [half.transform(np.column_stack([along, up, sign * into, foot]).tolist()) for sign in (1, -1)]
        return halves[0] + halves[1]


def block(x: tuple[float, float], y: tuple[float, float], z: tuple[float, float]) -> Manifold:
    size = (x[1] - x[0], y[1] - y[0], z[1] - z[0])
    return Manifold.cube(size).translate((x[0], y[0], z[0]))


def nipped(corner: Corner, planned: JointPlan, *, less: float = 0.0) -> Manifold:
    """The panel with its corner cut as the notes say, ``less`` mm short of it."""
    panel, at = corner.panel(), corner.groove.bottom
    for note in planned.notes:
        figures = {name: value for name, value in note.figures if not isinstance(value, str)}
        if note.code is NoteCode.CROSSES_MITRED:
            leg = figures["across"] - less
            # what lies beyond the line from one edge to the other stays
            panel = panel.trim_by_plane((sqrt(0.5), sqrt(0.5), 0), (2 * at + leg) * sqrt(0.5))
        elif note.code is NoteCode.CROSSES_SQUARE:
            across, along = figures["across"] - less, figures["along"]
            panel = panel - block((at - 1, at + across), (at - 1, at + along), (-1, corner.run + 1))
    return panel


def crossing_joints(fields: dict[str, Any], sections: tuple[Section, ...], rules: Rules) -> Iterator[JointPlan]:
    """The planned joints of an assembly that cross a groove."""
    for joint in expand(read(fields).assemblies[0]).joints:
        planned = plan_joint(joint, sections, rules)
        if CROSSED & {note.code for note in planned.notes}:
            yield planned


def check(planned: JointPlan, rules: Rules) -> None:
    plan = planned.plan
    assert plan is not None
    face = planned.joint.face
    (void,) = face.region.crossable
    corner = Corner(face.region.width, face.run, face.angle == 45, Groove(void.x0, void.v0, void.v1))
    slots = [corner.slot(slot, plan, from_top=slot.entry is not face.ends[0]) for slot in planned.slots]
    milled = Manifold.batch_boolean(slots, OpType.Add)
    # the key in its slot and the panel in its groove do not meet, and a little less nip would not do
    assert (milled ^ nipped(corner, planned)).volume() == pytest.approx(0, abs=NOTHING)
    assert (milled ^ corner.panel()).volume() > 0
    assert (milled ^ nipped(corner, planned, less=0.21)).volume() > 0
    # nothing of the nip shows inside
    inside = block((corner.thick, FAR), (corner.thick, FAR), (-1, corner.run + 1))
    assert (nipped(corner, planned) ^ inside).volume() == pytest.approx((corner.panel() ^ inside).volume())
    # walls on both sides of the crossing: the slot and its walls stay in the wood that the groove leaves or is
    first, second = corner.walls()
    air = block((-FAR, FAR), (-FAR, FAR), (0, corner.run)) - (first + second)
    for slot in slots:
        for moved in towards_the_outsides(corner, rules.wall.mm - 1e-6):
            assert (slot.translate((*moved, 0.0)) ^ air).volume() < NOTHING
    # a slot ends in wood, with the skin between its end and the groove
    for slot in planned.slots:
        ends = (void.v0, void.v1)
        low, high = ends if slot.entry is face.ends[0] else (face.run - ends[1], face.run - ends[0])
        assert slot.depth <= low - rules.skin.mm + 1e-6 or slot.depth >= high + rules.skin.mm - 1e-6
        assert slot.depth + rules.skin.mm <= face.run + 1e-6


def towards_the_outsides(corner: Corner, by: float) -> list[tuple[float, float]]:
    """Ways that a slot may be moved ``by``, the wall, and still lie in wood."""
    return [(-by, 0.0), (0.0, -by)] if corner.mitred else [(-by, 0.0)]


ORDINARY = [
    (wall, depth, kind) for wall, depth in ((12, 5), (12, 4), (15, 5), (15, 4)) for kind in ("mitre", "butt")
]


@pytest.mark.parametrize(("wall", "depth", "kind"), ORDINARY)
@pytest.mark.parametrize("lid", [None, {"height": 30, "kerf": 3, "lip": 5}])
def test_ordinary_boxes_with_a_grooved_bottom_are_made(
    wall: float, depth: float, kind: str, lid: dict[str, float] | None
) -> None:
    bottom = {"fit": "groove", "thickness": 5, "depth": depth, "up": 6}
    fields = box(length=300, width=200, height=120, wall=wall, corner=kind, bottom=bottom)
    if lid is not None:
        fields |= {"lid": lid, "top": {"material": "oak", "thickness": 4, "depth": 4, "down": 4}}
    rules = Rules()
    for joint in expand(read(fields).assemblies[0]).joints:
        planned = plan_joint(joint, demo_sections(), rules)
        if lid is not None and wall == 12:
            # keys come from one edge only, and beside the groove there is room for none
            assert CROSSED & {note.code for note in planned.notes}
        assert planned.plan is not None
        assert planned.plan.hold >= 0.4
    for planned in crossing_joints(fields, demo_sections(), rules):
        check(planned, rules)


@pytest.mark.parametrize("fit", ["groove", "rabbet"])
@pytest.mark.parametrize("kind", ["mitre", "top_between"])
def test_a_carcass_crosses_the_groove_of_its_back(fit: str, kind: str) -> None:
    fields = carcass(corner=kind, depth=300, back={"fit": fit, "thickness": 6, "depth": 8, "inset": 17})
    found = list(crossing_joints(fields, demo_sections(), Rules()))
    assert found
    for planned in found:
        check(planned, Rules())


def test_random_corners_that_cross() -> None:
    rng, found = Random("crossings"), 0
    while found < 40:
        wall = trade.tenths(rng, 10, 24)
        fit = rng.choice(["groove", "groove", "rabbet"])
        bottom = {"fit": fit, "thickness": trade.tenths(rng, 3, 8), "depth": trade.tenths(rng, 3, wall / 2)}
        bottom["up"] = trade.tenths(rng, 3, 20)
        corner = rng.choice(["mitre", "butt"])
        fields = box(height=trade.tenths(rng, 60, 160), wall=wall, corner=corner, bottom=bottom)
        rules = trade.random_rules(rng).model_copy(update={"cross_grooves": True})
        for planned in crossing_joints(fields, (trade.SMALL, trade.MIDDLE, *demo_sections()), rules):
            check(planned, rules)
            found += 1


def test_a_shop_that_crosses_no_grooves_is_told_why_it_cannot() -> None:
    bottom = {"fit": "groove", "thickness": 5, "depth": 5, "up": 6}
    lid = {"height": 30, "kerf": 3, "lip": 5}
    top = {"material": "oak", "thickness": 4, "depth": 4, "down": 4}
    joint, _ = expand(read(box(wall=12, bottom=bottom, top=top, lid=lid)).assemblies[0]).joints
    rules = Rules.model_validate({"cross_grooves": False})
    assert plan_joint(joint, demo_sections(), rules).plan is None
    assert plan_joint(joint, demo_sections(), Rules()).plan is not None


def test_a_slot_that_need_not_cross_does_not() -> None:
    # 22 thick with a groove 4 deep: 18 are left, and beside the groove the keys hold what is wanted
    bottom = {"fit": "groove", "thickness": 5, "depth": 4, "up": 6}
    (joint,) = expand(read(box(wall=22, bottom=bottom)).assemblies[0]).joints
    planned = plan_joint(joint, demo_sections(), Rules())
    assert planned.plan is not None
    assert planned.plan.hold >= 0.8
    assert not CROSSED & {note.code for note in planned.notes}
