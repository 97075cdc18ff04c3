"""The book of trials: what test pieces proved, and the form that records one."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Annotated

from fastapi import APIRouter, Query, Request
from fastapi.responses import HTMLResponse, Response

from domain.lengths import Units
from domain.problems import BadInput
from domain.spec.starts import numbered_text
from webapp.form.values import new_token
from webapp.pages.trials.tools import tools
from webapp.pages.trials.trial_form import LABELS, OUTCOMES, known_trial, read_trial, sent_trial, trial_errors
from webapp.pages.trials.trial_rows import group_of, groups, sheet_of, trial_row
from webapp.site import urls
from webapp.site.incoming import Form, RowId
from webapp.site.json_text import refuse_unprintable
from webapp.site.rendering import MAIN_ONLY, go_to, render
from webapp.store import Store
from webapp.store.shop import load_shop
from webapp.usecases import trials as book_of
from webapp.usecases.trials import Book

router = APIRouter(include_in_schema=False)

PROJECT = "project"
"""The field that says on whose set-up sheet the trial began, for the way back."""
LONGEST_WHY = 500

Project = Annotated[str, Query(max_length=20)]


@dataclass(frozen=True, slots=True)
class TrialForm:
    """The form as it is shown; ``project`` is the number of the project that it was opened from, or ""."""

    texts: Mapping[str, str]
    project: str = ""
    token: str = field(default_factory=new_token)
    errors: Mapping[str, str] = field(default_factory=dict)


@router.get(urls.trials)
def show(request: Request) -> HTMLResponse:
    """The book, and the starts that the shop accepted."""
    book, units = _opened(request)
    withdrawn = {kept.number for kept, _ in book.withdrawn}
    return render(
        request,
        "trials/page.html",
        units=units,
        groups=groups(book, units),
        starts=sorted(book.starts, key=lambda each: (each.ended is None, each.number), reverse=True),
        doubtful={
            each.number: numbered_text(tuple(number for number in each.start.trials if number in withdrawn))
            for each in book.starts
            if withdrawn.intersection(each.start.trials)
        },
        sections=book.sections,
        new_token=new_token,
    )


@router.get(urls.new_trial)
def new(request: Request) -> HTMLResponse:
    """The form, filled in with what the address says."""
    book, units = _opened(request)
    known = dict(request.query_params)
    for name, text in known.items():
        refuse_unprintable((name,), text)
    project = known.get(PROJECT, "")
    return _form(request, TrialForm(known_trial(known, book.today, book.sections), project), book, units)


@router.post(urls.trials)
def record(request: Request, form: Form) -> Response:
    """Write a trial into the book, and go on to what it says."""
    book, units = _opened(request)
    sent = TrialForm(sent_trial(form), form.text(PROJECT), form.text("token"))
    reading = read_trial(sent.texts, units, book.sections)
    if reading.trial is None:
        return _refused(request, sent, reading.errors, book, units)
    try:
        number = book_of.record(request.app.state.store, sent.token, reading.trial, reading.day)
    except BadInput as refusal:
        if refusal.problems[0].path == ("token",):
            raise
        return _refused(request, sent, trial_errors(refusal, units), book, units)
    return go_to(request, urls.trial(number, project=sent.project if sheet_of(sent.project) else ""))


@router.get(urls.trial)
def show_one(request: Request, number: RowId, project: Project = "") -> HTMLResponse:
    """One trial, and what it says with the others of its kind."""
    return _one(request, number, project=project)


@router.post(urls.withdraw_trial)
def withdraw(request: Request, number: RowId, form: Form) -> Response:
    """Let a trial count no more; it stays, struck out, with the reason."""
    why = " ".join(form.text("why").split())
    if not why:
        return _one(request, number, error="say why, such as “gauge misread”; it stays in the book with the trial")
    if len(why) > LONGEST_WHY:
        return _one(request, number, why=why, error=f"must be {LONGEST_WHY} letters or fewer")
    book_of.withdraw(request.app.state.store, number, why)
    return go_to(request, urls.trial(number))


def _opened(request: Request) -> tuple[Book, Units]:
    store: Store = request.app.state.store
    with store.reading() as session:
        units = load_shop(session).units
    return book_of.book(store), units


def _refused(
    request: Request, sent: TrialForm, errors: Mapping[str, str], book: Book, units: Units
) -> HTMLResponse:
    shown = TrialForm(sent.texts, sent.project, errors=errors)
    return _form(request, shown, book, units, status=422)


def _form(request: Request, form: TrialForm, book: Book, units: Units, *, status: int = 200) -> HTMLResponse:
    woods = {kept.trial.species: None for kept in book.trials}
    return render(
        request,
        "trials/new.html",
        status=status,
        headers=MAIN_ONLY,
        units=units,
        form=form,
        labels=LABELS,
        tools=tools(book.sections),
        outcomes=OUTCOMES,
        sheet=sheet_of(form.project),
        woods=list(woods),
        today=book.today,
    )


def _one(
    request: Request, number: int, *, project: str = "", why: str = "", error: str | None = None
) -> HTMLResponse:
    book, units = _opened(request)
    kept, withdrawal = book_of.one_trial(request.app.state.store, number)
    return render(
        request,
        "trials/trial.html",
        fragment="trials/_says.html",
        status=422 if error else 200,
        units=units,
        row=trial_row(kept, withdrawal, book.sections, units),
        group=group_of(book, kept.trial, units),
        withdrawal=withdrawal,
        sheet=sheet_of(project),
        why=why,
        error=error,
    )
