"""Typing an assembly in a real browser: the drawing follows, errors stand at fields, nothing typed is lost."""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING

import pytest

from tests.browser.conftest import Server, Watch, stop_server, wait_for_htmx
from tests.browser.entering import open_new
from webapp.site import urls

if TYPE_CHECKING:
    from playwright.sync_api import Browser, Page, Route

pytestmark = pytest.mark.browser


def typed(page: Page, name: str, text: str) -> None:
    """Type over a field as a person does, and wait for what comes of it."""
    with page.expect_response("**/preview"):
        page.locator(f'[name="{name}"]').fill(text)
    wait_for_htmx(page)


def test_the_drawing_and_the_keys_follow_while_one_types(demo_server: Server, page: Page) -> None:
    open_new(page, demo_server.url, 1, "railed_frame")
    assert page.locator("#live .joints tbody").count() == 2

    typed(page, "width", "812,5")

    assert "812.5" in (page.locator("#live svg:first-child").text_content() or "")
    assert page.evaluate("document.activeElement.name") == "width"
    assert page.locator('[name="width"]').input_value() == "812,5"


def test_an_error_comes_to_its_field_once_it_is_left_and_goes_when_it_is_mended(
    demo_server: Server, page: Page, axe: Callable[[Page], None]
) -> None:
    open_new(page, demo_server.url, 1, "railed_frame")
    typed(page, "stile", "thick")
    assert page.locator(".field-error").count() == 0

    with page.expect_response("**/preview"):
        page.keyboard.press("Tab")
    page.locator("#f-stile-error").wait_for()

    assert page.locator('[name="stile"]').get_attribute("aria-describedby") == "f-stile-error"
    axe(page)
    typed(page, "stile", "45")
    assert page.locator(".field-error").count() == 0
    assert page.locator('[name="stile"]').get_attribute("aria-invalid") is None
    assert page.locator("#live svg:first-child").count() == 1


def test_a_late_answer_never_covers_a_newer_one(demo_server: Server, page: Page) -> None:
    open_new(page, demo_server.url, 1, "railed_frame")
    asked: list[str] = []

    def slow_first(route: Route) -> None:
        asked.append(route.request.post_data or "")
        if len(asked) == 1:
            page.wait_for_timeout(1200)
        route.continue_()

    page.route("**/preview", slow_first)
    page.locator('[name="width"]').fill("701")
    page.wait_for_timeout(500)
    page.locator('[name="width"]').fill("702")
    page.locator("#live svg:first-child text", has_text="702").wait_for()
    page.wait_for_timeout(1500)

    assert "width=701" in asked[0]
    assert page.locator("#live svg:first-child text", has_text="701").count() == 0


def test_an_exception_is_added_with_the_keyboard_and_the_frame_is_saved(demo_server: Server, page: Page) -> None:
    open_new(page, demo_server.url, 1, "railed_frame")
    typed(page, "rows", "140, rest")
    page.locator("text=Add an exception").press("Enter")
    page.locator('[name="joints.0.joint"]').wait_for()
    page.wait_for_function("document.activeElement.name === 'joints.0.joint'")
    page.keyboard.type("J1")
    page.keyboard.press("Enter")
    page.wait_for_url("**/projects/1*#assembly-*")

    assert page.locator("li.assembly").count() == 4
    assert page.locator("li.assembly:target h2").inner_text() == "D · Face frame or door"


def test_a_stopped_server_is_said_and_the_text_stays(demo_server: Server, page: Page, watch: Watch) -> None:
    open_new(page, demo_server.url, 1, "railed_frame")
    typed(page, "name", "Never lost")
    stop_server(demo_server)

    page.get_by_role("button", name="Add to the project").click()
    page.locator("#messages .notice").wait_for()

    assert page.locator('[name="name"]').input_value() == "Never lost"
    page.wait_for_timeout(300)  # what the field left behind asks for 80 ms later is refused too
    wait_for_htmx(page)
    watch.expect("ERR_CONNECTION_REFUSED")
    watch.expect("Failed to fetch")


def test_the_whole_job_without_script(browser: Browser, demo_server: Server) -> None:
    context = browser.new_context(java_script_enabled=False, viewport={"width": 360, "height": 740})
    page = context.new_page()
    page.goto(demo_server.url + urls.new_project())
    page.get_by_label("Name").fill("By hand")
    page.get_by_label("Carcass").check()
    page.get_by_role("button", name="Create project").click()
    page.locator("[name=sizes]").fill("720x840x320")
    page.get_by_label("Thickness").first.fill("19")
    page.locator("[name=shelves]").fill("300")
    page.get_by_label("A back let into the panels").check()
    page.locator('[name="back.depth"]').fill("wide")
    page.get_by_role("button", name="Add to the project").click()
    assert page.locator("#f-back-depth-error").is_visible()
    assert page.locator('[name="back.depth"]').input_value() == "wide"

    page.locator('[name="back.depth"]').fill("8")
    page.get_by_role("button", name="Add to the project").click()
    page.get_by_role("link", name="Delete A").click()
    page.get_by_role("button", name="Delete the assembly").click()

    assert "What is the first thing to be made?" in page.locator("main").inner_text()
    context.close()
