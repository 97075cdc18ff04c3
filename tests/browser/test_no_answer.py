"""An answer that never came: whether it was saved is found out, and no text is lost on the way."""

from __future__ import annotations

import sqlite3
from collections.abc import Callable, Iterator
from contextlib import closing, contextmanager
from pathlib import Path

import pytest
from playwright.sync_api import Page, Route

from tests.browser.conftest import Axe, Server, Watch, serving_workshop, start_server, stop_server
from tests.webapp.databases import Databases
from webapp.site import urls

pytestmark = pytest.mark.browser

FORM = "#project-form"
WIDE, PHONE = 1280, 360


@pytest.fixture
def mortal(workshops: Databases, tmp_path: Path) -> Iterator[Server]:
    """A shop whose server the test may kill."""
    with serving_workshop(workshops, tmp_path) as running:
        yield running


def cut(page: Page, address: str, before: Callable[[Route], object]) -> None:
    """Let the next form sent to ``address`` come to ``before``, and never to an answer."""

    def lose(route: Route) -> None:
        before(route)
        route.abort()

    page.route(f"**{address}", lose, times=1)


def arrives(route: Route) -> None:
    assert route.fetch(max_redirects=0).status < 400


def never_arrives(route: Route) -> None:
    """The connection was cut on the way there."""


def kill(server: Server) -> None:
    server.process.kill()
    server.process.wait()


@contextmanager
def again(server: Server, page: Page) -> Iterator[None]:
    """The program started once more, where it was; the page is left before it stops, and asks it nothing more."""
    running = start_server(server.data, port=int(server.url.rsplit(":", 1)[1]))
    try:
        yield
        page.goto("about:blank")
    finally:
        stop_server(running)


def projects(server: Server) -> list[str]:
    with closing(sqlite3.connect(server.data / "dovetally.db")) as connection:
        return [name for (name,) in connection.execute("SELECT name FROM project ORDER BY id")]


def new_project(page: Page, server: Server, name: str) -> None:
    page.goto(server.url + urls.new_project())
    page.fill(f"{FORM} [name=name]", name)
    page.check(f"{FORM} [name=kind][value='']")  # its page comes next, not the form of what is made first


def save(page: Page) -> None:
    page.click(f"{FORM} .actions button[type=submit]")


def told(page: Page, words: str) -> None:
    # what is hidden has a text too
    page.locator("#messages p:visible", has_text=words).first.wait_for()


def lost(watch: Watch) -> None:
    """What Chromium and htmx note of an answer that was cut."""
    watch.expect("ERR_FAILED")
    watch.expect("htmx:error")


def test_a_lost_answer_is_found_out_and_a_correction_is_laid_beside(
    demo_server: Server, page: Page, watch: Watch, axe: Axe
) -> None:
    before = projects(demo_server)
    new_project(page, demo_server, "Lost answer")
    cut(page, urls.new_project(), arrives)
    save(page)
    told(page, "It may or may not have been saved")
    told(page, "It was saved all the same")
    lost(watch)
    axe(page)
    number = len(before) + 1
    assert page.get_attribute("#messages a", "href") == urls.project(number)
    assert page.input_value(f"{FORM} [name=name]") == "Lost answer"

    page.fill(f"{FORM} [name=name]", "Lost answer, corrected")
    save(page)
    page.wait_for_selector("h1 >> text=Saved already, with another text")
    assert page.evaluate("document.activeElement.classList.contains('error-summary')")
    assert page.locator("#messages .notice").count() == 0
    row = page.locator("tbody tr", has_text="Name")
    assert row.locator("td").all_inner_texts() == ["Lost answer", "Lost answer, corrected"]
    assert projects(demo_server) == [*before, "Lost answer"]
    for width in (WIDE, PHONE):
        page.set_viewport_size({"width": width, "height": 900})
        axe(page)
        assert page.evaluate("document.documentElement.scrollWidth") <= width

    page.click("text=Open it with the text of now")
    page.wait_for_selector("text=Changed meanwhile")
    assert page.input_value(f"{FORM} [name=name]") == "Lost answer, corrected"
    save(page)
    page.wait_for_url(f"**{urls.project(number)}")
    assert projects(demo_server) == [*before, "Lost answer, corrected"]


def test_the_correction_may_be_saved_as_another(demo_server: Server, page: Page, watch: Watch) -> None:
    new_project(page, demo_server, "First")
    cut(page, urls.new_project(), arrives)
    save(page)
    told(page, "It was saved all the same")
    lost(watch)
    page.fill(f"{FORM} [name=name]", "Second")
    save(page)
    page.click("text=Save it as another project")
    page.wait_for_selector("h1 >> text=Second")
    assert projects(demo_server)[-2:] == ["First", "Second"]


def test_the_same_sent_again_goes_to_what_was_saved(demo_server: Server, page: Page, watch: Watch) -> None:
    new_project(page, demo_server, "Once")
    cut(page, urls.new_project(), arrives)
    save(page)
    told(page, "It may or may not have been saved")
    lost(watch)
    save(page)
    page.wait_for_selector("h1 >> text=Once")
    assert projects(demo_server).count("Once") == 1


def test_what_never_arrived_is_told_as_not_saved(demo_server: Server, page: Page, watch: Watch) -> None:
    new_project(page, demo_server, "On its way")
    cut(page, urls.new_project(), never_arrives)
    save(page)
    told(page, "It was not saved")
    lost(watch)
    assert page.is_hidden("#messages a")
    assert "On its way" not in projects(demo_server)
    save(page)
    page.wait_for_selector("h1 >> text=On its way")


@pytest.mark.parametrize(
    ("reached", "words", "saved"),
    [(arrives, "It was saved all the same", 1), (never_arrives, "It was not saved", 0)],
    ids=["killed between commit and answer", "killed before"],
)
def test_a_stopped_program_is_asked_until_it_answers(
    mortal: Server, page: Page, watch: Watch, reached: Callable[[Route], object], words: str, saved: int
) -> None:
    def then_killed(route: Route) -> None:
        reached(route)
        kill(mortal)

    new_project(page, mortal, "Until it answers")
    cut(page, urls.new_project(), then_killed)
    save(page)
    told(page, "does not answer yet")
    assert page.input_value(f"{FORM} [name=name]") == "Until it answers"
    with again(mortal, page):
        told(page, words)
        assert projects(mortal).count("Until it answers") == saved
        save(page)
        page.wait_for_selector("h1 >> text=Until it answers")
        assert projects(mortal).count("Until it answers") == 1
    lost(watch)
    watch.expect("ERR_CONNECTION_REFUSED")


def test_a_message_that_was_closed_asks_no_more(demo_server: Server, page: Page, watch: Watch) -> None:
    asked: list[str] = []
    page.on("request", lambda request: asked.append(request.url) if urls.sent_form("") in request.url else None)
    new_project(page, demo_server, "Closed")
    cut(page, urls.new_project(), never_arrives)
    save(page)
    page.click("#messages [data-close]")
    page.wait_for_timeout(1_500)
    assert asked == []
    lost(watch)


def test_a_lost_booking_of_the_stockroom(demo_server: Server, page: Page, watch: Watch) -> None:
    page.goto(demo_server.url + urls.stock_item(1))
    form = "#book-received"
    page.fill(f"{form} [name='received.quantity']", "10")
    page.fill(f"{form} [name='received.note']", "a")
    cut(page, urls.book_item(1, "received"), arrives)
    page.press(f"{form} [name='received.note']", "Enter")
    told(page, "It was saved all the same")
    lost(watch)
    page.fill(f"{form} [name='received.quantity']", "999")
    page.press(f"{form} [name='received.note']", "Enter")
    page.wait_for_selector("h1 >> text=Saved already")
    row = page.locator("tbody tr", has_text="Received")
    assert row.locator("td").all_inner_texts() == ["10", "999"]


def test_a_duplicates_name_outlasts_a_stopped_program(mortal: Server, page: Page, watch: Watch) -> None:
    page.goto(mortal.url + urls.duplicate_project(1))
    page.fill("main [name=name]", "Kept name")
    with closing(sqlite3.connect(mortal.data / "dovetally.db", isolation_level=None)) as other:
        other.execute("BEGIN IMMEDIATE")
        page.press("main [name=name]", "Enter")
        told(page, "Busy")
        assert page.input_value("main [name=name]") == "Kept name"
        other.execute("ROLLBACK")
    kill(mortal)
    page.press("main [name=name]", "Enter")
    told(page, "does not answer yet")
    assert page.input_value("main [name=name]") == "Kept name"
    with again(mortal, page):
        told(page, "It was not saved")
        page.press("main [name=name]", "Enter")
        page.wait_for_selector("h1 >> text=Kept name")
    watch.expect("ERR_CONNECTION")
    watch.expect("htmx:error")
