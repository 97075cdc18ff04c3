"""On paper: the schedule and the keys to buy, A4 and Letter, hold the work and nothing of the screen."""

from __future__ import annotations

import io

import pytest
from playwright.sync_api import Page
from pypdf import PdfReader

from tests.browser.conftest import Server
from webapp.site import urls

pytestmark = pytest.mark.browser

# ISO 216 and ANSI/ASME Y14.1, in points of 1/72 in
PAPERS = {"A4": (595, 842), "Letter": (612, 792)}
SCREEN_ONLY = ["Skip to the content", "Catalogue", "Shop settings", "Projects", "Print", "Close"]


@pytest.mark.parametrize("paper", PAPERS)
@pytest.mark.parametrize("number", [1, 2, 3])
def test_the_schedule_has_every_joint(steady_demo: Server, page: Page, paper: str, number: int) -> None:
    page.goto(steady_demo.url + urls.schedule(number))
    marks = page.locator("article.joint-card").evaluate_all("cards => cards.map(card => card.id.slice(6))")
    assert marks
    text = printed(page, paper)
    assert [mark for mark in marks if mark not in text] == []
    assert [words for words in SCREEN_ONLY if words in text] == []


@pytest.mark.parametrize("paper", PAPERS)
def test_the_keys_to_buy_are_all_there(steady_demo: Server, page: Page, paper: str) -> None:
    page.goto(steady_demo.url + urls.keys(1))
    items = page.locator("table.buy tbody th[scope=row]").all_inner_texts()
    assert items
    text = printed(page, paper)
    assert [item for item in items if item not in text] == []
    assert [words for words in SCREEN_ONLY if words in text] == []


def printed(page: Page, paper: str) -> str:
    """What the browser prints, as text with single spaces."""
    reader = PdfReader(io.BytesIO(page.pdf(format=paper, prefer_css_page_size=False)))
    width, height = PAPERS[paper]
    for sheet in reader.pages:
        assert (float(sheet.mediabox.width), float(sheet.mediabox.height)) == pytest.approx(
            (width, height), abs=1.5
        )
    return " ".join(" ".join(sheet.extract_text() for sheet in reader.pages).split())
