"""The pictures of the user's guide, made anew from the demo workshop. ``make docs-pictures``."""

from __future__ import annotations

import os
import shutil
import subprocess
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from pathlib import Path

import pytest
from playwright.sync_api import Page

from tests.browser.conftest import ROOT, Server, serving, wait_for_htmx
from webapp.papers.kinds import DocumentKind
from webapp.site import urls

pytestmark = pytest.mark.browser

PICTURES = ROOT / "docs" / "pictures"
WIDE, PHONE = (1100, 760), (390, 760)
DOTS_PER_INCH = 70


def nothing(page: Page) -> None:
    """The page as it comes."""


@dataclass(frozen=True)
class Shot:
    """A picture of a page: its address, the window, and what is done on it before."""

    address: str
    window: tuple[int, int] = WIDE
    prepare: Callable[[Page], None] = nothing


def measure(page: Page) -> None:
    """Type a key's measures."""
    measures = {"overall": "15.6", "waist": "12.8", "depth": "13.4", "tip_diameter": "15.68"}
    for name, text in measures.items():
        page.fill(f"[name={name}]", text)
    page.locator("[name=depth_of][value=whole_key]").check(force=True)
    page.press("[name=tip_diameter]", "Tab")
    page.wait_for_selector("#measured svg")
    wait_for_htmx(page)
    page.locator("[name=overall]").scroll_into_view_if_needed()


def open_an_assembly(page: Page) -> None:
    """Go to the first assembly's form."""
    page.locator("main h2 a").first.click()
    page.wait_for_selector("#assembly-form")
    wait_for_htmx(page)


def begin_at(selector: str) -> Callable[[Page], None]:
    """Scroll until the first such thing stands at the top."""
    return lambda page: page.locator(selector).first.evaluate("place => place.scrollIntoView()")


def write_down_a_trial(page: Page) -> None:
    """Fill the form in."""
    page.check("[name=outcome] >> nth=0", force=True)
    for name, text in {"gap": "0.15", "projection": "5.9", "species": "ash", "thickness": "21"}.items():
        page.fill(f"[name={name}]", text)
    wait_for_htmx(page)
    page.evaluate("scrollTo(0, 0)")


def issue(page: Page) -> None:
    """Issue the project's first revision."""
    page.click("text=Issue revision 1")
    page.wait_for_url("**/1")


SHOTS = {
    "projects": Shot(urls.projects()),
    "measure": Shot(urls.new_section(), prepare=measure),
    "assembly": Shot(urls.project(1), prepare=open_an_assembly),
    "project": Shot(urls.project(1)),
    "schedule": Shot(urls.schedule(1), prepare=begin_at(".joint-card")),
    "setting-out": Shot(urls.setting_out(1), prepare=begin_at(".joint-card")),
    "assembly-sheet": Shot(urls.assembly_sheet(1), prepare=begin_at("[aria-labelledby=A-step-4]")),
    "set-ups": Shot(urls.set_ups(1), prepare=begin_at("#set-up-1")),
    "at-the-machine": Shot(urls.shop(1), PHONE),
    "trial": Shot(urls.new_trial(), prepare=write_down_a_trial),
    "keys": Shot(urls.keys(1)),
    "stockroom": Shot(urls.stockroom()),
    "order": Shot(urls.new_order(project=[1, 2, 3])),
    "revision": Shot(urls.revisions(1), prepare=issue),
}
PAPERS = (
    DocumentKind.SCHEDULE,
    DocumentKind.SET_UPS,
    DocumentKind.ASSEMBLY,
    DocumentKind.LABELS,
    DocumentKind.STRIPS,
)


@pytest.fixture
def shown(tmp_path: Path) -> Iterator[Server]:
    """The demo workshop as people meet it."""
    with serving(tmp_path, "--demo") as running:
        yield running


def test_the_guides_pictures_are_made(shown: Server, page: Page, tmp_path_factory: pytest.TempPathFactory) -> None:
    """In a folder of their own, or where ``make docs-pictures`` wants them."""
    wanted = os.environ.get("DOVETALLY_DOCS_PICTURES")
    folder = ROOT / wanted if wanted else tmp_path_factory.mktemp("pictures")
    for old in folder.glob("*.png"):
        old.unlink()
    for name, shot in SHOTS.items():
        take(page, shown.url, shot, folder / f"{name}.png")
    for kind in PAPERS:
        pdf = page.request.get(f"{shown.url}{urls.draft(1, kind.value)}").body()
        write_first_page(pdf, folder / f"paper-{kind.value}.png")

    made = {path.name: path.stat().st_size for path in folder.iterdir()}
    assert made.keys() == {path.name for path in PICTURES.iterdir()}
    assert min(made.values()) > 5_000, made
    assert sum(made.values()) < 3_000_000, made


def take(page: Page, server: str, shot: Shot, picture: Path) -> None:
    width, height = shot.window
    page.set_viewport_size({"width": width, "height": height})
    page.goto(server + shot.address)
    shot.prepare(page)
    page.screenshot(path=picture, animations="disabled", caret="hide")


def write_first_page(pdf: bytes, picture: Path) -> None:
    if not shutil.which("pdftoppm"):
        reason = "pdftoppm is not on this computer (Debian: poppler-utils)"
        if os.environ.get("DOVETALLY_POPPLER_REQUIRED"):
            pytest.fail(reason)
        pytest.skip(reason)
    command = ["pdftoppm", "-png", "-gray", "-singlefile", "-r", str(DOTS_PER_INCH), "-"]
    subprocess.run([*command, str(picture.with_suffix(""))], input=pdf, check=True)
