"""At the machine: in a real browser: one set-up at a time, by glove, by keyboard, and without script."""

from __future__ import annotations

import pytest
from playwright.sync_api import Browser, Page, expect

from tests.browser.at_the_machine import SAVED, frames, open_shop, shown, ticks_of, wait_until_sent
from tests.browser.conftest import WAIT_MILLISECONDS, Axe, Server
from tests.browser.elsewhere import bring_in
from tests.browser.hands import Hands
from tests.factories import a_frame
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
        expect(undo).to_contain_text("5 of A1, left-hand")
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


CAPITAL = 5 / 25.4 * 96
"""CSS pixels: 1/200 of a metre, the height of a capital that is read from there; common practice (no source)."""
CAPITALS = """selector => {
  const seen = [...document.querySelectorAll(selector)].filter(each => each.getClientRects().length);
  return seen.map(each => {
    const style = getComputedStyle(each);
    const pen = document.createElement("canvas").getContext("2d");
    pen.font = `${style.fontWeight} 100px ${style.fontFamily}`;
    const scale = each.getScreenCTM ? each.getScreenCTM().a : 1;
    const capital = pen.measureText("H").actualBoundingBoxAscent / 100;
    return [each.textContent.trim(), capital * parseFloat(style.fontSize) * scale];
  });
}"""


@pytest.mark.parametrize("size", [(820, 1180), (1180, 820), (1280, 800)], ids=str)
def test_drawings_and_readings_are_read_from_a_metre_away(
    busy_demo: Server, page: Page, size: tuple[int, int]
) -> None:
    open_shop(page, busy_demo, frames(page, busy_demo))
    page.set_viewport_size({"width": size[0], "height": size[1]})
    for what in (".shop-pictures text", ".shop-readings dd", ".tick-name", ".tick-count b", ".tick-letter"):
        found = page.evaluate(CAPITALS, what)
        assert found, what
        # a browser's own measure of a letter is whole pixels of a large one
        assert [each for each in found if each[1] < CAPITAL - 0.2] == [], what


@pytest.mark.parametrize("size", [(820, 1180), (1180, 820)], ids=str)
def test_ticks_stand_beside_the_readings_without_a_scroll(
    busy_demo: Server, page: Page, size: tuple[int, int]
) -> None:
    open_shop(page, busy_demo, frames(page, busy_demo))
    page.set_viewport_size({"width": size[0], "height": size[1]})
    bar = page.locator(".shop-bar:visible").bounding_box()
    readings = page.locator(".shop-readings:visible").bounding_box()
    assert bar
    assert readings
    for place in range(3):
        row = page.locator("[data-row]:visible").nth(place).bounding_box()
        assert row
        assert row["x"] >= readings["x"] + readings["width"]
        assert row["y"] + row["height"] <= bar["y"]
    assert readings["y"] + readings["height"] <= bar["y"]


class TestDrawings:
    def test_one_set_up_is_drawn_at_a_time_and_without_a_connection_too(
        self, busy_demo: Server, page: Page
    ) -> None:
        open_shop(page, busy_demo, frames(page, busy_demo))
        page.context.set_offline(True)
        for number in ("1", "2"):
            drawn = page.locator(".shop-pictures svg")
            expect(drawn).to_have_count(1)
            expect(drawn.locator("title")).to_have_text(f"Set-up {number}, left-hand pieces")
            page.click(".shop-hands >> text=right-hand")
            expect(drawn).to_have_count(1)
            expect(drawn.locator("title")).to_have_text(f"Set-up {number}, right-hand pieces")
            expect(page.locator(".shop-hands [aria-pressed=true]")).to_have_text("right-hand")
            page.click(".shop-hands >> text=left-hand")
            if number == "1":
                page.click("[data-next]:visible")

    def test_the_hand_that_was_chosen_stays_for_the_next_set_up(self, busy_demo: Server, page: Page) -> None:
        open_shop(page, busy_demo, frames(page, busy_demo))
        page.locator(".shop-hands >> text=right-hand").focus()
        page.keyboard.press("Enter")
        page.click("[data-next]:visible")
        expect(page.locator(".shop-pictures svg title")).to_have_text("Set-up 2, right-hand pieces")

    def test_without_script_both_hands_are_drawn(self, busy_demo: Server, page: Page, browser: Browser) -> None:
        project_id = frames(page, busy_demo)
        context = browser.new_context(java_script_enabled=False)
        plain = context.new_page()
        plain.goto(busy_demo.url + urls.shop(project_id))
        assert plain.locator(".shop-pictures svg:visible").count() == 4
        context.close()


class TestManyEqualPieces:
    def test_by_the_handful_all_and_back(self, busy_demo: Server, page: Page) -> None:
        page.goto(f"{busy_demo.url}/cautions")
        project_id = bring_in(page, busy_demo.url, a_frame(quantity=11))  # twenty-two ends of a hand
        open_shop(page, busy_demo, project_id)
        row = page.locator("[data-row]:visible").nth(1)
        count, undo = row.locator(".tick-count"), page.locator("[data-undo-button]:visible")
        for said in ("5 of 22", "10 of 22"):
            row.locator("[data-handful]").click()
            expect(count).to_have_text(said)
        row.locator("[data-one]").focus()
        page.keyboard.press("Enter")
        expect(undo).to_have_text("Undo A1, left-hand")
        row.locator("[data-handful]").focus()
        page.keyboard.press("Space")
        expect(count).to_have_text("16 of 22")
        expect(undo).to_have_text("Undo 5 of A1, left-hand")
        row.locator("[data-handful]").click()
        expect(count).to_have_text("21 of 22")
        expect(row.locator("[data-handful]:visible")).to_have_count(0)
        undo.click()
        expect(count).to_have_text("16 of 22")
        row.locator("[data-all]").click()
        expect(count).to_have_text("22 of 22")
        expect(row.locator("[data-take]")).to_contain_text("Take back 6")
        wait_until_sent(page)
        booked = ticks_of(busy_demo, project_id)
        assert [number for _, number in booked] == [5, 5, 1, 5, 5, -5, 6]
        assert len({uuid for uuid, _ in booked}) == 7
        page.reload()
        expect(page.locator("[data-row]:visible .tick-count").nth(1)).to_have_text("22 of 22")


STUB = """
  window.locks = [];
  window.hidden = false;
  Object.defineProperty(Document.prototype, "hidden", { get: () => window.hidden });
  Object.defineProperty(Navigator.prototype, "wakeLock", { value: {
    async request(what) {
      if (window.refused) throw new DOMException("saving power", "NotAllowedError");
      const lock = new EventTarget();
      lock.what = what;
      lock.released = false;
      lock.release = async () => { lock.released = true; lock.dispatchEvent(new Event("release")); };
      window.locks.push(lock);
      return lock;
    } } });
"""


class TestTheScreen:
    """The Screen Wake Lock API (W3C) as a stub: no test browser has a screen to keep on."""

    def held(self, page: Page) -> list[bool]:
        found: list[bool] = page.evaluate("window.locks.map(lock => !lock.released)")
        return found

    def turn(self, page: Page, hidden: bool) -> None:
        page.evaluate(
            "hidden => { window.hidden = hidden; document.dispatchEvent(new Event('visibilitychange')); }", hidden
        )

    def test_it_is_kept_on_let_go_when_hidden_and_asked_for_again(self, busy_demo: Server, page: Page) -> None:
        page.add_init_script(STUB)
        open_shop(page, busy_demo, frames(page, busy_demo))
        words, switch = page.locator("[data-awake]"), page.locator("[data-awake-switch]")
        expect(words).to_have_text("The screen stays on")
        assert page.evaluate("window.locks.map(lock => lock.what)") == ["screen"]
        self.turn(page, hidden=True)
        assert self.held(page) == [False]
        self.turn(page, hidden=False)
        expect(words).to_have_text("The screen stays on")
        assert self.held(page) == [False, True]
        switch.click()
        expect(words).to_have_text("The screen may go dark")
        expect(switch).to_have_attribute("aria-pressed", "false")
        assert self.held(page) == [False, False]
        # the device remembers it, and being looked at again asks for nothing
        page.reload()
        expect(words).to_have_text("The screen may go dark")
        self.turn(page, hidden=False)
        assert self.held(page) == []
        switch.focus()
        page.keyboard.press("Space")
        expect(words).to_have_text("The screen stays on")
        assert self.held(page) == [True]

    def test_a_browser_that_refuses_or_has_none_is_told_of(
        self, busy_demo: Server, page: Page, browser: Browser, axe: Axe
    ) -> None:
        project_id = frames(page, busy_demo)
        page.add_init_script(STUB + "window.refused = true;")
        open_shop(page, busy_demo, project_id)
        expect(page.locator("[data-awake]")).to_contain_text("did not keep the screen on")
        bare = browser.new_context()
        other = bare.new_page()
        other.add_init_script("delete Navigator.prototype.wakeLock;")
        other.goto(busy_demo.url + urls.shop(project_id))
        expect(other.locator("[data-awake]")).to_contain_text("cannot keep the screen on here")
        expect(other.locator("[data-awake-switch]:visible")).to_have_count(0)
        axe(other)
        bare.close()
