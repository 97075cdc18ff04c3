"""At the machine: worked from outside: a project to tick off, taps, and what the store then has."""

from __future__ import annotations

import sqlite3
from contextlib import closing
from uuid import UUID

from playwright.sync_api import Page, expect

from tests.browser.conftest import WAIT_MILLISECONDS, Server
from tests.browser.elsewhere import bring_in
from tests.factories import a_frame
from webapp.site import urls

expect.set_options(timeout=WAIT_MILLISECONDS)

PIECES = 50
"""Three frames of four mitred corners in two set-ups: (1 test + 3 × 8 ends) × 2."""
SAVED = "All ticks are saved"


def frames(page: Page, server: Server) -> int:
    """A project with ``PIECES`` to tick off."""
    page.goto(f"{server.url}/cautions")
    return bring_in(page, server.url, a_frame(quantity=3))


def open_shop(page: Page, server: Server, project_id: int) -> None:
    page.set_viewport_size({"width": 768, "height": 1024})
    page.goto(server.url + urls.shop(project_id))
    expect(page.locator("[data-link]")).to_have_text(SAVED)


def ticks_of(server: Server, project_id: int) -> list[tuple[str, int]]:
    """Uuid and count of every tick in the store."""
    with closing(sqlite3.connect(next(server.data.glob("*.db")))) as store:
        return store.execute(
            "SELECT uuid, count FROM tick WHERE project_id = ? ORDER BY id", (project_id,)
        ).fetchall()


def shown(page: Page) -> str:
    """The number of the set-up that is shown; the only one."""
    (section,) = page.locator("[data-set-up]:visible").all()
    return str(section.get_attribute("data-number"))


def wait_until_sent(page: Page) -> None:
    page.wait_for_function("() => !Object.keys(localStorage).some(name => name.startsWith('dovetally tick'))")


def tap_all(page: Page) -> int:
    """Tap Tick until nothing is left, on to the next set-up when one is done; how often it was tapped."""
    taps = 0
    while True:
        left = page.locator("[data-one]:visible")
        if left.count():
            left.first.click()
            taps += 1
        elif page.locator("[data-next]:visible").count():
            page.locator("[data-next]:visible").click()
        else:
            return taps


def tap_quickly(page: Page, most: int = 1000) -> int:
    """The same within the page, where it is not the tapping that is tried."""
    return int(
        page.evaluate(
            """most => {
              const seen = each => each.getClientRects().length;
              const shown = name => [...document.querySelectorAll(name)].find(seen);
              let taps = 0;
              while (taps < most) {
                const left = shown('[data-one]');
                const next = left || shown('[data-next]');
                if (!next) break;
                next.click();
                taps += left ? 1 : 0;
              }
              return taps;
            }""",
            most,
        )
    )


def assert_fifty_once_each(server: Server, project_id: int) -> None:
    found = ticks_of(server, project_id)
    assert len(found) == PIECES
    assert len({uuid for uuid, _ in found}) == PIECES
    assert {count for _, count in found} == {1}
    assert {UUID(uuid).version for uuid, _ in found} == {4}
