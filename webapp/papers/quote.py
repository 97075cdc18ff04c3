"""A quote on paper: the letter to the customer, which knows no cost, and the shop's own sheet, which knows all."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from datetime import date

from domain.lengths import Units
from domain.problems import BadInput, Path
from domain.quoting.of_file import basis_of_file
from domain.quoting.reckoning import Reckoning, reckon, settle
from domain.spec.project import Project
from domain.spec.quote import NO_TERMS, ShopTerms
from domain.takeoff.takeoff import Takeoff
from webapp.papers.kinds import Heading, Letterhead, Paper, QuotePaper
from webapp.papers.pictures import Json
from webapp.papers.typesetting import set_document
from webapp.wording.quote import ROUNDING, LetterWords, letter_words, made_lines, minutes_rows, reckoning_words

SHORT = 60


def render_quote(kind: QuotePaper, reckoning: Reckoning, head: Letterhead, paper: Paper) -> bytes:
    """The paper as PDF/A-2b, the same bytes each time.

    Raises BadInput for what is missing, each with what would do, and for a letter that cannot be printed.
    """
    if reckoning.missing:
        raise BadInput(reckoning.missing)
    words = letter_words(reckoning, head.units)
    body = _letter(words) if kind is QuotePaper.QUOTE else _reckoning(reckoning, head.units)
    data = {"paper": paper.typst, "title": _title(kind, head), "heading": _heading(head), **body}
    return set_document(kind.value, data, head.stamp, _fields(reckoning, head))


def quote_of_file(kind: QuotePaper, project: Project, takeoff: Takeoff, heading: Heading, paper: Paper) -> bytes:
    """The paper of a project by itself, as a draft of the heading's day. Raises BadInput as above."""
    reckoning = reckon(basis_of_file(project, takeoff), settle(project.quote or NO_TERMS, ShopTerms()))
    return quote_paper(kind, project, takeoff, reckoning, heading, paper)


def quote_paper(
    kind: QuotePaper, project: Project, takeoff: Takeoff, reckoning: Reckoning, heading: Heading, paper: Paper
) -> bytes:
    """The same of a project that is reckoned already."""
    return render_quote(kind, reckoning, letterhead_of(project, takeoff, reckoning, heading), paper)


def letterhead_of(project: Project, takeoff: Takeoff, reckoning: Reckoning, heading: Heading) -> Letterhead:
    """A project's letterhead; the draft of a day holds as long as a quote that were issued on it."""
    terms = project.quote or NO_TERMS
    return Letterhead(
        project=project.name,
        customer=heading.customer,
        address=terms.address,
        shop=heading.shop,
        shop_address=(),
        number="",
        date=heading.date,
        valid_until=reckoning.valid_until(date.fromisoformat(heading.date)).isoformat(),
        units=heading.units,
        stamp=heading.stamp,
        work=made_lines(project.assemblies, takeoff.assemblies, project.units),
        note=terms.note,
    )


def _title(kind: QuotePaper, head: Letterhead) -> str:
    called = f"Quote {head.number}" if head.number else "Quote, draft"
    return called if kind is QuotePaper.QUOTE else f"Reckoning: {called[:1].lower()}{called[1:]}"


def _heading(head: Letterhead) -> Json:
    project = head.project
    return {
        "project": project,
        "short": project if len(project) <= SHORT else project[: SHORT - 1] + "…",
        "customer": head.customer,
        "address": list(head.address),
        "shop": head.shop,
        "shop_address": list(head.shop_address),
        "revision": head.number or "draft",
        "date": head.date,
        "valid_until": head.valid_until,
        "work": list(head.work),
        "note": list(head.note),
        "closing": list(head.closing),
    }


def _letter(words: LetterWords) -> Json:
    return {
        "lines": [{"what": line.what, "quantity": line.quantity, "amount": line.amount} for line in words.lines],
        "sums": [{"what": what, "amount": amount} for what, amount in words.sums],
        "total": words.total,
    }


def _reckoning(reckoning: Reckoning, units: Units) -> Json:
    words = reckoning_words(reckoning, units)
    return {
        "parts": [
            {
                "name": part.name,
                "amount": part.amount,
                "lines": [[line.what, line.quantity, line.why, line.amount] for line in part.lines],
            }
            for part in words.parts
        ],
        "sums": [{"what": s.what, "why": s.why, "amount": s.amount, "strong": s.strong} for s in words.sums],
        "minutes": [list(row) for row in minutes_rows(reckoning)],
        "notes": list(words.notes),
        "rounding": ROUNDING,
    }


def _fields(reckoning: Reckoning, head: Letterhead) -> Iterator[tuple[Path, str]]:
    """Where the texts of a quote were typed."""
    yield ("the shop's name",), head.shop
    yield from _listed("the shop's address", head.shop_address)
    yield ("customer",), head.customer
    yield from _listed("the customer's address", head.address)
    yield ("name",), head.project
    yield from _listed("the quote's note", head.note)
    yield from _listed("the closing words", head.closing)
    yield from _listed("the assemblies", head.work)
    terms = reckoning.terms
    yield ("quote", "tax", "name"), terms.tax.name if terms.tax else ""
    for place, line in enumerate(terms.lines):
        yield ("quote", "lines", place, "text"), line.text
    for place, work in enumerate(terms.work):
        yield ("quote", "work", place, "text"), work.text
    for material in reckoning.materials:
        yield ("the item",), material.name


def _listed(field: str, lines: Iterable[str]) -> Iterator[tuple[Path, str]]:
    for place, line in enumerate(lines):
        yield (field, place), line
