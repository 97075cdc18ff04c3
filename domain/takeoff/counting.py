"""Counting keys, plugs and glue.

used = Σ quantity × slots × stack; tests = test joints for every set-up; spares are a share of what is
used, rounded up; glue = mating area of one face × spread. The counting rules are common practice (no
source); 100 to 200 g/m² is a usual spread for PVA glue.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Mapping
from math import ceil

from domain.planning.plans import JointPlan
from domain.planning.set_up import SetUp, set_ups
from domain.spec.rules import Rules
from domain.takeoff.takeoff import KeyCount, PlugCount, Totals

KeyItem = tuple[str, float]
PlugItem = tuple[str, str, float]


class Counts:
    """Keys, plugs, set-ups and glue, gathered joint by joint over any number of assemblies."""

    def __init__(self, rules: Rules) -> None:
        self._rules = rules
        self._keys: Counter[KeyItem] = Counter()
        self._plugs: Counter[PlugItem] = Counter()
        self._tests: dict[SetUp, Counter[KeyItem]] = {}
        self._glued = 0.0

    def add(self, joint: JointPlan) -> None:
        """Count a joint; one that cannot be made is not counted."""
        plan = joint.plan
        if plan is None:
            return
        times, name = joint.joint.quantity, plan.section.name
        stack = Counter((name, key) for key in plan.keys)
        for item, number in stack.items():
            self._keys[item] += times * len(joint.slots) * number
        plug = joint.joint.choices.plug
        if plug is not None:
            self._plugs[plug.material, name, plug.height.mm] += times * len(joint.slots)
        for set_up in set_ups(joint, plan):
            tests = self._tests.setdefault(set_up, Counter())
            # joints that share a set-up share its test joint; the longer stack is tried
            tests |= stack
        self._glued += times * joint.joint.face.mating_area

    @property
    def test_stacks(self) -> Mapping[SetUp, Counter[KeyItem]]:
        """The keys that one test joint of every set-up takes: the longest stack milled with it."""
        return self._tests

    def totals(self) -> Totals:
        """Everything counted so far, in catalogue order: by section, then length."""
        tests: Counter[KeyItem] = Counter()
        for stack in self._tests.values():
            for item, number in stack.items():
                tests[item] += number * self._rules.test_joints
        keys = tuple(
            KeyCount(section, length, used, tests[section, length], self._spare(used))
            for (section, length), used in sorted(self._keys.items(), key=lambda entry: _by_size(entry[0]))
        )
        plugs = tuple(
            PlugCount(material, section, height, used, self._spare(used))
            for (material, section, height), used in sorted(self._plugs.items())
        )
        return Totals(keys, plugs, self._glued / 1e6 * self._rules.glue_spread)

    def _spare(self, used: int) -> int:
        # 0.05 × 20 is 1.0000000000000002 in binary; that is one spare, not two
        return ceil(round(used * self._rules.spare, 9))


def count(joints: Iterable[JointPlan], rules: Rules) -> Totals:
    """Totals of these joints."""
    counts = Counts(rules)
    for joint in joints:
        counts.add(joint)
    return counts.totals()


def _by_size(item: KeyItem) -> tuple[int, float, str, float]:
    """Sections in order of their named width where the name is a number, else by name."""
    name, length = item
    try:
        return (0, float(name), name, length)
    except ValueError:
        return (1, 0.0, name, length)
