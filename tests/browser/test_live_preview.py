"""While one types: drawing, joints and keys follow, the typing is left in peace, late answers are nothing."""

from __future__ import annotations

import re
from functools import partial
from urllib.parse import urlencode

import pytest
from playwright.sync_api import Page, Response, Route

from tests.browser.conftest import Server, wait_for_htmx
from tests.browser.elsewhere import bring_in
from tests.browser.entering import open_new

pytestmark = pytest.mark.browser

CARET = "[document.activeElement.name, document.activeElement.selectionStart, document.activeElement.value]"


def live(page: Page) -> str:
    """What the preview pane holds, without what only htmx puts there."""
    wait_for_htmx(page)
    html = page.locator("#live").inner_html()
    html = re.sub(r' data-htmx-powered="true"| class=""', "", html)
    return re.sub(r"\s+", " ", re.sub(r"\s*(<[^>]*>)\s*", r"\1", html))


def drawn(page: Page) -> str:
    """The drawing, with all its words."""
    return page.locator("#live svg:first-child").inner_html()


def test_drawing_joints_and_keys_follow_and_the_caret_stays(busy_demo: Server, page: Page) -> None:
    open_new(page, busy_demo.url, 1, "box")
    keys, joints, drawing = page.inner_text(".key-line"), page.inner_text(".joints"), drawn(page)
    page.click("[name=wall]")
    page.keyboard.press("Control+a")
    with page.expect_response("**/preview"):
        page.keyboard.type("30")
    with page.expect_response("**/preview"):
        page.keyboard.press("ArrowLeft")
        page.keyboard.type("8")  # 380 on the way to 38,5
    with page.expect_response("**/preview"):
        page.keyboard.press("Delete")
        page.keyboard.type(",5")
    wait_for_htmx(page)
    assert page.evaluate(CARET) == ["wall", 4, "38,5"]
    assert page.inner_text(".key-line") != keys
    assert page.inner_text(".joints") != joints
    assert drawn(page) != drawing


def test_a_bad_size_is_told_and_stays_as_typed(busy_demo: Server, page: Page) -> None:
    open_new(page, busy_demo.url, 1, "box")
    page.fill("[name=wall]", "three fingers")
    page.keyboard.press("Tab")
    page.wait_for_selector("#f-wall-error")
    assert "one place" in page.inner_text("#live")
    assert page.input_value("[name=wall]") == "three fingers"
    page.click(".save-bar button")
    page.wait_for_selector(".error-summary")
    assert page.input_value("[name=wall]") == "three fingers"


def test_an_answer_that_comes_late_is_not_shown(busy_demo: Server, page: Page) -> None:
    open_new(page, busy_demo.url, 1, "railed_frame")
    held: list[Route] = []

    def hold_the_first(route: Route) -> None:
        if "width=701" in (route.request.post_data or ""):
            held.append(route)
        else:
            route.continue_()

    page.route("**/preview", hold_the_first)
    with page.expect_request("**/preview"):
        page.fill("[name=width]", "701")
    page.fill("[name=width]", "702")
    page.locator("#live svg:first-child text", has_text="702").first.wait_for()
    assert held
    for route in held:
        route.fulfill(status=200, body="<p>an old answer</p>", content_type="text/html")
    with page.expect_response("**/preview"):
        page.fill("[name=height]", "703")
    page.locator("#live svg:first-child text", has_text="703").first.wait_for()
    assert "an old answer" not in page.inner_text("#live")
    assert "701" not in drawn(page)


CHANGES = {
    "mitred_frame": {"stock.width": "50", "width": "612,5", "keys.recess": "1"},
    "railed_frame": {"stile": "52", "mid_rail": "40", "quantity": "3"},
    "box": {"wall": "18", "length": "11 in", "veneer": "0.6"},
    "carcass": {"thickness": "3/4 in", "depth": "340", "plinth.height": "80"},
    "single_joint": {"breadth": "63.64", "behind.0": "45", "quantity": "7"},
}


def answers(sent: str, answer: Response) -> bool:
    """True of the answer to a form that held what was ``sent``."""
    return sent in (answer.request.post_data or "")


@pytest.mark.parametrize("kind", CHANGES)
def test_the_preview_is_what_the_saved_page_shows(busy_demo: Server, page: Page, kind: str) -> None:
    page.goto(f"{busy_demo.url}/cautions")
    number = bring_in(page, busy_demo.url)
    open_new(page, busy_demo.url, number, kind)
    before = live(page)
    for name, text in CHANGES[kind].items():
        # leaving the field before asks once more: only the answer to this text counts
        with page.expect_response(partial(answers, urlencode({name: text}))):
            page.fill(f"[name='{name}']", text)
    previewed = live(page)

    page.click(".save-bar button")
    page.wait_for_url("**/projects/*#assembly-*")
    page.click("h2 a")
    page.wait_for_selector("#assembly-form")
    assert live(page) == previewed
    assert previewed != before


def test_what_is_typed_before_the_scripts_stand_is_previewed_and_kept(busy_demo: Server, page: Page) -> None:
    held: list[Route] = []
    page.route(re.compile(r"htmx-.*\.js|dovetally\.js"), lambda route: held.append(route))
    page.goto(f"{busy_demo.url}/projects/1/assemblies/new/box", wait_until="commit")
    page.locator("[name=wall]").press_sequentially("three fingers")
    with page.expect_response("**/preview"):
        for route in held:
            route.continue_()
    page.keyboard.press("Tab")
    page.wait_for_selector("#live .field-problems", state="attached")
    page.wait_for_function("() => Object.keys(localStorage).some((name) => name.startsWith('dovetally draft'))")
