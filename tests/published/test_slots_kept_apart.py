"""Slots of different joints in one piece, milled as solids of ``manifold3d``: they keep the web, or it is said.

Slots lie where the drawn elevation has the joint's line; the piece they are milled into is the outline on that
side of it. Nothing of the program's bodies and seams is used, which it looks for clashes with.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from functools import lru_cache
from itertools import combinations
from math import radians, tan
from random import Random
from typing import Any

import numpy as np
import pytest
import shapely
from manifold3d import Manifold
from pydantic import TypeAdapter

from domain.assemblies.expand import expand
from domain.notes import Note, NoteCode
from domain.parts import Expansion, JointLine
from domain.planning.planner import plan_joint
from domain.planning.plans import JointPlan, SectionPlan
from domain.spec.assemblies import Assembly, Carcass, RailedFrame
from domain.spec.choices import Entry
from domain.spec.rules import Rules
from domain.takeoff.build import take_off_assembly
from tests.published import trade
from tests.published.crowded import crowded
from tests.torture import torture
from tests.webapp.drawings.drawing_samples import sections

ASSEMBLY: TypeAdapter[Assembly] = TypeAdapter(Assembly)
CLOSE = 1e-3
"""Single precision of a mesh, in mm, at a metre."""
SEGMENTS = 64


@dataclass(frozen=True)
class Milled:
    """A slot in a piece, the ``place``-th outline of the elevation; ``line`` is the ``line``-th joint's there."""

    joint: str
    line: int
    place: int
    mark: str
    along: Any
    breadth: float
    solid: Manifold


@lru_cache(maxsize=500)
def swept(tip_diameter: float, out: float, flank: float, depth: float, *, square: bool) -> Manifold:
    """What the bit mills from y = 0 on, its mouth in z = 0; ``square`` with the corners beside its round end."""
    tip = tip_diameter / 2
    mouth = tip - out * tan(radians(flank))
    bit = Manifold.cylinder(out, mouth, tip, SEGMENTS)
    stop = depth + tip if square else depth - tip
    whole = Manifold.batch_hull([bit.translate((0, -3 * tip, 0)), bit.translate((0, stop, 0))])
    return whole.trim_by_plane((0, 1, 0), 0).trim_by_plane((0, -1, 0), -depth)


def milled_at(
    expansion: Expansion, number: int, line: JointLine, planned: JointPlan, deep: float, *, square: bool = False
) -> Iterator[Milled]:
    """The slots of one joint in both of its pieces; a board that is less deep than ``deep`` is flush in front."""
    plan = planned.plan
    assert plan is not None
    start, end = (np.array([*point, 0.0]) for point in (line.start, line.end))
    along = (end - start) / np.linalg.norm(end - start)
    for normal in (np.array([along[1], -along[0], 0.0]), np.array([-along[1], along[0], 0.0])):
        near = shapely.Point((start + end)[:2] / 2 + 0.01 * normal[:2])
        (place,) = [
            index
            for index, outline in enumerate(expansion.elevation.members)
            if shapely.Polygon(outline.points).contains(near)
        ]
        for slot in planned.slots:
            forwards = slot.entry is Entry.BACK
            z = deep - planned.joint.face.run if forwards else deep
            ways = np.column_stack([along, [0, 0, 1 if forwards else -1], normal])
            middle = start + along * slot.centre + np.array([0, 0, z])
            bit = swept(plan.cutter.tip_diameter, plan.projection, plan.section.flank, slot.depth, square=square)
            # the bit is its own mirror image, so a left-handed frame of ways may be turned about
            if np.linalg.det(ways) < 0:
                ways[:, 0] = -ways[:, 0]
            solid = bit.transform(np.column_stack([ways, middle]).tolist())
            mark = expansion.elevation.members[place].mark
            yield Milled(line.mark, number, place, mark, along, planned.joint.face.breadth, solid)


def all_milled(expansion: Expansion, plans: Mapping[str, JointPlan], deep: float, *, square: bool) -> list[Milled]:
    return [
        slot
        for number, line in enumerate(expansion.elevation.joints)
        if plans[line.mark].plan is not None
        for slot in milled_at(expansion, number, line, plans[line.mark], deep, square=square)
    ]


def in_one_piece(slots: list[Milled]) -> Iterator[tuple[Milled, Milled]]:
    """Any two of different joints."""
    for one, other in combinations(slots, 2):
        if one.place == other.place and one.line != other.line:
            yield one, other


FAR = 10.0
"""As far as it is worth looking, mm."""


def gap(one: Milled, other: Milled) -> float:
    return solid_gap(one.solid, other.solid)


def solid_gap(one: Manifold, other: Manifold) -> float:
    """The wood between, or FAR where there is more."""
    here, there = np.reshape(one.bounding_box(), (2, 3)), np.reshape(other.bounding_box(), (2, 3))
    if max((there[0] - here[1]).max(), (here[0] - there[1]).max()) > FAR:
        return FAR
    return 0.0 if (one ^ other).volume() > 0 else float(one.min_gap(other, FAR))


def deep_of(spec: Assembly) -> float:
    if isinstance(spec, Carcass):
        return spec.depth.mm
    assert isinstance(spec, RailedFrame)
    return spec.thickness.mm


def figures(note: Note) -> dict[str, Any]:
    return dict(note.figures)


SEEDS = range(200)
RULES = [Rules(), Rules.model_validate({"web": 5}), Rules.model_validate({"setting_step": 0, "web": 0.7})]


@pytest.mark.parametrize("rest", range(8))
def test_every_two_slots_in_a_piece_keep_the_web_or_it_is_said(rest: int) -> None:
    seen: Counter[NoteCode] = Counter()
    for seed in SEEDS[rest::8]:
        seen += check(ASSEMBLY.validate_python(crowded(seed)), RULES[seed % 3])
    assert seen[NoteCode.SLOTS_MOVED]
    assert seen[NoteCode.SLOTS_NEAR]


@torture
def test_many_more_crowded_assemblies() -> None:
    for seed in range(200, 3_000):
        check(ASSEMBLY.validate_python(crowded(seed)), trade.random_rules(Random(seed)))


def check(spec: Assembly, rules: Rules) -> Counter[NoteCode]:
    takeoff = take_off_assembly(spec, sections(), rules)
    plans = {joint.joint.mark: joint for joint in takeoff.joints}
    for one, other in in_one_piece(all_milled(takeoff.expansion, plans, deep_of(spec), square=False)):
        assert gap(one, other) >= rules.web.mm - CLOSE, (one.joint, other.joint, one.mark)
    seen: Counter[NoteCode] = Counter()
    for joint in takeoff.joints:
        for note in joint.notes:
            if note.code in {NoteCode.SLOTS_MOVED, NoteCode.SLOTS_NEAR, NoteCode.IN_THE_WAY}:
                seen[note.code] += 1
        if joint.plan is None and joint.notes[0].code is NoteCode.SLOTS_NEAR:
            named_rightly(spec, joint, plans, rules)
    return seen


def named_rightly(spec: Assembly, refused: JointPlan, plans: Mapping[str, JointPlan], rules: Rules) -> None:
    """What is said of a clash is so: these slots, in this piece, this near, and apart when moved by so much."""
    said = figures(refused.notes[0])
    other = plans[said["other_text"]]
    assert any(
        note.code is NoteCode.IN_THE_WAY
        and figures(note)["other_text"] == refused.joint.mark
        and figures(note)["gap"] == said["gap"]
        for note in other.notes
    )
    (section,) = [each for each in sections() if each.name == said["section_text"]]
    both = {refused.joint.mark: plan_joint(refused.joint, [section], rules), other.joint.mark: other}
    expansion = expand(spec)
    slots: list[Milled] = []
    for number, line in enumerate(expansion.elevation.joints):
        if line.mark in both:
            slots += milled_at(expansion, number, line, both[line.mark], deep_of(spec), square=True)
    near = [
        pair
        for pair in in_one_piece(slots)
        if pair[0].mark == said["piece_text"] and {pair[0].joint, pair[1].joint} == set(both)
    ]
    least = min(gap(*pair) for pair in near)
    assert least == pytest.approx(said["gap"], abs=CLOSE)
    assert least < rules.web.mm
    assert said["part_text"] in {part for joint in (refused.joint, other.joint) for part in joint.members}
    assert said["way_text"] == "near"
    for one, two in near:
        mover, stays = (one, two) if said["part_text"] in parts_of(expansion, one.joint) else (two, one)
        plan = both[mover.joint].plan
        assert plan is not None
        own = [slack(plan, mover.breadth, sign, rules.setting_step.mm) for sign in (1, -1)]
        if mover.joint != refused.joint.mark:
            own = [0.0, 0.0]
        freed = [
            moved_gap(mover, stays, sign * (said["more"] + more)) for sign, more in zip((1, -1), own, strict=True)
        ]
        assert max(freed) >= rules.web.mm - CLOSE
        if gap(one, two) == least:
            away = (1, -1)[freed.index(max(freed))]
            short = moved_gap(mover, stays, away * (said["more"] + own[freed.index(max(freed))] - 0.11))
            assert short < rules.web.mm + CLOSE


def slack(plan: SectionPlan, breadth: float, sign: int, step: float) -> float:
    """How far the slots of a plan go one way within what is allowed and within reach, step by step."""
    moved, by = 0.0, step or 0.001
    while True:
        centres = [centre + sign * (moved + by) for centre in plan.centres]
        reach = max(centres[0], breadth - centres[-1])
        inside = all(any(low - 1e-6 <= each <= high + 1e-6 for low, high in plan.allowed) for each in centres)
        if not inside or reach > plan.section.reach_limit.mm + 1e-6:
            return moved
        moved += by


def parts_of(expansion: Expansion, mark: str) -> tuple[str, str]:
    (joint,) = [joint for joint in expansion.joints if joint.mark == mark]
    return joint.members


def moved_gap(mover: Milled, stays: Milled, by: float) -> float:
    return solid_gap(mover.solid.translate(tuple(mover.along * by)), stays.solid)


def test_unasked_the_slots_would_meet() -> None:
    """The check has teeth: planned joint by joint, without a look at the piece, the same assemblies clash."""
    clashes = 0
    for seed in range(20):
        spec = ASSEMBLY.validate_python(crowded(seed))
        expansion = expand(spec)
        plans = {joint.mark: plan_joint(joint, sections(), Rules()) for joint in expansion.joints}
        slots = all_milled(expansion, plans, deep_of(spec), square=False)
        clashes += any(gap(one, other) < Rules().web.mm - CLOSE for one, other in in_one_piece(slots))
    assert clashes > 5
