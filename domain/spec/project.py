"""The project file: one self-contained document, and how it is read without losing a problem."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from functools import cache
from typing import Annotated, Any, Literal, TypeVar

from pydantic import BaseModel, Field, TypeAdapter, ValidationError
from pydantic_core import ErrorDetails

from domain.lengths import Units
from domain.problems import BadInput, Path, Problem
from domain.spec.assemblies import Assembly
from domain.spec.catalogue import Section, check_section
from domain.spec.choices import NO_CHOICES, KeyChoices
from domain.spec.fields import Name, Spec
from domain.spec.rules import Rules
from domain.spec.starts import AcceptedStart, check_start

FORMAT: Literal["dovetally-project"] = "dovetally-project"
MOST_ASSEMBLIES = 5_000
MOST_STARTS = 500
Model = TypeVar("Model", bound=BaseModel)
ASSEMBLY_KINDS = ("mitred_frame", "railed_frame", "box", "carcass", "loose_joint")


class Project(Spec):
    """A whole project: its assemblies, and the sections and rules it is planned with.

    ``sections``, ``rules`` or ``starts`` absent means the shop's own.
    """

    format: Literal["dovetally-project"] = FORMAT
    version: Literal[1] = 1
    name: Name
    customer: Name | None = None
    units: Units = Units.MM
    currency: Annotated[str, Field(pattern=r"^[A-Z]{3}$")] | None = None
    sections: Annotated[tuple[Section, ...], Field(min_length=1, max_length=60)] | None = None
    rules: Rules | None = None
    starts: Annotated[tuple[AcceptedStart, ...], Field(max_length=MOST_STARTS)] | None = None
    keys: KeyChoices = NO_CHOICES
    assemblies: Annotated[tuple[Assembly, ...], Field(max_length=MOST_ASSEMBLIES)] = ()


def read_project(data: object) -> Project:
    """A project from parsed JSON. Raises BadInput with every problem that can be seen at once."""
    if isinstance(data, dict) and data.get("format") != FORMAT:
        raise BadInput([Problem(("format",), data.get("format"), f'must be "{FORMAT}"')])
    project = read(Project, data)
    problems = tuple(check_project(project))
    if problems:
        raise BadInput(problems)
    return project


@cache
def _assembly_reader() -> TypeAdapter[Assembly]:
    return TypeAdapter(Assembly)


def assemblies_that_read(data: object) -> Iterator[tuple[int, Assembly]]:
    """The assemblies of a parsed file that are good in themselves, with their places."""
    listed = data.get("assemblies") if isinstance(data, dict) else None
    for index, item in enumerate(listed if isinstance(listed, list) else ()):
        try:
            yield index, _assembly_reader().validate_python(item)
        except ValidationError:
            continue


def check_project(project: Project) -> Iterator[Problem]:
    """Problems between fields: sections' own numbers, names and marks used twice, unknown sections."""
    sections = project.sections or ()
    for index, section in enumerate(sections):
        for problem in check_section(section):
            yield problem.under("sections", index)
    for index, start in enumerate(project.starts or ()):
        for problem in check_start(start):
            yield problem.under("starts", index)
    yield from _repeats(("sections",), "name", [section.name for section in sections])
    yield from _repeats(("assemblies",), "mark", [assembly.mark for assembly in project.assemblies])


def _repeats(path: Path, field: str, names: list[str]) -> Iterator[Problem]:
    first: dict[str, int] = {}
    for index, name in enumerate(names):
        if name in first:
            yield Problem((*path, index, field), name, f"is used already by {path[0]}[{first[name]}]; use another")
        first.setdefault(name, index)


def read(model: type[Model], data: object) -> Model:
    """Validate ``data`` as ``model``; pydantic's errors become Problems, in our words and paths."""
    try:
        return model.model_validate(data)
    except ValidationError as error:
        details = error.errors(include_url=False, include_context=True)
        raise BadInput(_problem(detail) for detail in details if not _comes_of_another(detail, details)) from None


def _comes_of_another(detail: ErrorDetails, details: list[ErrorDetails]) -> bool:
    """A list that seems too short only because its items are bad: the items' own problems say it."""
    place = detail["loc"]
    return detail["type"] == "too_short" and any(
        len(other["loc"]) > len(place) and other["loc"][: len(place)] == place for other in details
    )


def _problem(detail: ErrorDetails) -> Problem:
    allowed = _allowed(detail["type"], detail["msg"], detail.get("ctx", {}))
    missing = detail["type"] == "missing"
    return Problem(_path(detail["loc"]), "missing" if missing else detail["input"], allowed)


def _path(location: tuple[int | str, ...]) -> Path:
    """Pydantic puts the name of the assembly's kind into the path; people do not write it there."""
    kind_at = 2 if location[:1] == ("assemblies",) else 0
    if len(location) > max(kind_at, 1) and location[kind_at] in ASSEMBLY_KINDS:
        return location[:kind_at] + location[kind_at + 1 :]
    return location


_WORDS = {
    "missing": "is needed",
    "extra_forbidden": "is not a field here; check the spelling",
    "int_type": "must be a whole number",
    "int_parsing": "must be a whole number",
    "int_from_float": "must be a whole number",
    "float_type": "must be a number",
    "float_parsing": "must be a number",
    "finite_number": "must be a finite number",
    "string_type": "must be text",
    "tuple_type": "must be a list",
    "dict_type": "must be an object with fields",
    "model_type": "must be an object with fields",
    "model_attributes_type": "must be an object with fields",
    "string_pattern_mismatch": "must match {pattern}",
    "string_too_long": "must be at most {max_length} characters",
    "string_too_short": "must be at least {min_length} characters",
    "string_unicode": "must be printable text",
    "too_short": "must have at least {min_length} items",
    "too_long": "must have at most {max_length} items",
    "greater_than": "must be more than {gt}",
    "greater_than_equal": "must be {ge} or more",
    "less_than": "must be less than {lt}",
    "less_than_equal": "must be {le} or less",
    "literal_error": "must be {expected}",
    "enum": "must be one of {expected}",
    "union_tag_invalid": "kind must be one of {expected_tags}",
    "union_tag_not_found": 'needs a "kind", one of ' + ", ".join(ASSEMBLY_KINDS),
}


def _allowed(kind: str, message: str, context: Mapping[str, Any]) -> str:
    if kind == "value_error":
        return str(context["error"])
    words = _WORDS.get(kind)
    return words.format(**context) if words else message[:1].lower() + message[1:]
