"""Planned projects with advice at their joints; much of it is worked out apart."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from typing import cast

from domain.advice.loosening import losing_none
from domain.lengths import Units
from domain.spec.assemblies import Assembly
from domain.spec.rules import Rules
from domain.takeoff.takeoff import AssemblyTakeoff
from webapp.usecases.apart import Step, Told
from webapp.usecases.kept import Kept
from webapp.usecases.long_work import LongWork, TakesLong
from webapp.usecases.projects import PlannedAssembly, PlannedProject
from webapp.usecases.takeoffs import Means, advised_takeoff, assembly_takeoff, is_advised

ADVISED_SOON = 15
"""Assemblies whose joints are advised in about two seconds, where none of them can be made."""
_TOLD = 5
"""Assemblies after which it is said how far the advice is."""
_WHOLE: Kept[tuple[AssemblyTakeoff, ...]] = Kept(4)
"""Large projects' takeoffs with advice, by the edition that they are of."""


def with_advice(project: PlannedProject, shown: Sequence[PlannedAssembly] | None = None) -> PlannedProject:
    """The project with advice at its joints: what makes those that cannot be made, what betters the weak.

    Only at those of the assemblies that are ``shown``, where it is said which.
    """
    units, means = project.head.units, project.bench.means
    good = [each for each in project.assemblies if each.takeoff is not None]
    asked = {each.stored.id for each in (project.assemblies if shown is None else shown)}
    found = [
        advised_takeoff(each.stored.spec, means, units) if each.stored.id in asked else each.takeoff
        for each in good
        if each.takeoff is not None
    ]
    return _told(project, _losing_none([each.stored.spec for each in good], found, means))


def with_advice_soon(project: PlannedProject) -> PlannedProject:
    """The same at every joint, for somebody who waits. Raises TakesLong where so much is to be advised."""
    units, means = project.head.units, project.bench.means
    good = [(each.stored.spec, each.takeoff) for each in project.assemblies if each.takeoff is not None]
    wanting = [
        spec
        for spec, takeoff in good
        if any(joint.plan is None or joint.is_weak(means.rules.hold_target) for joint in takeoff.joints)
        and not is_advised(spec, means, units)
    ]
    if len(wanting) <= ADVISED_SOON:
        return with_advice(project)
    edition = project.bench.edition
    found = _WHOLE.get(edition)
    if found is None:
        raise TakesLong(
            LongWork(
                f"Advice for {len(wanting)} assemblies",
                _advise_apart,
                ([spec for spec, _ in good], means, units),
                lambda result: _WHOLE.put(edition, cast("tuple[AssemblyTakeoff, ...]", result)),
                ("advice", edition),
            )
        )
    return _told(project, found)


def _advise_apart(
    told: Told, specs: Sequence[Assembly], means: Means, units: Units
) -> tuple[AssemblyTakeoff, ...]:
    found = []
    for number, spec in enumerate(specs):
        if number % _TOLD == 0:
            told(Step(number, len(specs), spec.mark, "assemblies advised"))
        found.append(advised_takeoff(spec, means, units))
    return tuple(_losing_none(specs, found, means))


def _losing_none(
    specs: Sequence[Assembly], found: Sequence[AssemblyTakeoff], means: Means
) -> Sequence[AssemblyTakeoff]:
    """Without what would cost another assembly of the project a joint."""

    def again(place: int, rules: Rules) -> AssemblyTakeoff:
        return assembly_takeoff(specs[place], replace(means, rules=rules))

    return losing_none(found, means.rules, again)


def _told(project: PlannedProject, takeoffs: Sequence[AssemblyTakeoff]) -> PlannedProject:
    """The project with these takeoffs of its assemblies that have one, in their order."""
    good = [each.stored.id for each in project.assemblies if each.takeoff is not None]
    by_id = dict(zip(good, takeoffs, strict=True))
    assemblies = tuple(replace(each, takeoff=by_id.get(each.stored.id)) for each in project.assemblies)
    return replace(project, assemblies=assemblies)
