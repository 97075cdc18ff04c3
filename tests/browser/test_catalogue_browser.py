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
    page.wait_for_selector("#measured >> text=is it the whole depth?")
    page.check("text=whole key, face to face")
    page.wait_for_selector("#measured >> text=Measure again", state="detached")
    wait_for_htmx(page)
    assert "6.14 mm" in page.inner_text("#measured")
    axe(page)
    # typing went on undisturbed
    assert page.input_value("[name=waist]") == "11,45"


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
