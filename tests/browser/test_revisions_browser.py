"""Issuing in a real browser: twice clicked is once issued, files come down whole, every page reads well."""

from __future__ import annotations

import hashlib
import re
from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING

import pytest

if TYPE_CHECKING:
    from playwright.sync_api import Page

    from tests.browser.conftest import Server

pytestmark = pytest.mark.browser


def overflow(page: Page) -> int:
    wider: int = page.evaluate("document.documentElement.scrollWidth - document.documentElement.clientWidth")
    return wider


def test_issue_change_compare_and_reprint(
    demo_server: Server, page: Page, axe: Callable[[Page], None], tmp_path: Path
) -> None:
    page.goto(f"{demo_server.url}/projects/1")
    page.get_by_role("link", name="Issue and print").click()
    axe(page)
    page.get_by_role("button", name="Issue revision 1").dblclick()
    page.wait_for_url("**/projects/1/revisions/1")
    assert "Nothing: the project stands as it was issued" in page.inner_text("main")
    axe(page)
    for link in page.locator(".documents li").all():
        with page.expect_download() as download:
            link.get_by_role("link").click()
        file = tmp_path / download.value.suggested_filename
        download.value.save_as(file)
        assert re.fullmatch(r"project-1-revision-1-[a-z-]+-a4\.pdf", file.name)
        assert hashlib.sha256(file.read_bytes()).hexdigest() == link.locator("code").inner_text()
    page.goto(f"{demo_server.url}/rules")
    page.fill("[name=wall]", "2.5")
    page.get_by_role("button", name="Save settings").click()
    page.wait_for_url("**/rules?saved=true")
    page.goto(f"{demo_server.url}/projects/1/revisions/1")
    assert page.locator("table.changes").count() > 2
    for width in (1280, 360):
        page.set_viewport_size({"width": width, "height": 900})
        axe(page)
        assert overflow(page) == 0
    page.get_by_role("link", name="Issue a new revision").click()
    page.get_by_role("button", name="Issue revision 2").press("Enter")
    page.wait_for_url("**/projects/1/revisions/2")
    page.get_by_role("link", name="Issued revisions").click()
    assert page.locator("tbody tr").count() == 2
    for address in (
        "/revisions",
        "/projects/1/revisions",
        "/projects/1/revisions/1?against=2",
        "/projects/1/duplicate",
    ):
        page.goto(demo_server.url + address)
        axe(page)
        assert overflow(page) == 0


def test_a_copy_is_made_without_a_mouse(demo_server: Server, page: Page) -> None:
    page.goto(f"{demo_server.url}/projects/1/duplicate")
    page.get_by_label("Name of the new project").focus()
    page.keyboard.press("Control+A")
    page.keyboard.type("Hall cabinet, second")
    page.keyboard.press("Enter")
    page.wait_for_url(re.compile(r"/projects/\d+$"))
    assert page.inner_text("h1") == "Hall cabinet, second"
