"""From a form's texts to a spec, or to every problem with the field that it belongs to."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Any, Generic, TypeVar, cast

from pydantic import BaseModel

from domain.lengths import HOW_TO_WRITE, LengthError, Units, parse_length
from domain.problem_codes import ProblemCode
from domain.problems import BadInput, Path, Problem, Refused
from domain.reading import read
from domain.spec.assemblies import REST, Assembly
from webapp.form.common import ANY, JOINTS_LIST, PLUG_AS_BEFORE, PLUG_NONE, PLUG_OWN
from webapp.form.fields import (
    AssemblyForm,
    Field,
    Group,
    ListOf,
    Node,
    Sort,
    item_numbers,
    joined,
    path_of,
    under,
)
from webapp.wording.problems import InputProblem

Read = TypeVar("Read")
_LONGEST_NUMBER = 20
_MARK_SIGNS = "must be letters, digits, points and underlines, without spaces"


@dataclass(frozen=True)
class Reading(Generic[Read]):
    """A form read: its spec, or what is wrong. ``names`` tells which field a path of the spec stands in."""

    spec: Read | None
    problems: tuple[Problem, ...]
    names: Mapping[Path, str]

    def errors(self, units: Units, more: Iterable[Problem] = ()) -> dict[str, str]:
        """Each problem's sentence by the field it belongs to, the first one of each; "" for none.

        Lengths are in ``units``.
        """
        found: dict[str, str] = {}
        for problem in (*self.problems, *more):
            pattern = problem.path == ("mark",) and problem.code is ProblemCode.PATTERN
            found.setdefault(self.field(problem.path), _MARK_SIGNS if pattern else problem.text(units))
        return found

    def field(self, path: Path) -> str:
        """The field of a path, or the nearest thing around it that the form has; "" where there is none."""
        for end in range(len(path), 0, -1):
            if path[:end] in self.names:
                return self.names[path[:end]]
        return ""


def read_assembly(form: AssemblyForm, texts: dict[str, str], units: Units) -> Reading[Assembly]:
    """Read an assembly's form; plain numbers are ``units``. Nothing raises: problems are part of the answer."""
    return cast(Reading[Assembly], read_groups(form.groups, form.spec, texts, units))


def read_groups(
    groups: Iterable[Group], model: type[BaseModel], texts: dict[str, str], units: Units
) -> Reading[BaseModel]:
    """Read these groups of fields into a spec of ``model``."""
    reader = _Reader(texts, units)
    for group in groups:
        if group.switch is not None:
            reader.names[path_of(group.switch)] = group.switch
            if group.switch not in texts:
                continue
            reader.put(path_of(group.switch), {})
        reader.nodes(group.nodes, "", ())
    data = _as_lists(reader.data)
    if "keys" in data:
        _plug_chosen(data["keys"])
    _joints_by_mark(data, reader)
    try:
        spec = read(model, data)
    except BadInput as refusal:
        rest = (problem for problem in refusal.problems if problem.path not in reader.refused)
        return Reading(None, (*reader.problems, *rest), reader.names)
    if reader.problems:
        return Reading(None, tuple(reader.problems), reader.names)
    return Reading(spec, (), reader.names)


class _Reader:
    """Walks a form's description over the texts and gathers values by path."""

    def __init__(self, texts: dict[str, str], units: Units) -> None:
        self.texts = texts
        self.units = units
        self.data: dict[str | int, Any] = {}
        self.names: dict[Path, str] = {}
        self.problems: list[Problem] = []
        self.refused: set[Path] = set()

    def nodes(self, nodes: Iterable[Node], prefix: str, path: Path) -> None:
        """Read these nodes of the item at ``prefix`` (in the form) and ``path`` (in the spec)."""
        for node in nodes:
            here = (*path, *path_of(node.name)) if node.name else path
            if isinstance(node, ListOf):
                self._list(node, joined(prefix, node.name), here)
            else:
                self._field(node, joined(prefix, node.name), here)

    def put(self, path: Path, value: object) -> None:
        """Set the value at a path, making what is missing on the way."""
        at = self.data
        for step in path[:-1]:
            at = at.setdefault(step, {})
        at[path[-1]] = value

    def refuse(self, problem: Problem) -> None:
        """Note a problem that the spec need not repeat."""
        self.problems.append(problem)
        self.refused.add(problem.path)

    def _field(self, field: Field, name: str, path: Path) -> None:
        if field.when is not None and self.texts.get(field.when.field) not in field.when.values:
            return
        self.names[path] = name
        text = self.texts.get(name, "").strip()
        if not text:
            return
        try:
            self.put(path, self._value(field, text))
        except Refused as refused:
            self.refuse(refused.at(path, text))

    def _value(self, field: Field, text: str) -> object:
        if field.any_word and _is(ANY, text):
            return None
        match field.sort:
            case Sort.LENGTH:
                return _length(text, self.units, ProblemCode.NOT_A_LENGTH)
            case Sort.OPENING:
                return REST if _is(REST, text) else _length(text, self.units, ProblemCode.NOT_AN_OPENING)
            case Sort.WHOLE:
                return _whole(text)
            case Sort.NUMBER:
                return _number(text)
            case Sort.TEXT | Sort.CHOICE:
                return text

    def _list(self, listed: ListOf, name: str, path: Path) -> None:
        self.names[path] = name
        if listed.required:
            self.put(path, [])
        kept = 0
        for number in item_numbers(self.texts, name):
            item = joined(name, str(number))
            if not any(self.texts[text].strip() for text in under(self.texts, item)):
                continue
            if kept == 0:
                self.put(path, {})
            self.put((*path, kept), {})
            self.names[(*path, kept)] = item
            self.nodes(listed.nodes, item, (*path, kept))
            kept += 1


def _is(word: str, text: str) -> bool:
    return text.casefold() == word


def _length(text: str, units: Units, otherwise: ProblemCode) -> object:
    try:
        return parse_length(text, units)
    except LengthError:
        raise Refused(otherwise, how_text=HOW_TO_WRITE) from None


def _whole(text: str) -> int:
    if not (text.isascii() and text.removeprefix("-").isdecimal() and len(text) <= _LONGEST_NUMBER):
        raise Refused(ProblemCode.NOT_WHOLE)
    return int(text)


def _number(text: str) -> float:
    try:
        if len(text) > _LONGEST_NUMBER or "_" in text:
            raise ValueError
        return float(text.replace(",", "."))
    except ValueError:
        raise Refused(ProblemCode.NOT_A_NUMBER) from None


def _as_lists(value: Any) -> Any:
    """Objects whose keys are all numbers are the lists they stand for."""
    if not isinstance(value, dict):
        return value
    mended = {step: _as_lists(inner) for step, inner in value.items()}
    if mended and all(isinstance(step, int) for step in mended):
        return [mended[step] for step in sorted(mended)]
    return mended


def _joints_by_mark(data: dict[str, Any], reader: _Reader) -> None:
    """The list of joints set apart becomes the spec's object: joint's mark to its choices."""
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
            joints[mark] = _plug_chosen(choices)
            reader.names |= {
                (JOINTS_LIST, mark, *path[2:]): name for path, name in reader.names.items() if path[:2] == here
            }
            reader.names[JOINTS_LIST, mark] = reader.names[*here, "joint"]
            reader.refused |= {(JOINTS_LIST, mark, *path[2:]) for path in reader.refused if path[:2] == here}
    if joints:
        data[JOINTS_LIST] = joints


def _plug_chosen(choices: dict[str, Any]) -> dict[str, Any]:
    chosen = choices.pop("plug_choice", PLUG_AS_BEFORE)
    if chosen == PLUG_NONE:
        choices["plug"] = None
    elif chosen == PLUG_OWN:
        choices.setdefault("plug", {})
    else:
        choices.pop("plug", None)
    return choices
