"""Counting keys, plugs and glue.

used = Σ quantity × slots × stack; tests = test joints for every cutter, projection and wood, each with the
longest stack that is driven there; spares are a share of what is used, rounded up; glue = mating area of one
face × spread. The counting rules are common practice (no source); 100 to 200 g/m² is a usual spread for PVA
glue.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Mapping
from math import ceil

from domain.planning.plans import JointPlan
from domain.planning.set_up import Tried, set_ups, tried_with
from domain.spec.choices import Middle
from domain.spec.rules import Rules
from domain.takeoff.takeoff import AssemblyTakeoff, FasteningCount, KeyCount, PlugCount, Totals

KeyItem = tuple[str, float]
PlugItem = tuple[str, str, float]
Stack = tuple[float, ...]
"""The keys of one slot, in mm."""


class Counts:
    """Keys, plugs, fastenings, test joints and glue, gathered joint by joint over any number of assemblies."""

    def __init__(self, rules: Rules) -> None:
        self._rules = rules
        self._keys: Counter[KeyItem] = Counter()
        self._plugs: Counter[PlugItem] = Counter()
        self._tests: dict[Tried, Stack] = {}
        self._fastenings: Counter[Middle] = Counter()
        self._glued = 0.0

    def add(self, assembly: AssemblyTakeoff) -> None:
        """Count an assembly's joints; one that cannot be made is not counted."""
        for joint in assembly.joints:
            self._add(joint, assembly.expansion.wood)

    def _add(self, joint: JointPlan, wood: str | None) -> None:
        plan = joint.plan
        if plan is None:
            return
        times, name = joint.joint.quantity, plan.section.name
        stacks = Counter(slot.keys for slot in joint.slots)
        for keys, slots in stacks.items():
            for key in keys:
                self._keys[name, key] += times * slots
        plug = joint.joint.choices.plug
        if plug is not None:
            self._plugs[plug.material, name, plug.height.mm] += times * len(joint.slots)
        middle = joint.joint.choices.middle
        if middle is not None:
            self._fastenings[middle] += times * len(plan.fastenings)
        for milled in set_ups(joint, plan):
            tried = tried_with(milled.set_up, wood)
            for slot in joint.slots:
                self._tests[tried] = longer(self._tests.get(tried, ()), slot.keys)
        self._glued += times * joint.joint.face.mating_area

    @property
    def test_stacks(self) -> Mapping[Tried, Stack]:
        """What every test joint tries, and the keys that it takes: the longest stack driven there."""
        return self._tests

    def totals(self) -> Totals:
        """Everything counted so far, in catalogue order: by section, then length."""
        tests: Counter[KeyItem] = Counter()
        for tried, stack in self._tests.items():
            for key in stack:
                tests[tried.section, key] += self._rules.test_joints
        keys = tuple(
            KeyCount(section, length, used, tests[section, length], self._spare(used))
            for (section, length), used in sorted(self._keys.items(), key=lambda entry: _by_size(entry[0]))
        )
        plugs = tuple(
            PlugCount(material, section, height, used, self._spare(used))
            for (material, section, height), used in sorted(self._plugs.items())
        )
        fastenings = tuple(
            FasteningCount(sort, used, self._spare(used))
            for sort, used in sorted(self._fastenings.items())
            if used
        )
        return Totals(keys, plugs, self._glued / 1e6 * self._rules.glue_spread, fastenings)

    def _spare(self, used: int) -> int:
        # 0.05 × 20 is 1.0000000000000002 in binary; that is one spare, not two
        return ceil(round(used * self._rules.spare, 9))


def count(assemblies: Iterable[AssemblyTakeoff], rules: Rules) -> Totals:
    """Totals of these assemblies together: test joints that they share are counted once."""
    counts = Counts(rules)
    for assembly in assemblies:
        counts.add(assembly)
    return counts.totals()


def longer(one: Stack, other: Stack) -> Stack:
    """The longer of two stacks; of equal ones that with fewer keys, so in any order the same."""
    return max(one, other, key=lambda stack: (round(sum(stack), 6), -len(stack), stack))


def _by_size(item: KeyItem) -> tuple[int, float, str, float]:
    """Sections in order of their named width where the name is a number, else by name."""
    name, length = item
    try:
        return (0, float(name), name, length)
    except ValueError:
        return (1, 0.0, name, length)
