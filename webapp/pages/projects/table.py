"""A project's assemblies as tables, edited in place: how many, sizes and names, saved together, all or none."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

from fastapi import APIRouter, Request, Response

from webapp.form.carried import sent_version
from webapp.form.fields import Plain, Sort
from webapp.form.views import FieldView, view_field
from webapp.pages.projects.table_form import Row, Table, TableForm, shared_words
from webapp.site import urls
from webapp.site.editing import saved
from webapp.site.incoming import OnceForm, RowId, SentForm
from webapp.site.rendering import render
from webapp.store import Store
from webapp.store.projects import ProjectHead
from webapp.usecases import projects
from webapp.usecases.entering import assemblies_of, save_table

router = APIRouter(include_in_schema=False)
MOST_ROWS = 300
"""Assemblies of a project that its table takes, the first ones."""


@dataclass(frozen=True, slots=True)
class RowView:
    """A row to show: what it is called, its assembly's mark, number and version ("" and 0 for none), its cells."""

    lead: str
    called: str
    mark: str
    number: int
    version: int
    cells: Sequence[FieldView]


@dataclass(frozen=True, slots=True)
class TableView:
    """A table to show: what its assemblies are, and what they share."""

    title: str
    shares: Sequence[str]
    heads: Sequence[tuple[str, str, bool]]
    """Each column's head, its unit ("" for none), and whether figures stand in it."""
    rows: Sequence[RowView]


@dataclass(frozen=True, slots=True)
class TablePage:
    """The project's tables."""

    head: ProjectHead
    form: TableForm
    tables: Sequence[TableView]
    left_out: int
    """Assemblies that are more than one page takes."""


@router.get(urls.sizes_table)
def show(request: Request, project_id: RowId) -> Response:
    """The tables as they are stored."""
    return _show(request, _form(request, project_id), 200)


@router.post(urls.sizes_table)
def save(request: Request, project_id: RowId, sent: OnceForm) -> Response:
    """Save every row that was changed and add the new ones, all or none; or show the tables again as typed."""
    form = _form(request, project_id, sent)
    if sent.text("change"):
        return _show(request, form, 200)
    if form.stray:
        return _show(request, replace(form, theirs=form.stray), 409)
    store = request.app.state.store

    def act() -> str:
        changed, added = form.changes()
        save_table(store, sent.sending, project_id, changed, added)
        return urls.project(project_id)

    return saved(
        request,
        form,
        act,
        lambda again, status: _show(request, again, status),
        stored=lambda: _form(request, project_id).said(),
    )


def said_table(store: Store, texts: Mapping[str, str], places: Mapping[str, str]) -> Mapping[str, str]:
    """The texts of the cells by what they are called, for two sendings of one form to be laid side by side."""
    form = _filled(store, int(places["project_id"]), texts)
    return {form.labels.get(cell, cell): text for cell, text in form.typed.items()}


def _form(request: Request, project_id: int, sent: SentForm | None = None) -> TableForm:
    store = request.app.state.store
    if sent is None:
        bench, stored = projects.bench(store, project_id), assemblies_of(store, project_id)[:MOST_ROWS]
        return TableForm(bench, stored, versions={each.id: each.version for each in stored})
    return replace(_filled(store, project_id, sent.values()), token=sent.text("token"))


def _filled(store: Store, project_id: int, texts: Mapping[str, str]) -> TableForm:
    """The form as it was sent."""
    bench, stored = projects.bench(store, project_id), assemblies_of(store, project_id)[:MOST_ROWS]
    versions = {each.id: sent_version(texts.get(f"a{each.id}.version", "")) for each in stored}
    typed = {name: text for name, text in texts.items() if "." in name and not name.endswith(".version")}
    return TableForm(bench, stored, typed, versions)


def _show(request: Request, form: TableForm, status: int) -> Response:
    left_out = max(form.bench.head.assemblies - MOST_ROWS, 0)
    return render(
        request,
        "projects/table.html",
        TablePage(form.bench.head, form, [_table(form, table) for table in form.tables], left_out),
        fragment="projects/_table.html",
        status=status,
        units=form.units,
    )


def _table(form: TableForm, table: Table) -> TableView:
    heads = [
        (column.label, form.units.value if column.sort is Sort.LENGTH else "", column.sort is not Sort.TEXT)
        for column in table.columns
    ]
    rows = [_row(form, table, row) for row in table.rows]
    return TableView(table.form.title, tuple(shared_words(table, form.units)), heads, rows)


def _row(form: TableForm, table: Table, row: Row) -> RowView:
    cells = [
        view_field(replace(column, name=cell), form.text(row, cell), form.errors, Plain(form.units))
        for cell, column in zip(row.cells, table.columns, strict=True)
    ]
    number = 0 if row.is_new else row.of.id
    return RowView(row.lead, row.called, row.mark, number, form.versions.get(row.of.id, 0), cells)
