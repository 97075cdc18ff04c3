"""A project's state and the day it is due, changed on its page; put away and brought back."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

from fastapi import APIRouter, Request, Response
from fastapi.responses import HTMLResponse

from domain.spec.job import Stage
from webapp.form.carried import sent_version
from webapp.form.fields import Field, Plain, Sort, form_of
from webapp.form.filled import Filled, sent, shown
from webapp.site import urls
from webapp.site.editing import saved
from webapp.site.incoming import OnceForm, RowId
from webapp.site.rendering import MAIN_ONLY, go_to, render
from webapp.store.projects import ProjectHead
from webapp.usecases import project_state
from webapp.usecases.projects import bench
from webapp.wording.job import STAGES

router = APIRouter(include_in_schema=False)

STATE = form_of(
    Field(
        "stage",
        "State",
        Sort.CHOICE,
        options=tuple((stage.value, name) for stage, name in STAGES.items()),
        must="must be one of these",
    ),
    Field("due", "Due", Sort.DAY, required=False, hint="A day such as 2026-03-31"),
)


@dataclass(frozen=True, slots=True)
class StatePage:
    """The form of the state, where what was sent cannot be used or somebody else was quicker."""

    head: ProjectHead
    form: Filled


def state_form(head: ProjectHead) -> Filled:
    """The form as it stands on the project's page."""
    return shown(STATE, Plain(), head, head.version)


def led(project_id: int, was: str, stage: str) -> str:
    """Where the form leads: to the booking of a state that it did not have, else back to the project."""
    if stage == Stage.GOING_AHEAD != was:
        return urls.project_stock(project_id)
    if stage == Stage.BUILT != was:
        return urls.book_project(project_id, "built")
    return urls.project(project_id)


@router.get(urls.project_state)
def show(request: Request, project_id: RowId) -> HTMLResponse:
    """The form by itself: what is left of it after a refusal was reloaded."""
    head = bench(request.app.state.store, project_id).head
    return _page(request, head, state_form(head))


@router.post(urls.project_state)
def save(request: Request, project_id: RowId, form: OnceForm) -> Response:
    """Keep the state and the day, and go on to where the state is booked, or back to the project."""
    store = request.app.state.store
    head = bench(store, project_id).head
    typed = sent(STATE, Plain(), form, edits=True)

    def act() -> str:
        values = typed.values()
        values.check()
        stage, day = Stage(values["stage"]), values["due"]
        due = None if day is None else date.fromisoformat(day)
        project_state.save_state(store, form.sending, project_id, typed.version or 0, stage, due)
        return led(project_id, form.text("was"), stage)

    return saved(
        request,
        typed,
        act,
        lambda again, status: _page(request, head, again, status=status),
        stored=lambda: state_form(bench(store, project_id).head).texts,
    )


@router.post(urls.put_away)
def put_away(request: Request, project_id: RowId, form: OnceForm) -> Response:
    """Take the project out of the lists."""
    version = sent_version(form.text("version"))
    project_state.put_away(request.app.state.store, form.sending, project_id, version)
    return go_to(request, urls.projects())


@router.post(urls.bring_back)
def bring_back(request: Request, project_id: RowId, form: OnceForm) -> Response:
    """Put the project in the lists again."""
    version = sent_version(form.text("version"))
    project_state.bring_back(request.app.state.store, form.sending, project_id, version)
    return go_to(request, urls.project(project_id))


def _page(request: Request, head: ProjectHead, form: Filled, *, status: int = 200) -> HTMLResponse:
    return render(request, "projects/state.html", StatePage(head, form), status=status, headers=MAIN_ONLY)
