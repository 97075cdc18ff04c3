"""The papers of a quote: the customer's tells no cost, the shop's own tells all, and both add up."""

from __future__ import annotations

import re
from io import BytesIO
from typing import Any

import pytest
from pypdf import PdfReader

from domain.problems import BadInput
from domain.quoting.of_file import basis_of_file
from domain.quoting.reckoning import Reckoning, reckon, settle
from domain.reading import read
from domain.spec.quote import NO_TERMS, ShopTerms
from tests.webapp.papers.paper_samples import DEMOS, Planned, demo, heading, project, text_of
from tests.webapp.papers.test_no_letter_lost import plain
from tests.webapp.quote_samples import quoted
from webapp.papers.kinds import Paper, QuotePaper
from webapp.papers.render import quote_of_file
from webapp.wording.money import format_money
from webapp.wording.quote import letter_words, reckoning_words


def paper(kind: QuotePaper, planned: Planned, size: Paper = Paper.A4, **changes: Any) -> bytes:
    return quote_of_file(kind, *planned, heading(planned, **changes), size)


def reckoned(planned: Planned) -> Reckoning:
    return reckon(basis_of_file(*planned), settle(planned[0].quote or NO_TERMS, ShopTerms()))


@pytest.mark.parametrize("depth", ["summed", "detailed"])
def test_the_customers_paper_has_every_line_and_no_cost(depth: str) -> None:
    planned = quoted(*demo("keepsake-box"), depth=depth)
    found = reckoned(planned)
    text = text_of(paper(QuotePaper.QUOTE, planned))
    words = letter_words(found, planned[0].units)
    for line in words.lines:
        assert plain(line.what) in plain(text)
        assert line.amount in text
    for what, amount in words.sums:
        assert plain(what) in plain(text)
        assert amount in text
    for said in (
        "Fernhollow Joinery",
        "Ilse Brandt",
        "Harbour Lane 4",
        "Sales tax, 7.75 %",
        "2026-04-01",
        "oiled",
    ):
        assert plain(said) in plain(text)
    for kept in (
        "argin",
        "12.5",
        "ost ",
        *(format_money(each, "EUR") for each in (found.cost, found.margin) if each),
    ):
        assert kept not in text
    for cost in (*(each.cost for each in found.materials), *(each.cost for each in found.work)):
        assert cost is not None
        assert re.search(rf"(?<!\d){re.escape(format_money(cost, 'EUR'))}", text) is None


def test_a_letter_in_inches_has_its_wood_in_inches() -> None:
    # 3 1/2 in are 88.9 mm, 13/16 in are 20.6375 mm; keys are called by the mm on their packets in any project
    frame = {"kind": "mitred_frame", "mark": "A", "measure": "outside", "width": "21 in", "height": "16 in",
             "material": "ash", "stock": {"width": "3 1/2 in", "thickness": "13/16 in"}}  # fmt: skip
    planned = quoted(*project(frame, units="in"), depth="detailed")
    said = plain(text_of(paper(QuotePaper.QUOTE, planned, Paper.LETTER)))
    assert plain("ash 3 1/2 × 13/16 in") in said
    assert "88.9" not in said
    own = plain(text_of(paper(QuotePaper.RECKONING, planned, Paper.LETTER)))
    assert plain("ash 88.9 × 20.6375 (3 1/2 × 13/16 in)") in own


def test_the_shops_own_sheet_has_the_reckoning_whole() -> None:
    planned = quoted(*demo("keepsake-box"))
    text = plain(text_of(paper(QuotePaper.RECKONING, planned)))
    words = reckoning_words(reckoned(planned), planned[0].units)
    for part in words.parts:
        for line in part.lines:
            for said in (line.what, line.quantity, line.why, line.amount):
                assert plain(said) in text
    for each in words.sums:
        for said in (each.what, each.why, each.amount):
            assert plain(said) in text
    assert "For the shop alone" in text_of(paper(QuotePaper.RECKONING, planned))


def test_what_is_missing_is_named_and_nothing_is_printed() -> None:
    with pytest.raises(BadInput) as refusal:
        paper(QuotePaper.QUOTE, demo("frame-set"))
    said = str(refusal.value)
    for words in ("quote.rate", "quote.margin", "quote.tax", "no price is known of it"):
        assert words in said


@pytest.mark.parametrize("size", Paper)
@pytest.mark.parametrize("kind", QuotePaper)
def test_both_papers_are_for_the_archive_and_say_their_pages(kind: QuotePaper, size: Paper) -> None:
    for name in DEMOS:
        planned = quoted(*demo(name), depth="detailed")
        document = paper(kind, planned, size)
        assert document == paper(kind, planned, size)
        assert b"<pdfaid:part>2</pdfaid:part>" in document
        pages = PdfReader(BytesIO(document)).pages
        assert [round(float(side) * 25.4 / 72, 1) for side in pages[0].mediabox[2:]] == [size.width, size.height]
        assert f"page {len(pages)} of {len(pages)}" in text_of(document)


@pytest.mark.parametrize(
    ("terms", "place"),
    [
        ({"address": ["Harbour Lane 漆"]}, "the customer's address[0]"),
        ({"note": ["oiled 漆"]}, "the quote's note[0]"),
        ({"tax": {"name": "漆", "rate": 3}}, "quote.tax.name"),
        ({"lines": [{"text": "漆", "price": 3}]}, "quote.lines[0].text"),
        ({"work": [{"text": "漆", "minutes": 3}], "depth": "detailed"}, "quote.work[0].text"),
    ],
)
def test_a_letter_that_cannot_be_printed_is_named_with_its_place(terms: dict[str, Any], place: str) -> None:
    with pytest.raises(BadInput) as refusal:
        paper(QuotePaper.QUOTE, quoted(*demo("frame-set"), **terms))
    assert str(refusal.value).startswith(place)


def test_long_names_and_markup_stay_on_the_paper() -> None:
    name = "#panic() *b* _i_ $x$ " + "Schwalbenschwanz" * 4
    frame = {"kind": "mitred_frame", "mark": "A", "measure": "outside", "width": 415, "height": 318, "name": name}
    planned = project(frame | {"stock": {"width": 44, "thickness": 21}}, name=name, customer=name)
    planned = quoted(*planned, lines=[{"text": name, "count": 2.5, "price": 640}])
    text = plain(text_of(paper(QuotePaper.QUOTE, planned)))
    assert text.count(plain(name)) >= 4
    assert plain("2.5 × 6.40 EUR") in text


def test_a_tax_that_is_not_charged_says_so() -> None:
    planned = quoted(*demo("frame-set"), tax={"name": "No tax is charged: small business", "rate": 0})
    text = text_of(paper(QuotePaper.QUOTE, planned))
    assert "No tax is charged: small business" in text
    assert "0.00 EUR" in text
    assert read(ShopTerms, {}) == ShopTerms()
