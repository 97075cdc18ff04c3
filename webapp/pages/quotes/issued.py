"""Quotes that were issued: all of them, one of them, and its papers as they were."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from fastapi import APIRouter, Request
from fastapi.responses import HTMLResponse, Response

from webapp.papers.kinds import PAPERS, QuotePaper
from webapp.site import urls
from webapp.site.incoming import RowId
from webapp.site.rendering import render
from webapp.store import Store
from webapp.store.errors import NotFound
from webapp.store.issued import DocumentHead
from webapp.store.quotes import QuoteHead
from webapp.usecases import quotes
from webapp.usecases.quotes import Standing, quote_of, read_snapshot, standings

router = APIRouter(include_in_schema=False)

TITLES = {
    QuotePaper.QUOTE.value: "The customer’s paper",
    QuotePaper.RECKONING.value: "The shop’s own reckoning, with cost and margin",
}


@dataclass(frozen=True, slots=True)
class QuotesPage:
    """Every quote that was issued, and whether it still holds."""

    issued: Sequence[tuple[QuoteHead, bool]]


@dataclass(frozen=True, slots=True)
class IssuedPage:
    """One quote: its papers, and how it stands; ``standing`` is None where its project has been deleted.

    ``address`` is the customer's as it was.
    """

    head: QuoteHead
    address: Sequence[str]
    documents: Sequence[DocumentHead]
    titles: dict[str, str]
    standing: Standing | None


@router.get(urls.quotes)
def show_all(request: Request) -> HTMLResponse:
    """Every quote that was issued."""
    return render(request, "quotes/all.html", QuotesPage(quotes.list_quotes(request.app.state.store)))


@router.get(urls.issued_quote)
def show(request: Request, number: RowId) -> HTMLResponse:
    """One quote as it was issued, against what the project comes to today."""
    store: Store = request.app.state.store
    issued = quotes.load_quote(store, number)
    snapshot = read_snapshot(issued)
    return render(
        request,
        "quotes/issued.html",
        IssuedPage(
            head=issued.head,
            address=snapshot["project"].get("quote", {}).get("address", ()),
            documents=issued.documents,
            titles=TITLES,
            standing=_standing(store, issued.head),
        ),
    )


@router.get(urls.issued_quote_paper)
def reprint(request: Request, number: RowId, kind: QuotePaper, paper: str) -> Response:
    """A paper just as it was issued, for download."""
    if paper not in PAPERS:
        raise NotFound(f"paper in quote {number}:", paper)
    body = quotes.reprint(request.app.state.store, number, kind, PAPERS[paper])
    name = f"quote-{number}-{kind.value}-{paper.lower()}.pdf"
    headers = {"Content-Disposition": f'attachment; filename="{name}"'}
    return Response(body, media_type="application/pdf", headers=headers)


def _standing(store: Store, head: QuoteHead) -> Standing | None:
    try:
        quoted = quote_of(store, head.project_id)
    except NotFound:
        return None
    return next((each for each in standings(store, quoted) if each.head.number == head.number), None)
