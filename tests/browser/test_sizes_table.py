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

# What LibreOffice Calc puts on the clipboard as plain text of a block of cells (sc/source/ui/app/transobj.cxx in
# https://github.com/LibreOffice/core, GetData): cells parted by tabs, empty ones at a row's end too, and a line
# end after every row, which on Windows is CRLF; numbers as they are shown, here with a comma. An earlier version
# put in quotes what held a tab, a line end or a quote, and doubled the quotes in it; the newer one quotes nothing,
# and makes spaces of tabs and line ends within a cell.
BLOCKS = {
    "newer": '2\t534\t287\tHall "left"\t\r\n1\t612,5\t301\tStairs, up\t\r\n3\t288\t213\t\t\r\n',
    "earlier": '2\t534\t287\t"Hall ""left"""\t\n1\t612,5\t301\t"Stairs,\nup"\t\n3\t288\t213\t\t\n',
}
PASTE = """text => {
  const data = new DataTransfer();
  data.setData("text/plain", text);
  const event = new ClipboardEvent("paste", {clipboardData: data, bubbles: true, cancelable: true});
  document.activeElement.dispatchEvent(event);
}"""


@pytest.mark.parametrize("block", BLOCKS.values(), ids=list(BLOCKS))
def test_a_block_fills_new_rows_and_enter_saves(busy_demo: Server, page: Page, block: str) -> None:
    page.goto(busy_demo.url)
    number = bring_in(page, busy_demo.url, a_frame())
    page.goto(busy_demo.url + urls.sizes_table(number))
    first = page.locator("table.cells").first
    rows = first.locator("tbody tr").count()
    cells = first.locator("tr:has(.soft) td input")
    cells.first.focus()
    page.evaluate(PASTE, block)
    assert first.locator("tbody tr").count() == rows + 1  # two stand ready, a third came with the block
    page.keyboard.press("ArrowDown")
    page.keyboard.press("ArrowDown")
    assert page.evaluate("document.activeElement.value") == "3"
    page.keyboard.type("4")  # what an arrow comes to is taken whole
    page.keyboard.press("Enter")
    page.wait_for_url(busy_demo.url + urls.project(number))
    words = page.locator("main").inner_text()
    assert page.locator("li.assembly").count() == 1 + 3
    assert 'Hall "left"' in words
    assert "Stairs, up" in words
    assert "612.5" in words
    assert "4 ×" in words
