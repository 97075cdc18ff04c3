"""From an assembly's form to its spec, or to every problem with the field that it belongs to."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Any, cast

from domain.lengths import Units
from domain.problem_codes import ProblemCode
from domain.problems import BadInput, Path, Problem
from domain.reading import read
from domain.spec.assemblies import Assembly
from domain.spec.in_line import InLine
from webapp.form.common import JOINTS_LIST, PLUG_AS_BEFORE, PLUG_NONE, PLUG_OWN, chosen_plug
from webapp.form.fields import AssemblyForm, Plain
from webapp.form.reader import Reader
from webapp.wording.problems import InputProblem

_MARK_SIGNS = "must be letters, digits, points and underlines, without spaces"


@dataclass(frozen=True)
class Reading:
    """An assembly's form read: its spec, or what is wrong; ``names`` tells which field a path stands in."""

    spec: Assembly | None
    problems: tuple[Problem, ...]
    names: Mapping[Path, str]

    def errors(self, units: Units, more: Iterable[Problem] = ()) -> dict[str, str]:
        """Each problem's sentence by the field it belongs to, the first one of each; "" for none.

        Lengths are in ``units``.
        """
        found: dict[str, str] = {}
        for problem in (*self.problems, *more):
            pattern = problem.path == ("mark",) and problem.code is ProblemCode.PATTERN
            words = _MARK_SIGNS if pattern else f"{_place_in_line(problem.path)}{problem.text(units)}"
            found.setdefault(self.field(problem.path), words)
        return found

    def field(self, path: Path) -> str:
        """The field of a path, or the nearest thing around it that the form has; "" where there is none."""
        for end in range(len(path), 0, -1):
            if path[:end] in self.names:
                return self.names[path[:end]]
        return ""


def _place_in_line(path: Path) -> str:
    """Where in a line of rows or shelves a problem is, "row 2: "; "" for what is in no such line."""
    if len(path) < 2 or path[0] not in set(InLine) or not isinstance(path[1], int):
        return ""
    place = f"{InLine(path[0]).item} {path[1] + 1}"
    inner = [step for step in path[2:] if isinstance(step, int)]
    return f"{place}, opening {inner[0] + 1}: " if inner else f"{place}: "


def read_assembly(form: AssemblyForm, texts: Mapping[str, str], units: Units) -> Reading:
    """Read an assembly's form; plain numbers are ``units``. Nothing raises: problems are part of the answer."""
    reader = Reader(texts, Plain(units))
    reader.groups(form.groups)
    data = reader.as_spec()
    if "keys" in data:
        plug_chosen(data["keys"])
    _joints_by_mark(data, reader)
    try:
        spec = cast(Assembly, read(form.spec, data))
    except BadInput as refusal:
        rest = (problem for problem in refusal.problems if problem.path not in reader.refused)
        return Reading(None, (*reader.problems, *rest), reader.names)
    if reader.problems:
        return Reading(None, tuple(reader.problems), reader.names)
    return Reading(spec, (), reader.names)


def _joints_by_mark(data: dict[str, Any], reader: Reader) -> None:
    """The list of exceptions for single joints becomes the spec's object: joint's mark to its choices."""
    joints: dict[str, Any] = {}
    for number, choices in enumerate(data.pop(JOINTS_LIST, ())):
        here: Path = (JOINTS_LIST, number)
        short = str(choices.pop("joint", "")).rsplit("-", 1)[-1].upper()
        mark = f"{data.get('mark', '')}-{short}"
        if not short:
            reader.refuse(Problem.of((*here, "joint"), "missing", ProblemCode.MISSING))
        elif mark in joints:
            reader.refuse(Problem.of((*here, "joint"), short, InputProblem.JOINT_TWICE, joint_text=short))
        else:
            joints[mark] = plug_chosen(choices)
            reader.names |= {
                (JOINTS_LIST, mark, *path[2:]): name for path, name in reader.names.items() if path[:2] == here
            }
            reader.names[JOINTS_LIST, mark] = reader.names[*here, "joint"]
            reader.refused |= {(JOINTS_LIST, mark, *path[2:]) for path in reader.refused if path[:2] == here}
    if joints:
        data[JOINTS_LIST] = joints


def plug_chosen(choices: dict[str, Any]) -> dict[str, Any]:
    """The choices of keys with their plug as the spec has it: one of its own, none, or left open."""
    chosen = choices.pop("plug_choice", PLUG_AS_BEFORE)
    if chosen == PLUG_NONE:
        choices["plug"] = None
    elif chosen == PLUG_OWN:
        choices.setdefault("plug", {})
    elif (plug := chosen_plug(chosen)) is not None:
        choices["plug"] = plug
    else:
        choices.pop("plug", None)
    return choices
