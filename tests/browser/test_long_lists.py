"""Long lists: every row is on the page itself, the head stays in sight while one reads on."""

from __future__ import annotations

import pytest
from playwright.sync_api import Page

from tests.browser.conftest import Server, wait_for_htmx
from webapp.site import urls

pytestmark = pytest.mark.browser

HIDDEN_ROWS = """() => [...document.querySelectorAll(".table-region")].map(region =>
  region.scrollHeight - region.clientHeight)"""
WIDE, PHONE = (1280, 800), (360, 740)


@pytest.fixture(scope="module")
def addresses() -> dict[str, str]:
    return {
        "projects": urls.projects(),
        "stockroom": urls.stockroom(),
        "keys": urls.keys(1),
        "joints": urls.schedule(1),
    }


@pytest.mark.parametrize("window", [WIDE, PHONE])
@pytest.mark.parametrize("name", ["projects", "stockroom", "keys", "joints"])
def test_no_row_is_hidden_in_a_box(
    steady_demo: Server, page: Page, addresses: dict[str, str], name: str, window: tuple[int, int]
) -> None:
    page.set_viewport_size({"width": window[0], "height": window[1]})
    page.goto(steady_demo.url + addresses[name])
    hidden = page.evaluate(HIDDEN_ROWS)
    assert hidden
    assert max(hidden) <= 1
    assert page.evaluate("document.documentElement.scrollWidth <= innerWidth")


def test_the_head_of_a_list_that_fits_stays_at_the_window_s_edge(steady_demo: Server, page: Page) -> None:
    page.set_viewport_size({"width": 1280, "height": 500})
    page.goto(steady_demo.url + urls.stockroom())
    table = page.locator(".table-region[data-fits]").first
    assert table.locator("tbody tr").count() > 12
    table.locator("tbody tr").nth(11).evaluate(
        "row => scrollTo(0, row.getBoundingClientRect().top + scrollY - 200)"
    )
    head = table.locator("thead th").first.bounding_box()
    assert head is not None
    assert head["y"] == pytest.approx(0, abs=1)
    # narrow, the same list scrolls sideways in its region and still hides no row
    page.set_viewport_size({"width": 360, "height": 500})
    page.wait_for_function("!document.querySelector('.table-region').hasAttribute('data-fits')")


def test_a_pane_taller_than_the_window_can_be_read_to_its_end(steady_demo: Server, page: Page) -> None:
    page.set_viewport_size({"width": 1280, "height": 700})
    page.goto(steady_demo.url + urls.project(1))
    page.locator("main h2 a").first.click()
    page.wait_for_selector("#assembly-form")
    wait_for_htmx(page)
    pane = page.locator(".pane-drawing")
    tall = pane.evaluate("pane => pane.offsetHeight")
    assert tall > 700
    # it sticks by its lower edge, a rem above the window's, so that one scrolls through all of it
    assert float(pane.evaluate("pane => parseFloat(getComputedStyle(pane).top)")) == pytest.approx(
        700 - 16 - tall, abs=1
    )
    pane.evaluate("(pane, tall) => scrollTo(0, pane.parentElement.offsetTop + tall - 400)", tall)
    assert pane.evaluate("pane => pane.getBoundingClientRect().bottom") <= 700


@pytest.mark.parametrize("window", [(820, 1180), PHONE])
def test_the_drawings_stay_in_sight_while_one_types(
    steady_demo: Server, page: Page, window: tuple[int, int]
) -> None:
    page.set_viewport_size({"width": window[0], "height": window[1]})
    page.goto(steady_demo.url + urls.project(1))
    page.locator("main h2 a").first.click()
    page.wait_for_selector("#assembly-form")
    fields = page.locator("#assembly-form input[type=text]:visible")
    for place in range(fields.count()):
        fields.nth(place).focus()
        drawn, typed = page.locator(".live-drawings").bounding_box(), fields.nth(place).bounding_box()
        assert drawn is not None
        assert typed is not None
        # all of the drawings is seen, and the field is clear of them
        assert -1 <= drawn["y"] <= window[1] - drawn["height"]
        assert drawn["height"] < window[1] / 3
        assert typed["y"] >= drawn["y"] + drawn["height"] or typed["y"] + typed["height"] <= drawn["y"]
