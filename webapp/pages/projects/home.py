"""The first page: the list of projects. It is kept light, for it is what a start waits for."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Annotated

from fastapi import APIRouter, Query, Request
from fastapi.responses import HTMLResponse, RedirectResponse

from domain.spec.job import Stage
from webapp.form.fields import Options
from webapp.site import urls
from webapp.site.rendering import render
from webapp.store.projects import ProjectHead
from webapp.usecases.project_list import LONGEST_SEARCH, ProjectList, Sorting, Wanted, project_list
from webapp.usecases.shop import FirstSteps, first_steps
from webapp.wording.job import STAGES, due_words, is_overdue

router = APIRouter(include_in_schema=False)

STATES: Options = (("", "All"), *((stage.value, name) for stage, name in STAGES.items()))
SORTINGS: Options = (
    (Sorting.CHANGED.value, "Last change"),
    (Sorting.DUE.value, "Due, the nearest first"),
    (Sorting.STATE.value, "State"),
    (Sorting.NAME.value, "Name"),
    (Sorting.CUSTOMER.value, "Customer"),
)


@router.get(urls.home)
def home() -> RedirectResponse:
    """On to the projects."""
    return RedirectResponse(urls.projects(), status_code=303)


@dataclass(frozen=True, slots=True)
class ProjectLine:
    """A project in the list, its state and day in words."""

    head: ProjectHead
    state: str
    due: str
    overdue: bool


@dataclass(frozen=True, slots=True)
class ProjectsPage:
    """A page of the list, and what it was asked for.

    ``counted`` says how many were found in each state; ``before`` and ``after`` lead to the pages beside this
    one, "" where there is none. ``steps`` is how far a shop has come that has no project yet, else None.
    """

    listed: ProjectList
    wanted: Wanted
    lines: Sequence[ProjectLine]
    states: Options
    counted: str
    sortings: Options
    is_narrowed: bool
    before: str
    after: str
    steps: FirstSteps | None


@router.get(urls.projects)
def projects(
    request: Request,
    find: Annotated[str, Query(max_length=LONGEST_SEARCH)] = "",
    state: str = "",
    sort: str = "",
    away: str = "",
    page: Annotated[int, Query(le=2**31)] = 1,
) -> HTMLResponse:
    """The projects that are looked for; where there is none at all, what to begin with."""
    wanted = Wanted(
        words=find.strip(),
        stage=Stage(state) if state in list(Stage) else None,
        sorting=Sorting(sort) if sort in list(Sorting) else Sorting.CHANGED,
        away=away == "yes",
        page=page,
    )
    store = request.app.state.store
    listed = project_list(store, wanted)
    return render(
        request,
        "projects/list.html",
        ProjectsPage(
            listed=listed,
            wanted=wanted,
            lines=[_line(head, listed) for head in listed.heads],
            states=STATES,
            counted=", ".join(f"{count} {STAGES[stage].lower()}" for stage, count in listed.by_stage.items()),
            sortings=SORTINGS,
            is_narrowed=bool(wanted.words or wanted.stage),
            before=_at(wanted, listed.page - 1) if listed.page > 1 else "",
            after=_at(wanted, listed.page + 1) if listed.page < listed.pages else "",
            steps=None if listed.at_hand or listed.away else first_steps(store),
        ),
        fragment="projects/_list.html",
    )


def _line(head: ProjectHead, listed: ProjectList) -> ProjectLine:
    day = listed.today
    due = due_words(head.due, head.stage, day)
    return ProjectLine(head, STAGES[head.stage], due, is_overdue(head.due, head.stage, day))


def _at(wanted: Wanted, page: int) -> str:
    """The address of another page of the same list."""
    return urls.projects(
        find=wanted.words,
        state=wanted.stage or "",
        sort=wanted.sorting if wanted.sorting is not Sorting.CHANGED else "",
        away="yes" if wanted.away else "",
        page=page if page > 1 else "",
    )
