"""A new assembly's form, opened and given the sizes that it begins without."""

from __future__ import annotations

from typing import TYPE_CHECKING

from tests.browser.conftest import wait_for_htmx
from tests.usual_sizes import usual
from webapp.site import urls

if TYPE_CHECKING:
    from playwright.sync_api import Page


def open_new(page: Page, server: str, project: int, kind: str) -> None:
    """Open the form and type the usual sizes where the shop's last one of the kind left none."""
    page.goto(server + urls.new_assembly(project, kind))
    for name, size in usual(kind).items():
        field = page.locator(f"[name='{name}']")
        if field.is_visible() and not field.input_value():
            field.fill(size)
    page.locator("#live svg:first-child").wait_for()
    wait_for_htmx(page)
    page.wait_for_timeout(100)  # what the last field left behind is asked for 80 ms later
    wait_for_htmx(page)
