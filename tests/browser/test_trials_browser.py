"""From a test piece to the plan and from a slot to the stop, by keyboard alone; its pages for axe and phone."""

from __future__ import annotations

import pytest
from playwright.sync_api import Page

from tests.browser.conftest import Axe, Server, wait_for_htmx
from tests.browser.elsewhere import bring_in
from tests.browser.hands import Hands
from tests.browser.test_every_page import PHONE, WIDE, look_over
from tests.factories import a_frame
from webapp.site import urls

pytestmark = pytest.mark.browser

OAK = a_frame(material="oak", keys={"section": "14"}, stock={"width": 45, "thickness": 24})


def down_to(hands: Hands, first: str, wanted: str) -> None:
    """Reach a set of radio buttons in which none is chosen yet, and go down to the wanted one."""
    hands.reach(first)
    hands.page.keyboard.press("Space")
    for _ in range(20):
        focus = hands.focus()
        assert focus is not None
        if focus.is_called(wanted, None):
            assert hands.page.evaluate("document.activeElement.checked"), wanted
            return
        hands.page.keyboard.press("ArrowDown")
    raise AssertionError(f"{wanted!r} is not below {first!r}")


def reading(page: Page, name: str) -> str:
    row = page.locator("#set-up-1 dl.readings > div", has_text=name)
    return " ".join(row.locator("dd").inner_text().split())


def test_a_trial_a_start_and_a_stop_without_a_mouse(demo_server: Server, page: Page, axe: Axe) -> None:
    hands, shop = Hands(page), demo_server.url
    page.goto(shop + urls.trials())
    project = bring_in(page, shop, OAK, name="Hall mirror")

    page.goto(shop + urls.set_ups(project))
    assert reading(page, "Projection") == "6.24 mm"
    hands.follow("Record a trial, set-up 1")
    assert not page.is_visible("[name=gap]")
    down_to(hands, "Held apart the joint would not close", "Loose it closed and could be pulled open")
    hands.fill("Gap", "thin")
    hands.reach("Record the trial")
    page.keyboard.press("Enter")
    page.wait_for_selector(".error-summary")
    wait_for_htmx(page)
    look_over(page, axe, WIDE, PHONE)
    # 6.24 and half of 0.22 make 6.35 snug
    hands.reach("Gap")
    page.keyboard.press("Enter")
    hands.type_here("0.22")
    hands.follow("Record the trial")
    assert "snug at 6.35 mm" in page.inner_text("main")
    look_over(page, axe, WIDE, PHONE)

    hands.follow("Set-up sheet")
    assert "Trials say 6.45 mm for oak, 24 mm" in page.inner_text("#set-up-1 .trials-say")
    assert reading(page, "Projection") == "6.24 mm"
    look_over(page, axe, WIDE, PHONE)
    hands.follow("Look at it and accept it, set-up 1, oak, 24 mm")
    look_over(page, axe, WIDE, PHONE)
    hands.follow("Plan with 6.45 mm from now on")
    assert reading(page, "Projection") == "6.45 mm from 1 trial, catalogue 6.24 mm"
    look_over(page, axe, PHONE)
    planned = reading(page, "Depth stop")

    hands.go_to(shop + urls.revisions(project))
    hands.follow("Issue revision 1")
    hands.go_to(shop + urls.scales())
    down_to(hands, "The fence scale", "The depth scale with the 14 close-fit cutter")
    hands.fill("Reading", "16")
    hands.fill("Measured", "16.2")
    hands.follow("Write it down")
    assert "Hall mirror, revision 1" in page.inner_text(".outdated")
    look_over(page, axe, WIDE, PHONE)
    hands.follow("Hall mirror, revision 1")
    assert "and is out by 0.2 mm" in page.inner_text(".documents")
    look_over(page, axe, WIDE, PHONE)
    hands.go_to(shop + urls.set_ups(project))
    assert reading(page, "Depth stop").startswith(
        f"set {float(planned.removesuffix(' mm')) - 0.2:g} mm for {planned}:"
    )


def test_the_book_withdrawing_and_mouldings_without_a_mouse(demo_server: Server, page: Page, axe: Axe) -> None:
    hands, shop = Hands(page), demo_server.url
    page.goto(shop + urls.trials())
    project = bring_in(page, shop, OAK, name="Hall mirror")
    page.goto(shop + urls.set_ups(project))
    hands.follow("Record a trial, set-up 1")
    down_to(hands, "Held apart the joint would not close", "Tight driven with force, clamped")
    hands.follow("Record the trial")
    hands.follow("Test pieces")
    look_over(page, axe, WIDE, PHONE)
    hands.follow("Trial 1")
    hands.reach("Typed wrongly? Withdraw it")
    page.keyboard.press("Enter")
    hands.fill("Why it is withdrawn", "read the wrong line")
    hands.follow("Withdraw trial 1")
    look_over(page, axe, WIDE, PHONE)
    hands.go_to(shop + urls.set_ups(project))
    hands.follow("Keep the readings of A, set-up 1")
    look_over(page, axe, WIDE, PHONE)
    hands.fill("Name", "Plain 45")
    hands.follow("Keep it")
    look_over(page, axe, WIDE, PHONE)
    hands.go_to(shop + urls.set_ups(project))
    assert "Kept for Plain 45" in page.inner_text("#set-up-1")
    look_over(page, axe, WIDE, PHONE)
    hands.go_to(shop + urls.trials())
    assert "read the wrong line" in page.inner_text("tr.withdrawn")
