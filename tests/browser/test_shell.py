"""The frame of every page in a real browser: keyboard, narrow screens, policy, accessibility."""

from __future__ import annotations

import pytest
from playwright.sync_api import Page

from tests.browser.conftest import Axe, Server, Watch

pytestmark = pytest.mark.browser


@pytest.mark.parametrize("width", [768, 2000])
def test_the_frame_is_accessible_and_never_scrolls_sideways(
    steady_server: Server, page: Page, axe: Axe, width: int
) -> None:
    page.set_viewport_size({"width": width, "height": 800})
    page.goto(f"{steady_server.url}/cautions")
    axe(page)
    assert page.evaluate("document.documentElement.scrollWidth") <= width


def test_the_first_tab_stop_skips_to_the_content(steady_server: Server, page: Page) -> None:
    page.goto(f"{steady_server.url}/cautions")
    page.keyboard.press("Tab")
    assert page.locator(":focus").inner_text() == "Skip to the content"
    page.keyboard.press("Enter")
    assert page.evaluate("document.activeElement.id") == "main"


def test_injected_script_does_not_run(steady_server: Server, page: Page, watch: Watch) -> None:
    page.goto(f"{steady_server.url}/cautions")
    page.evaluate(
        "document.body.insertAdjacentHTML('beforeend', '<img src=x onerror=\"window.ran = true\">');"
        "const script = document.createElement('script'); script.textContent = 'window.ran = true';"
        "document.body.append(script);"
    )
    page.wait_for_timeout(300)
    assert page.evaluate("window.ran") is None
    watch.expect("policy violation: script-src")
    watch.problems.clear()


def test_htmx_reads_its_settings(steady_server: Server, page: Page) -> None:
    page.goto(f"{steady_server.url}/cautions")
    settings = page.evaluate("({...htmx.config, version: htmx.version})")
    assert settings["version"] == "4.0.1"
    assert settings["includeIndicatorCSS"] is False
    assert settings["history"] == "reload"
    assert settings["mode"] == "same-origin"
    assert settings["implicitInheritance"] is False


def htmx_form(page: Page, action: str) -> None:
    """Put a form on the page, as a page author would write it."""
    page.evaluate(
        """action => {
        const box = document.createElement('div');
        box.innerHTML = `<form id="f" hx-post="${action}" hx-swap="outerHTML">
            <input name="name" id="name"><button type="submit">Save</button></form>`;
        document.getElementById('main').prepend(box);
        htmx.process(box);
    }""",
        action,
    )
    page.fill("#name", "typed with care")


def test_a_failure_is_shown_and_what_was_typed_stays(steady_server: Server, page: Page) -> None:
    page.goto(f"{steady_server.url}/cautions")
    htmx_form(page, "/cautions")
    page.click("text=Save")
    page.wait_for_selector("#messages .notice")
    assert "Not possible here" in page.inner_text("#messages")
    assert page.input_value("#name") == "typed with care"
    page.keyboard.press("Escape")
    assert page.inner_text("#messages") == ""


def test_a_stopped_server_is_told_and_what_was_typed_stays(server: Server, page: Page, watch: Watch) -> None:
    page.goto(f"{server.url}/cautions")
    htmx_form(page, "/cautions")
    server.process.kill()
    server.process.wait()
    page.click("text=Save")
    page.wait_for_selector("#messages .notice")
    assert "did not answer" in page.inner_text("#messages")
    assert page.input_value("#name") == "typed with care"
    page.click("#messages >> text=Close")
    assert page.inner_text("#messages") == ""
    watch.expect("htmx:error")
    watch.expect("ERR_CONNECTION")
