"""What every page must hold however it is looked at, measured by scripts of ours (``*.js`` beside this).

Web Content Accessibility Guidelines 2.2, https://www.w3.org/TR/WCAG22/: 1.4.4 resize text, 1.4.10 reflow,
2.4.11 focus not obscured, 2.5.8 target size. A page whose letters are set to twice their size is laid out as in a
window of half the width and height that is shown at twice its scale, for all its sizes are in rem:
``test_enlarged.py`` holds that against a browser whose letters are set so.
"""

from __future__ import annotations

from pathlib import Path

from playwright.sync_api import Page

FOLDER = Path(__file__).parent
LEGIBLE = (FOLDER / "legible.js").read_text("utf-8")
TARGETS = (FOLDER / "targets.js").read_text("utf-8")
FOCUS_SEEN = (FOLDER / "focus_seen.js").read_text("utf-8")
AFTER_LAYOUT = "() => new Promise(done => requestAnimationFrame(() => requestAnimationFrame(done)))"

PHONE_TWICE = (180, 320)
"""CSS pixels of a phone of 360 by 640 whose letters are twice as large."""
DESK_TWICE = (640, 400)
"""The same of a window of 1280 by 800; a tablet's, of 820 wide, lies between the two."""
LEAST = 24
"""CSS pixels of a target's side, where nothing else excuses it: 2.5.8."""
LEAST_AT_MACHINE = 44
"""The same for gloves, and nothing excuses it there: 2.5.5, which level AAA asks for."""


def assert_targets(page: Page) -> None:
    """Fail where what a finger is to hit is too small, or too near to another that is."""
    gloves = page.locator("[data-shop]").count() > 0
    found = page.evaluate(TARGETS, {"least": LEAST_AT_MACHINE if gloves else LEAST, "excused": not gloves})
    assert not found, "\n".join([f"too small at {page.url}:", *found])


def assert_legible(page: Page) -> None:
    """Fail where the page scrolls sideways, or words are cut off, lie over one another or beyond the page."""
    page.evaluate(AFTER_LAYOUT)
    found = page.evaluate(LEGIBLE)
    assert not found, "\n".join([f"{page.url} at {page.viewport_size}:", *found])


def assert_enlarged(page: Page, *windows: tuple[int, int]) -> None:
    """The same in windows as small as these, and that nothing lies over what has the focus."""
    for width, height in windows or (PHONE_TWICE, DESK_TWICE):
        page.set_viewport_size({"width": width, "height": height})
        assert_legible(page)
        found = page.evaluate(FOCUS_SEEN)
        assert not found, "\n".join([f"the focus is hidden at {page.url}, {width} × {height}:", *found])
