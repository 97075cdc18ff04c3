"""The set-up sheet in a browser: reached and read without a mouse, legible from desk and phone, whole on paper."""

from __future__ import annotations

from unicodedata import normalize

import pytest
from playwright.sync_api import Page

from tests.browser.conftest import Server
from tests.browser.hands import Hands
from tests.browser.test_print import PAPERS, SCREEN_ONLY, printed
from webapp.site import urls

pytestmark = pytest.mark.browser

SMALLEST = 9.0
"""Height in CSS pixels that lettering on a picture has at least."""

_LETTERING = """() => [...document.querySelectorAll('.set-up-pictures svg')].slice(0, 2).map(svg => {
  const box = svg.getBoundingClientRect();
  const scale = box.width / svg.viewBox.baseVal.width;
  const sizes = [...svg.querySelectorAll('text')].map(text => parseFloat(getComputedStyle(text).fontSize) * scale);
  return {left: box.left, top: box.top, least: Math.min(...sizes)};
})"""


def test_the_way_there_and_several_together_by_keyboard(steady_demo: Server, page: Page) -> None:
    hands = Hands(page)
    page.goto(steady_demo.url + urls.project(3))
    hands.follow("Set-up sheet")
    page.wait_for_selector("#set-up-1")
    assert "No order takes less." in page.inner_text("main")
    hands.follow("Together with other projects")
    page.wait_for_selector(".choose-projects")
    assert page.is_checked("[name=project][value='3']")
    hands.tick("Keepsake box")
    hands.follow("Show their set-ups")
    page.wait_for_selector("text=One project after the other would take")
    assert page.locator("article.set-up").count() == 8


@pytest.mark.parametrize(("width", "beside"), [(1280, True), (360, False)])
@pytest.mark.parametrize("number", [1, 2, 3])
def test_pictures_can_be_read(steady_demo: Server, page: Page, number: int, width: int, beside: bool) -> None:
    page.set_viewport_size({"width": width, "height": 800})
    page.goto(steady_demo.url + urls.set_ups(number))
    left, right = page.evaluate(_LETTERING)
    assert min(left["least"], right["least"]) >= SMALLEST
    assert (right["left"] > left["left"] + 100) is beside
    assert (right["top"] > left["top"] + 100) is not beside


@pytest.mark.parametrize("paper", PAPERS)
@pytest.mark.parametrize("number", [1, 3])
def test_on_paper_it_is_whole(steady_demo: Server, page: Page, paper: str, number: int) -> None:
    page.goto(steady_demo.url + urls.set_ups(number))
    rows = page.locator(".set-up-pieces tbody tr").evaluate_all(
        "rows => rows.map(row => [...row.cells].map(cell => cell.textContent.trim()).join(' '))"
    )
    assert rows
    # a font may set "fl" as one sign
    text = normalize("NFKC", printed(page, paper))
    assert [row for row in rows if " ".join(normalize("NFKC", row).split()) not in text] == []
    changes = page.locator(".set-up-change").all_text_contents()
    assert [change for change in changes if change not in text] == []
    assert "Where these come from" in text
    assert [words for words in SCREEN_ONLY if words in text] == []
