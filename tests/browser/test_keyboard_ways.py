"""Jobs by keyboard alone: sizes to the schedule's PDF, a quote, the bin, a backup put back, a device let in.

What else there is to do is done so elsewhere: whole projects in ``test_keyboard_job``, an order in
``test_order_browser``, the stock in ``test_stockroom_browser``, ticks in ``test_at_machine_browser``, trials in
``test_trials_browser``.
"""

from __future__ import annotations

import sys
from pathlib import Path

import pytest
from playwright.sync_api import Browser, Page

from tests.browser.conftest import Server, Watch, open_page, serving
from tests.browser.elsewhere import bring_in
from tests.browser.hands import Hands
from tests.browser.keystrokes import TEN
from tests.factories import a_frame
from webapp.site import urls

pytestmark = pytest.mark.browser


def a_project(page: Page, shop: Server, name: str) -> Hands:
    """Hands on the page of a project of two frames."""
    page.goto(f"{shop.url}/cautions")
    number = bring_in(page, shop.url, a_frame(), a_frame("B"), name=name)
    hands = Hands(page)
    hands.go_to(shop.url + urls.project(number))
    return hands


def test_ten_frames_of_ten_sizes_and_their_schedule_as_pdf(busy_demo: Server, page: Page) -> None:
    hands = Hands(page)
    hands.go_to(busy_demo.url)
    hands.follow("New project")
    hands.type_here("Ten by hand")
    hands.pick("Mitred frame")
    hands.enter()
    hands.reach("Sizes, a line each")
    page.keyboard.type("\n".join(TEN))  # Enter in the lines ends a line
    for name, figure in {"Width": "39", "Thickness": "21", "Rabbet, width": "6", "Rabbet, depth": "8"}.items():
        hands.fill(name, figure, within="Moulding")
    hands.follow("Add to the project")
    assert page.locator("li.assembly").count() == len(TEN)
    hands.follow("Issue and print")
    hands.reach("Draft of joint schedule")
    # Enter would leave the test in a viewer of PDFs, which is no page
    answer = page.request.get(page.evaluate("document.activeElement.href"))
    assert answer.headers["content-type"] == "application/pdf"


def test_a_quote_is_made_and_issued(busy_demo: Server, page: Page) -> None:
    hands = a_project(page, busy_demo, "Asked for")
    hands.follow("Quote")
    hands.fill("Rate of work", "47.60")
    hands.fill("Margin", "14")
    hands.fill("Name of the tax", "Sales tax")
    hands.fill("Rate of the tax", "7.25")
    prices = page.locator('[name^="price."]')
    for _ in range(prices.count()):
        hands.reach_next("[name^='price.']")
        hands.type_here("18.30")
    hands.press("Save terms")
    page.wait_for_selector("#issue-title")
    hands.follow(page.locator("#issue-title ~ form button").inner_text())
    assert "Papers, as they were issued" in page.inner_text("main")


def test_what_was_deleted_is_brought_back(busy_demo: Server, page: Page) -> None:
    hands = a_project(page, busy_demo, "Deleted and not")
    hands.follow("Delete B")
    hands.follow("Delete the assembly")
    assert page.locator("li.assembly").count() == 1
    hands.follow("bin")
    hands.follow("Bring it back: Assembly B")
    hands.follow("Projects")
    hands.follow("Deleted and not")
    assert page.locator("li.assembly").count() == 2
    # and at once: an edit is offered to be undone where it leads
    hands.follow("Delete A")
    hands.follow("Delete the assembly")
    hands.follow("Undo")
    assert page.locator("li.assembly").count() == 2


def test_a_backup_is_put_back(demo_server: Server, page: Page) -> None:
    hands = Hands(page)
    hands.go_to(demo_server.url)
    hands.follow("Shop settings")
    hands.follow("Backups")
    hands.press("Back up now")
    page.wait_for_selector("text=Backed up")
    made = " ".join(page.locator("th a").first.inner_text().split()).replace(" :", ":")
    hands.follow("Catalogue")
    hands.follow("Add a plug")
    page.go_back()
    hands.follow("Shop settings")
    hands.follow("Backups")
    hands.follow(made)
    hands.follow("Restore this backup")
    page.wait_for_selector("text=Restored")
    hands.follow("Projects")
    assert "Hall cabinet" in page.inner_text("main")


@pytest.mark.skipif(sys.platform != "linux", reason="elsewhere 127.0.0.2 has to be set up first")
def test_a_device_is_let_in(browser: Browser, tmp_path: Path, page: Page, watch: Watch) -> None:
    with serving(tmp_path, "--network") as shop, open_page(browser, watch) as other:
        hands = Hands(page)
        hands.go_to(shop.url)
        hands.follow("Shop settings")
        hands.follow("Devices")
        hands.pick("At the machine: sees every page, ticks off")
        hands.press("Show a code")
        code = page.locator("dl.totals dd").first.inner_text()
        theirs = Hands(other)
        theirs.go_to(shop.url.replace("127.0.0.1", "127.0.0.2"))
        theirs.fill("Code", code)
        theirs.fill("Name of this device", "Tablet at the bench")
        theirs.follow("Pair")
        assert other.inner_text("h1") == "Projects"
        hands.follow("See whether the device is in the list")
        hands.follow("End Tablet at the bench")
        assert "Tablet at the bench" not in page.inner_text("main")
