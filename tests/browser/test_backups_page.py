"""Backups in a browser: made, looked into, restored and undone, wide and on a phone."""

from __future__ import annotations

import pytest
from playwright.sync_api import Page

from tests.browser.conftest import Axe, Server
from tests.browser.test_every_page import PHONE, WIDE, look_over
from webapp.site import urls

pytestmark = pytest.mark.browser


def test_a_backup_is_made_looked_into_restored_and_undone(demo_server: Server, page: Page, axe: Axe) -> None:
    page.goto(demo_server.url + urls.rules())
    page.click("main >> text=Backups")
    look_over(page, axe, WIDE, PHONE)
    page.get_by_role("button", name="Back up now").press("Enter")
    page.wait_for_selector("text=Backed up")
    look_over(page, axe, WIDE, PHONE)

    page.fill("[name=second_folder]", "/there/is/none")
    page.click("text=Save the second folder")
    page.wait_for_selector(".error-summary")
    assert page.input_value("[name=second_folder]") == "/there/is/none"
    look_over(page, axe, WIDE, PHONE)

    page.goto(demo_server.url + urls.backups())
    page.click("th a")
    page.wait_for_selector("text=Restore this backup?")
    look_over(page, axe, WIDE, PHONE)
    page.get_by_role("button", name="Restore this backup").press("Enter")
    page.wait_for_selector("text=Restored")
    look_over(page, axe, WIDE, PHONE)
    page.click(".notice a")
    page.get_by_role("button", name="Restore this backup").press("Enter")
    page.wait_for_selector("text=Restored")
