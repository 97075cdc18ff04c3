"""A list of assemblies as CSV, one a line: read, planned, and every bad cell named by its line and column.

The headings are what the fields of the forms are called. Where two fields of one kind have the same label, the
first has it, and the other is called by its group too: "Moulding width". What the project file calls a field does
as well: "wall", "stock width". What a line leaves out is as in a new form of its kind: as the shop's last has it,
but for the sizes.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import cache

from domain.marks import mark_after
from domain.problem_codes import ProblemCode
from domain.problems import BadInput, Problem
from domain.spec.assemblies import Assembly
from domain.spec.sizes import MOST_LINES
from domain.takeoff.takeoff import AssemblyTakeoff
from webapp.form.fields import AssemblyForm, Field
from webapp.form.showing import starting_texts
from webapp.pages.projects.assembly_forms import FORMS
from webapp.pages.projects.attempts import attempt
from webapp.store import Store
from webapp.usecases.csv_text import read_rows
from webapp.usecases.entering import marks_in_use, start_of
from webapp.usecases.json_text import refuse_unprintable
from webapp.usecases.projects import Bench
from webapp.wording.problems import InputProblem

LARGEST_LIST = 1_000_000
"""Bytes."""
KIND = "kind"
TEMPLATE = (KIND, "mark", "name", "how many", "length", "width", "height", "depth", "wood")
"""The headings that most lists need; the others are the labels of the forms' fields."""
_KINDS = {name.casefold(): kind for kind, form in FORMS.items() for name in (kind, form.title)}


@dataclass(frozen=True, slots=True)
class ListedAssembly:
    """A line of the list, and the assembly that it makes."""

    line: int
    spec: Assembly
    takeoff: AssemblyTakeoff


@dataclass(frozen=True, slots=True)
class AssemblyList:
    """The good lines, and what is wrong with each of the others (paths are line and column)."""

    lines: tuple[ListedAssembly, ...]
    problems: tuple[Problem, ...]


def read_list(store: Store, bench: Bench, body: bytes) -> AssemblyList:
    """Read a list for the bench's project; plain numbers are the project's units.

    Raises BadInput where it is no such list at all: no text, no headings, too long.
    """
    (_, first), *rows = read_rows(body, largest=LARGEST_LIST, most_lines=MOST_LINES, needed=", ".join(TEMPLATE))
    headings = [" ".join(heading.casefold().split()) for heading in first]
    _check_headings(headings, first)
    reader = _Reader(store, bench, headings)
    lines: list[ListedAssembly] = []
    problems: list[Problem] = []
    for number, cells in rows:
        if not any(cell.strip() for cell in cells):
            continue
        try:
            lines.append(reader.line(number, cells))
        except BadInput as refusal:
            problems += [problem.under(f"line {number}") for problem in refusal.problems]
    if not lines and not problems:
        raise BadInput(
            [Problem.of((), "nothing", ProblemCode.AS_TOLD, told_text="needs a line below its headings")]
        )
    return AssemblyList(tuple(lines), tuple(problems))


@cache
def columns_of(kind: str) -> Mapping[str, Field]:
    """The fields of a kind's form by what a heading may call them."""
    called: dict[str, Field] = {}
    for legend, field in _fields(FORMS[kind]):
        full = f"{legend} {field.label}".casefold()
        called.setdefault(field.label.casefold(), field)
        called.setdefault(" ".join(full.replace(",", "").split()), field)
    for _, field in _fields(FORMS[kind]):
        called.setdefault(field.name.replace(".", " ").replace("_", " "), field)
    return called


def _fields(form: AssemblyForm) -> Iterator[tuple[str, Field]]:
    for group in form.groups:
        if group.switch is None:
            yield from ((group.legend, node) for node in group.nodes if isinstance(node, Field))


def _check_headings(headings: Sequence[str], written: Sequence[str]) -> None:
    """Raises BadInput for headings that are no field's, that stand twice, or where the kind is missing."""
    known = {KIND, *(name for kind in FORMS for name in columns_of(kind))}
    problems: list[Problem] = []
    for place, (heading, as_written) in enumerate(zip(headings, written, strict=True)):
        if heading and heading not in known:
            there = ", ".join(TEMPLATE) + " and the other labels of the forms"
            problems.append(Problem.of(("line 1",), as_written, InputProblem.NO_HEADING, headings_text=there))
        elif heading and heading in headings[:place]:
            problems.append(Problem.of(("line 1",), as_written, InputProblem.HEADING_TWICE))
    if KIND not in headings:
        problems.append(Problem.of(("line 1",), "missing", InputProblem.HEADING_MISSING, heading_text=KIND))
    if problems:
        raise BadInput(problems)


class _Reader:
    """Reads the lines of one list; the marks that it hands out are none of the project's, and each its own."""

    def __init__(self, store: Store, bench: Bench, headings: Sequence[str]) -> None:
        self._store = store
        self._bench = bench
        self._headings = headings
        self._used = set(marks_in_use(store, bench.head.id))
        self._starts: dict[str, dict[str, str]] = {}

    def line(self, number: int, cells: Sequence[str]) -> ListedAssembly:
        """One line. Raises BadInput with a problem for every cell that cannot be used."""
        if len(cells) > len(self._headings) and any(cell.strip() for cell in cells[len(self._headings) :]):
            raise BadInput(
                [Problem.of((), f"{len(cells)} fields", InputProblem.MORE_CELLS, headings_n=len(self._headings))]
            )
        said = {
            heading: cell.strip() for heading, cell in zip(self._headings, cells, strict=False) if cell.strip()
        }
        for heading, cell in said.items():
            refuse_unprintable((heading,), cell)
        written = said.pop(KIND, "")
        kind = _KINDS.get(written.casefold())
        if kind is None:
            there = ", ".join(form.title for form in FORMS.values())
            raise BadInput([_told(KIND, written, f"must be {there}")])
        texts, headings = self._texts(kind, said)
        tried = attempt(FORMS[kind], texts, self._bench, advised=False)
        problems = [
            _told(headings.get(name) or _label(kind, name), texts.get(name, ""), words)
            for name, words in tried.errors.items()
        ]
        if texts["mark"] in self._used:
            problems.append(_told("mark", texts["mark"], "is in use already; choose another, or leave it out"))
        if problems or tried.spec is None or tried.takeoff is None:
            raise BadInput(problems)
        self._used.add(texts["mark"])
        return ListedAssembly(number, tried.spec, tried.takeoff)

    def _texts(self, kind: str, said: Mapping[str, str]) -> tuple[dict[str, str], dict[str, str]]:
        """The texts of the line's form, and which heading each of the line's own came from."""
        columns = columns_of(kind)
        problems = [
            _told(heading, cell, f"a {FORMS[kind].title.lower()} has no such size; leave it empty")
            for heading, cell in said.items()
            if heading not in columns
        ]
        if problems:
            raise BadInput(problems)
        if kind not in self._starts:
            last = start_of(self._store, self._bench.head.id, kind).last
            self._starts[kind] = starting_texts(FORMS[kind], self._bench.head.units, "", last)
        own = {columns[heading].name: _chosen(columns[heading], cell) for heading, cell in said.items()}
        mark = own.get("mark") or mark_after(self._used)
        headings = {columns[heading].name: heading for heading in said}
        return self._starts[kind] | own | {"mark": mark}, headings


def _told(column: str, cell: str, words: str) -> Problem:
    return Problem.of((column,), cell or "nothing", ProblemCode.AS_TOLD, told_text=words)


def _chosen(field: Field, cell: str) -> str:
    """A choice by its words, or what stands in the cell."""
    return next((value for value, words in field.options if words.casefold() == cell.casefold()), cell)


def _label(kind: str, name: str) -> str:
    return next((field.label.lower() for field in columns_of(kind).values() if field.name == name), name or "line")
