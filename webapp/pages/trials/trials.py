"""The book of trials: what test pieces proved, and the form that records one."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import Annotated

from fastapi import APIRouter, Query, Request
from fastapi.responses import HTMLResponse, Response

from domain.lengths import Length, Units
from domain.spec.catalogue import CutterKind, Section
from domain.spec.starts import numbered_text
from domain.trials.trial import Outcome, Trial
from webapp.form.fields import A_DAY, A_LENGTH, Field, Options, Plain, Sort, form_of
from webapp.form.filled import Filled, Values, blank, sent
from webapp.pages.trials.tools import WHICH_TOOL, read_tool, tool_value, tools
from webapp.pages.trials.trial_rows import Group, TrialRow, group_of, groups, sheet_of, trial_row
from webapp.site import urls
from webapp.site.editing import saved
from webapp.site.incoming import OnceForm, RowId
from webapp.site.rendering import MAIN_ONLY, go_to, render
from webapp.store.trials import StoredStart, Withdrawal
from webapp.usecases import trials as book_of
from webapp.usecases.json_text import refuse_unprintable
from webapp.usecases.shop import the_shop
from webapp.usecases.trials import Book

router = APIRouter(include_in_schema=False)

PROJECT = "project"
"""The field that says on whose set-up sheet the trial began, for the way back."""
LONGEST_WHY = 500

Project = Annotated[str, Query(max_length=20)]


OUTCOMES = (
    (Outcome.HELD_APART, "Held apart", "the joint would not close"),
    (Outcome.LOOSE, "Loose", "it closed and could be pulled open"),
    (Outcome.SNUG, "Snug", "closed, without play and without force"),
    (Outcome.TIGHT, "Tight", "driven with force, clamped"),
    (Outcome.BURST, "Burst", "the wood gave way"),
    (Outcome.STOPPED, "Key stopped", "it stuck and would go no further"),
)
_OUTCOME = "choose what the key did"
_SIZES = ("thickness", "projection", "depth", "fence_reading", "gap", "stopped_at")


def _size(name: str, label: str, hint: str | None = None, *, zero: bool = False) -> Field:
    return Field(name, label, hint=hint, needed=A_LENGTH, zero=zero)


TRIAL = form_of(
    Field(
        "outcome",
        "What the key did",
        Sort.CHOICE,
        options=tuple((outcome.value, word) for outcome, word, _ in OUTCOMES),
        tiles=True,
        needed=_OUTCOME,
        must=_OUTCOME,
    ),
    Field("gap", "Gap", hint="Between the faces, by feeler gauge.", zero=False),
    Field("stopped_at", "Stopped at", hint="How far the key went in.", zero=True),
    Field("tool", "Section and cutter", Sort.CHOICE, tiles=True, needed=WHICH_TOOL),
    _size("projection", "Projection as set", "How far the cutter stood out."),
    Field(
        "species", "Species", Sort.TEXT, needed="needs the wood’s name, such as oak", longest=120, suggest="woods"
    ),
    _size("thickness", "Stock thickness"),
    _size("depth", "Depth of the slot"),
    _size("fence_reading", "Fence reading", zero=True),
    Field("day", "Day", Sort.DAY, needed=A_DAY),
    Field(
        "tip_diameter",
        "Cutter’s tip on the day",
        hint="The catalogue’s where left empty.",
        zero=False,
        required=False,
    ),
    at={"section": "tool", "cutter": "tool"},
)


@dataclass(frozen=True, slots=True)
class TrialsPage:
    """The book in groups, and every start; ``doubtful`` has those, by number, that rest on withdrawn trials."""

    groups: Sequence[Group]
    starts: Sequence[StoredStart]
    doubtful: Mapping[int, str]
    sections: Sequence[Section]


@dataclass(frozen=True, slots=True)
class NewTrialPage:
    """The form; ``project`` is the number of the project that it was opened from, ``sheet`` its sheet."""

    form: Filled
    project: str
    sheet: str
    tools: Options
    woods: Sequence[str]
    today: str
    outcomes: tuple[tuple[Outcome, str, str], ...] = OUTCOMES


@dataclass(frozen=True, slots=True)
class TrialPage:
    """One trial with its group; ``why`` and ``error`` are of the form that withdraws it."""

    row: TrialRow
    group: Group
    withdrawal: Withdrawal | None
    sheet: str
    why: str
    error: str | None


@router.get(urls.trials)
def show(request: Request) -> HTMLResponse:
    """The book, and the starts that the shop accepted."""
    book, units = _opened(request)
    withdrawn = {kept.number for kept, _ in book.withdrawn}
    return render(
        request,
        "trials/page.html",
        TrialsPage(
            groups=groups(book, units),
            starts=sorted(book.starts, key=lambda each: (each.ended is None, each.number), reverse=True),
            doubtful={
                each.number: numbered_text(tuple(number for number in each.start.trials if number in withdrawn))
                for each in book.starts
                if withdrawn.intersection(each.start.trials)
            },
            sections=book.sections,
        ),
        units=units,
    )


@router.get(urls.new_trial)
def new(request: Request) -> HTMLResponse:
    """The form, filled in with what the address says."""
    book, units = _opened(request)
    known = dict(request.query_params)
    for name, text in known.items():
        refuse_unprintable((name,), text)
    form = blank(TRIAL, Plain(units), **_known(known, book))
    return _form(request, form, book, known.get(PROJECT, ""))


@router.post(urls.trials)
def record(request: Request, form: OnceForm) -> Response:
    """Write a trial into the book, and go on to what it says."""
    book, units = _opened(request)
    typed, project = sent(TRIAL, Plain(units), form), form.text(PROJECT)

    def save() -> str:
        trial, day = _read(typed.values(), book.sections)
        number = book_of.record(request.app.state.store, form.sending, trial, day)
        return urls.trial(number, project=project if sheet_of(project) else "")

    return saved(request, typed, save, lambda form, status: _form(request, form, book, project, status=status))


def _known(known: Mapping[str, str], book: Book) -> dict[str, str]:
    """The texts that are known by field; the day is today's unless known.

    Section and cutter may be known by themselves; where there is only one, it is chosen.
    """
    texts = {name: known[name] for name in TRIAL.labels if name in known} | {"day": known.get("day") or book.today}
    section, cutter = known.get("section", ""), known.get("cutter") or CutterKind.CLOSE.value
    choices = tools(book.sections)
    if section and cutter in set(CutterKind):
        texts["tool"] = tool_value(section, CutterKind(cutter))
    elif len(choices) == 1:
        texts["tool"] = choices[0][0]
    return texts


def _read(values: Values, sections: Iterable[Section]) -> tuple[Trial, str]:
    """The trial and its day, which the book keeps beside it. Raises Unusable."""
    tool = read_tool(values["tool"] or "")
    known_tip = None if tool is None else _tip(*tool, sections)
    if tool is None:
        values.refuse("tool", WHICH_TOOL)
    elif known_tip is None:
        values.refuse("tool", "the catalogue has no such section and cutter any more; choose one of these")
    values.check()
    section, cutter = tool or ("", None)
    given = {"section": section, "cutter": cutter, "tip_diameter": values["tip_diameter"] or known_tip}
    own = {name: values[name] for name in ("species", "outcome", *_SIZES)}
    return values.made(Trial, {**given, **own}), values["day"]


def _tip(section: str, cutter: CutterKind, sections: Iterable[Section]) -> Length | None:
    """The tip that the catalogue has; None where it has no such section or cutter."""
    return next((each.tip(cutter) for each in sections if each.name == section), None)


@router.get(urls.trial)
def show_one(request: Request, number: RowId, project: Project = "") -> HTMLResponse:
    """One trial, and what it says with the others of its kind."""
    return _one(request, number, project=project)


@router.post(urls.withdraw_trial)
def withdraw(request: Request, number: RowId, form: OnceForm) -> Response:
    """Let a trial count no more; it stays, struck out, with the reason."""
    why = " ".join(form.text("why").split())
    if not why:
        return _one(request, number, error="say why, such as “gauge misread”; it stays in the book with the trial")
    if len(why) > LONGEST_WHY:
        return _one(request, number, why=why, error=f"must be {LONGEST_WHY} letters or fewer")
    book_of.withdraw(request.app.state.store, form.sending, number, why)
    return go_to(request, urls.trial(number))


def _opened(request: Request) -> tuple[Book, Units]:
    store = request.app.state.store
    return book_of.book(store), the_shop(store).units


def _form(request: Request, form: Filled, book: Book, project: str, *, status: int = 200) -> HTMLResponse:
    """The form; ``project`` is the number of the project that it was opened from, or ""."""
    woods = {kept.trial.species: None for kept in book.trials}
    return render(
        request,
        "trials/new.html",
        NewTrialPage(form, project, sheet_of(project), tools(book.sections), list(woods), book.today),
        status=status,
        headers=MAIN_ONLY,
        units=form.plain.units,
    )


def _one(
    request: Request, number: int, *, project: str = "", why: str = "", error: str | None = None
) -> HTMLResponse:
    book, units = _opened(request)
    kept, withdrawal = book_of.one_trial(request.app.state.store, number)
    return render(
        request,
        "trials/trial.html",
        TrialPage(
            row=trial_row(kept, withdrawal, book.sections, units),
            group=group_of(book, kept.trial, units),
            withdrawal=withdrawal,
            sheet=sheet_of(project),
            why=why,
            error=error,
        ),
        fragment="trials/_says.html",
        status=422 if error else 200,
        units=units,
    )
