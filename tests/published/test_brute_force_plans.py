"""Whole joints: the planner against one that tries every stack and every choice of grid points."""

from __future__ import annotations

from itertools import pairwise
from random import Random

import pytest

from domain.assemblies.expand import expand
from domain.parts import Joint
from domain.planning.planner import plan_joint
from domain.planning.plans import CutterKind, SectionPlan
from domain.spec.catalogue import KeyEnd, Section
from domain.spec.choices import Entry
from domain.spec.rules import Rules
from tests.published import trade
from tests.published.brute_force import GRID, REACH_SLACK, BrutePlan, Trial, chosen, plan_by_brute_force
from tests.torture import torture

MAKERS = (
    trade.random_frame,
    trade.random_box,
    trade.random_carcass,
    trade.random_railed_frame,
    trade.random_single_joint,
)
BROADEST = 70.0
"""Joint lines longer than this have too many grid layouts to try in a test's time."""


def random_joint(rng: Random) -> Joint:
    while True:
        joint = rng.choice(expand(rng.choice(MAKERS)(rng)).joints)
        if joint.face.breadth <= BROADEST:
            return joint


def check_valid(joint: Joint, section: Section, plan: SectionPlan, rules: Rules) -> None:
    """The plan's own slots keep their wood by the plain check that the brute-force planner uses."""
    free = plan.cutter.kind is CutterKind.FREE
    trial = Trial(joint, section, rules, plan.entry, plan.cutter.tip_diameter, free=free)
    assert trial.fits_behind()
    assert all(after - before >= trial.pitch - 1e-6 for before, after in pairwise(plan.centres))
    ends = [(plan.from_edge(one.entry), one) for one in trial.by_end()]
    for end, from_there in ends:
        assert from_there.all_wood(plan.centres, end.depth)
        assert end.keys in from_there.stacks()
        assert end.depth <= from_there.deepest + 1e-6
        assert end.recess >= rules.least_recess.mm - 1e-6
        assert end.depth - sum(end.keys) - end.recess == pytest.approx(trial.past_end, abs=2e-6)
    if plan.entry is Entry.BOTH:
        assert sum(end.depth for end, _ in ends) <= joint.face.run - rules.wall.mm + 3e-6


def check_as_good(joint: Joint, section: Section, plan: SectionPlan, brute: BrutePlan) -> bool:
    """No grid layout is better by the order of preference; returns whether all figures could be compared."""
    if plan.count == brute.count:
        assert plan.hold >= brute.hold - 1e-9
    if plan.entry is not brute.entry or (plan.cutter.kind is CutterKind.FREE) is not brute.free:
        return False
    limit, total = section.reach_limit.mm, sum(plan.row)
    if brute.reach <= limit:
        assert plan.reach <= limit + 1e-6
        assert total >= brute.total - 1e-6
    if total != pytest.approx(brute.total) or plan.count != brute.count:
        # a row or a longer stack that fits between two grid points
        assert total > brute.total or plan.reach < brute.reach + REACH_SLACK
        return False
    assert plan.hold == pytest.approx(brute.hold)
    if plan.far is not None:
        # two depths only where one for both ends holds less
        assert plan.keys != plan.far.keys
        assert brute.keys != brute.far
        if (plan.keys, plan.far.keys) != (brute.keys, brute.far):
            return True
    # never beaten, and not better than the grid can explain: one step for each row and one for the end
    assert plan.reach <= brute.reach + 1e-6
    assert plan.reach >= brute.reach - (plan.count + 1) * GRID
    return True


def merits(plan: SectionPlan | BrutePlan | None) -> tuple[int, float]:
    """What a section is chosen by: its rows and its hold."""
    return (0, 0.0) if plan is None else (plan.count, round(plan.hold, 6))


def check_joint(rng: Random) -> tuple[int, int, int]:
    """How many sections fitted by brute force; were compared figure by figure; have a depth at each end."""
    joint = random_joint(rng)
    sections = [one.model_copy(update={"end": rng.choice(list(KeyEnd))}) for one in trade.SECTIONS]
    result = plan_joint(joint, sections, trade.EXACT)
    brute = plan_by_brute_force(joint, sections, trade.EXACT)
    fitted = compared = apart = 0
    for alternative in result.alternatives:
        plan, rival = alternative.plan, brute[alternative.section.name]
        if plan is not None:
            check_valid(joint, alternative.section, plan, trade.EXACT)
        if rival is not None:
            assert plan is not None
            fitted += 1
            compared += check_as_good(joint, alternative.section, plan, rival)
            apart += plan.far is not None
    if all(merits(one.plan) == merits(brute[one.section.name]) for one in result.alternatives):
        best = chosen(joint, sections, brute, trade.EXACT.hold_target)
        assert (None if result.plan is None else result.plan.section.name) == (
            None if best is None else best.section
        )
    return fitted, compared, apart


def check_joints(seed: str, joints: int) -> None:
    rng = Random(seed)
    counts = [check_joint(rng) for _ in range(joints)]
    fitted, compared, apart = (sum(column) for column in zip(*counts, strict=True))
    assert fitted > joints / 2
    assert apart > joints / 20
    assert compared > 0.9 * fitted


def test_random_joints() -> None:
    check_joints("brute", 40)


@torture
def test_many_random_joints() -> None:
    check_joints("torture brute", 600)
