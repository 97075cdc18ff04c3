"""Sizes in a table at the keyboard: arrows from row to row, a block from a spreadsheet, Enter saves it all."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest

from tests.browser.conftest import Server
from tests.browser.elsewhere import bring_in
from tests.factories import a_frame
from webapp.site import urls

if TYPE_CHECKING:
    from playwright.sync_api import Page

pytestmark = pytest.mark.browser

# What LibreOffice Calc puts on the clipboard of three rows: cells parted by tabs, lines ended by CRLF, quotes.
BLOCK = '2\t534\t287\t"Hall, left"\r\n1\t612,5\t301\tStairs\r\n3\t288\t213\t\r\n'
PASTE = """text => {
  const data = new DataTransfer();
  data.setData("text/plain", text);
  const event = new ClipboardEvent("paste", {clipboardData: data, bubbles: true, cancelable: true});
  document.activeElement.dispatchEvent(event);
}"""


def test_a_block_fills_new_rows_and_enter_saves(demo_server: Server, page: Page) -> None:
    page.goto(demo_server.url)
    number = bring_in(page, demo_server.url, a_frame())
    page.goto(demo_server.url + urls.sizes_table(number))
    first = page.locator("table.cells").first
    rows = first.locator("tbody tr").count()
    cells = first.locator("tr:has(.soft) td input")
    cells.first.focus()
    page.evaluate(PASTE, BLOCK)
    assert first.locator("tbody tr").count() == rows + 1  # two stand ready, a third came with the block
    page.keyboard.press("ArrowDown")
    page.keyboard.press("ArrowDown")
    assert page.evaluate("document.activeElement.value") == "3"
    page.keyboard.type("4")  # what an arrow comes to is taken whole
    page.keyboard.press("Enter")
    page.wait_for_url(demo_server.url + urls.project(number))
    words = page.locator("main").inner_text()
    assert page.locator("li.assembly").count() == 1 + 3
    assert "Hall, left" in words
    assert "4 ×" in words
