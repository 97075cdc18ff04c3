"""The project's rules as sizes that may be changed: how far each may be loosened, and why no further.

A rule is loosened last, after everything that changes one assembly alone: it holds for the whole project. The
floors are common practice (no source), each somewhat under the usual value of its rule.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace

from domain.advice.sizes import DOWN, Size
from domain.advice.trying import Asked, Trying, rules_carried_out
from domain.lengths import Length
from domain.planning.plans import JointPlan
from domain.problem_codes import ProblemCode
from domain.problems import BadInput, Problem
from domain.proposals import RULES, Change, Proposal
from domain.spec.fields import as_number
from domain.spec.rules import Rules
from domain.takeoff.takeoff import AssemblyTakeoff


@dataclass(frozen=True, slots=True)
class Floor:
    """How little wood a rule may ask for, and what happens to less."""

    rule: str
    words: str
    least: Length
    why: str

    def size(self, rules: Rules) -> Size:
        """The rule as a size that may be made less."""
        return Size(((RULES, self.rule),), self.words, getattr(rules, self.rule), (DOWN,), self.least)


FLOORS = (
    Floor(
        "wall",
        "edge wood beside a slot",
        Length.from_mm(1.5),
        "less breaks out as the key pulls the joint shut",
    ),
    Floor(
        "short_grain_wall",
        "edge wood before a piece's end",
        Length.from_mm(2),
        "less short grain breaks off along the slot",
    ),
    Floor("sheet_wall", "edge wood in plywood and board", Length.from_mm(1.8), "less parts or crumbles"),
    Floor("skin", "skin over a slot's end", Length.from_mm(1), "a thinner skin is soon sanded through to the key"),
    Floor("web", "web between slots", Length.from_mm(1.5), "a thinner web breaks out under the cutter"),
)
CROSSING: Change = Change((RULES, "cross_grooves"), True)


@dataclass(frozen=True, slots=True)
class Loosened:
    """Changes of the rules that do, by how many mm, and their figures in words; None of a rule without a size."""

    apart: float
    changes: tuple[Change, ...]
    figures: Mapping[str, float | str] | None


def loosenings(trying: Trying, asked: Asked) -> Iterator[Loosened]:
    """The least change of each rule that does alone."""
    crossing = trying.of_rules(CROSSING)
    if not trying.rules.cross_grooves and asked(crossing):
        yield Loosened(0.0, crossing, None)
    floors = tuple(floors_of(trying.rules))
    lowest = trying.of_rules(*(Change((RULES, floor.rule), as_number(floor.least)) for floor in floors))
    if not floors or not asked.alone(lowest):
        # what all of them do not do together, none does
        return
    for floor in floors:
        size = floor.size(trying.rules)
        value = trying.least_coarse(size, DOWN, asked)
        if value is not None and asked(trying.changes(size, value)):
            figures: dict[str, float | str] = {
                "what_text": floor.words,
                "value": value.mm,
                "floor": floor.least.mm,
                "why_text": floor.why,
            }
            yield Loosened(size.value.mm - value.mm, trying.changes(size, value), figures)


def floors_of(rules: Rules) -> Iterator[Floor]:
    """The floors of the rules that lie above them."""
    yield from (floor for floor in FLOORS if getattr(rules, floor.rule) > floor.least)


def loosened(rules: Rules, changes: Sequence[Change]) -> Rules:
    """The same for changes that somebody sends: no rule but those that have a floor, and none below its own.

    Raises BadInput.
    """
    after, mine = rules_carried_out(rules, changes), {floor.rule: floor for floor in FLOORS}
    for name in type(rules).model_fields:
        was, value = getattr(rules, name), getattr(after, name)
        if value == was or name == CROSSING.path[1]:
            continue
        if name not in mine:
            raise BadInput([Problem.of((RULES, name), value, ProblemCode.NOT_A_FIELD)])
        least = min(mine[name].least, was)
        if value < least:
            raise BadInput([Problem.of((RULES, name), value.mm, ProblemCode.TOO_SMALL, least=least.mm)])
    return after


def changes_back(before: Rules, after: Rules) -> tuple[Change, ...]:
    """What makes the rules again what they were."""
    was, now = before.model_dump(mode="json"), after.model_dump(mode="json")
    return tuple(Change((RULES, name), value) for name, value in was.items() if now[name] != value)


def of_the_shop(rules: Rules) -> tuple[Change, ...]:
    """What a project without rules of its own must say besides, to go on with the shop's."""
    told = rules.model_dump(mode="json", exclude_defaults=True)
    return tuple(Change((RULES, name), value) for name, value in told.items())


def losing_none(
    assemblies: Sequence[AssemblyTakeoff], rules: Rules, again: Callable[[int, Rules], AssemblyTakeoff]
) -> tuple[AssemblyTakeoff, ...]:
    """The assemblies without such changes of ``rules`` as cost a joint of another one.

    ``again`` plans one of them, by its place, with changed rules.
    """
    lose: dict[Rules, set[int]] = {}

    def losers(changes: tuple[Change, ...]) -> set[int]:
        after = rules_carried_out(rules, changes)
        if after not in lose:
            every = enumerate(assemblies)
            lose[after] = {place for place, before in every if _made(before) - _made(again(place, after))}
        return lose[after]

    def kept(place: int, proposals: tuple[Proposal, ...]) -> tuple[Proposal, ...]:
        return tuple(one for one in proposals if not one.of_rules or not losers(one.changes) - {place})

    def checked(place: int, joint: JointPlan) -> JointPlan:
        if not any(one.of_rules for one in (*joint.nearest, *joint.near)):
            return joint
        return replace(joint, nearest=kept(place, joint.nearest), near=kept(place, joint.near))

    return tuple(
        replace(each, joints=tuple(checked(place, joint) for joint in each.joints))
        for place, each in enumerate(assemblies)
    )


def _made(takeoff: AssemblyTakeoff) -> set[str]:
    return {each.joint.mark for each in takeoff.joints if each.plan is not None}
