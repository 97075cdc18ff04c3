"""Text that would be script, in every field that takes text, on every page that shows it: nothing runs.

The page fixture notes every violation of the policy too: the text must not even come so far as to be refused.
"""

from __future__ import annotations

import json
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

import pytest
from playwright.sync_api import Browser, Page

from tests.browser.conftest import Server, Watch, open_page, serving, wait_for_htmx
from tests.browser.elsewhere import bring_in, new_token, post
from tests.browser.hostile import TEXTS
from tests.factories import a_frame
from tests.torture import torture
from webapp.site import urls

pytestmark = pytest.mark.browser

KEY = {
    "waist": 11.45,
    "half_depth": 6,
    "flank": 12,
    "tip_diameter": 14.06,
    "lengths": [16, 22, 38, 60],
    "drive_limit": 60,
    "stock_from": 16,
    "stock_to": 32,
}


@dataclass(frozen=True)
class HostileShop:
    """A shop full of such texts: ``packed`` is a project that has all of them, ``named`` one for each."""

    url: str
    packed: int
    named: tuple[int, ...]


@pytest.fixture(scope="module")
def hostile_shop(browser: Browser, tmp_path_factory: pytest.TempPathFactory) -> Iterator[HostileShop]:
    with serving(tmp_path_factory.mktemp("hostile")) as running, open_page(browser, Watch()) as page:
        page.goto(f"{running.url}/cautions")
        yield fill(page, running)


def fill(page: Page, server: Server) -> HostileShop:
    for text in TEXTS:
        add_to_catalogue(page, server.url, text)
    sections = [{"name": text.strip(), **KEY} for text in TEXTS]
    frames = [a_frame(f"A{number}", **named(text)) for number, text in enumerate(TEXTS)]
    packed = bring_in(page, server.url, *frames, sections=sections, name=TEXTS[0], customer=TEXTS[1])
    alone = tuple(
        bring_in(page, server.url, a_frame(**named(text)), sections=sections, name=text, customer=text)
        for text in TEXTS
    )
    return HostileShop(server.url, packed, alone)


def named(text: str) -> dict[str, Any]:
    """The fields of an assembly that take text."""
    keys = {"section": text.strip(), "plug": {"material": text, "height": 3}}
    return {"name": text, "material": text, "keys": keys}


def add_to_catalogue(page: Page, shop: str, text: str) -> None:
    """A section and a plug of this name."""
    key = {"name": text, "waist": 11.45, "depth": 6, "depth_of": "one_side", "flank": 12, "tip_diameter": 14.06}
    use = {"stock_from": 16, "stock_to": 32, "length": 16, "price": ""}
    post(page, shop + urls.new_section(), {"token": new_token(page), **key, **use})
    post(page, shop + urls.plugs(), {"token": new_token(page), "material": text, "height": 3, "price": ""})


@pytest.fixture
def wary(page: Page) -> Page:
    """The page, failing where a dialog opens."""
    page.on("dialog", lambda dialog: pytest.fail(f"a dialog opened: {dialog.message}"))
    return page


def check(page: Page, *texts: str) -> None:
    """Nothing ran, whatever the mouse does; and the texts stand there to be read, letter by letter."""
    for across, down in ((200, 150), (600, 400)):
        page.mouse.move(across, down)
    assert page.evaluate("'ran' in window") is False, page.url
    shown = " ".join(page.evaluate(ALL_TEXT).split())
    for text in texts:
        assert " ".join(text.split()) in shown, f"{text} is not to be read at {page.url}"


ALL_TEXT = """() => [
    document.body.textContent,
    ...[...document.querySelectorAll('input, textarea')].map(field => field.value),
].join(' ')"""


@pytest.mark.parametrize("place", ["project", "schedule", "keys", "edit_project", "projects", "catalogue"])
def test_pages_with_all_the_texts(hostile_shop: HostileShop, wary: Page, place: str) -> None:
    address = getattr(urls, place)(*[hostile_shop.packed] * (place not in {"projects", "catalogue"}))
    wary.goto(hostile_shop.url + address)
    check(wary, *(TEXTS[:2] if place == "edit_project" else TEXTS))


def test_pages_that_one_of_the_texts_names(hostile_shop: HostileShop, wary: Page) -> None:
    for number, text in zip(hostile_shop.named, TEXTS, strict=True):
        wary.goto(hostile_shop.url + urls.delete_project(number))
        check(wary, text)


def type_them(page: Page, shop: HostileShop, texts: tuple[str, ...]) -> None:
    page.goto(shop.url + urls.new_assembly(shop.packed, "box"))
    page.fill("[name=wall]", "thin")
    page.check("[name=top]")
    for text in texts:
        page.fill("[name=name]", text)
        page.fill("[name=material]", text)
        with page.expect_response("**/preview"):
            page.fill("[name='top.material']", text)
        wait_for_htmx(page)
        check(page, text)
    with page.expect_response("**/preview"):
        page.fill("[name=wall]", "12")
    wait_for_htmx(page)
    check(page, texts[-1])


def test_typed_into_a_live_form(hostile_shop: HostileShop, wary: Page) -> None:
    type_them(wary, hostile_shop, TEXTS[::6])


def test_refused_forms_that_say_what_was_typed(hostile_shop: HostileShop, wary: Page) -> None:
    numbers = {"width": TEXTS[0], "height": TEXTS[21], "quantity": TEXTS[38], "mark": TEXTS[6]}
    wary.goto(hostile_shop.url + urls.new_assembly(hostile_shop.packed, "carcass"))
    for name, text in numbers.items():
        wary.fill(f"[name='{name}']", text)
    wary.click(".save-bar button")
    wary.wait_for_selector(".error-summary")
    check(wary, *numbers.values())
    wary.goto(hostile_shop.url + urls.rules())
    for name, text in {"name": TEXTS[39], "wall": TEXTS[40], "spare": TEXTS[24]}.items():
        wary.fill(f"[name='{name}']", text)
    wary.click("text=Save settings")
    wary.wait_for_selector(".error-summary")
    check(wary, TEXTS[39], TEXTS[40], TEXTS[24])


def test_files_looked_at_and_refused(hostile_shop: HostileShop, wary: Page) -> None:
    frames = [a_frame(f"A{number}", name=text, material=text) for number, text in enumerate(TEXTS)]
    project = {"format": "dovetally-project", "version": 1, "name": TEXTS[0], "customer": TEXTS[1]}
    wary.goto(hostile_shop.url + urls.import_project())
    wary.fill("[name=document]", json.dumps({**project, "assemblies": frames}))
    wary.click("text=Look at it")
    wary.wait_for_selector("text=Nothing is stored yet")
    check(wary, *TEXTS)
    wary.goto(hostile_shop.url + urls.import_project())
    refused = [a_frame(f"A{number}", width=text, **{text: 1}) for number, text in enumerate(TEXTS)]
    wary.fill("[name=document]", json.dumps({**project, "assemblies": refused}))
    wary.click("text=Look at it")
    wary.wait_for_selector(".error-summary")
    check(wary)


@torture
def test_each_text_on_each_page(hostile_shop: HostileShop, wary: Page) -> None:
    type_them(wary, hostile_shop, TEXTS)
    for index, (number, text) in enumerate(zip(hostile_shop.named, TEXTS, strict=True), start=1):
        places = [urls.project(number), urls.edit_project(number), urls.schedule(number), urls.keys(number)]
        wary.goto(hostile_shop.url + urls.project(number))
        places += [
            str(wary.get_attribute("h2 a", "href")),
            str(wary.get_attribute("a[aria-label^=Delete]", "href")),
        ]
        for place in [*places, urls.section(index), urls.plug(index)]:
            wary.goto(hostile_shop.url + place)
            check(wary, text)
