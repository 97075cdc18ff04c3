"""Letters of twice their size, as a browser's own setting has them, on every kind of page: phone, tablet and desk.

That a window of half the size stands for it, as ``looks`` has it, is what is held here.
"""

from __future__ import annotations

import shutil
from collections.abc import Iterator

import pytest
from playwright.sync_api import Browser, Page

from tests.browser.conftest import CHROMIUM_ARGS, Server, Watch, open_page
from tests.browser.looks import AFTER_LAYOUT, assert_enlarged
from tests.browser.test_every_page import pages_of
from tests.torture import torture
from webapp.site import urls

pytestmark = pytest.mark.browser

TWICE = "--blink-settings=defaultFontSize=32,defaultFixedFontSize=26"
"""A browser starts with letters of 16 and 13 px."""
WINDOWS = ((360, 640), (820, 1180), (1280, 800))
HEIGHTS = """() => [...document.querySelectorAll("main > *, form .field, table tr")]
  .map(each => each.getBoundingClientRect()).map(({top, height}) => [top + scrollY, height])"""


@pytest.fixture
def large(browser: Browser, watch: Watch) -> Iterator[Page]:
    """A page of a browser whose letters are set to twice their size."""
    chromium = shutil.which("chromium") or shutil.which("chromium-browser")
    running = browser.browser_type.launch(executable_path=chromium, args=[*CHROMIUM_ARGS, TWICE])
    with open_page(running, watch) as page:
        yield page
    running.close()


def test_twice_the_letters_are_half_the_window(steady_demo: Server, page: Page, large: Page) -> None:
    for each, (width, height), letters in ((page, (180, 320), "16px"), (large, (360, 640), "32px")):
        each.set_viewport_size({"width": width, "height": height})
        each.goto(steady_demo.url + urls.rules())
        each.evaluate(AFTER_LAYOUT)
        assert each.evaluate("getComputedStyle(document.documentElement).fontSize") == letters
    small, twice = (each.evaluate(HEIGHTS) for each in (page, large))
    assert len(small) == len(twice) > 20
    for (top, tall), (lower, taller) in zip(small, twice, strict=True):
        # but for lines of 1 px, which stay as they are
        assert 2 * tall == pytest.approx(taller, rel=0.02, abs=8)
        assert 2 * top == pytest.approx(lower, rel=0.02, abs=8)


@torture
def test_every_kind_of_page_in_letters_twice_as_large(steady_demo: Server, large: Page) -> None:
    for address in pages_of(steady_demo).values():
        large.goto(address)
        assert_enlarged(large, *WINDOWS)
