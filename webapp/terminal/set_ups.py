"""``dovetally setups``: project files' set-ups in the order that takes the least changing."""

from __future__ import annotations

import argparse
from collections.abc import Callable, Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Any

from domain.problems import BadInput, Problem
from webapp.wording.problems import InputProblem

if TYPE_CHECKING:
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
    from webapp.usecases.files import plan_several

    # a folder's whole name would push the place out of the line
    return plan_several(names, plan, lambda _, name: Path(name).name)
