"""A project's quote: its terms, what they come to while one types, and its issuing."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction

from fastapi import APIRouter, Request
from fastapi.responses import HTMLResponse, Response

from domain.lengths import Units
from domain.quoting.reckoning import Reckoning
from webapp.form.carried import new_token, sent_version
from webapp.form.fields import Group, Plain, SimpleForm
from webapp.form.filled import Filled, Unusable, sent
from webapp.pages.printing import paper_of
from webapp.pages.projects.exports import MEDIA_TYPES, TableFile, download, written
from webapp.pages.quotes.quote_form import quote_form, read_terms, shown_terms
from webapp.pages.revisions.revisions import PAPER_NAMES
from webapp.pages.shop.jobs import begun_first
from webapp.papers.kinds import Paper, QuotePaper
from webapp.site import urls
from webapp.site.editing import saved
from webapp.site.failures import Words, failure
from webapp.site.incoming import Form, OnceForm, RowId, SentForm
from webapp.site.rendering import MAIN_ONLY, go_to, render
from webapp.store import Store
from webapp.store.errors import NotFound, StaleEdit
from webapp.store.projects import ProjectHead
from webapp.tables.quote_table import quote_table
from webapp.usecases import quotes
from webapp.usecases.drafts import usual_paper
from webapp.usecases.long_work import TakesLong
from webapp.usecases.quotes import Quoted, Standing, quote_of
from webapp.usecases.revisions import NotIssuable
from webapp.wording.money import format_money
from webapp.wording.quote import (
    ROUNDING,
    LetterWords,
    ReckoningWords,
    letter_words,
    minutes_rows,
    percent_text,
    reckoning_words,
)

router = APIRouter(include_in_schema=False)


@dataclass(frozen=True, slots=True)
class ReckoningPart:
    """What terms come to. ``unread`` are texts of the form that mean nothing, by the label of their field.

    ``letter`` is what the customer reads; None as long as anything is missing.
    """

    words: ReckoningWords | None
    letter: LetterWords | None
    minutes: Sequence[tuple[str, str, str]]
    unread: Sequence[tuple[str, str]]
    rounding: str


@dataclass(frozen=True, slots=True)
class QuotePage:
    """The form, its reckoning, the next quote and those issued. ``usual`` says what the shop asks as a rule.

    ``reasons`` say why it was not issued; ``stale``: something has changed since it was looked at.
    """

    head: ProjectHead
    form: Filled
    groups: Sequence[Group]
    usual: Sequence[str]
    words: ReckoningWords | None
    letter: LetterWords | None
    minutes: Sequence[tuple[str, str, str]]
    unread: Sequence[tuple[str, str]]
    rounding: str
    number: int
    mark: str
    ready: bool
    issued: Sequence[Standing]
    papers: Sequence[tuple[str, str]]
    paper: str
    token: str
    reasons: Sequence[str]
    stale: bool


@router.get(urls.project_quote)
def show(request: Request, project_id: RowId) -> HTMLResponse:
    """The quote as it stands."""
    quoted = quote_of(request.app.state.store, project_id)
    return _page(request, quoted)


@router.post(urls.project_quote)
def save(request: Request, project_id: RowId, form: OnceForm) -> Response:
    """Keep the terms, or show the form again as it was typed."""
    return _or_first(request, project_id, lambda: _save(request, project_id, form))


def _save(request: Request, project_id: int, form: SentForm) -> Response:
    store: Store = request.app.state.store
    quoted = quote_of(store, project_id)
    typed = sent(form_of(quoted), _plain(quoted), form, edits=True)

    def act() -> str:
        terms = read_terms(typed.values(), quoted.reckoning.materials)
        quotes.save_terms(store, form.sending, project_id, typed.version or 0, terms)
        return urls.project_quote(project_id)

    return saved(
        request,
        typed,
        act,
        lambda again, status: _page(request, quote_of(store, project_id), typed=again, status=status),
        stored=lambda: _shown(quote_of(store, project_id)).texts,
    )


@router.post(urls.quote_reckoning)
def reckoning(request: Request, project_id: RowId, form: Form) -> Response:
    """What the form comes to as it is typed; nothing is saved."""
    return _or_first(request, project_id, lambda: _reckoning(request, project_id, form))


def _reckoning(request: Request, project_id: int, form: SentForm) -> Response:
    quoted = quote_of(request.app.state.store, project_id)
    found = _come_to(quoted, sent(form_of(quoted), _plain(quoted), form, edits=True))
    return render(
        request,
        "quotes/_reckoning.html",
        ReckoningPart(found.words, found.letter, found.minutes, found.unread, ROUNDING),
        units=quoted.project.head.units,
    )


@router.post(urls.issue_quote)
def issue(request: Request, project_id: RowId, form: OnceForm) -> Response:
    """Issue the quote as it was seen and go to it; or say why it cannot be issued."""
    return _or_first(request, project_id, lambda: _issue(request, project_id, form))


def _issue(request: Request, project_id: int, form: SentForm) -> Response:
    store: Store = request.app.state.store
    paper = paper_of(form.text("paper"))
    number = sent_version(form.text("number"))
    try:
        issued = quotes.issue(store, form.sending, project_id, number, form.text("mark"), paper)
    except (StaleEdit, NotIssuable) as refusal:
        quoted = quote_of(store, project_id)
        stale = isinstance(refusal, StaleEdit)
        reasons = () if isinstance(refusal, StaleEdit) else refusal.reasons
        status = 409 if stale else 422
        return _page(request, quoted, paper=paper, reasons=reasons, stale=stale, status=status)
    return go_to(request, urls.issued_quote(issued))


@router.get(urls.quote_draft)
def draft(request: Request, project_id: RowId, kind: QuotePaper, paper: str = Paper.A4.label) -> Response:
    """A paper of the quote as it stands, marked as a draft; it is not kept."""
    size = paper_of(paper)
    try:
        body = quotes.draft(request.app.state.store, project_id, kind, size)
    except NotIssuable as refusal:
        return failure(request, 422, Words("It cannot be printed yet", str(refusal)))
    name = f"project-{project_id}-draft-{kind.value}-{size.label.lower()}.pdf"
    headers = {"Content-Disposition": f'inline; filename="{name}"'}
    return Response(body, media_type="application/pdf", headers=headers)


@router.get(urls.quote_table)
def table(request: Request, project_id: RowId, ending: str) -> Response:
    """The reckoning as a file."""
    if ending not in list(TableFile):
        raise NotFound("table", f"quote.{ending}")
    kind, quoted = TableFile(ending), quote_of(request.app.state.store, project_id)
    body = written(quote_table(quoted.reckoning, quoted.project.head.units), kind)
    return download(body, MEDIA_TYPES[kind], f"project-{project_id}-quote.{kind}")


def _or_first(request: Request, project_id: int, answer: Callable[[], Response]) -> Response:
    """The answer; or where long work comes first, that, which leads to the quote's page."""
    try:
        return answer()
    except TakesLong as late:
        return begun_first(request, late, urls.project_quote(project_id))


def said_quote(store: Store, texts: Mapping[str, str], places: Mapping[str, str]) -> Mapping[str, str]:
    """The texts of a form that was sent, as its page calls them today."""
    return form_of(quote_of(store, int(places["project_id"]))).said(texts)


def form_of(quoted: Quoted) -> SimpleForm:
    """The form of what the project takes today."""
    return quote_form(quoted.reckoning.materials, _plain(quoted))


def _plain(quoted: Quoted) -> Plain:
    return Plain(quoted.project.head.units, quoted.reckoning.currency)


def _shown(quoted: Quoted) -> Filled:
    materials, version = quoted.reckoning.materials, quoted.project.head.version
    return shown_terms(form_of(quoted), _plain(quoted), quoted.own, materials, version)


@dataclass(frozen=True, slots=True)
class _ComeTo:
    """What a form comes to, or what of it cannot be read."""

    words: ReckoningWords | None = None
    letter: LetterWords | None = None
    minutes: Sequence[tuple[str, str, str]] = ()
    unread: Sequence[tuple[str, str]] = ()


def _come_to(quoted: Quoted, form: Filled) -> _ComeTo:
    """What the form comes to, read as it would be saved."""
    units = quoted.project.head.units
    try:
        found = quoted.with_terms(read_terms(form.values(), quoted.reckoning.materials))
    except Unusable as refusal:
        unread = tuple((form.labels.get(name, name), says) for name, says in refusal.errors.items())
        return _ComeTo(unread=unread)
    return _told(found, units)


def _told(found: Reckoning, units: Units) -> _ComeTo:
    letter = None if found.total is None else letter_words(found, units)
    return _ComeTo(reckoning_words(found, units), letter, minutes_rows(found))


def _usual(quoted: Quoted) -> tuple[str, ...]:
    """What the shop asks as a rule, as far as it is said."""
    terms, currency = quoted.shop.terms, quoted.reckoning.currency
    said = []
    if terms.rate is not None:
        said.append(f"{format_money(terms.rate, currency)} an hour")
    if terms.margin is not None:
        said.append(f"margin {percent_text(Fraction(str(terms.margin)))}")
    if terms.tax is not None:
        said.append(f"{terms.tax.name} {percent_text(Fraction(str(terms.tax.rate)))}")
    return tuple(said)


def _page(
    request: Request,
    quoted: Quoted,
    *,
    typed: Filled | None = None,
    paper: Paper | None = None,
    reasons: Sequence[str] = (),
    stale: bool = False,
    status: int = 200,
) -> HTMLResponse:
    """The page of what is stored, or of what was ``typed`` and is shown again."""
    store: Store = request.app.state.store
    head, form = quoted.project.head, typed or _shown(quoted)
    found = _told(quoted.reckoning, head.units) if typed is None else _come_to(quoted, typed)
    return render(
        request,
        "quotes/quote.html",
        QuotePage(
            head=head,
            form=form,
            groups=form.form.groups,
            usual=_usual(quoted),
            words=found.words,
            letter=found.letter,
            minutes=found.minutes,
            unread=found.unread,
            rounding=ROUNDING,
            number=quoted.number,
            mark=quoted.mark,
            ready=quoted.reckoning.total is not None,
            issued=quotes.standings(store, quoted),
            papers=PAPER_NAMES,
            paper=(paper or usual_paper(head.units)).label,
            token=new_token(),
            reasons=reasons,
            stale=stale,
        ),
        status=status,
        headers=MAIN_ONLY,
        units=head.units,
    )
