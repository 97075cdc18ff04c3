"""Whatever goes wrong with a form is said on the page, and what was typed is still in it."""

from __future__ import annotations

import re
import sqlite3
from collections.abc import Iterator
from contextlib import closing, contextmanager
from dataclasses import dataclass

import pytest
from playwright.sync_api import Browser, Page

from tests.browser.conftest import Server, Watch, open_page
from tests.browser.elsewhere import bring_in, send_form
from tests.factories import a_frame
from tests.usual_sizes import usual
from webapp.site import urls

pytestmark = pytest.mark.browser

TYPED = "Typed with care"
A_FIRST_FORM = re.compile(r"/projects/\d+/assemblies/new/\w+$")
"""Where a new project leads: to the form of what is made first."""


@dataclass(frozen=True)
class Writing:
    """A form that stores something: where it is, a field to type in, what it refuses in which field.

    ``needed`` fills what a new form must have; ``theirs`` is a field that another window changes.
    """

    address: str
    form: str
    field: str
    refused: tuple[str, str]
    needed: tuple[tuple[str, str], ...] = ()
    theirs: tuple[str, str] | None = None

    def open(self, page: Page, shop: str) -> None:
        page.goto(shop + self.address)
        self.type(page)

    def type(self, page: Page) -> None:
        for name, text in self.needed:
            field = page.locator(f"{self.form} [name='{name}']")
            if field.first.get_attribute("type") == "radio":
                page.check(f"{self.form} [name='{name}'][value='{text}']")
            else:
                field.first.fill(text)
        page.fill(self._typed, TYPED)

    def send(self, page: Page) -> None:
        page.press(self._typed, "Enter")

    def is_told_and_kept(self, page: Page, words: str, trouble: str) -> None:
        notice = page.locator(".notice-refusal", has_text=words).first
        notice.wait_for()
        assert page.input_value(self._typed) == TYPED, f"{self.address}: {trouble}"

    @property
    def _typed(self) -> str:
        return f"{self.form} [name='{self.field}']"


PROJECT, ASSEMBLY, SECTION, PLUG = (
    "#project-form",
    "#assembly-form",
    "#section-form",
    "form[action*='/plugs']:has([name=material])",
)
KEY = (
    ("waist", "9"),
    ("depth", "5"),
    ("depth_of", "one_side"),
    ("flank", "12"),
    ("tip_diameter", "11.2"),
    ("stock_from", "9"),
)
BOX = tuple(usual("box").items())
WRITINGS = {
    "new project": Writing(urls.new_project(), PROJECT, "name", ("currency", "E1")),
    "project": Writing(urls.edit_project(1), PROJECT, "customer", ("currency", "E1"), theirs=("name", "Theirs")),
    "new assembly": Writing(urls.new_assembly(1, "box"), ASSEMBLY, "name", ("wall", "thick"), needed=BOX),
    "assembly": Writing(urls.assembly(1, 1), ASSEMBLY, "name", ("width", "wide"), theirs=("material", "elm")),
    "new section": Writing(
        urls.new_section(),
        SECTION,
        "name",
        ("waist", "narrow"),
        needed=(*KEY, ("stock_to", "20"), ("length", "12")),
    ),
    "section": Writing(urls.section(1), SECTION, "name", ("waist", "narrow"), theirs=("stock_to", "17")),
    "new plug": Writing(urls.plugs(), PLUG, "material", ("height", "tall"), needed=(("height", "3"),)),
    "plug": Writing(urls.plug(1), PLUG, "material", ("height", "tall"), theirs=("height", "4")),
    "rules": Writing(urls.rules(), "form.ruled", "name", ("wall", "thin"), theirs=("web", "2.5")),
}


@pytest.mark.parametrize("writing", WRITINGS.values(), ids=WRITINGS)
def test_what_is_refused(busy_demo: Server, page: Page, writing: Writing) -> None:
    writing.open(page, busy_demo.url)
    name, text = writing.refused
    page.fill(f"{writing.form} [name='{name}']", text)
    writing.send(page)
    writing.is_told_and_kept(page, "another look", "refused")
    assert page.input_value(f"{writing.form} [name='{name}']") == text
    assert page.evaluate("document.activeElement.classList.contains('error-summary')")


STALE = {name: writing for name, writing in WRITINGS.items() if writing.theirs}


@pytest.mark.parametrize("writing", STALE.values(), ids=STALE)
def test_what_was_changed_meanwhile(busy_demo: Server, page: Page, writing: Writing) -> None:
    assert writing.theirs
    page.goto(busy_demo.url + writing.address)
    send_form(page, writing.form, **dict([writing.theirs]))
    writing.type(page)
    writing.send(page)
    writing.is_told_and_kept(page, "Changed meanwhile", "stale")


@contextmanager
def all_open(browser: Browser, shop: Server) -> Iterator[list[tuple[Writing, Page]]]:
    """Every form in a window of its own, typed in."""
    with open_page(browser, Watch()) as first:
        windows = [(writing, first.context.new_page()) for writing in WRITINGS.values()]
        for writing, page in windows:
            writing.open(page, shop.url)
        yield windows


def test_while_something_else_holds_the_store(browser: Browser, demo_server: Server) -> None:
    with all_open(browser, demo_server) as windows:
        with closing(sqlite3.connect(demo_server.data / "dovetally.db", isolation_level=None)) as other:
            other.execute("BEGIN IMMEDIATE")
            for writing, page in windows:
                writing.send(page)
            for writing, page in windows:
                writing.is_told_and_kept(page, "Busy", "busy")
            other.execute("ROLLBACK")
        # and once it is free again, the same form goes through
        writing, page = windows[0]
        writing.send(page)
        page.wait_for_url(A_FIRST_FORM)
        assert TYPED in page.inner_text(".breadcrumb")


def test_a_preview_that_comes_later_leaves_what_was_refused(demo_server: Server, page: Page) -> None:
    writing = WRITINGS["assembly"]
    writing.open(page, demo_server.url)
    with closing(sqlite3.connect(demo_server.data / "dovetally.db", isolation_level=None)) as other:
        other.execute("BEGIN IMMEDIATE")
        writing.send(page)
        writing.is_told_and_kept(page, "Busy", "busy")
        before = page.inner_html("#live")
        page.fill(f"{writing.form} [name='height']", "333")
        page.wait_for_function("before => document.getElementById('live').innerHTML !== before", arg=before)
        writing.is_told_and_kept(page, "Busy", "wiped by a preview")
        other.execute("ROLLBACK")


def test_when_the_program_was_stopped(browser: Browser, demo_server: Server) -> None:
    with all_open(browser, demo_server) as windows:
        demo_server.process.kill()
        demo_server.process.wait()
        for writing, page in windows:
            writing.send(page)
        for writing, page in windows:
            writing.is_told_and_kept(page, "did not answer", "stopped")


def test_an_import_that_fails(demo_server: Server, page: Page, watch: Watch) -> None:
    text = '{"format": "dovetally-project", "version": 1, "name": "Brought", "assemblies": []}'
    page.goto(demo_server.url + urls.import_project())
    page.fill("[name=document]", text.replace("[]", "[}"))
    page.click("text=Look at it")
    page.wait_for_selector(".error-summary")
    assert page.input_value("[name=document]") == text.replace("[]", "[}")
    page.fill("[name=document]", text)
    page.click("text=Look at it")
    page.wait_for_selector("text=Nothing is stored yet")

    demo_server.process.kill()
    demo_server.process.wait()
    page.click("text=Create the project")
    page.wait_for_selector("#messages >> text=did not answer")
    assert page.is_visible("text=Nothing is stored yet")
    watch.expect("ERR_CONNECTION")
    watch.expect("htmx:error")


BUTTONS = {
    "duplicate": ("/projects/1", "li.assembly >> text=Duplicate >> nth=0"),
    "delete assembly": ("/projects/1/assemblies/1/delete", "text=Delete the assembly"),
    "delete project": ("/projects/1/delete", "text=Delete the project"),
    "move section": ("/catalogue", "text=Move down >> nth=0"),
}


def test_buttons_while_something_else_holds_the_store(browser: Browser, demo_server: Server) -> None:
    with (
        open_page(browser, Watch()) as first,
        closing(sqlite3.connect(demo_server.data / "dovetally.db", isolation_level=None)) as other,
    ):
        windows = {name: first.context.new_page() for name in BUTTONS}
        for name, page in windows.items():
            page.goto(demo_server.url + BUTTONS[name][0])
        other.execute("BEGIN IMMEDIATE")
        for name, page in windows.items():
            page.click(BUTTONS[name][1], no_wait_after=True)
        for page in windows.values():
            page.locator("h1", has_text="Busy").wait_for()
        other.execute("ROLLBACK")


def count(page: Page, address: str, rows: str) -> int:
    page.goto(address)
    return page.locator(rows).count()


@pytest.mark.parametrize("name", ["new project", "new assembly", "new section", "new plug"])
def test_a_double_click_makes_one(busy_demo: Server, page: Page, name: str) -> None:
    writing, shop = WRITINGS[name], busy_demo.url
    rows = {
        "new project": (urls.projects(), "tbody tr"),
        "new assembly": (urls.project(1), "li.assembly"),
        "new section": (urls.catalogue(), "ul.key-sections > li"),
        "new plug": (urls.catalogue(), "tbody a[href*='/plugs/']"),
    }[name]
    before = count(page, shop + rows[0], rows[1])
    writing.open(page, shop)
    page.dblclick(f"{writing.form} .actions button[type=submit] >> nth=0", no_wait_after=True)
    page.wait_for_url(lambda address: not address.endswith(writing.address))
    assert count(page, shop + rows[0], rows[1]) == before + 1


def test_enter_pressed_twice_makes_one(busy_demo: Server, page: Page) -> None:
    before = count(page, busy_demo.url + urls.projects(), "tbody tr")
    WRITINGS["new project"].open(page, busy_demo.url)
    page.keyboard.press("Enter")
    page.keyboard.press("Enter")
    page.wait_for_url(A_FIRST_FORM)
    assert count(page, busy_demo.url + urls.projects(), "tbody tr") == before + 1


def test_a_copy_asked_for_twice_is_made_once(busy_demo: Server, page: Page) -> None:
    page.goto(f"{busy_demo.url}/cautions")
    number = bring_in(page, busy_demo.url, a_frame())
    page.goto(busy_demo.url + urls.project(number))
    page.dblclick("li.assembly >> text=Duplicate", no_wait_after=True)
    page.wait_for_url("**#assembly-*")
    assert count(page, busy_demo.url + urls.project(number), "li.assembly") == 2
