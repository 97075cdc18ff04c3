"""Keys of one letter, a page that is slow, dark and large: what only a browser can show."""

from __future__ import annotations

import pytest
from playwright.sync_api import Page, Route, expect

from tests.browser.conftest import Axe, Server
from tests.browser.looks import assert_legible
from webapp.site import urls
from webapp.site.look import COOKIE

pytestmark = pytest.mark.browser


def test_keys_go_to_places_and_are_listed(steady_demo: Server, page: Page) -> None:
    page.goto(steady_demo.url + urls.projects())
    page.keyboard.press("?")
    expect(page.locator("#shortcuts")).to_be_visible()
    page.keyboard.press("Escape")
    expect(page.locator("#shortcuts")).to_be_hidden()
    page.keyboard.press("c")
    page.wait_for_url("**/catalogue")
    page.keyboard.press("/")
    page.wait_for_url("**/projects")
    page.keyboard.press("/")
    expect(page.locator("[type=search]")).to_be_focused()
    page.keyboard.type("cabinet")  # letters of keys, in a field: they are only letters
    expect(page.locator("#project-list tbody tr")).to_have_count(1)
    assert "find=cabinet" in page.url


def test_keys_of_one_letter_can_be_switched_off(steady_demo: Server, page: Page) -> None:
    page.context.add_cookies([{"name": COOKIE, "value": "device-usual-none", "url": steady_demo.url}])
    page.goto(steady_demo.url + urls.projects())
    page.keyboard.press("c")
    page.keyboard.press("?")
    expect(page.locator("#shortcuts")).to_be_hidden()
    assert page.url.endswith(urls.projects())


def test_what_takes_more_than_a_second_says_so(steady_demo: Server, page: Page) -> None:
    page.goto(steady_demo.url + urls.projects())
    held: list[Route] = []
    page.route("**/projects?*", lambda route: held.append(route))
    page.locator("[type=search]").fill("cabinet")
    expect(page.locator("#project-list")).to_have_attribute("aria-busy", "true")
    expect(page.locator("#working")).to_be_hidden()
    expect(page.locator("#working")).to_have_text("Working")
    held[-1].continue_()
    expect(page.locator("#project-list tbody tr")).to_have_count(1)
    expect(page.locator("#working")).to_be_hidden()
    assert page.locator("#project-list").get_attribute("aria-busy") is None


def test_a_device_keeps_its_look(steady_demo: Server, page: Page, axe: Axe) -> None:
    """How every page looks in dark and in larger letters, ``test_every_page`` sees to."""
    page.context.add_cookies([{"name": COOKIE, "value": "dark-larger-keys", "url": steady_demo.url}])
    for address in (urls.project(1), urls.assembly(1, 1)):
        page.goto(steady_demo.url + address)
        assert page.evaluate("getComputedStyle(document.documentElement).fontSize") == "24px"
        assert page.evaluate("getComputedStyle(document.body).backgroundColor") == "rgb(23, 27, 34)"
        for width in (820, 360):
            page.set_viewport_size({"width": width, "height": 800})
            assert_legible(page)
        axe(page)


def test_what_is_printed_is_black_on_white(steady_demo: Server, page: Page) -> None:
    page.context.add_cookies([{"name": COOKIE, "value": "dark-larger-keys", "url": steady_demo.url}])
    page.goto(steady_demo.url + urls.schedule(3))
    colours = "getComputedStyle(document.body).color + ' on ' + getComputedStyle(document.body).backgroundColor"
    assert page.evaluate(colours) == "rgb(233, 231, 225) on rgb(23, 27, 34)"
    page.emulate_media(media="print")
    assert page.evaluate(colours) == "rgb(0, 0, 0) on rgb(255, 255, 255)"
