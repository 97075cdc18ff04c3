"""Accepted starts: both figures side by side with the evidence, and the button that says yes."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from fastapi import APIRouter, Request
from fastapi.responses import HTMLResponse, Response

from domain.lengths import Length, Units, format_fine
from domain.problem_codes import ProblemCode
from domain.problems import BadInput, Problem, Refused
from domain.reading import read
from domain.spec.catalogue import CutterKind
from domain.spec.fields import Name, Spec
from domain.trials.evidence import Start, accept
from webapp.form.carried import new_token
from webapp.form.fields import Field, Plain
from webapp.form.reader import value_of
from webapp.pages.trials.tools import tool_words
from webapp.pages.trials.trial_rows import difference_text, in_use, sheet_of, snug_text, trial_row, why_text
from webapp.site import urls
from webapp.site.incoming import OnceForm, RowId
from webapp.site.rendering import MAIN_ONLY, go_to, render
from webapp.store import Store
from webapp.store.trials import StoredStart
from webapp.usecases import trials as book_of
from webapp.usecases.json_text import refuse_unprintable
from webapp.usecases.shop import the_shop
from webapp.usecases.trials import Book, Stock

router = APIRouter(include_in_schema=False)

FIELDS = ("section", "cutter", "species", "thickness", "project")
ANY_WOOD, THIS_WOOD = "any", "this"


class _Wood(Spec):
    """Checks the names that an address carries."""

    section: Name
    species: Name | None = None


@dataclass(frozen=True, slots=True)
class EvidenceRow:
    """A trial behind a start: how near it is to the job, and what it proves."""

    number: int
    day: str
    near: str
    outcome: str
    proves: str
    set_aside: bool


@dataclass(frozen=True, slots=True)
class StartView:
    """Both figures in words. ``accept`` is what would be planned with, None where nothing can be accepted yet."""

    title: str
    trials_say: str
    snug: str
    catalogue: str
    catalogue_snug: str
    difference: str
    why: str
    evidence: tuple[EvidenceRow, ...]
    contradictions: tuple[str, ...]
    accept: Length | None


@dataclass(frozen=True, slots=True)
class StartPage:
    """What the trials say for such stock, and the button that accepts it.

    ``texts`` are what the address asked, ``record`` is where a trial of the same is recorded, ``sheet`` the
    set-up sheet that it was opened from ("" for none), ``refused`` why it was not accepted.
    """

    texts: Mapping[str, str]
    stock: Stock
    view: StartView
    accepted: StoredStart | None
    record: str
    sheet: str
    refused: str | None
    token: str
    wood: tuple[str, str] = (ANY_WOOD, THIS_WOOD)


@router.get(urls.start)
def show(request: Request) -> HTMLResponse:
    """What the trials say for such stock, the catalogue's figure beside it."""
    texts = {name: request.query_params.get(name, "") for name in FIELDS}
    for name, text in texts.items():
        refuse_unprintable((name,), text)
    return _page(request, texts)


@router.post(urls.starts)
def accept_start(request: Request, form: OnceForm) -> Response:
    """Plan with what the trials say from now on, if they still say what was shown."""
    store: Store = request.app.state.store
    texts = {name: form.text(name) for name in FIELDS}
    try:
        shown = _length("projection", form.text("projection"), Units.MM)
        stock = _stock(texts, the_shop(store).units)
        any_wood = form.text("wood") == ANY_WOOD or stock.species is None
        book_of.accept_start(store, form.sending, stock, shown, any_wood=any_wood)
    except BadInput as refusal:
        problem = refusal.problems[0]
        if problem.path not in {("projection",), ("trials",)}:
            raise
        return _page(request, texts, refused=problem.text(the_shop(store).units), status=409)
    return go_to(request, sheet_of(texts["project"]) or urls.trials(at="starts"))


@router.post(urls.end_start)
def end_start(request: Request, number: RowId, form: OnceForm) -> Response:
    """Plan with the catalogue's projection again."""
    book_of.end_start(request.app.state.store, form.sending, number)
    return go_to(request, urls.trials(at="starts"))


def _page(
    request: Request, texts: Mapping[str, str], *, refused: str | None = None, status: int = 200
) -> HTMLResponse:
    store: Store = request.app.state.store
    units = the_shop(store).units
    stock = _stock(texts, units)
    book, start = book_of.book(store), book_of.start(store, stock)
    return render(
        request,
        "trials/start.html",
        StartPage(
            texts=texts,
            stock=stock,
            view=_view(start, book, units),
            accepted=in_use(book, stock.section, stock.cutter, stock.species),
            record=urls.new_trial(**{name: texts[name] for name in FIELDS}),
            sheet=sheet_of(texts["project"]),
            refused=refused,
            token=new_token(),
        ),
        status=status,
        headers=MAIN_ONLY,
        units=units,
    )


def _view(start: Start, book: Book, units: Units) -> StartView:
    try:
        accepted = accept(start, book.today).projection
    except BadInput:
        accepted = None
    wood = f", {start.species}" if start.species else ""
    return StartView(
        title=f"{tool_words(start.section.name, start.cutter)}{wood}",
        trials_say="" if start.projection is None else format_fine(start.projection, units),
        snug=snug_text(start.snug, units),
        catalogue=format_fine(start.catalogue_projection, units),
        catalogue_snug=format_fine(start.catalogue_snug, units),
        difference="" if start.difference is None else difference_text(start.difference, units),
        why=why_text(start.why, start.clamped, units),
        evidence=tuple(_evidence(start, book, units)),
        contradictions=tuple(clash.text(units) for clash in start.contradictions),
        accept=accepted,
    )


def _evidence(start: Start, book: Book, units: Units) -> list[EvidenceRow]:
    rows = []
    for each in start.evidence:
        row = trial_row(each.kept, None, book.sections, units)
        rows.append(
            EvidenceRow(each.kept.number, each.kept.day, each.near(units), row.outcome, row.proves, each.set_aside)
        )
    return rows


def _stock(texts: Mapping[str, str], units: Units) -> Stock:
    """What an address asks about. Raises BadInput."""
    wood = read(_Wood, {"section": texts["section"], "species": texts["species"] or None})
    if texts["cutter"] not in set(CutterKind):
        words = " or ".join(CutterKind)
        raise BadInput([Problem.of(("cutter",), texts["cutter"], ProblemCode.NOT_THE_WORD, words_text=words)])
    thickness = _length("thickness", texts["thickness"], units)
    return Stock(wood.section, CutterKind(texts["cutter"]), wood.species, thickness.mm)


def _length(name: str, text: str, units: Units) -> Length:
    """The length that an address or a button carries. Raises BadInput."""
    try:
        length = value_of(Field(name, "", zero=False), text, Plain(units))
    except Refused as refused:
        raise BadInput([refused.at((name,), text)]) from None
    assert isinstance(length, Length)
    return length
