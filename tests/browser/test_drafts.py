"""What is typed and not saved is kept in the browser and offered, never forced; it outlives the browser itself."""

from __future__ import annotations

import os
import re
import shutil
import signal
from pathlib import Path
from typing import TYPE_CHECKING

import pytest

from tests.browser.conftest import CHROMIUM_ARGS, Server

if TYPE_CHECKING:
    from playwright.sync_api import Browser, Page

OFFER = "[data-draft-offer]"
MADE = re.compile(r"/projects/\d+(#.*)?$")
KEPT = "() => Object.keys(localStorage).filter((name) => name.startsWith('dovetally draft')).length"


def wait_until_kept(page: Page, drafts: int) -> None:
    """Until the browser keeps so many."""
    for _ in range(100):
        if page.evaluate(KEPT) == drafts:
            return
        page.wait_for_timeout(100)
    raise AssertionError(f"{page.evaluate(KEPT)} drafts are kept, not {drafts}")


def type_a_name(page: Page, server: Server, name: str = "Window seat, 3½ m") -> None:
    page.goto(f"{server.url}/projects/new")
    page.get_by_label("Name").fill(name)
    wait_until_kept(page, 1)


def test_a_draft_is_offered_after_leaving_and_reload_and_brought_back(page: Page, server: Server) -> None:
    type_a_name(page, server)
    page.get_by_role("link", name="Catalogue").first.click()
    page.go_back()
    offer = page.locator(OFFER)
    offer.wait_for()
    assert page.get_by_label("Name").input_value() == ""  # offered, not forced
    page.reload()
    offer.wait_for()
    offer.get_by_role("button", name="Bring it back").click()
    assert page.get_by_label("Name").input_value() == "Window seat, 3½ m"
    assert offer.count() == 0
    page.get_by_role("radio", name="Nothing yet").check()
    page.locator("#project-form button").last.click()
    page.wait_for_url(MADE)
    wait_until_kept(page, 0)
    page.goto(f"{server.url}/projects/new")
    page.wait_for_timeout(500)
    assert offer.count() == 0


def test_a_draft_is_put_away(page: Page, server: Server) -> None:
    type_a_name(page, server)
    page.reload()
    page.locator(OFFER).get_by_role("button", name="Put it away").click()
    assert page.evaluate(KEPT) == 0
    page.reload()
    page.wait_for_timeout(500)
    assert page.locator(OFFER).count() == 0


def test_two_windows_do_not_write_over_each_other(page: Page, server: Server) -> None:
    type_a_name(page, server, "One")
    other = page.context.new_page()
    other.goto(f"{server.url}/projects/new")
    other.locator(OFFER).wait_for()
    other.get_by_label("Name").fill("Two")
    wait_until_kept(other, 2)
    page.reload()
    page.locator(OFFER).nth(1).wait_for()
    assert page.locator(OFFER).count() == 2
    other.close()


def test_what_was_typed_before_is_told_where_what_is_stored_moved(page: Page, server: Server) -> None:
    type_a_name(page, server, "Bench")
    page.get_by_role("radio", name="Nothing yet").check()
    page.locator("#project-form button").last.click()
    page.wait_for_url(MADE)
    edit = f"{server.url}/projects/1/edit"
    page.goto(edit)
    page.locator("input[name=customer]").fill("Ålund & søn")
    wait_until_kept(page, 1)
    other = page.context.new_page()
    other.goto(edit)
    other.locator(OFFER).wait_for()
    assert not other.locator("[data-moved]").is_visible()
    other.get_by_label("Name").fill("Bench seat")
    other.locator("#project-form button").last.click()
    other.wait_for_url(MADE)
    page.goto(edit)
    page.locator(OFFER).wait_for()
    assert page.locator("[data-moved]").is_visible()
    other.close()


def test_a_form_refused_keeps_its_draft(page: Page, server: Server) -> None:
    page.goto(f"{server.url}/suppliers/new")
    page.get_by_label("Sending an order").or_(page.locator("input[name=shipping]")).first.fill("many")
    page.get_by_role("button", name="Save").or_(page.locator("main form button").last).first.click()
    page.locator(".error-summary").wait_for()
    page.reload()
    page.locator(OFFER).wait_for()
    page.get_by_role("button", name="Bring it back").click()
    assert page.locator("input[name=shipping]").input_value() == "many"


def test_a_draft_outlives_a_browser_that_is_killed(browser: Browser, server: Server, tmp_path: Path) -> None:
    profile = tmp_path / "profile"
    chromium = shutil.which("chromium") or shutil.which("chromium-browser")

    def opened() -> Page:
        context = browser.browser_type.launch_persistent_context(
            str(profile), executable_path=chromium, args=CHROMIUM_ARGS
        )
        return context.pages[0]

    page = opened()
    type_a_name(page, server)
    page.wait_for_timeout(8_000)  # Chromium writes what pages keep to the disk every few seconds
    for process in _of_profile(profile):
        os.kill(process, signal.SIGKILL)
    for lock in profile.glob("Singleton*"):
        lock.unlink()
    page = opened()
    page.goto(f"{server.url}/projects/new")
    page.locator(OFFER).wait_for()
    page.get_by_role("button", name="Bring it back").click()
    assert page.get_by_label("Name").input_value() == "Window seat, 3½ m"
    page.context.close()


def _of_profile(profile: Path) -> list[int]:
    """The processes of the browser that has this profile."""
    if not Path("/proc").is_dir():
        pytest.skip("processes are found in /proc")
    found = []
    for process in Path("/proc").iterdir():
        if process.name.isdigit():
            try:
                said = (process / "cmdline").read_bytes()
            except OSError:
                continue
            if f"--user-data-dir={profile}".encode() in said and b"--type=" not in said:
                found.append(int(process.name))
    return found
