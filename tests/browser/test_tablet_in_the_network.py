"""A tablet over another address of the computer: paired by code, ticking through a loss, locked out when ended."""

from __future__ import annotations

import shutil
import sys
from collections.abc import Iterator
from pathlib import Path
from urllib.parse import urlsplit

import pytest
from playwright.sync_api import Browser, Page, expect

from tests.browser.at_the_machine import (
    PIECES,
    SAVED,
    assert_fifty_once_each,
    frames,
    tap_quickly,
    ticks_of,
    wait_until_sent,
)
from tests.browser.conftest import (
    CHROMIUM_ARGS,
    Axe,
    Server,
    Watch,
    do_without,
    open_page,
    start_server,
    stop_server,
)
from tests.webapp.databases import Databases
from tests.workshop import WORKSHOP
from webapp.site import urls
from webapp.site.network import own_name
from webapp.usecases import demo

pytestmark = [
    pytest.mark.browser,
    pytest.mark.skipif(sys.platform != "linux", reason="elsewhere 127.0.0.2 has to be set up first"),
]


@pytest.fixture
def tablet_browser(browser: Browser) -> Iterator[Browser]:
    """A second Chromium, which finds the computer by its name, as over plain http in a shop's network.

    Such a place is no secure context: what browsers keep for those alone is missing.
    """
    if not own_name():
        do_without("this computer has no name that an address could have")
    chromium = shutil.which("chromium") or shutil.which("chromium-browser")
    found_at = f"--host-resolver-rules=MAP {own_name()} 127.0.0.2"
    running = browser.browser_type.launch(executable_path=chromium, args=[*CHROMIUM_ARGS, found_at])
    yield running
    running.close()


def show_code(owner: Page, server: Server) -> str:
    owner.goto(server.url + urls.devices)
    owner.check("[value=at_the_machine]")
    owner.click("text=Show a code")
    return owner.inner_text("dl.totals dd >> nth=0")


def test_a_tablet_pairs_ticks_through_a_loss_and_is_locked_out(
    workshops: Databases, tmp_path: Path, page: Page, tablet_browser: Browser, watch: Watch, axe: Axe
) -> None:
    with pytest.MonkeyPatch.context() as patched:
        patched.setattr(demo, "FOLDER", WORKSHOP)
        workshops.copy("workshop", demo.load_demo_in, tmp_path / "dovetally.db")
    server = start_server(tmp_path, "--network")
    port = urlsplit(server.url).port
    assert port is not None
    there = f"http://{own_name()}:{port}"
    try:
        project_id = frames(page, server)
        code = show_code(page, server)
        axe(page)
        with open_page(tablet_browser, watch) as tablet:
            tablet.set_viewport_size({"width": 360, "height": 800})
            # a label's code leads here: whoever is not paired sees the form, whatever was asked for
            tablet.goto(there + urls.schedule(project_id))
            assert tablet.evaluate("window.isSecureContext") is False
            expect(tablet.locator("h1")).to_have_text("Pair this device")
            axe(tablet)
            assert tablet.evaluate("document.documentElement.scrollWidth") <= 360
            # the scanned picture's address; the code goes from the address bar at once
            tablet.goto(f"{there}{urls.pair}#{code}")
            expect(tablet.locator("[name=code]")).to_have_value(code)
            assert "#" not in tablet.url
            tablet.fill("[name=name]", "Tablet at the bench")
            tablet.click("button")
            expect(tablet.locator("h1")).to_have_text("Projects")

            tablet.goto(there + urls.shop(project_id))
            expect(tablet.locator("[data-link]")).to_have_text(SAVED)
            half = tap_quickly(tablet, PIECES // 2)
            wait_until_sent(tablet)
            stop_server(server)
            assert half + tap_quickly(tablet) == PIECES
            expect(tablet.locator("[data-link]")).to_have_text(f"{PIECES - half} ticks wait to be sent")
            server = start_server(tmp_path, "--network", port=port)
            expect(tablet.locator("[data-link]")).to_have_text(SAVED)
            assert_fifty_once_each(server, project_id)

            # ended at the computer: the page that is open learns it with its next tick, and keeps that
            page.goto(server.url + urls.devices)
            page.click("text=End Tablet at the bench")
            expect(page.locator("text=Tablet at the bench")).to_have_count(0)
            before = ticks_of(server, project_id)
            tablet.locator("[data-undo-button]:visible").click()
            expect(tablet.locator("[data-link]")).to_contain_text("not paired, or no longer")
            expect(tablet.locator("[data-link]")).to_contain_text("1 tick waits to be sent")
            assert ticks_of(server, project_id) == before
            tablet.goto(there + urls.projects)
            expect(tablet.locator("h1")).to_have_text("Pair this device")

            # paired again, what waited is booked
            tablet.goto(there + urls.pair)
            tablet.fill("[name=code]", show_code(page, server))
            tablet.fill("[name=name]", "Tablet again")
            tablet.click("button")
            expect(tablet.locator("h1")).to_have_text("Projects")
            tablet.goto(there + urls.shop(project_id))
            expect(tablet.locator("[data-link]")).to_have_text(SAVED)
            assert len(ticks_of(server, project_id)) == PIECES + 1
    finally:
        print(stop_server(server))
    watch.expect("ERR_CONNECTION_REFUSED")  # while the program was stopped
    assert watch.problems == []
