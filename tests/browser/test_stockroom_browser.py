"""The stockroom from the keyboard: supplier, price list, count; a project going ahead, used, returned, built."""

from __future__ import annotations

from collections.abc import Callable

import pytest
from playwright.sync_api import Page

from tests.browser.conftest import Axe, Server, wait_for_htmx
from tests.browser.hands import Hands

pytestmark = pytest.mark.browser

TABLET, PHONE = 768, 360
OFFERS = (
    "item,supplier,pack size,price,currency,price since,article number,lead days,minimum stock\n"
    "key 14 × 16,Sallow & Pike,100,12.90,EUR,2026-01-02,SP-1416,7,60\n"
    "screw,Sallow & Pike,1,1,EUR,,,,\n"
)


def words(page: Page) -> str:
    return page.inner_text("main").replace("\xa0", " ")


def test_the_whole_path_without_a_mouse(demo_server: Server, page: Page) -> None:
    hands = Hands(page)
    hands.go_to(demo_server.url)
    add_a_supplier(hands)
    import_offers(hands)
    count_two(hands)
    build_a_project(hands)


def add_a_supplier(hands: Hands) -> None:
    hands.follow("Stockroom")
    hands.follow("Suppliers and offers")
    hands.follow("Add a supplier")
    hands.fill("Name", "Sallow & Pike")
    hands.fill("Shipping", "5,90")
    hands.follow("Save supplier")
    hands.follow("Add an offer")
    hands.fill("Item", "key 14 × 16")
    hands.fill("Pack size", "500")
    hands.fill("Price of a pack", "52,00")
    hands.follow("Save offer")
    assert "52.00 EUR" in words(hands.page)


def import_offers(hands: Hands) -> None:
    hands.follow("Suppliers and offers")
    hands.follow("Import offers")
    hands.reach("Or its text, pasted")
    hands.page.keyboard.insert_text(OFFERS)
    hands.reach("Look at it")
    hands.page.keyboard.press("Enter")
    hands.page.wait_for_selector("text=What the file would change")
    assert "line 3, item" in words(hands.page)
    hands.follow("Take the 1 good line, leave the rest")
    assert "SP-1416" in words(hands.page)


def count_two(hands: Hands) -> None:
    hands.follow("Stockroom")
    hands.follow("Count the stock")
    hands.follow("Begin with key 7 × 8")
    hands.reach("1 more")
    for _ in range(3):
        hands.page.keyboard.press("Enter")
    hands.reach("10 more")
    hands.page.keyboard.press("Space")
    assert hands.page.input_value("#f-counted-quantity") == "13"
    hands.follow("Save and go on")
    assert "key 7 × 8: 13 pcs, saved. 84 were expected: 71 fewer." in words(hands.page)
    hands.fill("How many are there?", "36")
    hands.enter()
    assert "As expected" in words(hands.page)
    assert "2 of 26 counted today" in words(hands.page)


def build_a_project(hands: Hands) -> None:
    hands.follow("Projects")
    hands.follow("Hall cabinet")
    hands.follow("Key stock")
    hands.follow("Go ahead: reserve what it needs")
    hands.follow("Book what was used so far")
    hands.fill("key 14 × 16", "20")
    hands.follow("Book as used")
    hands.follow("Bring back")
    hands.fill("key 14 × 16", "2")
    hands.follow("Book what came back")
    hands.follow("Built")
    # more is reserved than there is of one length: nine are used, another length takes their place
    hands.fill("key 14 × 60", "9")
    hands.follow("Book as used, and built")
    assert "Built: what it used is booked" in words(hands.page)


def test_a_refused_booking_takes_the_reader_to_it(busy_demo: Server, page: Page, axe: Axe) -> None:
    page.goto(f"{busy_demo.url}/stockroom")
    page.click("text=key 14 × 38")
    page.fill("[name='used.quantity']", "9999")
    page.click("text=Book as used")
    page.wait_for_selector(".error-summary")
    assert page.evaluate("document.activeElement.className").endswith("error-summary")
    assert page.input_value("[name='used.quantity']") == "9999"
    narrow(page, axe)


def narrow(page: Page, axe: Axe) -> None:
    """Nothing for axe, and nothing wider than the screen, on a tablet and on a phone."""
    wait_for_htmx(page)
    for width in (TABLET, PHONE):
        page.set_viewport_size({"width": width, "height": 900})
        axe(page)
        assert page.evaluate("document.documentElement.scrollWidth") <= width, page.url


def refused_count(page: Page, shop: str) -> None:
    page.goto(f"{shop}/stockroom/count/1")
    page.fill("#f-counted-quantity", "many")
    page.click("text=Save and go on")
    page.wait_for_selector(".error-summary")


def just_counted(page: Page, shop: str) -> None:
    page.goto(f"{shop}/stockroom/count/2")
    page.fill("#f-counted-quantity", "1")
    page.click("text=Save and go on")
    page.wait_for_selector("text=saved.")


def looked_at(page: Page, shop: str) -> None:
    page.goto(f"{shop}/import/offers")
    page.fill("[name=document]", OFFERS + "glue,Overseas,900,5,USD,,,,\n" + "x" * 300 + ",,,,,,,,\n")
    page.click("text=Look at it")
    page.wait_for_selector("text=What the file would change")


def refused_file(page: Page, shop: str) -> None:
    page.goto(f"{shop}/import/offers")
    page.fill("[name=document]", "nothing,of,use\n")
    page.click("text=Look at it")
    page.wait_for_selector(".error-summary")


def refused_offer(page: Page, shop: str) -> None:
    page.goto(f"{shop}/suppliers/1/offers")
    page.click("text=Save offer")
    page.wait_for_selector(".error-summary")


def refused_price(page: Page, shop: str) -> None:
    page.goto(f"{shop}/offers/1")
    page.fill("[name=price]", "free")
    page.click("text=Add the price")
    page.wait_for_selector(".error-summary")


def refused_supplier(page: Page, shop: str) -> None:
    page.goto(f"{shop}/suppliers/new")
    page.click("text=Save supplier")
    page.wait_for_selector(".error-summary")


def going_ahead(page: Page, shop: str) -> None:
    page.goto(f"{shop}/projects/1/stock")
    page.click("text=Go ahead")
    page.wait_for_selector("text=Book what was used so far")


def refused_use(page: Page, shop: str) -> None:
    page.goto(f"{shop}/projects/1/stock/used")
    page.fill("[name='quantity.0']", "9999")
    page.click("text=Book as used")
    page.wait_for_selector(".error-summary")


STATES: list[Callable[[Page, str], None]] = [
    refused_count,
    just_counted,
    looked_at,
    refused_file,
    refused_offer,
    refused_price,
    refused_supplier,
    going_ahead,
    refused_use,
]


@pytest.mark.parametrize("state", STATES, ids=lambda state: state.__name__)
def test_a_state_that_no_link_leads_to(
    busy_demo: Server, page: Page, axe: Axe, state: Callable[[Page, str], None]
) -> None:
    state(page, busy_demo.url)
    narrow(page, axe)


def test_the_buttons_beside_the_figure_are_large_and_never_go_below_nothing(busy_demo: Server, page: Page) -> None:
    page.set_viewport_size({"width": TABLET, "height": 1024})
    page.goto(f"{busy_demo.url}/stockroom/count/3")
    for button in page.locator(".count-form .step, .count-button").all():
        box = button.bounding_box()
        assert box is not None
        # WCAG 2.2, 2.5.5 asks for 44 px (AAA); gloves want more
        assert min(box["width"], box["height"]) >= 48
    page.click("[data-step='-10']")
    assert page.input_value("#f-counted-quantity") == "0"
    page.click("[data-step='10']")
    page.click("[data-step='-1']")
    assert page.input_value("#f-counted-quantity") == "9"


def test_a_count_without_script_is_typed(busy_demo: Server, browser) -> None:  # type: ignore[no-untyped-def]
    context = browser.new_context(java_script_enabled=False)
    page = context.new_page()
    page.goto(f"{busy_demo.url}/stockroom/count/4")
    assert not page.is_visible("[data-step='1']")
    page.fill("#f-counted-quantity", "7")
    page.click("text=Save and go on")
    page.wait_for_selector("text=saved.")
    context.close()
