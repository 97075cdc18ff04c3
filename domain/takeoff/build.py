"""From a project to its takeoff: every assembly taken apart, every joint planned, everything counted."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace

from domain.assemblies.expand import check_assembly, expand
from domain.moving.movement import movement_of, notes_on_movement
from domain.notes import Note, NoteCode
from domain.parts import Expansion
from domain.planning.planner import plan_joint
from domain.problem_codes import ProblemCode
from domain.problems import BadInput, Problem
from domain.spec.assemblies import Assembly
from domain.spec.catalogue import Section
from domain.spec.choices import NO_CHOICES, KeyChoices
from domain.spec.project import Project
from domain.spec.rules import Rules
from domain.spec.starts import Starts, in_this_wood, starts_in_use
from domain.spec.wood import Climate, PartChange
from domain.takeoff.counting import count
from domain.takeoff.in_sight import notes_on_sight
from domain.takeoff.keeping_apart import kept_apart
from domain.takeoff.shelves import notes_on_shelves, shelf_sags
from domain.takeoff.support import notes_on_support
from domain.takeoff.takeoff import AssemblyTakeoff, Takeoff


def take_off_assembly(
    spec: Assembly,
    sections: Sequence[Section],
    rules: Rules,
    choices: KeyChoices = NO_CHOICES,
    starts: Starts = (),
) -> AssemblyTakeoff:
    """One assembly: its parts and its joints, planned. Raises BadInput where its sizes clash.

    ``starts`` are the projections that the shop accepted from its trials; those for the assembly's
    material replace the catalogue's.
    """
    return take_off_expanded(spec, expand(spec, choices), sections, rules, starts)


def take_off_expanded(
    spec: Assembly, expansion: Expansion, sections: Sequence[Section], rules: Rules, starts: Starts = ()
) -> AssemblyTakeoff:
    """The same of an assembly that is taken apart already."""
    mine = in_this_wood(starts, spec.material)
    planned = tuple(plan_joint(joint, sections, rules, mine) for joint in expansion.joints)
    joints = kept_apart(spec, expansion, planned, rules)
    sags = shelf_sags(spec, expansion, rules)
    notes = (
        *expansion.notes,
        *notes_on_sight(spec, joints),
        *notes_on_support(expansion, joints, rules),
        *notes_on_shelves(spec, expansion, sags, rules),
    )
    return AssemblyTakeoff(replace(expansion, notes=notes), joints, sags)


def with_movement(
    assembly: AssemblyTakeoff,
    spec: Assembly,
    climate: Climate | None,
    changes: Mapping[str, PartChange] | None,
    rules: Rules,
) -> AssemblyTakeoff:
    """The takeoff with what the project's climate does to its wood, and the notes on it; as it is without one."""
    if climate is None:
        return assembly
    movement = movement_of(spec, assembly.expansion, climate, changes or {}, rules)
    notes = (*assembly.expansion.notes, *notes_on_movement(movement, rules))
    return replace(assembly, expansion=replace(assembly.expansion, notes=notes), movement=movement)


def take_off(project: Project, sections: Sequence[Section], rules: Rules, starts: Starts = ()) -> Takeoff:
    """The whole project's takeoff; its own sections, rules and starts, where it has them, come first.

    Raises BadInput naming every assembly whose sizes clash. A joint that cannot be made does not
    stop anything: it has no plan and says why.
    """
    own_sections = project.sections or sections
    own_rules = (project.rules or rules).in_units(project.units)
    own_starts = starts_in_use(project.starts, project.sections is not None, starts)
    problems = tuple(check_assemblies(project))
    if problems:
        raise BadInput(problems)
    assemblies = tuple(
        with_movement(
            take_off_assembly(spec, own_sections, own_rules, project.keys, own_starts),
            spec,
            project.climate,
            project.parts,
            own_rules,
        )
        for spec in project.assemblies
    )
    return gather(project.name, assemblies, own_rules)


def check_assemblies(project: Project) -> Iterator[Problem]:
    """Every clash of sizes within the project's assemblies, with its path in the file."""
    for index, spec in enumerate(project.assemblies):
        for problem in check_assembly(spec):
            yield problem.under("assemblies", index)


def check_pins(project: Project, sections: Sequence[Section]) -> Iterator[Problem]:
    """Pinned sections that are not among ``sections``."""
    names = [section.name for section in sections]
    there = ", ".join(names)
    pins: list[tuple[tuple[str | int, ...], KeyChoices]] = [(("keys",), project.keys)]
    for index, spec in enumerate(project.assemblies):
        pins.append((("assemblies", index, "keys"), spec.keys))
        pins += [(("assemblies", index, "joints", mark), choices) for mark, choices in spec.joints.items()]
    for path, choices in pins:
        if choices.section is not None and choices.section not in names:
            yield Problem.of((*path, "section"), choices.section, ProblemCode.NO_SUCH_SECTION, there_text=there)


def gather(name: str, assemblies: tuple[AssemblyTakeoff, ...], rules: Rules) -> Takeoff:
    """A takeoff of assemblies that are taken off already."""
    totals = count(assemblies, rules)
    joints = [joint for assembly in assemblies for joint in assembly.joints]
    failed = sum(joint.plan is None for joint in joints)
    notes: tuple[Note, ...] = ()
    if not assemblies:
        notes = (Note.of(NoteCode.EMPTY),)
    elif failed:
        notes = (Note.of(NoteCode.UNMAKEABLE, count_n=failed, total_n=len(joints)),)
    return Takeoff(name, assemblies, totals, notes)
