"""Ticks that outlive a network, a server, an answer and a browser, and are booked once each."""

from __future__ import annotations

import re
import shutil
from collections import Counter
from pathlib import Path
from urllib.parse import urlsplit

import pytest
from playwright.sync_api import Browser, Page, Route, expect

from tests.browser.at_the_machine import (
    PIECES,
    SAVED,
    assert_fifty_once_each,
    frames,
    open_shop,
    shown,
    tap_all,
    tap_quickly,
    ticks_of,
    wait_until_sent,
)
from tests.browser.conftest import (
    CHROMIUM_ARGS,
    WAIT_MILLISECONDS,
    Server,
    Watch,
    open_page,
    start_server,
    stop_server,
)
from tests.browser.elsewhere import bring_in
from tests.factories import a_frame
from webapp.site import urls

pytestmark = pytest.mark.browser

TICKS = re.compile(r"/shop/ticks")


class TestOffline:
    def test_fifty_ticks_offline_are_fifty_rows(self, busy_demo: Server, page: Page) -> None:
        project_id = frames(page, busy_demo)
        open_shop(page, busy_demo, project_id)
        page.context.set_offline(True)
        assert tap_all(page) == PIECES
        expect(page.locator("[data-link]")).to_have_text("50 ticks wait to be sent")
        expect(page.locator("[data-all-done]")).to_have_text("50")
        expect(page.locator("[data-last]:visible")).to_have_text("All done")
        assert ticks_of(busy_demo, project_id) == []
        page.context.set_offline(False)
        expect(page.locator("[data-link]")).to_have_text(SAVED)
        assert_fifty_once_each(busy_demo, project_id)

    def test_the_queue_outlives_a_reload_and_the_tab(self, busy_demo: Server, page: Page, watch: Watch) -> None:
        project_id = frames(page, busy_demo)
        open_shop(page, busy_demo, project_id)
        page.context.set_offline(True)
        tap_quickly(page)
        page.route(TICKS, lambda route: route.abort())
        page.context.set_offline(False)
        page.reload()
        expect(page.locator("[data-link]")).to_have_text("50 ticks wait to be sent")
        expect(page.locator("[data-all-done]")).to_have_text("50")
        context = page.context
        page.close()
        reopened = context.new_page()
        reopened.set_default_timeout(WAIT_MILLISECONDS)
        reopened.goto(busy_demo.url + urls.shop(project_id))
        expect(reopened.locator("[data-link]")).to_have_text(SAVED)
        assert_fifty_once_each(busy_demo, project_id)
        watch.expect("ERR_FAILED")

    def test_the_queue_outlives_the_browser(
        self, busy_demo: Server, page: Page, browser: Browser, tmp_path: Path
    ) -> None:
        project_id = frames(page, busy_demo)
        kept = tmp_path / "tablet"

        def tablet() -> Page:
            context = browser.browser_type.launch_persistent_context(
                kept,
                executable_path=shutil.which("chromium") or shutil.which("chromium-browser"),
                args=CHROMIUM_ARGS,
            )
            context.set_default_timeout(WAIT_MILLISECONDS)
            return context.new_page()

        first = tablet()
        open_shop(first, busy_demo, project_id)
        first.context.set_offline(True)
        assert tap_quickly(first, 30) == 30
        # asked while the tablet is offline: closing it ends that a moment before the page is gone
        assert ticks_of(busy_demo, project_id) == []
        first.context.close()
        again = tablet()
        open_shop(again, busy_demo, project_id)
        expect(again.locator("[data-all-done]")).to_have_text("30")
        # the first set-up is done: on with the second
        assert shown(again) == "2"
        assert len(ticks_of(busy_demo, project_id)) == 30
        again.context.close()

    def test_the_server_is_killed_and_comes_back(self, page: Page, watch: Watch, tmp_path: Path) -> None:
        server = start_server(tmp_path, "--demo")
        project_id = frames(page, server)
        open_shop(page, server, project_id)
        assert tap_quickly(page, 10) == 10
        server.process.kill()
        server.process.communicate()
        assert tap_quickly(page) == PIECES - 10
        expect(page.locator("[data-link]")).to_contain_text("to be sent")
        port = urlsplit(server.url).port
        back = start_server(tmp_path, port=port)
        try:
            expect(page.locator("[data-link]")).to_have_text(SAVED, timeout=2 * WAIT_MILLISECONDS)
            assert_fifty_once_each(back, project_id)
            page.goto("about:blank")  # it asks nothing of a program that stops
        finally:
            stop_server(back)
        watch.expect("net::ERR_")

    def test_every_answer_is_lost_after_the_program_booked(
        self, busy_demo: Server, page: Page, watch: Watch
    ) -> None:
        project_id = frames(page, busy_demo)
        open_shop(page, busy_demo, project_id)
        sent = Counter[str]()

        def lose(route: Route) -> None:
            sent[route.request.method] += 1
            route.fetch()
            route.abort()

        page.route(TICKS, lose)
        assert tap_quickly(page) == PIECES
        expect(page.locator("[data-link]")).to_have_text("50 ticks wait to be sent")
        page.wait_for_timeout(4000)  # retries, all of them lost too
        assert sent["POST"] >= 2
        page.unroute(TICKS)
        page.evaluate("window.dispatchEvent(new Event('online'))")
        expect(page.locator("[data-link]")).to_have_text(SAVED)
        assert_fifty_once_each(busy_demo, project_id)
        watch.expect("ERR_FAILED")

    def test_the_program_is_busy(self, busy_demo: Server, page: Page) -> None:
        project_id = frames(page, busy_demo)
        open_shop(page, busy_demo, project_id)
        page.route(TICKS, lambda route: route.fulfill(status=503, body="<p>Busy</p>"))
        tap_quickly(page, 3)
        expect(page.locator("[data-link]")).to_have_text("3 ticks wait to be sent")
        page.unroute(TICKS)
        expect(page.locator("[data-link]")).to_have_text(SAVED)
        assert len(ticks_of(busy_demo, project_id)) == 3

    def test_a_browser_that_makes_no_uuids_and_keeps_nothing(self, busy_demo: Server, page: Page) -> None:
        project_id = frames(page, busy_demo)
        page.add_init_script("delete Crypto.prototype.randomUUID;")
        page.add_init_script(
            "Object.defineProperty(window, 'localStorage', {"
            "get() { throw new DOMException('not here', 'SecurityError'); }});"
        )
        open_shop(page, busy_demo, project_id)
        assert page.evaluate("crypto.randomUUID === undefined")
        page.context.set_offline(True)
        assert tap_quickly(page) == PIECES
        expect(page.locator("[data-link]")).to_contain_text("Leave this page open")
        page.context.set_offline(False)
        expect(page.locator("[data-link]")).to_have_text(SAVED)
        assert_fifty_once_each(busy_demo, project_id)


class TestTwoTablets:
    def test_each_shows_what_the_other_ticked(
        self, busy_demo: Server, page: Page, browser: Browser, watch: Watch
    ) -> None:
        project_id = frames(page, busy_demo)
        open_shop(page, busy_demo, project_id)
        with open_page(browser, watch) as other:
            open_shop(other, busy_demo, project_id)
            rows = [each.locator("[data-row]:visible") for each in (page, other)]
            rows[0].nth(1).locator("[data-one]").click()
            expect(page.locator("[data-link]")).to_have_text(SAVED)
            rows[1].nth(2).locator("[data-one]").click()
            expect(rows[1].nth(1).locator(".tick-count")).to_have_text("1 of 6")
            # without a tick of its own the first asks now and then
            page.evaluate("document.dispatchEvent(new Event('visibilitychange'))")
            expect(rows[0].nth(2).locator(".tick-count")).to_have_text("1 of 6")
            # undo is for one's own ticks first
            expect(page.locator("[data-undo-what]:visible")).to_have_text("A1, left-hand")
            expect(other.locator("[data-undo-what]:visible")).to_have_text("A1, right-hand")

    def test_both_take_the_same_tick_back_offline(
        self, busy_demo: Server, page: Page, browser: Browser, watch: Watch
    ) -> None:
        project_id = frames(page, busy_demo)
        open_shop(page, busy_demo, project_id)
        row = "[data-row]:visible >> nth=1"
        page.locator(row).locator("[data-one]").click()
        page.locator(row).locator("[data-one]").click()
        wait_until_sent(page)
        with open_page(browser, watch) as other:
            open_shop(other, busy_demo, project_id)
            for each in (page, other):
                each.context.set_offline(True)
                each.locator(row).locator("[data-take]").click()
                expect(each.locator(row).locator(".tick-count")).to_have_text("1 of 6")
            for each in (page, other):
                each.context.set_offline(False)
                expect(each.locator("[data-link]")).to_have_text(SAVED)
                expect(each.locator(row).locator(".tick-count")).to_have_text("1 of 6")
        assert [count for _, count in ticks_of(busy_demo, project_id)] == [1, 1, -1]


def test_the_project_changes_while_a_tablet_is_offline(
    busy_demo: Server, page: Page, browser: Browser, watch: Watch
) -> None:
    page.goto(f"{busy_demo.url}/cautions")
    thicker = a_frame("B", stock={"width": 45, "thickness": 24})
    project_id = bring_in(page, busy_demo.url, a_frame("A", quantity=3), thicker)
    open_shop(page, busy_demo, project_id)
    page.context.set_offline(True)
    for number in range(1, 5):
        assert shown(page) == str(number)
        page.locator("[data-row]:visible").nth(1).locator("[data-one]").click()
        if number < 4:
            page.click("[data-next]:visible")
    with open_page(browser, watch) as office:
        office.goto(busy_demo.url + urls.project(project_id))
        office.click("[aria-label='Delete A']")
        assert "Delete A" in office.inner_text("h1")
        office.click("text=Delete the assembly")
    page.context.set_offline(False)
    banner = page.locator("[data-banner]:visible")
    expect(banner).to_contain_text("no longer on its sheet")
    expect(banner).to_contain_text("Not booked: A1, left-hand (1); A1, left-hand (1).")
    expect(page.locator("[data-link]")).to_have_text(SAVED)
    page.click("[data-reload]")
    expect(page.locator("[data-set-up]")).to_have_count(2)
    expect(page.locator("[data-banner]")).to_be_hidden()
    expect(page.locator("[data-all-done]")).to_have_text("2")
    assert [count for _, count in ticks_of(busy_demo, project_id)] == [1, 1]
