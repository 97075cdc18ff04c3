"""Project files: out as a download, in by upload or paste with a look at what they would bring."""

from __future__ import annotations

from collections.abc import AsyncIterator, Sequence
from dataclasses import dataclass
from typing import Annotated

from fastapi import APIRouter, Depends, Request
from fastapi.responses import HTMLResponse, Response

from domain.problems import BadInput, Problem, path_text, shown
from webapp import urls
from webapp.forms.values import new_token
from webapp.incoming import RowId, SentForm
from webapp.json_text import LARGEST_DOCUMENT
from webapp.pages.rendering import MAIN_ONLY, go_to, render
from webapp.store import Store
from webapp.usecases.exchange import Preview, book_import, export_project, preview_import, project_text

router = APIRouter(include_in_schema=False)

MOST_SHOWN = 200
"""Problems listed on the page; a file with more is told how many."""
LONGEST_PASTE = 400_000
"""Bytes of a refused file that are put into the text field, to be mended there."""


async def read_document_form(request: Request) -> AsyncIterator[SentForm]:
    """Dependency: a form that may carry a whole project file. Its text is checked where it is parsed."""
    sent = await request.form(max_files=1, max_fields=10, max_part_size=LARGEST_DOCUMENT)
    try:
        yield SentForm(sent)
    finally:
        await sent.close()


DocumentForm = Annotated[SentForm, Depends(read_document_form)]


@dataclass(frozen=True, slots=True)
class ImportForm:
    """The form as it is shown: the pasted text, and every problem as place, value and what would work."""

    text: str = ""
    problems: Sequence[tuple[str, str, str]] = ()
    more: int = 0


@router.get("/projects/{project_id}/export")
def export(request: Request, project_id: RowId) -> Response:
    """The project file, for download."""
    store: Store = request.app.state.store
    with store.reading() as session:
        exported = export_project(session, project_id)
    return Response(
        exported.text,
        media_type="application/json",
        # the name is ours, plain ASCII without quotes: RFC 6266's simple form is enough
        headers={"Content-Disposition": f'attachment; filename="{exported.file_name}"'},
    )


@router.get("/import")
def show(request: Request) -> HTMLResponse:
    """The form."""
    return _page(request, ImportForm())


@router.post("/import")
def look(request: Request, form: DocumentForm) -> HTMLResponse:
    """What the file would create, to be confirmed; or everything wrong in it. Nothing is stored."""
    body = _document(form)
    if not body.strip():
        nothing = Problem((), "nothing", "choose a project file, or paste its text")
        return _refused(request, b"", [nothing])
    store: Store = request.app.state.store
    try:
        with store.reading() as session:
            preview = preview_import(session, body)
    except BadInput as refusal:
        return _refused(request, body, refusal.problems)
    return _preview(request, preview)


@router.post("/import/confirm")
def create(request: Request, form: DocumentForm) -> Response:
    """Create the project that the preview showed."""
    body = form.text("document").encode("utf-8", "surrogatepass")
    store: Store = request.app.state.store
    try:
        with store.writing() as session:
            number = book_import(session, form.text("token"), body)
    except BadInput as refusal:
        return _refused(request, body, refusal.problems)
    return go_to(request, urls.project(number))


def _document(form: SentForm) -> bytes:
    """The chosen file's bytes, or else the pasted text's."""
    file = form.file("file")
    if file is not None:
        return file.file.read(LARGEST_DOCUMENT + 1)
    return form.text("document").encode("utf-8", "surrogatepass")


def _refused(request: Request, body: bytes, problems: Sequence[Problem]) -> HTMLResponse:
    listed = [(path_text(one.path), shown(one.value), one.allowed) for one in problems[:MOST_SHOWN]]
    text = body.decode("utf-8-sig", "replace") if len(body) <= LONGEST_PASTE else ""
    return _page(request, ImportForm(text, listed, len(problems) - len(listed)), status=422)


def _page(request: Request, form: ImportForm, *, status: int = 200) -> HTMLResponse:
    return render(request, "exchange/page.html", status=status, headers=MAIN_ONLY, form=form)


def _preview(request: Request, preview: Preview) -> HTMLResponse:
    project = preview.project
    return render(
        request,
        "exchange/preview.html",
        headers=MAIN_ONLY,
        units=project.units,
        project=project,
        preview=preview,
        kinds=_KINDS,
        pins=[(path_text(pin.path), shown(pin.value), pin.allowed) for pin in preview.pins],
        document=project_text(project, indent=None).strip(),
        token=new_token(),
    )


_KINDS = {
    "mitred_frame": "mitred frame",
    "railed_frame": "railed frame",
    "box": "box",
    "carcass": "carcass",
    "loose_joint": "loose joint",
}
