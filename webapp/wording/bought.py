"""What a project buys, in words: keys and plugs with their counts, glue, and how they were counted."""

from __future__ import annotations

from dataclasses import dataclass

from domain.lengths import format_mm
from domain.spec.rules import Rules
from domain.takeoff.takeoff import FasteningCount, KeyCount, PlugCount, Totals


@dataclass(frozen=True, slots=True)
class BoughtWords:
    """A thing to buy; ``tests`` is None for what is never driven for a test: plugs and fastenings."""

    item: str
    used: int
    tests: int | None
    spare: int
    total: int

    @property
    def counts(self) -> tuple[str, str, str, str]:
        """Used, tests, spare and total as a row has them."""
        return (str(self.used), "" if self.tests is None else str(self.tests), str(self.spare), str(self.total))


def key_words(key: KeyCount) -> BoughtWords:
    """A key, named by millimetres as on its packet, in any project."""
    return BoughtWords(key.item, key.used, key.tests, key.spare, key.total)


def plug_words(plug: PlugCount) -> BoughtWords:
    """A plug, its height in millimetres as its section's name is."""
    item = f"{plug.material}, for section {plug.section}, {format_mm(plug.height)} mm high"
    return BoughtWords(item, plug.used, None, plug.spare, plug.total)


def fastening_words(fastening: FasteningCount) -> BoughtWords:
    """What holds the bare middles of long edges."""
    return BoughtWords(fastening.sort.words, fastening.used, None, fastening.spare, fastening.total)


def glue_words(totals: Totals) -> str:
    """Glue to buy: "19 g"."""
    return f"{totals.glue_to_buy} g"


def counting_words(rules: Rules) -> tuple[str, ...]:
    """How it was counted, a sentence each."""
    joints = "joint" if rules.test_joints == 1 else "joints"
    tests = (
        f"{rules.test_joints} test {joints} for every cutter, projection and wood, with the longest keys driven"
    )
    return (
        "Used: every joint that can be made, its slots, and the keys in each.",
        f"Tests: {tests if rules.test_joints else 'none'}.",
        f"Spare: {rules.spare * 100:g} % of what is used, rounded up for every item.",
        f"Glue: the mating faces of one side, {rules.glue_spread:g} g/m²; none goes into the slots.",
        "Keys and plugs are called by millimetres, section × length, as on their packets.",
    )
