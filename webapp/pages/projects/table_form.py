"""The table of a project's assemblies as a form: a row each, and empty ones to add more of the same wood.

Assemblies of one kind that share everything but mark, name, number and sizes stand in one table. A cell is named
by its row and its field: ``a17.width`` is the width of assembly 17, ``n17.0.width`` that of the first new row of
the table that assembly 17 leads. A row is read as the form of its kind is, its cells in the place of the fields.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from functools import cached_property

from domain.lengths import Units
from domain.problems import BadInput
from domain.spec.assemblies import Assembly
from webapp.form.carried import new_token
from webapp.form.differences import Difference, differences
from webapp.form.fields import AssemblyForm, Field, Group
from webapp.form.filled import THE_FORM, Unusable
from webapp.form.showing import spec_texts
from webapp.pages.projects.assembly_forms import FORMS
from webapp.pages.projects.attempts import attempt
from webapp.store.assemblies import StoredAssembly
from webapp.store.errors import StaleEdit
from webapp.usecases.entering import Change
from webapp.usecases.projects import Bench

SPARE_ROWS = 2
MOST_NEW = 100
"""New rows of one table."""
_QUANTITY, _NAME = "quantity", "name"


@dataclass(frozen=True, slots=True)
class Row:
    """A row: of an assembly that is there, or a new one (``mark`` "") that shares with ``of``.

    ``lead`` begins the names of its cells.
    """

    lead: str
    mark: str
    of: StoredAssembly
    cells: Mapping[str, str]
    """Fields of its kind's form, by the names of its cells."""

    @property
    def is_new(self) -> bool:
        """True of a row that is no assembly yet."""
        return not self.mark

    @property
    def called(self) -> str:
        """What the row is called: its assembly's mark, or the number of the new row."""
        return self.mark or f"New row {int(self.lead.rsplit('.', 1)[-1]) + 1} like {self.of.spec.mark}"


@dataclass(frozen=True, slots=True)
class Table:
    """Assemblies that share their wood and keys: the columns, as the form's fields, and the rows."""

    form: AssemblyForm
    columns: tuple[Field, ...]
    rows: tuple[Row, ...]


@dataclass(frozen=True)
class TableForm:
    """The tables of a project, with the texts that were typed into them.

    ``typed`` are texts by cell, of those that were sent. ``versions`` are those that the rows were opened at.
    """

    bench: Bench
    stored: Sequence[StoredAssembly]
    typed: Mapping[str, str] = field(default_factory=dict)
    versions: Mapping[int, int] = field(default_factory=dict)
    errors: Mapping[str, str] = field(default_factory=dict)
    theirs: tuple[Difference, ...] | None = None
    token: str = field(default_factory=new_token)

    @property
    def units(self) -> Units:
        """Units of plain numbers."""
        return self.bench.head.units

    @cached_property
    def tables(self) -> tuple[Table, ...]:
        """A table for each wood, in the order of their first assemblies."""
        alike: dict[str, list[StoredAssembly]] = {}
        for each in self.stored:
            if FORMS[each.spec.kind].sized:
                alike.setdefault(shared(each.spec), []).append(each)
        return tuple(self._table(group) for group in alike.values())

    def text(self, row: Row, cell: str) -> str:
        """What stands in a cell: as it was typed, or as it is stored."""
        if cell in self.typed:
            return self.typed[cell]
        return "" if row.is_new else self._texts(row.of)[row.cells[cell]]

    @property
    def labels(self) -> dict[str, str]:
        """What each cell is called, for the summary of errors."""
        found = {
            cell: f"{row.called}, {column.label}"
            for table in self.tables
            for row in table.rows
            for cell, column in zip(row.cells, table.columns, strict=True)
        }
        return {THE_FORM: "The table", **found}

    @property
    def stray(self) -> tuple[Difference, ...]:
        """What was typed into rows that are here no more: their assembly was deleted, or has another wood now."""
        texts = [text for cell, text in self.typed.items() if text.strip() and cell not in self.labels]
        return tuple(Difference("A row that is not here any more", text, "") for text in texts)

    def refused(self, errors: Mapping[str, str]) -> TableForm:
        """The same with a sentence at each of these cells; a token that is lost is made anew."""
        return replace(self, errors=errors, token=new_token() if THE_FORM in errors else self.token)

    def overtaken(self, version: int, stored: Mapping[str, str]) -> TableForm:
        """The same beside what is ``stored`` now, by what the cells are called; the rows are those of now."""
        mine = {self.labels[cell]: text for cell, text in self.typed.items() if cell in self.labels}
        said = {label: text for label, text in stored.items() if label in mine}
        versions = {each.id: each.version for each in self.stored}
        return replace(self, theirs=differences(mine, said), versions=versions)

    def errors_of(self, refusal: BadInput) -> Mapping[str, str]:
        """A refusal that belongs to no single cell."""
        return {THE_FORM: "; ".join(problem.text(self.units) for problem in refusal.problems)}

    def said(self) -> dict[str, str]:
        """What stands in the cells of assemblies that are there, by what they are called."""
        rows = [row for table in self.tables for row in table.rows if not row.is_new]
        return {self.labels[cell]: self.text(row, cell) for row in rows for cell in row.cells}

    def changes(self) -> tuple[tuple[Change, ...], tuple[Assembly, ...]]:
        """Assemblies whose row says something else than is stored, and new ones.

        Raises Unusable with every error, or StaleEdit where what a new row shares with was changed meanwhile.
        """
        changed: list[Change] = []
        added: list[Assembly] = []
        errors: dict[str, str] = {}
        for row in (row for table in self.tables for row in table.rows if self._says_something(row)):
            spec = self._spec(row, errors)
            if spec is None:
                continue
            if row.is_new:
                if self.versions.get(row.of.id) != row.of.version:
                    raise StaleEdit("assembly", row.of.id, row.of.version)
                added.append(spec)
            else:
                changed.append(Change(row.of.id, self.versions.get(row.of.id, 0), spec))
        if errors:
            raise Unusable(errors)
        return tuple(changed), tuple(added)

    def _says_something(self, row: Row) -> bool:
        if row.is_new:
            return any(self.text(row, cell).strip() for cell in row.cells)
        stored = self._texts(row.of)
        return any(self.text(row, cell).strip() != stored[name] for cell, name in row.cells.items())

    def _spec(self, row: Row, errors: dict[str, str]) -> Assembly | None:
        """The row's assembly; None where something is wrong with it, which is noted."""
        own = {name: self.text(row, cell) for cell, name in row.cells.items()}
        if row.is_new:
            own[_QUANTITY] = own[_QUANTITY].strip() or "1"
        form = FORMS[row.of.spec.kind]
        tried = attempt(form, {**self._texts(row.of), **own}, self.bench, advised=False)
        cells = {name: cell for cell, name in row.cells.items()}
        first = next(cell for cell, name in row.cells.items() if name not in {_QUANTITY, _NAME})
        for name, words in tried.errors.items():
            errors.setdefault(cells.get(name, first), words)
        return tried.spec if not tried.errors else None

    def _texts(self, stored: StoredAssembly) -> dict[str, str]:
        return spec_texts(FORMS[stored.spec.kind], stored.spec, self.units)

    def _table(self, group: Sequence[StoredAssembly]) -> Table:
        form, first = FORMS[group[0].spec.kind], group[0]
        columns = (_of(form, _QUANTITY), *form.sizes(self._texts(first)), _of(form, _NAME))

        def row(lead: str, mark: str, of: StoredAssembly) -> Row:
            return Row(lead, mark, of, {f"{lead}.{column.name}": column.name for column in columns})

        rows = [row(f"a{each.id}", each.spec.mark, each) for each in group]
        rows += [row(f"n{first.id}.{number}", "", first) for number in range(self._new_rows(first.id))]
        return Table(form, columns, tuple(rows))

    def _new_rows(self, first: int) -> int:
        """As many as were typed into, and some to spare."""
        lead = f"n{first}."
        numbers = [
            int(number)
            for name, text in self.typed.items()
            if name.startswith(lead) and text.strip()
            for number in (name.removeprefix(lead).split(".")[0],)
            if number.isascii() and number.isdecimal() and len(number) < 4
        ]
        return min(max(numbers, default=-1) + 1 + SPARE_ROWS, MOST_NEW)


def shared(spec: Assembly) -> str:
    """What an assembly shares with others of one table, as a text that is the same for the same."""
    own = {"mark", "quantity", "name", "joints", *FORMS[spec.kind].sized}
    return spec.model_dump_json(exclude=own)


def shared_words(table: Table, units: Units) -> Iterator[str]:
    """What the rows share, group by group, as far as a new form of the kind would take it over."""
    spec = table.rows[0].of.spec
    texts = spec_texts(table.form, spec, units)
    if spec.material:
        yield spec.material
    for group in table.form.groups:
        said = [] if group.switch and group.switch not in texts else list(_kept_words(table.form, group, texts))
        if said:
            yield f"{group.legend}: {', '.join(said)}"


def _kept_words(form: AssemblyForm, group: Group, texts: Mapping[str, str]) -> Iterator[str]:
    fields = (node for node in group.nodes if isinstance(node, Field) and node.name != "material")
    for node in fields:
        text = texts.get(node.name, "")
        hidden = node.when is not None and texts.get(node.when.field) not in node.when.values
        if f"{node.name}.".startswith(tuple(f"{name}." for name in form.kept)) and text and not hidden:
            yield f"{node.label.lower()} {dict(node.options).get(text, text)}"


def _of(form: AssemblyForm, name: str) -> Field:
    fields = (node for group in form.groups for node in group.nodes if isinstance(node, Field))
    return next(node for node in fields if node.name == name)
