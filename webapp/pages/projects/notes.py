"""A note beside a project, one of its assemblies or one of its joints: written, changed, taken away."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Annotated

from fastapi import APIRouter, Query, Request, Response
from fastapi.responses import HTMLResponse

from domain.spec.fields import LONGEST_NOTE
from domain.spec.job import marks_of
from webapp.form.fields import Field, Plain, Sort, form_of
from webapp.form.filled import Filled, sent, shown
from webapp.site import urls
from webapp.site.editing import saved
from webapp.site.incoming import OnceForm, RowId
from webapp.site.rendering import MAIN_ONLY, render
from webapp.store.projects import ProjectHead
from webapp.usecases.project_state import save_note
from webapp.usecases.projects import Bench, bench
from webapp.wording.job import about_words

router = APIRouter(include_in_schema=False)

NOTE = form_of(
    Field(
        "note",
        "Note",
        Sort.TEXT,
        required=False,
        longest=LONGEST_NOTE,
        lines=6,
        hint="Stands beside it on the pages and papers. Left empty, there is none.",
    ),
)
Mark = Annotated[str, Query(max_length=40)]


@dataclass(frozen=True, slots=True)
class NotePage:
    """A note's form; ``about`` says of what, ``back`` where it is shown."""

    head: ProjectHead
    form: Filled
    mark: str
    about: str
    back: str


def noted_of(mark: str, notes: Mapping[str, str]) -> tuple[tuple[str, str], ...]:
    """The notes of an assembly and its joints, with their marks: its own first."""
    return tuple((each, notes[each]) for each in sorted(marks_of(mark, notes), key=lambda each: (len(each), each)))


def place_of(project_id: int, mark: str) -> str:
    """Where a note is shown: the project's and an assembly's on its page, a joint's on the schedule."""
    of, joint, _ = mark.rpartition("-")
    return urls.schedule(project_id, of=of, at=f"joint-{mark}") if joint else urls.project(project_id, of=mark)


@router.get(urls.project_note)
def edit(request: Request, project_id: RowId, mark: Mark = "") -> HTMLResponse:
    """The form of the note at a mark."""
    found = bench(request.app.state.store, project_id)
    return _page(request, found, mark, _shown(found, mark))


@router.post(urls.project_note)
def save(request: Request, project_id: RowId, form: OnceForm) -> Response:
    """Keep the note, and go back to what it is about."""
    store, mark = request.app.state.store, form.text("mark")
    typed = sent(NOTE, Plain(), form, edits=True)

    def act() -> str:
        values = typed.values()
        values.check()
        save_note(store, form.sending, project_id, typed.version or 0, mark, values["note"] or "")
        return place_of(project_id, mark)

    return saved(
        request,
        typed,
        act,
        lambda again, status: _page(request, bench(store, project_id), mark, again, status=status),
        stored=lambda: _shown(bench(store, project_id), mark).texts,
    )


def _shown(found: Bench, mark: str) -> Filled:
    note = found.notes.get(mark, "") if mark else found.note or ""
    return shown(NOTE, Plain(), {"note": note}, found.head.version)


def _page(request: Request, found: Bench, mark: str, form: Filled, *, status: int = 200) -> HTMLResponse:
    return render(
        request,
        "projects/note.html",
        NotePage(found.head, form, mark, about_words(mark), place_of(found.head.id, mark)),
        status=status,
        headers=MAIN_ONLY,
    )
