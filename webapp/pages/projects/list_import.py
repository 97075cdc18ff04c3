"""A project's assemblies in by a list: a file or a pasted block, looked at before it is added, all or none."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Annotated

from fastapi import APIRouter, Depends, Request, Response

from domain.problems import BadInput, Problem, path_text
from domain.takeoff.counting import count
from webapp.form.carried import new_token
from webapp.pages.projects.assembly_forms import FORMS
from webapp.pages.projects.assembly_list import LARGEST_LIST, TEMPLATE, AssemblyList, ListedAssembly, read_list
from webapp.pages.projects.exports import MEDIA_TYPES, TableFile
from webapp.pages.projects.file_form import FileForm, file_form, pasted, sent_file
from webapp.site import urls
from webapp.site.incoming import RowId, SentForm, sent_once
from webapp.site.rendering import MAIN_ONLY, go_to, render
from webapp.store.projects import ProjectHead
from webapp.tables.csv import BOM
from webapp.usecases import projects
from webapp.usecases.entering import add_listed
from webapp.usecases.projects import Bench
from webapp.wording.problems import InputProblem
from webapp.wording.words import keys_text, sizes

router = APIRouter(include_in_schema=False)

_read_list = file_form(3 * LARGEST_LIST)
ListForm = Annotated[SentForm, Depends(_read_list)]
OnceList = Annotated[SentForm, Depends(sent_once(_read_list))]


@dataclass(frozen=True, slots=True)
class ListPage:
    """The form that takes a list."""

    head: ProjectHead
    form: FileForm
    headings: Sequence[str]
    kinds: Sequence[str]


@dataclass(frozen=True, slots=True)
class ListedWords:
    """A line of the list in words; ``refused`` counts joints that cannot be made."""

    line: int
    mark: str
    kind: str
    name: str
    quantity: int
    size: str
    keys: str
    refused: int


@dataclass(frozen=True, slots=True)
class ListPreviewPage:
    """What a list would add."""

    head: ProjectHead
    lines: Sequence[ListedWords]
    document: str
    token: str


@router.get(urls.list_template)
def template(request: Request, project_id: RowId) -> Response:
    """The headings, to be filled in by a spreadsheet; semicolons, which go with a decimal comma too."""
    projects.bench(request.app.state.store, project_id)
    headers = {"Content-Disposition": 'attachment; filename="assemblies.csv"'}
    body = (BOM + ";".join(TEMPLATE) + "\r\n").encode("utf-8")
    return Response(body, media_type=MEDIA_TYPES[TableFile.CSV], headers=headers)


@router.get(urls.import_list)
def show(request: Request, project_id: RowId) -> Response:
    """The form."""
    return _page(request, projects.bench(request.app.state.store, project_id), FileForm())


@router.post(urls.import_list)
def look(request: Request, project_id: RowId, form: ListForm) -> Response:
    """What the list would add, or everything wrong in it. Nothing is stored."""
    bench = projects.bench(request.app.state.store, project_id)
    body = sent_file(form, LARGEST_LIST)
    try:
        found = _read(request, bench, body)
    except BadInput as refusal:
        return _refused(request, bench, body, refusal.problems)
    return render(
        request,
        "projects/list_preview.html",
        ListPreviewPage(
            bench.head, [_words(line, bench) for line in found.lines], body.decode("utf-8-sig"), new_token()
        ),
        headers=MAIN_ONLY,
        units=bench.head.units,
    )


@router.post(urls.add_list)
def add(request: Request, project_id: RowId, form: OnceList) -> Response:
    """Add what the preview showed, all or none; where something is wrong by now, say so instead."""
    store = request.app.state.store
    bench, body = projects.bench(store, project_id), pasted(form)
    try:
        found = _read(request, bench, body)
        added = add_listed(store, form.sending, project_id, [line.spec for line in found.lines])
    except BadInput as refusal:
        return _refused(request, bench, body, refusal.problems)
    return go_to(request, urls.in_project(project_id, added[0]))


def _read(request: Request, bench: Bench, body: bytes) -> AssemblyList:
    """The list, every line of which is good. Raises BadInput with all that is wrong."""
    if not body.strip():
        raise BadInput([Problem.of((), "nothing", InputProblem.NO_CSV_FILE)])
    found = read_list(request.app.state.store, bench, body)
    if found.problems:
        raise BadInput(found.problems)
    return found


def _words(line: ListedAssembly, bench: Bench) -> ListedWords:
    spec, takeoff = line.spec, line.takeoff
    return ListedWords(
        line.line,
        spec.mark,
        FORMS[spec.kind].title,
        spec.name or "",
        spec.quantity,
        sizes(spec, bench.head.units),
        ", ".join(keys_text(count([takeoff], bench.means.rules).keys)),
        sum(joint.joint.quantity for joint in takeoff.joints if joint.plan is None),
    )


def _refused(request: Request, bench: Bench, body: bytes, problems: Sequence[Problem]) -> Response:
    return _page(request, bench, FileForm.refused(body, problems, _place), status=422)


def _page(request: Request, bench: Bench, form: FileForm, *, status: int = 200) -> Response:
    return render(
        request,
        "projects/list_import.html",
        ListPage(bench.head, form, TEMPLATE, [each.title for each in FORMS.values()]),
        status=status,
        headers=MAIN_ONLY,
        units=bench.head.units,
    )


def _place(problem: Problem) -> str:
    """A line, or a line and its column, as one says it."""
    return ", ".join(str(step) for step in problem.path) or path_text(problem.path)
