"""The order as a letter, read back from the PDF."""

from __future__ import annotations

from io import BytesIO

import pytest
from pypdf import PdfReader

from domain.ordering.items import Item
from tests.orders import PLACED, an_order, line
from tests.webapp.papers.paper_samples import size_of, text_of
from webapp.papers.kinds import Paper
from webapp.papers.order import render_order


@pytest.mark.parametrize("paper", Paper)
def test_the_letter(paper: Paper) -> None:
    body = render_order(an_order(note="Side door, please."), "Fernhollow Joinery", paper)
    words = text_of(body)
    assert words.startswith("Fernhollow Joinery 2026-03-02 Order 12 To Northway Fittings")
    assert "NF-1416/100 key 14 × 16 2 100 200 12.90 EUR 25.80 EUR" in words
    assert "glue 2 500 g 1000 g" in words
    # by hand: 25.80 + 5.50 + 12.80 = 44.10; with 6.90 it is 51.00
    assert "44.10 EUR 6.90 EUR 51.00 EUR" in words
    assert "Side door, please." in words
    assert "page 1 of 1" in words
    ((width, height),) = size_of(body)
    assert (width, height) == pytest.approx((paper.width, paper.height), abs=0.1)
    assert PdfReader(BytesIO(body)).metadata.title == "Order 12: Northway Fittings"  # type: ignore[union-attr]


def test_the_same_order_is_the_same_bytes() -> None:
    one, two = (render_order(an_order(), "Fernhollow Joinery", Paper.A4) for _ in range(2))
    assert one == two


def test_a_cancelled_order_says_so() -> None:
    words = text_of(render_order(an_order(cancelled_at=PLACED), "", Paper.A4))
    assert "Cancelled on 2026-03-02" in words
    assert "Cancelled" not in text_of(render_order(an_order(), "", Paper.A4))


def test_long_names_and_many_lines_stay_on_the_paper() -> None:
    lines = [line(n, Item.plug("w" * 90, "14", 3), 10, 1, 99_999_999, "A" * 90) for n in range(1, 60)]
    body = render_order(an_order(*lines, supplier="S" * 100), "F" * 100, Paper.A4)
    words = "".join(text_of(body).split())
    assert len(PdfReader(BytesIO(body)).pages) > 1
    assert "w" * 90 in words
    assert f"{(59 * 99_999_999 + 690) / 100:.2f}EUR" in words


@pytest.mark.parametrize("currency", ["JPY", "KWD"])
def test_money_of_other_currencies(currency: str) -> None:
    words = text_of(render_order(an_order(currency=currency), "", Paper.A4))
    assert {"JPY": "690 JPY 5100 JPY", "KWD": "0.690 KWD 5.100 KWD"}[currency] in words
