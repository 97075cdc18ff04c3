"""The project file: one self-contained document."""

from __future__ import annotations

from collections.abc import Iterator
from functools import cache
from typing import Annotated, Literal

from pydantic import Field, TypeAdapter, ValidationError

from domain.bounds import check_lengths
from domain.lengths import Units
from domain.problem_codes import ProblemCode
from domain.problems import BadInput, Path, Problem, path_text
from domain.reading import check_format, read
from domain.spec.assemblies import Assembly
from domain.spec.catalogue import Section, check_section
from domain.spec.choices import NO_CHOICES, KeyChoices
from domain.spec.fields import Day, Name, Note, Spec
from domain.spec.job import Notes, Stage, check_notes
from domain.spec.quote import QuoteTerms
from domain.spec.rules import Rules
from domain.spec.starts import AcceptedStart, check_start
from domain.spec.wood import Climate, PartChanges, WoodsToCut, check_woods

FORMAT: Literal["dovetally-project"] = "dovetally-project"
MOST_ASSEMBLIES = 5_000
MOST_STARTS = 500


class Project(Spec):
    """A whole project: its assemblies, and the sections and rules it is planned with.

    ``sections``, ``rules`` or ``starts`` absent means the shop's own. ``parts`` are changes of the parts list, by
    mark; ``stock`` is what the parts are cut from where it is not the stockroom's. ``note`` is about the whole,
    ``notes`` about assemblies and joints, by mark; ``state`` says how far the job has come, ``due`` for when it is
    promised; ``quote`` is what its price is reckoned by.
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
    climate: Climate | None = None
    stock: WoodsToCut | None = None
    parts: PartChanges | None = None
    state: Stage = Stage.PLANNED
    due: Day | None = None
    note: Note | None = None
    notes: Notes | None = None
    quote: QuoteTerms | None = None
    keys: KeyChoices = NO_CHOICES
    assemblies: Annotated[tuple[Assembly, ...], Field(max_length=MOST_ASSEMBLIES)] = ()


def read_project(data: object) -> Project:
    """A project from parsed JSON. Raises BadInput with every problem that can be seen at once."""
    check_format(data, FORMAT)
    check_lengths(Project, data)
    project = read(Project, data)
    problems = tuple(check_project(project))
    if problems:
        raise BadInput(problems)
    return project


def _listed(data: object) -> list[object]:
    listed = data.get("assemblies") if isinstance(data, dict) else None
    return listed if isinstance(listed, list) else []


@cache
def _assembly_reader() -> TypeAdapter[Assembly]:
    return TypeAdapter(Assembly)


def assemblies_that_read(data: object) -> Iterator[tuple[int, Assembly]]:
    """The assemblies of a parsed file that are good in themselves, with their places; none of too many."""
    listed = _listed(data)
    for index, item in enumerate(listed if len(listed) <= MOST_ASSEMBLIES else ()):
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
    for problem in check_woods(project.stock or ()):
        yield problem.under("stock")
    for problem in check_notes(project.notes or {}, (assembly.mark for assembly in project.assemblies)):
        yield problem.under("notes")
    yield from _repeats(("sections",), "name", [section.name for section in sections])
    yield from _repeats(("assemblies",), "mark", [assembly.mark for assembly in project.assemblies])


def _repeats(path: Path, field: str, names: list[str]) -> Iterator[Problem]:
    first: dict[str, int] = {}
    for index, name in enumerate(names):
        if name in first:
            place = path_text((*path, first[name]))
            yield Problem.of((*path, index, field), name, ProblemCode.USED_ALREADY, place_text=place)
        first.setdefault(name, index)
