"""Assembly orders replayed by translation, in solids of ``manifold3d`` (a general-purpose library).

The order comes from a search over blocking relations; here every step is carried out: what comes is moved along
its way from afar, step by step, and shares no wood with what stands there already. Keys then find their way in
free: a prism as wide and thick as the key before every slot's mouth meets nothing but the two pieces joined.
"""

from __future__ import annotations

from collections.abc import Iterator
from functools import cache
from math import dist
from typing import Any

import numpy as np
import pytest
from manifold3d import Manifold, OpType
from pydantic import TypeAdapter

from domain.assemblies.expand import expand
from domain.assembling.sheet import AssemblySheet, SheetStep, assembly_sheet
from domain.parts import Side, Single, Vector
from domain.planning.plans import JointPlan
from domain.space.bodies import Seam, bodies, seams
from domain.spec.assemblies import Assembly
from domain.spec.rules import Rules
from domain.takeoff.build import take_off_assembly
from domain.takeoff.takeoff import AssemblyTakeoff
from tests.domain.builders import demo_sections
from tests.published.assorted import assorted
from tests.published.test_bodies_in_solids import cut
from tests.torture import torture

ASSEMBLY: TypeAdapter[Assembly] = TypeAdapter(Assembly)
AWAY = (2000.0, 700.0, 300.0, 120.0, 60.0, 30.0, 16.0, 9.0, 5.0, 2.5, 1.0, 0.4, 0.0)
"""Where what comes is looked at, mm from its place: close together near it, where grooves are as wide."""
SHARED = 2.0
"""Wood (mm³) that counts as shared: a way is written to nine places, seen over two metres."""
SEEDS = range(60)
BOOKCASE = {
    "kind": "carcass", "mark": "A", "width": 2400, "height": 2200, "depth": 350, "thickness": 18,
    "corner": "top_between", "shelves": [200 + 180 * place for place in range(10)],
    "partitions": [500, 1000, 1500, 2000], "plinth": 80,
    "back": {"fit": "groove", "thickness": 6, "depth": 8, "inset": 17},
}  # fmt: skip
"""Sixty parts: two sides, top, bottom, plinth, four partitions, fifty shelves and a back."""


@cache
def made(seed: int) -> tuple[AssemblySheet, AssemblyTakeoff]:
    spec = ASSEMBLY.validate_python(BOOKCASE if seed < 0 else assorted(seed))
    takeoff = take_off_assembly(spec, demo_sections(), Rules())
    return assembly_sheet(spec, takeoff, Rules()), takeoff


def together(solids: dict[Single, Manifold], pieces: tuple[Single, ...]) -> Manifold:
    return Manifold.batch_boolean([solids[piece] for piece in pieces], OpType.Add)


def shared(one: Manifold, other: Manifold) -> float:
    return float((one ^ other).volume())


def moved(solid: Manifold, way: Vector, back: float) -> Manifold:
    unit = np.array(way) / np.linalg.norm(way)
    return solid.translate(tuple(float(part) for part in unit * -back))


def arrivals(step: SheetStep) -> Iterator[tuple[tuple[Single, ...], tuple[Single, ...], Vector]]:
    """What stands when something comes, what comes, and along which way."""
    there = step.base
    for each in step.coming:
        yield there, each.pieces, each.way
        there += each.pieces


@pytest.mark.parametrize("seed", [*SEEDS, -1])
class TestAssorted:
    def test_everything_goes_in_once_and_every_joint_is_closed_once(self, seed: int) -> None:
        found, takeoff = made(seed)
        assert not found.hindrances
        whole = {body.piece for body in found.bodies} - set(found.after)
        last = found.steps[-1]
        assert set(last.base).union(*(each.pieces for each in last.coming)) == whole
        for step in found.steps:
            pieces = [*step.base, *(piece for each in step.coming for piece in each.pieces)]
            assert len(pieces) == len(set(pieces))
        closed = sum(work.count for step in found.steps for work in step.joints)
        assert closed == len(takeoff.expansion.meetings)

    def test_what_a_step_joins_was_made_before(self, seed: int) -> None:
        found, _ = made(seed)
        there = {frozenset({body.piece}) for body in found.bodies}
        for step in found.steps:
            for pieces in (step.base, *(each.pieces for each in step.coming)):
                if not (step.held and pieces == step.base):
                    assert frozenset(pieces) in there
            there.add(frozenset({*step.base, *(piece for each in step.coming for piece in each.pieces)}))

    def test_nothing_runs_into_wood_on_its_way_in(self, seed: int) -> None:
        found, _ = made(seed)
        solids = {body.piece: cut(body) for body in found.bodies}
        for step in found.steps:
            for there, pieces, way in arrivals(step):
                standing, coming = together(solids, there), together(solids, pieces)
                for back in AWAY:
                    met = shared(moved(coming, way, back), standing)
                    assert met < SHARED, (step.number, pieces, way, back, met)

    def test_keys_find_their_way_in(self, seed: int) -> None:
        found, takeoff = made(seed)
        solids = {body.piece: cut(body) for body in found.bodies}
        plans = {plan.joint.mark: plan for plan in takeoff.joints}
        lines = {id(seam.meeting): seam for seam in seams(takeoff.expansion, found.bodies)}
        open_joints = list(takeoff.expansion.meetings)
        for step in found.steps:
            there = {*step.base, *(piece for each in step.coming for piece in each.pieces)}
            closed = [one for one in open_joints if {one.first.piece, one.second.piece} <= there]
            for meeting in closed:
                open_joints.remove(meeting)
                others = tuple(there - {meeting.first.piece, meeting.second.piece})
                if others:
                    wood = together(solids, others)
                    for key in ways_in(lines[id(meeting)], plans[meeting.joint]):
                        assert shared(key, wood) < SHARED, (step.number, meeting)
        assert not open_joints


@torture
def test_five_hundred_more_go_together() -> None:
    replay = TestAssorted()
    for seed in range(len(SEEDS), len(SEEDS) + 500):
        replay.test_everything_goes_in_once_and_every_joint_is_closed_once(seed)
        replay.test_nothing_runs_into_wood_on_its_way_in(seed)
        replay.test_keys_find_their_way_in(seed)
        made.cache_clear()


def behind_a_back(seed: int) -> bool:
    """Whether the back of this assembly stands in a rabbet, and keys before it go in from behind."""
    # asked while tests are gathered, in every process: nothing is planned for it
    return any(joint.face.closed for joint in expand(ASSEMBLY.validate_python(assorted(seed))).joints)


@pytest.mark.parametrize("seed", [seed for seed in SEEDS if behind_a_back(seed)])
def test_a_back_goes_in_after_the_keys_that_it_covers(seed: int) -> None:
    found, takeoff = made(seed)
    closed = {
        joint.joint.mark
        for joint in takeoff.joints
        if any(slot.entry is joint.joint.face.closed for slot in joint.slots)
    }
    assert closed
    (back,) = (body.piece for body in found.bodies if body.is_panel)
    (put_in,) = (step.number for step in found.steps for each in step.coming if each.pieces == (back,))
    for step in found.steps:
        assert step.number < put_in or not closed & {work.joint.joint.mark for work in step.joints}


def ways_in(seam: Seam, plan: JointPlan) -> Iterator[Manifold]:
    """Before every mouth a prism as wide as the key and twice its half depth thick, half a metre long."""
    if plan.plan is None:
        return
    for slot in plan.slots:
        mouth, inward = seam.mouth(slot.centre, Side(slot.entry.value))
        across = np.array(seam.along) * plan.plan.section.overall_width / 2
        through = np.array(seam.into) * plan.plan.section.half_depth.mm
        corners = [
            np.array(mouth) + one * across + two * through - out * np.array(inward)
            for one in (-1, 1)
            for two in (-1, 1)
            for out in (0.01, 500)
        ]
        yield Manifold.hull_points(np.array(corners))


def test_the_replay_sees_a_collision() -> None:
    # the checker has teeth: a box's bottom cannot come down into its groove once all walls stand
    bottom = {"fit": "groove", "thickness": 4, "depth": 4, "up": 8}
    spec = ASSEMBLY.validate_python(assorted(2) | {"bottom": bottom})
    takeoff = take_off_assembly(spec, demo_sections(), Rules())
    every = bodies(spec, takeoff.expansion)
    panel = next(body for body in every if body.is_panel)
    walls = together({body.piece: cut(body) for body in every}, tuple(b.piece for b in every if not b.is_panel))
    assert shared(moved(cut(panel), (0, -1, 0), 9.0), walls) > 100 * SHARED


def test_diagonals_are_what_a_tape_reads() -> None:
    # a rectangle's diagonal by its corners: nothing of the sheet's own
    fields: dict[str, Any] = {
        "kind": "mitred_frame", "mark": "A", "measure": "outside", "width": 480, "height": 360,
        "stock": {"width": 40, "thickness": 20},
    }  # fmt: skip
    spec = ASSEMBLY.validate_python(fields)
    found = assembly_sheet(spec, take_off_assembly(spec, demo_sections(), Rules()), Rules())
    last = found.steps[-1].diagonals
    assert last is not None
    assert last.length == pytest.approx(dist((0, 0), (480, 360)))
