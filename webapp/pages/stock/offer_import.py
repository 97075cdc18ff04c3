"""Offers out as CSV, and in by upload or paste with a look at what each line would change."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Annotated

from fastapi import APIRouter, Depends, Request
from fastapi.responses import HTMLResponse, Response

from domain.problems import BadInput, Problem, path_text
from webapp.form.carried import new_token
from webapp.pages.projects.exports import MEDIA_TYPES, TableFile
from webapp.pages.projects.file_form import MOST_SHOWN, FileForm, Listed, file_form, listed, pasted, sent_file
from webapp.site import urls
from webapp.site.incoming import SentForm, sent_once
from webapp.site.rendering import MAIN_ONLY, go_to, render
from webapp.tables.buying_tables import offer_table
from webapp.tables.csv import write_csv
from webapp.usecases.offer_file import LARGEST_FILE, NEEDED, Column
from webapp.usecases.offer_import import ImportMoved, LineEffect, OfferImport, book_offers, preview_offers
from webapp.usecases.supplies import load_supplies
from webapp.wording.problems import InputProblem

router = APIRouter(include_in_schema=False)

_ROOM = 3 * LARGEST_FILE
"""Bytes of a form's part: signs of a file may take more room in a form than in the file."""


_read_offers = file_form(_ROOM)
OfferForm = Annotated[SentForm, Depends(_read_offers)]
OnceOffers = Annotated[SentForm, Depends(sent_once(_read_offers))]


@router.get(urls.export_offers)
def export(request: Request) -> Response:
    """Every offer, for download."""
    supplies = load_supplies(request.app.state.store)
    headers = {"Content-Disposition": 'attachment; filename="offers.csv"'}
    body = write_csv(offer_table(supplies))
    return Response(body, media_type=MEDIA_TYPES[TableFile.CSV], headers=headers)


@router.get(urls.import_offers)
def show(request: Request) -> HTMLResponse:
    """The form."""
    return _page(request, FileForm())


@router.post(urls.import_offers)
def look(request: Request, form: OfferForm) -> HTMLResponse:
    """What the file would change, to be confirmed, with everything wrong in it. Nothing is stored."""
    body = sent_file(form, LARGEST_FILE)
    if not body.strip():
        return _refused(request, b"", [Problem.of((), "nothing", InputProblem.NO_CSV_FILE)])
    return _look(request, body)


@router.post(urls.confirm_offers)
def confirm(request: Request, form: OnceOffers) -> Response:
    """Do what the preview showed; where it would be something else by now, show that instead."""
    body = pasted(form)
    try:
        book_offers(request.app.state.store, form.sending, body, form.text("mark"))
    except ImportMoved:
        return _look(request, body, moved=True)
    except BadInput as refusal:
        return _refused(request, body, refusal.problems)
    return go_to(request, urls.suppliers())


@dataclass(frozen=True, slots=True)
class ImportOffersPage:
    """The form that takes a file of offers, and the headings that it reads."""

    form: FileForm
    needed: tuple[Column, ...]
    others: tuple[Column, ...]


@dataclass(frozen=True, slots=True)
class ImportOffersPreviewPage:
    """What a file of offers would change; ``more`` and ``more_problems`` are those that are not listed."""

    preview: OfferImport
    changing: tuple[LineEffect, ...]
    more: int
    unchanged: int
    foreign: int
    problems: Sequence[Listed]
    more_problems: int
    bad_lines: int
    document: str
    token: str
    moved: bool


def _look(request: Request, body: bytes, *, moved: bool = False) -> HTMLResponse:
    try:
        preview = preview_offers(request.app.state.store, body)
    except BadInput as refusal:
        return _refused(request, body, refusal.problems)
    return _preview(request, preview, body, moved=moved)


def _preview(request: Request, preview: OfferImport, body: bytes, *, moved: bool) -> HTMLResponse:
    changing = preview.changing
    return render(
        request,
        "stock/import_offers_preview.html",
        ImportOffersPreviewPage(
            preview=preview,
            changing=changing[:MOST_SHOWN],
            more=max(0, len(changing) - MOST_SHOWN),
            unchanged=len(preview.effects) - len(changing),
            foreign=sum(effect.foreign for effect in preview.effects),
            problems=listed(preview.problems, _place),
            more_problems=max(0, len(preview.problems) - MOST_SHOWN),
            bad_lines=len({problem.path[0] for problem in preview.problems}),
            document=body.decode("utf-8-sig"),
            token=new_token(),
            moved=moved,
        ),
        status=409 if moved else 200,
        headers=MAIN_ONLY,
    )


def _place(problem: Problem) -> str:
    """A line, or a line and its column, as one says it."""
    return ", ".join(str(step) for step in problem.path) or path_text(problem.path)


def _refused(request: Request, body: bytes, problems: Sequence[Problem]) -> HTMLResponse:
    return _page(request, FileForm.refused(body, problems, _place), status=422)


def _page(request: Request, form: FileForm, *, status: int = 200) -> HTMLResponse:
    return render(
        request,
        "stock/import_offers.html",
        ImportOffersPage(form, NEEDED, tuple(column for column in Column if column not in NEEDED)),
        status=status,
        headers=MAIN_ONLY,
    )
