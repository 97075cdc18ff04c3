"""At the machine: in a real browser: one set-up at a time, by glove, by keyboard, and without script."""

from __future__ import annotations

import pytest
from playwright.sync_api import Browser, Page, expect

from tests.browser.at_the_machine import SAVED, frames, open_shop, shown, ticks_of, wait_until_sent
from tests.browser.conftest import WAIT_MILLISECONDS, Axe, Server
from tests.browser.hands import Hands
from webapp.site import urls

pytestmark = pytest.mark.browser

TABLETS = {"upright": (768, 1024), "on its side": (1024, 768), "phone": (360, 740)}


class TestOneSetUpAtATime:
    def test_next_previous_and_the_list(self, busy_demo: Server, page: Page) -> None:
        open_shop(page, busy_demo, frames(page, busy_demo))
        assert shown(page) == "1"
        page.click("[data-next]:visible")
        assert shown(page) == "2"
        assert "Set-up 2" in str(page.evaluate("document.activeElement.textContent"))
        page.click("text=Previous >> visible=true")
        assert shown(page) == "1"
        page.click("text=All 2 set-ups")
        page.click(".shop-all [data-go='2']")
        assert shown(page) == "2"

    def test_all_of_a_row_take_back_and_undo(self, busy_demo: Server, page: Page) -> None:
        project_id = frames(page, busy_demo)
        open_shop(page, busy_demo, project_id)
        row = page.locator("[data-row]:visible").nth(1)
        row.locator("[data-one]").click()
        row.locator("[data-all]").click()
        expect(row.locator(".tick-count")).to_have_text("6 of 6")
        expect(row.locator("[data-tick] button:visible")).to_have_count(0)
        undo = page.locator("[data-undo-button]:visible")
        expect(undo).to_contain_text("A1, left-hand")
        undo.click()
        expect(row.locator(".tick-count")).to_have_text("1 of 6")
        row.locator("[data-take]").click()
        expect(row.locator(".tick-count")).to_have_text("0 of 6")
        expect(undo).to_have_count(0)
        expect(page.locator("[data-link]")).to_have_text(SAVED)
        wait_until_sent(page)
        assert [count for _, count in ticks_of(busy_demo, project_id)] == [1, 5, -5, -1]

    def test_a_tick_that_is_only_just_sent_does_not_wait(self, busy_demo: Server, page: Page) -> None:
        open_shop(page, busy_demo, frames(page, busy_demo))
        row = page.locator("[data-row]:visible").first
        said = row.locator("[data-one]").evaluate(
            "tick => { tick.click(); return document.querySelector('[data-link]').textContent; }"
        )
        assert said == SAVED
        wait_until_sent(page)

    def test_resume_at_the_first_set_up_that_is_not_done(self, busy_demo: Server, page: Page) -> None:
        project_id = frames(page, busy_demo)
        open_shop(page, busy_demo, project_id)
        for row in page.locator("[data-row]:visible").all():
            row.locator("[data-tick] button:visible").last.click()
        expect(page.locator("[data-finished]:visible")).to_have_text("Done")
        wait_until_sent(page)
        page.reload()
        assert shown(page) == "2"
        expect(page.locator("[data-all-done]")).to_have_text("25")
        page.goto(f"{busy_demo.url}{urls.shop(project_id)}#set-up-1")
        page.reload()
        assert shown(page) == "1"

    def test_a_tablet_whose_clock_fell_back(self, busy_demo: Server, page: Page) -> None:
        project_id = frames(page, busy_demo)
        page.clock.install(time="1970-01-02T00:00:00Z")
        page.goto(busy_demo.url + urls.shop(project_id))
        page.locator("[data-one]:visible").first.click()
        wait_until_sent(page)
        assert len(ticks_of(busy_demo, project_id)) == 1


def test_without_script(busy_demo: Server, page: Page, browser: Browser) -> None:
    project_id = frames(page, busy_demo)
    context = browser.new_context(java_script_enabled=False, viewport={"width": 768, "height": 1024})
    context.set_default_timeout(WAIT_MILLISECONDS)
    plain = context.new_page()
    plain.goto(busy_demo.url + urls.shop(project_id))
    assert plain.locator("[data-set-up]:visible").count() == 2
    plain.click("text=Go on with set-up 1")
    plain.locator("#set-up-1 [data-row]").nth(1).locator("[data-all]").click()
    assert plain.url.endswith("#set-up-1")
    expect(plain.locator("#set-up-1 .tick-count").nth(1)).to_have_text("6 of 6")
    plain.locator("#set-up-2 [data-row]").nth(0).locator("[data-one]").click()
    assert plain.url.endswith("#set-up-2")
    plain.locator("#set-up-1 [data-undo] button").click()
    expect(plain.locator("#set-up-1 .tick-count").nth(1)).to_have_text("0 of 6")
    context.close()
    assert [count for _, count in ticks_of(busy_demo, project_id)] == [6, 1, -6]


def test_by_keyboard_alone(busy_demo: Server, page: Page) -> None:
    project_id = frames(page, busy_demo)
    open_shop(page, busy_demo, project_id)
    hands, keyboard = Hands(page), page.keyboard
    hands.reach("Tick one: Test piece first")
    keyboard.press("Enter")
    # the button is gone: the focus goes on to the next that is left
    focus = hands.focus()
    assert focus is not None
    assert focus.name == "Tick one: A1, left-hand"
    keyboard.press("Space")
    hands.reach("All 5: A1, left-hand")
    keyboard.press("Enter")
    for name in ("A1, right-hand", "A2, left-hand", "A2, right-hand"):
        hands.reach(f"All 6: {name}")
        keyboard.press("Enter")
    expect(page.locator("[data-finished]:visible")).to_have_text("Done")
    focus = hands.focus()
    assert focus is not None
    assert focus.name == "Next ›"
    keyboard.press("Enter")
    assert shown(page) == "2"
    # the same cutter, projection and wood as before: no key is spent on it
    hands.reach("Tick one: Check on an offcut first")
    keyboard.press("Enter")
    hands.reach("Undo Check on an offcut first")
    keyboard.press("Enter")
    expect(page.locator("[data-row]:visible .tick-count").first).to_have_text("0 of 1")
    expect(page.locator("[data-link]")).to_have_text(SAVED)


@pytest.mark.parametrize("size", TABLETS.values(), ids=list(TABLETS))
def test_targets_for_gloves_and_nothing_wider_than_the_screen(
    busy_demo: Server, page: Page, axe: Axe, size: tuple[int, int]
) -> None:
    open_shop(page, busy_demo, frames(page, busy_demo))
    page.set_viewport_size({"width": size[0], "height": size[1]})
    page.locator("[data-one]:visible").first.click()
    page.locator("[data-row]:visible").nth(1).locator("[data-one]").click()
    page.click("text=All 2 set-ups")
    found = page.evaluate(
        "[...document.querySelectorAll('.shop a, .shop button, .shop summary')]"
        ".filter(each => each.getClientRects().length)"
        ".map(each => [each.textContent, each.getBoundingClientRect().width, each.getBoundingClientRect().height])"
    )
    assert len(found) >= 15
    assert [each for each in found if each[1] < 56 or each[2] < 56] == []
    assert page.evaluate("document.documentElement.scrollWidth") <= size[0]
    # readings are read at arm's length
    sizes = page.evaluate(
        "[...document.querySelectorAll('.shop-readings dd')]"
        ".map(each => parseFloat(getComputedStyle(each).fontSize))"
    )
    assert min(sizes) >= 21
    axe(page)
    page.context.set_offline(True)
    page.locator("[data-one]:visible").first.click()
    expect(page.locator("[data-link]")).to_contain_text("to be sent")
    axe(page)
