"""Ordering in a real browser, by keyboard alone: from projects to the shelf; the plan follows the ticks."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING

import pytest

from tests.browser.conftest import wait_for_htmx
from tests.browser.hands import Hands

if TYPE_CHECKING:
    from playwright.sync_api import Page

    from tests.browser.conftest import Axe, Server

pytestmark = pytest.mark.browser

PLACED = re.compile(r"/orders(/\d+)?$")
"""The list of orders, or the order where there is one: not the page that places them."""

WIDE, PHONE = 1280, 360


def look_over(page: Page, axe: Axe) -> None:
    for width in (PHONE, WIDE):
        page.set_viewport_size({"width": width, "height": 800})
        axe(page)
        found = page.evaluate("document.documentElement.scrollWidth")
        assert found <= width, f"{page.url} is {found} px wide on a screen of {width}"


def test_from_projects_to_the_shelf_by_keyboard(demo_server: Server, page: Page, axe: Axe) -> None:
    hands = Hands(page)
    hands.go_to(demo_server.url)
    hands.follow("Orders")
    hands.follow("New order")
    for name in ("Hall cabinet", "Keepsake box", "Botanical frame set"):
        hands.tick(name)
        wait_for_htmx(page)
    page.wait_for_url("**/orders/new?project=*&project=*&project=*")
    total = page.inner_text(".totals dd")
    look_over(page, axe)
    live = page.inner_text("#plan")
    page.reload()
    assert page.inner_text("#plan") == live
    hands.reach("Weigh other ways: a supplier less, a length as a stack of others")
    page.keyboard.press("Enter")
    page.wait_for_selector("text=Other ways")
    look_over(page, axe)
    button = page.locator("#plan form button").first.inner_text()
    hands.reach(button)
    page.keyboard.press("Enter")
    page.wait_for_url(PLACED)
    page.wait_for_load_state()
    if page.url.endswith("/orders"):
        page.goto(page.locator("tbody th a").first.evaluate("link => link.href"))
    elif "1 order" in total:
        assert total in page.inner_text("main")
    look_over(page, axe)
    number = page.url.rsplit("/", 1)[1]
    hands.reach("Book in what came")
    page.keyboard.press("Enter")
    page.locator(".under-title b", has_text="received").wait_for()
    look_over(page, axe)
    hands.follow("Orders")
    assert page.locator("tbody tr", has=page.locator(f"a[href='/orders/{number}']")).is_visible()
    look_over(page, axe)


def test_what_cannot_have_come_takes_the_focus_to_its_sentence(demo_server: Server, page: Page, axe: Axe) -> None:
    page.goto(f"{demo_server.url}/orders/new?project=1&project=2&project=3")
    page.locator("#plan form button").first.click()
    page.wait_for_url(PLACED)
    page.wait_for_load_state()
    if page.url.endswith("/orders"):
        page.locator("tbody th a").first.click()
    page.locator("input[name=packs-1]").fill("many")
    page.get_by_role("button", name="Book in what came").click()
    page.wait_for_selector(".field-error")
    assert page.evaluate("document.activeElement.className").endswith("error-summary")
    look_over(page, axe)
    page.get_by_role("link", name="Cancel").click()
    page.wait_for_selector("text=Cancel what has not come")
    look_over(page, axe)
    page.get_by_role("button", name="Cancel the rest").click()
    page.locator(".under-title b", has_text="cancelled").wait_for()
    page.get_by_role("link", name="Order it again").click()
    page.wait_for_selector("text=once more")
    look_over(page, axe)


def test_costs_read_well(demo_server: Server, page: Page, axe: Axe) -> None:
    page.goto(f"{demo_server.url}/projects/1/keys")
    page.get_by_role("link", name="What it costs").first.click()
    page.wait_for_selector("h1:has-text('What it costs')")
    look_over(page, axe)


def test_a_plan_placed_late_is_shown_anew(demo_server: Server, page: Page, axe: Axe) -> None:
    page.goto(f"{demo_server.url}/orders/new?project=1&project=2&project=3")
    page.evaluate("document.querySelector('[name=plan]').value = 'what it was'")
    page.locator("#plan form button").first.click()
    page.wait_for_selector("text=Not placed")
    look_over(page, axe)
