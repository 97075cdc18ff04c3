"""Project files: out as a download, in by upload or paste with a look at what they would bring."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Annotated

from fastapi import APIRouter, Depends, Request
from fastapi.responses import HTMLResponse, Response

from domain.problems import BadInput, Problem, path_text, shown
from domain.spec.project import Project
from webapp.form.carried import new_token
from webapp.pages.projects.file_form import FileForm, file_form, pasted, sent_file
from webapp.site import urls
from webapp.site.incoming import RowId, SentForm, sent_once
from webapp.site.rendering import MAIN_ONLY, go_to, render
from webapp.usecases.exchange import Preview, book_import, export_project, preview_import, project_text
from webapp.usecases.json_text import LARGEST_DOCUMENT
from webapp.wording.problems import InputProblem

router = APIRouter(include_in_schema=False)

_read_document = file_form(LARGEST_DOCUMENT)
DocumentForm = Annotated[SentForm, Depends(_read_document)]
OnceDocument = Annotated[SentForm, Depends(sent_once(_read_document))]


@dataclass(frozen=True, slots=True)
class ImportPage:
    """The form that takes a project file."""

    form: FileForm


@dataclass(frozen=True, slots=True)
class ImportPreviewPage:
    """What a file would create; ``pins`` are choices that this shop has no section for: place, value, words."""

    project: Project
    preview: Preview
    kinds: Mapping[str, str]
    pins: tuple[tuple[str, str, str], ...]
    document: str
    token: str


@router.get(urls.export)
def export(request: Request, project_id: RowId) -> Response:
    """The project file, for download."""
    exported = export_project(request.app.state.store, project_id)
    return Response(
        exported.text,
        media_type="application/json",
        # the name is ours, plain ASCII without quotes: RFC 6266's simple form is enough
        headers={"Content-Disposition": f'attachment; filename="{exported.file_name}"'},
    )


@router.get(urls.import_project)
def show(request: Request) -> HTMLResponse:
    """The form."""
    return _page(request, FileForm())


@router.post(urls.import_project)
def look(request: Request, form: DocumentForm) -> HTMLResponse:
    """What the file would create, to be confirmed; or everything wrong in it. Nothing is stored."""
    body = sent_file(form, LARGEST_DOCUMENT)
    if not body.strip():
        nothing = Problem.of((), "nothing", InputProblem.NO_PROJECT_FILE)
        return _refused(request, b"", [nothing])
    try:
        preview = preview_import(request.app.state.store, body)
    except BadInput as refusal:
        return _refused(request, body, refusal.problems)
    return _preview(request, preview)


@router.post(urls.confirm_import)
def create(request: Request, form: OnceDocument) -> Response:
    """Create the project that the preview showed."""
    body = pasted(form)
    try:
        number = book_import(request.app.state.store, form.sending, body)
    except BadInput as refusal:
        return _refused(request, body, refusal.problems)
    return go_to(request, urls.project(number))


def _refused(request: Request, body: bytes, problems: Sequence[Problem]) -> HTMLResponse:
    return _page(request, FileForm.refused(body, problems), status=422)


def _page(request: Request, form: FileForm, *, status: int = 200) -> HTMLResponse:
    return render(request, "projects/import.html", ImportPage(form), status=status, headers=MAIN_ONLY)


def _preview(request: Request, preview: Preview) -> HTMLResponse:
    project = preview.project
    return render(
        request,
        "projects/import_preview.html",
        ImportPreviewPage(
            project=project,
            preview=preview,
            kinds=_KINDS,
            pins=tuple((path_text(pin.path), shown(pin.value), pin.text(project.units)) for pin in preview.pins),
            document=project_text(project, indent=None).strip(),
            token=new_token(),
        ),
        headers=MAIN_ONLY,
        units=project.units,
    )


_KINDS = {
    "mitred_frame": "mitred frame",
    "railed_frame": "face frame or door",
    "box": "box",
    "carcass": "carcass",
    "single_joint": "single joint",
}
