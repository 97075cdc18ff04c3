"""An assembly's form read and planned, nothing saved: one assembly, or one for each of its lines of sizes."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field

from domain.assemblies.expand import expand
from domain.lengths import Units
from domain.problems import BadInput, Problem
from domain.spec.assemblies import Assembly
from domain.spec.sizes import BadLine, Line
from domain.takeoff.takeoff import AssemblyTakeoff
from webapp.form.fields import AssemblyForm, Field
from webapp.form.nearest import nearest_values
from webapp.form.reading import Reading, read_assembly
from webapp.form.several import SIZES, has_lines, line_fields, line_texts, lines_of
from webapp.form.views import Offers, view_form
from webapp.store import Store
from webapp.usecases.entering import marks_in_turn
from webapp.usecases.projects import Bench
from webapp.usecases.takeoffs import advised_takeoff, assembly_takeoff

_LINES_TOLD = 3
_LONGEST_TOLD = 40


@dataclass(frozen=True, slots=True)
class TriedLine:
    """A line of sizes with the assembly that it makes, or with what is ``wrong`` in it.

    Neither where the fault lies in what all lines share.
    """

    number: int
    text: str
    spec: Assembly | None = None
    takeoff: AssemblyTakeoff | None = None
    wrong: str = ""


@dataclass(frozen=True, slots=True)
class Attempt:
    """A spec and its takeoff, or sentences by field of what is wrong.

    ``labels`` are what the form's fields are called; ``offers`` has a text that works, for fields whose size is
    refused for a limit. ``waits`` are those of the fields where nothing was typed yet and something must be, by
    name with their labels.
    ``lines`` are the lines of sizes, where the form has any: then the spec is the first that comes to something.
    """

    spec: Assembly | None = None
    takeoff: AssemblyTakeoff | None = None
    errors: Mapping[str, str] = field(default_factory=dict)
    labels: Mapping[str, str] = field(default_factory=dict)
    offers: Mapping[str, str] = field(default_factory=dict)
    waits: Mapping[str, str] = field(default_factory=dict)
    lines: tuple[TriedLine, ...] = ()

    @property
    def specs(self) -> tuple[Assembly, ...]:
        """Every assembly that the form makes."""
        if self.lines:
            return tuple(line.spec for line in self.lines if line.spec is not None)
        return () if self.spec is None else (self.spec,)


def attempt(form: AssemblyForm, texts: Mapping[str, str], bench: Bench, *, advised: bool = True) -> Attempt:
    """Read the form and plan what it says; what cannot be made comes with advice, where that is asked for."""
    units = bench.head.units
    reading = read_assembly(form, texts, units)
    if reading.spec is None:
        return _refused(form, texts, reading, reading.problems, units)
    try:
        takeoff = assembly_takeoff(reading.spec, bench.means)
        if advised and not takeoff.makeable:
            takeoff = advised_takeoff(reading.spec, bench.means, units)
        return Attempt(reading.spec, takeoff)
    except BadInput as clash:
        return _refused(form, texts, reading, clash.problems, units)


def _offers(
    form: AssemblyForm, texts: Mapping[str, str], reading: Reading, problems: Iterable[Problem], units: Units
) -> Mapping[str, str]:
    """By field, a size near the one typed that would not be refused there."""

    def works(name: str, text: str) -> bool:
        again = read_assembly(form, {**texts, name: text}, units)
        if again.spec is None:
            return name not in again.errors(units)
        try:
            expand(again.spec)
        except BadInput as clash:
            return name not in again.errors(units, clash.problems)
        return True

    sorts = {node.name: node.sort for group in form.groups for node in group.nodes if isinstance(node, Field)}
    return nearest_values(reading, problems, sorts, units, works)


def _refused(
    form: AssemblyForm, texts: Mapping[str, str], reading: Reading, problems: Sequence[Problem], units: Units
) -> Attempt:
    """What is wrong by field, which fields are only empty so far, and what would work where a size is refused."""
    labels = view_form(form, texts, {}, Units.MM, Offers((), ())).labels
    missing = [reading.field(each.path) for each in problems if each.code.startswith("missing")]
    return Attempt(
        errors=reading.errors(units, () if problems is reading.problems else problems),
        labels=labels,
        offers=_offers(form, texts, reading, problems, units),
        waits={name: labels[name] for name in missing if name in labels and not texts.get(name, "").strip()},
    )


def attempt_new(store: Store, form: AssemblyForm, texts: Mapping[str, str], bench: Bench) -> Attempt:
    """The same of a new assembly's form: its lines of sizes, where it has any, go before its sizes."""
    if not has_lines(form, texts):
        return attempt(form, texts, bench)
    read = lines_of(form, texts, bench.head.units)
    marks = marks_in_turn(store, bench.head.id, texts.get("mark", ""), len(read))
    tried = [
        _line(form, texts, bench, line, mark, alone=len(read) == 1) for line, mark in zip(read, marks, strict=True)
    ]
    lines = tuple(line for line, _, _ in tried)
    wrong = _told(lines)
    errors = {SIZES: wrong} if wrong else {}
    for _, shared, _ in tried:
        errors |= {name: words for name, words in shared.items() if name not in errors}
    waits = {name: label for _, shared, waits in tried for name, label in waits.items() if name in shared}
    good = next((line for line in lines if line.takeoff is not None), None)
    spec, takeoff = (good.spec, good.takeoff) if good else (None, None)
    return Attempt(spec, takeoff, errors, waits=waits, lines=lines)


def _line(
    form: AssemblyForm, texts: Mapping[str, str], bench: Bench, line: Line, mark: str, *, alone: bool
) -> tuple[TriedLine, Mapping[str, str], Mapping[str, str]]:
    """The line tried, what is wrong in the fields that all lines share, and which fields it waits for."""
    units = bench.head.units
    if isinstance(line, BadLine):
        return TriedLine(line.number, line.text, wrong=line.problem.text(units)), {}, {}
    tried = attempt(form, line_texts(form, texts, line, units, mark), bench, advised=alone)
    own = line_fields(form, texts, line)
    wrong = "; ".join(f"{own[name]}: {words}" for name, words in tried.errors.items() if name in own)
    shared = {name: words for name, words in tried.errors.items() if name not in own}
    return TriedLine(line.number, line.text, tried.spec, tried.takeoff, wrong), shared, tried.waits


def _told(lines: Iterable[TriedLine]) -> str:
    """What is wrong in the lines, in one sentence; "" where nothing is."""
    wrong = [f"line {line.number}, “{_short(line.text)}”: {line.wrong}" for line in lines if line.wrong]
    more = len(wrong) - _LINES_TOLD
    return "; ".join([*wrong[:_LINES_TOLD], *([f"and {more} more"] if more > 0 else [])])


def _short(text: str) -> str:
    text = " ".join(text.split())
    return text if len(text) <= _LONGEST_TOLD else f"{text[:_LONGEST_TOLD]}…"
