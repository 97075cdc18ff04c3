"""What jobs need: used, test joints and spares of every item, for one project or several together.

Common practice (no source): a cutter at a projection in a wood that several projects share is tested once for
all of them, with the most test joints that any of them asks for and the longest stack; spares are those that
each project's own list shows, so that the lists add up. Glue is summed in grams and then rounded up to whole
ones.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

from domain.ordering.items import GLUE, Item
from domain.planning.set_up import Tried
from domain.spec.rules import Rules
from domain.takeoff.counting import Counts, Stack, longer
from domain.takeoff.takeoff import AssemblyTakeoff, whole_grams


@dataclass(frozen=True, slots=True)
class Job:
    """A project to buy for: its assemblies taken off, and the rules it is counted by."""

    name: str
    assemblies: tuple[AssemblyTakeoff, ...]
    rules: Rules


@dataclass(frozen=True, slots=True)
class Need:
    """How much of an item is used, tried out on test joints, and bought to spare."""

    used: int
    tests: int = 0
    spare: int = 0

    @property
    def total(self) -> int:
        """All three together."""
        return self.used + self.tests + self.spare


@dataclass(frozen=True, slots=True)
class Needs:
    """Needs of jobs together, by item in order, and how many of each sharing saves in tests."""

    items: Mapping[Item, Need]
    tests_saved: Mapping[Item, int]


def project_needs(job: Job) -> Mapping[Item, Need]:
    """What one project needs by itself: the figures of its own list."""
    return needs_together([job]).items


def needs_together(jobs: Sequence[Job]) -> Needs:
    """What these projects need together, tests that they share counted once."""
    counted = [_count(job) for job in jobs]
    used: Counter[Item] = Counter()
    spare: Counter[Item] = Counter()
    alone: Counter[Item] = Counter()
    grams = 0.0
    for counts in counted:
        totals = counts.totals()
        for key in totals.keys:
            item = Item.key(key.section, key.length)
            used[item] += key.used
            spare[item] += key.spare
            alone[item] += key.tests
        for plug in totals.plugs:
            item = Item.plug(plug.material, plug.section, plug.height)
            used[item] += plug.used
            spare[item] += plug.spare
        grams += totals.glue_grams
    used[GLUE] = whole_grams(grams)
    tests = _shared_tests(zip(counted, jobs, strict=True))
    found = sorted((item for item in used if used[item]), key=lambda item: item.order)
    return Needs(
        {item: Need(used[item], tests[item], spare[item]) for item in found},
        {item: alone[item] - tests[item] for item in found if alone[item] > tests[item]},
    )


def with_wood(needs: Needs, wood: Mapping[Item, int]) -> Needs:
    """The needs with what the jobs' wood takes together, in the items' order."""
    if not wood:
        return needs
    items = {**needs.items, **{item: Need(count) for item, count in wood.items()}}
    ordered = sorted(items, key=lambda item: item.order)
    return Needs({item: items[item] for item in ordered}, needs.tests_saved)


def _count(job: Job) -> Counts:
    counts = Counts(job.rules)
    for assembly in job.assemblies:
        counts.add(assembly)
    return counts


def _shared_tests(counted: Iterable[tuple[Counts, Job]]) -> Counter[Item]:
    """Keys for test joints, each tried once, by the most test joints asked for."""
    joints: dict[Tried, int] = {}
    stacks: dict[Tried, Stack] = {}
    for counts, job in counted:
        for tried, stack in counts.test_stacks.items():
            joints[tried] = max(joints.get(tried, 0), job.rules.test_joints)
            stacks[tried] = longer(stacks.get(tried, ()), stack)
    tests: Counter[Item] = Counter()
    for tried, stack in stacks.items():
        for length in stack:
            tests[Item.key(tried.section, length)] += joints[tried]
    return tests
