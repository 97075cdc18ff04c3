"""``dovetally setups``: project files' set-ups in the order that takes the least changing."""

from __future__ import annotations

import argparse
from collections.abc import Callable, Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Any

from domain.problems import BadInput, Problem
from webapp.wording.problems import InputProblem

if TYPE_CHECKING:
    from domain.machine.sheet import Sheet
    from domain.spec.project import Project
    from domain.takeoff.takeoff import Takeoff

Planned = tuple["Project", "Takeoff"]
STANDARD_INPUT = "-"


def add_parser(commands: Any) -> argparse.ArgumentParser:
    """The command's own parser, among the others."""
    parser: argparse.ArgumentParser = commands.add_parser(
        "setups", help="order the machine's set-ups of one or several project files"
    )
    parser.add_argument("files", metavar="FILE", nargs="+", help="project files; one may be - for standard input")
    parser.add_argument("--json", action="store_true", help="write the set-ups as JSON instead of tables")
    return parser


def plan_files(names: Sequence[str], plan: Callable[[str], Planned]) -> list[Planned]:
    """Every file planned. Raises BadInput with the problems of all; of several, each under its file's name."""
    if names.count(STANDARD_INPUT) > 1:
        raise BadInput([Problem.of((), STANDARD_INPUT, InputProblem.STANDARD_INPUT_TWICE)])
    planned, problems = [], []
    for name in names:
        try:
            planned.append(plan(name))
        except BadInput as refusal:
            # a folder's whole name would push the place out of the line
            file = Path(name).name
            problems += [problem.under(file) if len(names) > 1 else problem for problem in refusal.problems]
    if problems:
        raise BadInput(problems)
    return planned


def sheet_of(planned: Sequence[Planned]) -> Sheet:
    """The set-up sheet of all these projects.

    They go to one machine: the minutes of its changes are those of the first project with rules of its own.
    """
    from domain.machine.set_ups import Source
    from domain.machine.sheet import set_up_sheet
    from domain.spec.rules import Rules

    own = [project.rules for project, _ in planned if project.rules is not None]
    machine = own[0] if own else Rules()
    sources = [
        Source(str(number), takeoff, project.rules or Rules())
        for number, (project, takeoff) in enumerate(planned, start=1)
    ]
    return set_up_sheet(sources, machine.change_minutes)
