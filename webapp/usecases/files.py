"""Project documents planned as they stand, without a store: the API and the command line."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import TYPE_CHECKING, TypeVar

from domain.advice.advise import advised
from domain.problems import BadInput
from domain.project_file import read_project_file
from domain.spec.catalogue import Section
from domain.spec.project import FORMAT, Project
from domain.spec.rules import Rules
from domain.spec.starts import Starts
from domain.takeoff.build import check_pins, take_off
from domain.takeoff.takeoff import Takeoff

if TYPE_CHECKING:
    from domain.machine.set_ups import Source
    from domain.machine.sheet import Sheet

Given = TypeVar("Given")
Planned = tuple[Project, Takeoff]


def is_project(document: object) -> bool:
    """Whether a parsed document says that it is a project."""
    return isinstance(document, dict) and document.get("format") == FORMAT


def plan_document(
    document: object,
    sections: Sequence[Section] | None = None,
    rules: Rules | None = None,
    starts: Starts = (),
    *,
    advice: bool = False,
) -> Planned:
    """The project of a parsed document and its takeoff, with ``advice`` at its joints if asked for.

    Sections, rules and starts that the document lacks are these; without any, the demo catalogue's and the
    usual rules. Raises BadInput with everything wrong in the document.
    """
    project = read_project_file(document)
    if project.sections is None and sections is None:
        from webapp.usecases.demo import demo_catalogue

        sections = demo_catalogue()
    used = project.sections or tuple(sections or ())
    problems = tuple(check_pins(project, used))
    if problems:
        raise BadInput(problems)
    takeoff = take_off(project, used, rules or Rules(), starts)
    return project, advised(project, takeoff, used, rules or Rules(), starts) if advice else takeoff


def plan_several(
    sources: Sequence[Given], plan: Callable[[Given], Planned], name: Callable[[int, Given], str | int]
) -> list[Planned]:
    """Every one planned. Raises BadInput with the problems of all; of several, each under its ``name``."""
    planned, problems = [], []
    for number, source in enumerate(sources):
        try:
            planned.append(plan(source))
        except BadInput as refusal:
            under = name(number, source)
            problems += [problem.under(under) if len(sources) > 1 else problem for problem in refusal.problems]
    if problems:
        raise BadInput(problems)
    return planned


def sources_of(planned: Sequence[Planned], rules: Rules | None = None) -> tuple[Source, ...]:
    """These projects as they come to the machine; ``rules`` are those of a project that has none of its own."""
    # a takeoff has no use for the machine
    from domain.machine.set_ups import Source

    return tuple(
        Source(str(number), takeoff, project.rules or rules or Rules())
        for number, (project, takeoff) in enumerate(planned, start=1)
    )


def set_up_sheet_of(planned: Sequence[Planned], rules: Rules | None = None) -> Sheet:
    """The set-up sheet of all these projects; ``rules`` are those of a project that has none of its own.

    They go to one machine: the minutes of its changes are those of the first project with rules of its own.
    """
    from domain.machine.sheet import set_up_sheet

    machine = next((project.rules for project, _ in planned if project.rules is not None), rules or Rules())
    return set_up_sheet(sources_of(planned, rules), machine.change_minutes)
