"""Catalogue, rules and import in a real browser: live figures, errors taken to, files looked at first."""

from __future__ import annotations

import pytest
from playwright.sync_api import Page

from tests.browser.conftest import Axe, Server, wait_for_htmx

pytestmark = pytest.mark.browser


def test_figures_and_drawing_follow_what_is_typed(steady_server: Server, page: Page, axe: Axe) -> None:
    page.goto(f"{steady_server.url}/catalogue/sections/new")
    for name, value in {"waist": "11,45", "depth": "12", "overall": "14", "tip_diameter": "14.06"}.items():
        page.fill(f"[name={name}]", value)
    page.fill("[name=flank]", "12")
    page.check("text=one side, waist to face")
    page.wait_for_selector("#measured >> text=is it the whole depth?")
    page.check("text=whole key, face to face")
    page.wait_for_selector("#measured >> text=Measure again", state="detached")
    wait_for_htmx(page)
    assert "6.14 mm" in page.inner_text("#measured")
    axe(page)
    # typing went on undisturbed
    assert page.input_value("[name=waist]") == "11,45"


def test_a_key_is_measured_and_saved_without_a_mouse(steady_server: Server, page: Page) -> None:
    page.goto(f"{steady_server.url}/catalogue/sections/new")
    keys = ["19.3", "Tab", "15.8", "Tab", "16.6", "Tab", "Space", "Tab", "19.4", "Tab", "27", "Enter"]
    for key in keys:
        if key[0].isdigit():
            page.keyboard.type(key)
        else:
            page.keyboard.press(key)
    page.wait_for_url("**/catalogue#section-*")
    section = page.locator("li.sheet", has=page.locator("h3", has_text="Section 19"))
    # half of 16.6; 19.3 and 4 is 23.3, so from 24; 2.5, 3.75 and 3 widths
    words = " ".join(section.inner_text().split())
    for fact in ("Half depth 8.3 mm", "For wood of 24 mm to 48 mm", "Drive limit 72 mm", "Reach limit 57 mm"):
        assert fact in words


def test_a_slip_is_taken_back_by_its_button_and_nonsense_leaves_the_drawing(
    steady_server: Server, page: Page, axe: Axe
) -> None:
    page.goto(f"{steady_server.url}/catalogue/sections/new")
    assert page.evaluate("document.activeElement.name") == "overall"
    page.keyboard.type("18")
    page.locator("#measured svg text", has_text="1 overall width 18").wait_for()
    for name, value in {"waist": "14.6", "depth": "15.5", "tip_diameter": "18"}.items():
        page.fill(f"[name={name}]", value)
    page.check("text=one side, waist to face")
    page.click("text=Take it as the whole key")
    page.wait_for_selector("text=Take it as the whole key", state="detached")
    assert page.is_checked("[name=depth_of][value=whole_key]")
    assert page.evaluate("document.activeElement.name") == "depth"
    page.locator("#measured svg text", has_text="7.75").wait_for()
    wait_for_htmx(page)
    drawn = page.locator("#measured svg").first.inner_html()
    page.fill("[name=waist]", "abc")
    page.press("[name=waist]", "Tab")
    page.wait_for_selector("#f-waist-error")
    wait_for_htmx(page)
    assert page.locator("#measured svg").first.inner_html() == drawn
    assert page.get_attribute("[name=stock_from]", "placeholder") == "22"
    axe(page)


def test_a_refused_form_takes_the_reader_to_its_errors_and_enter_saves(
    demo_server: Server, page: Page, axe: Axe
) -> None:
    page.goto(f"{demo_server.url}/catalogue/sections/3")
    page.fill("#f-length-0", "x")
    page.keyboard.press("Enter")
    page.wait_for_selector(".error-summary")
    assert page.evaluate("document.activeElement.className").endswith("error-summary")
    axe(page)
    page.click(".error-summary a")
    assert page.evaluate("document.activeElement.id") == "f-length-0"
    page.keyboard.press("Control+a")
    page.keyboard.type("16")
    page.keyboard.press("Enter")
    page.wait_for_url("**/catalogue#section-3")


def test_a_file_is_looked_at_before_it_is_created(demo_server: Server, page: Page, axe: Axe) -> None:
    exported = page.request.get(f"{demo_server.url}/projects/1/export").body()
    page.goto(f"{demo_server.url}/import")
    page.set_input_files("#f-file", {"name": "p.json", "mimeType": "application/json", "buffer": exported})
    page.click("text=Look at it")
    page.wait_for_selector("text=Nothing is stored yet")
    axe(page)
    page.click("text=Create the project")
    page.wait_for_url("**/projects/4")
