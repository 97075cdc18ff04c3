"""A project's history: every edit in words, any state to look at, any of them to be brought back."""

from __future__ import annotations

from dataclasses import dataclass

from fastapi import APIRouter, Request, Response
from fastapi.responses import HTMLResponse

from webapp.form.fields import Plain
from webapp.pages.past.bin import words_of
from webapp.pages.past.told import told
from webapp.pages.projects.assembly_forms import FORMS
from webapp.site import urls
from webapp.site.incoming import OnceForm, RowId
from webapp.site.rendering import go_to, render
from webapp.store.past import Doing
from webapp.store.past_reading import AT_ONCE, Changed, Edit
from webapp.store.past_upkeep import NEWEST_KEPT
from webapp.store.projects import ProjectHead
from webapp.usecases import past
from webapp.usecases.shop import the_shop
from webapp.wording.backups import moment_words
from webapp.wording.words import sizes

router = APIRouter(include_in_schema=False)

_DOINGS = {
    Doing.FOUND: "As it was before the first change",
    Doing.UNDONE: "Undone",
    Doing.BROUGHT_BACK: "Brought back",
}


@dataclass(frozen=True, slots=True)
class EditRow:
    """An edit in words; ``doing`` is "" where it was an ordinary one."""

    number: int
    when: str
    doing: str
    said: tuple[str, ...]
    device: str


@dataclass(frozen=True, slots=True)
class HistoryPage:
    """A project's edits; ``undo`` is undone next, ``before`` is where the next page begins, None on the last."""

    head: ProjectHead
    rows: tuple[EditRow, ...]
    undo: EditRow | None
    newest: int | None
    before: int | None
    most: int


@dataclass(frozen=True, slots=True)
class PastAssembly:
    """An assembly of an earlier state, in words."""

    mark: str
    name: str
    kind: str
    quantity: int
    sizes: str
    material: str


@dataclass(frozen=True, slots=True)
class StatePage:
    """A project as it was after an edit, and what differs from it now."""

    head: ProjectHead
    edit: EditRow
    name: str
    assemblies: tuple[PastAssembly, ...]
    since: tuple[str, ...]


@router.get(urls.history)
def show(request: Request, project_id: RowId, before: int | None = None) -> HTMLResponse:
    """A project's edits, the newest first."""
    found = past.history(request.app.state.store, project_id, before)
    more = found.edits[-1].number if len(found.edits) == AT_ONCE else None
    plain = _plain(request, found.head)
    rows = tuple(_row(edit, plain) for edit in found.edits)
    undo = None if found.undo is None else _row(found.undo, plain)
    newest = rows[0].number if rows and before is None else None
    return render(request, "past/history.html", HistoryPage(found.head, rows, undo, newest, more, NEWEST_KEPT))


@router.get(urls.past_state)
def look(request: Request, project_id: RowId, edit: RowId) -> HTMLResponse:
    """One state, to be looked at."""
    state = past.state_after(request.app.state.store, project_id, edit)
    keys = sorted(state.lines.keys() | state.now.keys())
    plain = _plain(request, state.head)
    since = told(
        (Changed(past.PROJECT, project_id, key[0], state.lines.get(key), state.now.get(key)), plain)
        for key in keys
        if state.lines.get(key) != state.now.get(key)
    )
    assemblies = tuple(
        PastAssembly(
            mark=spec.mark,
            name=spec.name or "",
            kind=FORMS[spec.kind].title,
            quantity=spec.quantity,
            sizes=sizes(spec, state.head.units),
            material=spec.material or "",
        )
        for spec in state.assemblies
    )
    return render(
        request,
        "past/state.html",
        StatePage(state.head, _row(state.edit, plain), state.name, assemblies, since),
        units=state.head.units,
    )


@router.post(urls.bring_state_back)
def bring_back(request: Request, project_id: RowId, edit: RowId, sent: OnceForm) -> Response:
    """Let the project be as it was, and go to it."""
    past.bring_project_back(request.app.state.store, sent.sending, project_id, edit)
    return go_to(request, urls.project(project_id))


def _plain(request: Request, head: ProjectHead) -> Plain:
    return Plain(head.units, head.currency or the_shop(request.app.state.store).currency)


def _row(edit: Edit, plain: Plain) -> EditRow:
    said = () if edit.doing is Doing.FOUND else words_of(edit, lambda changed: plain)
    return EditRow(edit.number, moment_words(edit.at), _DOINGS.get(edit.doing, ""), said, edit.device)
