"""Takeoffs for whoever asks, planned once and remembered.

Planning is pure: the same assembly with the same sections, rules and choices gives the same plan. So an
assembly is planned once and its plan kept, bounded, for as long as it is in use.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from functools import cached_property

from domain.advice.advise import advise
from domain.advice.loosening import of_the_shop
from domain.lengths import Units
from domain.problems import BadInput
from domain.spec.assemblies import Assembly
from domain.spec.catalogue import Section
from domain.spec.choices import KeyChoices
from domain.spec.project import Project
from domain.spec.rules import Rules
from domain.spec.starts import Starts, starts_in_use
from domain.spec.wood import Climate, PartChange
from domain.takeoff.build import take_off_assembly, with_movement
from domain.takeoff.takeoff import AssemblyTakeoff
from webapp.usecases.apart import Step, Told
from webapp.usecases.kept import Kept

MOST_KEPT = 6_000
"""Plans of assemblies: more than are ever asked for together."""
TOLD = 20
"""Assemblies after which it is said how far the planning is."""


@dataclass(frozen=True)
class Means:
    """What an assembly is planned with: sections, rules, the project's own choices, accepted starts.

    ``own_rules``: the rules are the project's, not the shop's. ``climate`` and ``parts`` plan no joint: they say
    how its wood moves.
    """

    sections: tuple[Section, ...]
    rules: Rules
    choices: KeyChoices
    starts: Starts = ()
    own_rules: bool = False
    climate: Climate | None = None
    parts: Mapping[str, PartChange] | None = None

    @classmethod
    def of(cls, project: Project, sections: Sequence[Section], rules: Rules, starts: Starts = ()) -> Means:
        """The project's own sections, rules and starts where it has them, else these of the shop."""
        own = starts_in_use(project.starts, project.sections is not None, starts)
        mine = project.rules is not None
        used, rules_used = project.sections or tuple(sections), (project.rules or rules).in_units(project.units)
        return cls(used, rules_used, project.keys, own, mine, project.climate, project.parts)

    @cached_property
    def key(self) -> str:
        """The same text for the same plans: how the wood moves is worked out beside them."""
        parts = [section.model_dump_json() for section in self.sections]
        parts += [self.rules.model_dump_json(), self.choices.model_dump_json()]
        return "\n".join([*parts, *(start.model_dump_json() for start in self.starts)])


_PLANS: Kept[AssemblyTakeoff] = Kept(MOST_KEPT)
_ADVISED: Kept[AssemblyTakeoff] = Kept(MOST_KEPT // 8)


def assembly_takeoff(spec: Assembly, means: Means) -> AssemblyTakeoff:
    """One assembly's takeoff. Raises BadInput where its sizes clash."""
    key = (spec.model_dump_json(), means.key)
    plan = _PLANS.get(key)
    if plan is None:
        plan = take_off_assembly(spec, means.sections, means.rules, means.choices, means.starts)
        _PLANS.put(key, plan)
    return _moved(plan, spec, means)


def is_planned(spec: Assembly, means: Means) -> bool:
    """Whether its plan is kept."""
    return _PLANS.get((spec.model_dump_json(), means.key)) is not None


def plan_apart(told: Told, wanted: Sequence[tuple[Assembly, Means]]) -> list[AssemblyTakeoff | None]:
    """The plans of these assemblies, in a process of its own; None of one whose sizes clash."""
    made: list[AssemblyTakeoff | None] = []
    for number, (spec, means) in enumerate(wanted):
        if number % TOLD == 0:
            told(Step(number, len(wanted), spec.mark, "assemblies planned"))
        try:
            made.append(take_off_assembly(spec, means.sections, means.rules, means.choices, means.starts))
        except BadInput:
            made.append(None)
    return made


def keep_plans(wanted: Sequence[tuple[Assembly, Means]], made: Sequence[AssemblyTakeoff | None]) -> None:
    """Keep here what was planned apart."""
    for (spec, means), plan in zip(wanted, made, strict=True):
        if plan is not None:
            _PLANS.put((spec.model_dump_json(), means.key), plan)


def _moved(plan: AssemblyTakeoff, spec: Assembly, means: Means) -> AssemblyTakeoff:
    return with_movement(plan, spec, means.climate, means.parts, means.rules)


def is_advised(spec: Assembly, means: Means, units: Units) -> bool:
    """Whether its advice is kept."""
    return _ADVISED.get((spec.model_dump_json(), means.key, units, means.own_rules)) is not None


def advised_takeoff(spec: Assembly, means: Means, units: Units) -> AssemblyTakeoff:
    """The same with advice at its joints, in sizes that one sets in ``units``. Raises BadInput.

    Advice is planned many times over, so it is only asked for where it is shown. What it says of the rules,
    other assemblies of the project have to be asked about too.
    """
    key = (spec.model_dump_json(), means.key, units, means.own_rules)
    found = _ADVISED.get(key)
    if found is None:
        plan = assembly_takeoff(spec, replace(means, climate=None))
        besides = () if means.own_rules else of_the_shop(means.rules)
        found = advise(spec, plan, means.sections, means.rules, means.choices, means.starts, units, besides)
        _ADVISED.put(key, found)
    return _moved(found, spec, means)
