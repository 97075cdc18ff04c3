"""Every page, in every state: nothing for axe to find, HTML by the standard, legible however large it is shown.

The pages are found by following the links, so that none can be forgotten; the states that no link
leads to (refused, stale, previewed) are made one by one.
"""

from __future__ import annotations

import json
import re
import urllib.request
from collections import Counter
from collections.abc import Callable
from html.parser import HTMLParser
from typing import Any
from urllib.parse import urljoin, urlsplit

import pytest
from playwright.sync_api import Page

from tests.browser.conftest import Axe, Server, Watch, assert_html, wait_for_htmx
from tests.browser.elsewhere import bring_in, send_form
from tests.browser.html_checker import HtmlChecker
from tests.browser.looks import assert_enlarged, assert_legible, assert_targets
from tests.factories import a_frame, an_impossible_joint
from tests.torture import torture
from tests.webapp.pages.photograph_samples import a_picture
from webapp.site import urls

pytestmark = pytest.mark.browser

WIDE, PHONE = 1280, 360
DEMO = "/demo/"
ENOUGH = 8
"""Pages of one address that are looked at for other fields: of a shelf of items the first show them all."""


def look_over(page: Page, axe: Axe, *widths: int) -> None:
    """Check what the page shows now, in these widths: axe and the size of targets, in light and in dark.

    And that all of it is read, and the focus seen, in larger letters and in letters of twice their size.
    """
    *others, last = widths
    for width in others:
        page.set_viewport_size({"width": width, "height": 800})
        axe(page)
        assert_targets(page)
    page.set_viewport_size({"width": last, "height": 800})
    if not others:
        axe.colours(page)
    page.emulate_media(color_scheme="dark")
    axe(page)
    page.emulate_media(color_scheme="light")
    assert_targets(page)
    assert_legible(page)
    page.evaluate("document.documentElement.dataset.letters = 'larger'")
    assert_legible(page)
    page.evaluate("document.documentElement.dataset.letters = 'usual'")
    assert_enlarged(page)
    page.set_viewport_size({"width": WIDE, "height": 800})


class Links(HTMLParser):
    """The addresses that a page's links lead to, and the names of its fields."""

    def __init__(self, html: str) -> None:
        super().__init__()
        self.addresses: list[str] = []
        self.fields: set[str] = set()
        self.feed(html)

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        found = dict(attrs)
        if tag == "a" and found.get("href"):
            self.addresses.append(str(found["href"]))
        if tag in {"input", "select", "textarea"}:
            self.fields.add(re.sub(r"\d+", "1", found.get("name") or ""))


def pages_of(server: Server, begin: str = "/") -> dict[tuple[str, frozenset[str]], str]:
    """One address for each kind of page that links lead to: alike are those with alike address and fields.

    The demo's pages are the shop's with a bar on each, so of them only those that the shop's lead to, unless one
    begins there.
    """
    seen: set[str] = set()
    no_pages: set[str] = set()
    fetched: Counter[str] = Counter()
    waiting = [server.url + begin]
    found: dict[tuple[str, frozenset[str]], str] = {}
    while waiting:
        address = waiting.pop()
        if address in seen or not address.startswith(server.url):
            continue
        seen.add(address)
        shape = re.sub(r"\d+", "1", urlsplit(address).path)
        if shape in no_pages or fetched[shape] >= ENOUGH:
            continue
        fetched[shape] += 1
        with urllib.request.urlopen(address, timeout=30) as answer:
            if answer.headers.get_content_type() != "text/html":
                no_pages.add(shape)
                continue
            links = Links(answer.read().decode("utf-8"))
        found.setdefault((shape, frozenset(links.fields)), address)
        if address.startswith(server.url + begin) and not (begin == "/" and within_demo(address)):
            waiting += [urljoin(address, link).split("#")[0] for link in links.addresses]
    return found


def within_demo(address: str) -> bool:
    return urlsplit(address).path.startswith(DEMO)


def go(page: Page, nu: HtmlChecker | None, address: str) -> None:
    """Open a page, which is HTML as it is served, before a browser has put it right."""
    answer = page.goto(address)
    assert answer is not None
    if nu is not None:
        assert_html(nu, answer.text(), address)


def test_every_page_of_a_filled_shop(steady_demo: Server, page: Page, axe: Axe, nu: HtmlChecker | None) -> None:
    addresses = pages_of(steady_demo).values()
    # the five forms of a new assembly, the five of places, a project with its papers, and the rest
    assert len(addresses) >= 25
    for address in addresses:
        go(page, nu, address)
        look_over(page, axe, WIDE, PHONE)


@torture
def test_every_page_of_the_demo(steady_server: Server, page: Page, axe: Axe, nu: HtmlChecker | None) -> None:
    page.request.get(steady_server.url + urls.way_in())
    addresses = [each for each in pages_of(steady_server, DEMO).values() if within_demo(each)]
    assert len(addresses) >= 25
    for address in addresses:
        go(page, nu, address)
        look_over(page, axe, WIDE, PHONE)


def test_every_page_of_an_empty_shop(steady_server: Server, page: Page, axe: Axe, nu: HtmlChecker | None) -> None:
    addresses = pages_of(steady_server).values()
    assert len(addresses) >= 7
    for address in addresses:
        go(page, nu, address)
        look_over(page, axe, WIDE, PHONE)


def missing_page(page: Page, shop: str) -> None:
    page.goto(f"{shop}/projects/9999")
    assert "Nothing here" in page.inner_text("main")


def unnamed_project(page: Page, shop: str) -> None:
    page.goto(f"{shop}/projects/new")
    page.click("main button[type=submit]")
    page.wait_for_selector(".error-summary")


def renamed_meanwhile(page: Page, shop: str) -> None:
    page.goto(f"{shop}/projects/1/edit")
    send_form(page, "#project-form", name="Named elsewhere")
    page.fill("[name=name]", "Named here")
    page.click("main button[type=submit]")
    page.wait_for_selector("text=Changed meanwhile")


def refused_assembly(page: Page, shop: str) -> None:
    page.goto(f"{shop}/projects/1/assemblies/new/carcass")
    page.fill("[name=shelves]", "300, nine hundred")
    page.fill("[name=width]", "-5")
    page.fill("[name=mark]", "")
    page.click(".save-bar button")
    page.wait_for_selector(".error-summary")
    wait_for_htmx(page)


def photographs_refused(page: Page, shop: str) -> None:
    page.goto(shop + urls.photographs(bring_in(page, shop, a_frame())))
    page.set_input_files("[name=photograph]", {"name": "a.jpg", "mimeType": "image/jpeg", "buffer": b"a letter"})
    page.click("text=Add the photograph")
    page.wait_for_selector("text=no picture in JPEG, PNG or WebP")


def photographs_of_a_project(page: Page, shop: str) -> None:
    number = bring_in(page, shop, a_frame())
    for kind, mark in (("PNG", "A"), ("WEBP", "A-J1")):
        page.goto(shop + urls.photographs(number, mark=mark))
        body = a_picture(kind, (900, 1600))
        page.set_input_files("[name=photograph]", {"name": "a.jpg", "mimeType": "image/jpeg", "buffer": body})
        page.click("text=Add the photograph")
        page.wait_for_selector(f".photographs >> text={mark}")


def a_caption_refused(page: Page, shop: str) -> None:
    photographs_of_a_project(page, shop)
    page.click("text=Change the caption >> nth=0")
    page.fill("[name=caption]", "x" * 201)
    page.click("main button[type=submit]")
    page.wait_for_selector(".error-summary")


def photographs_beside_a_project(page: Page, shop: str) -> None:
    photographs_of_a_project(page, shop)
    page.goto(page.url.replace("/photographs", "").partition("#")[0])
    page.wait_for_selector("text=Add or remove photographs")


def photographs_on_the_schedule(page: Page, shop: str) -> None:
    photographs_of_a_project(page, shop)
    page.goto(page.url.replace("/photographs", "/schedule").partition("#")[0])
    page.wait_for_selector(".joint-card .photographs")


LIST = "kind;width;height\nMitred frame;534;287\nMitred frame;{};301\n"


def a_list_refused(page: Page, shop: str) -> None:
    page.goto(shop + urls.import_list(1))
    page.fill("[name=document]", LIST.format("wide"))
    page.click("main button[type=submit]")
    page.wait_for_selector(".error-summary")


def a_list_looked_at(page: Page, shop: str) -> None:
    page.goto(shop + urls.import_list(bring_in(page, shop, a_frame())))
    page.fill("[name=document]", LIST.format("612,5"))
    page.click("main button[type=submit]")
    page.wait_for_selector("text=Add them all")


def sizes_in_a_table(page: Page, shop: str) -> None:
    page.goto(shop + urls.sizes_table(bring_in(page, shop, a_frame())))
    page.locator(".cells td.num input").nth(1).fill("-5")
    page.click(".save-bar button")
    page.wait_for_selector(".error-summary")


def lines_of_sizes(page: Page, shop: str) -> None:
    page.goto(f"{shop}/projects/1/assemblies/new/mitred_frame")
    with page.expect_response("**/preview"):
        page.fill("[name=sizes]", "534x287*4\n612,5 x 301; 2; Hall\n20x30\n450xabc")
    page.wait_for_selector("#sizes-lines")
    wait_for_htmx(page)


def changed_assembly(page: Page, shop: str) -> None:
    number = bring_in(page, shop, a_frame())
    page.goto(f"{shop}/projects/{number}")
    page.click("h2 a")
    page.wait_for_selector("#assembly-form")
    send_form(page, "#assembly-form", width="412")
    page.fill("[name=height]", "299")
    page.click(".save-bar button")
    page.wait_for_selector("text=Changed meanwhile")
    wait_for_htmx(page)


def keep(page: Page, shop: str, name: str, assembly: str = "") -> None:
    number = bring_in(page, shop, a_frame())
    page.goto(f"{shop}/projects/{number}")
    page.click("li.assembly >> text=Keep" if assembly else ".under-title >> text=Keep as a pattern")
    page.fill("[name=name]", name)
    page.click("main button[type=submit]")


def patterns_kept(page: Page, shop: str) -> None:
    keep(page, shop, "Hall frames")
    page.wait_for_selector("tr >> text=Hall frames")
    keep(page, shop, "Small frame", "A")
    page.wait_for_selector("tr >> text=Small frame")


def pattern_refused(page: Page, shop: str) -> None:
    keep(page, shop, "Twice")
    page.wait_for_selector("tr >> text=Twice")
    keep(page, shop, "Twice", "A")
    page.wait_for_selector(".error-summary")


def pattern_renamed_meanwhile(page: Page, shop: str) -> None:
    keep(page, shop, "Landing")
    page.click("tr:has-text('Landing') >> text=Rename")
    page.wait_for_selector("h1 >> text=Rename")
    send_form(page, "#main form", name="Named elsewhere")
    page.fill("[name=name]", "Named here")
    page.click("main button[type=submit]")
    page.wait_for_selector("text=Changed meanwhile")


def project_begun_from_a_pattern(page: Page, shop: str) -> None:
    keep(page, shop, "Stair")
    page.click("tr:has-text('Stair') >> text=Begin a project")
    page.wait_for_selector("h1 >> text=Begin a project")
    page.fill("[name=name]", "")
    page.click("main button[type=submit]")
    page.wait_for_selector(".error-summary")


def assembly_begun_from_a_pattern(page: Page, shop: str) -> None:
    keep(page, shop, "Porch", "A")
    page.wait_for_selector("tr >> text=Porch")
    page.goto(shop + urls.kept_patterns(project=bring_in(page, shop)))
    page.click("tr:has-text('Porch') >> text=Begin an assembly")
    page.wait_for_selector("#assembly-form")
    wait_for_htmx(page)


def joint_set_apart(page: Page, shop: str) -> None:
    frame = a_frame(joints={"A-J1": {"section": "7", "plug": {"material": "walnut", "height": 3}}})
    number = bring_in(page, shop, frame, a_frame("B"))
    page.goto(f"{shop}/projects/{number}")
    page.click("h2 a >> nth=0")
    page.wait_for_selector("#assembly-form")


def single_joint(page: Page, shop: str) -> None:
    number = bring_in(
        page, shop, {"kind": "single_joint", "mark": "A", "breadth": 60, "run": 20, "behind": [9, 9]}
    )
    page.goto(f"{shop}/projects/{number}")
    page.click("h2 a")
    page.wait_for_selector("#assembly-form")


def nothing_fits(page: Page, shop: str) -> None:
    number = bring_in(page, shop, an_impossible_joint(), a_frame("B", keys={"section": "99"}))
    page.goto(f"{shop}/projects/{number}")
    assert "cannot be made" in page.inner_text("main")


def nothing_fits_on_paper(page: Page, shop: str) -> None:
    number = bring_in(page, shop, an_impossible_joint())
    page.goto(f"{shop}/projects/{number}/schedule")
    assert "Cannot be made" in page.inner_text("main")


def empty_project(page: Page, shop: str) -> None:
    page.goto(f"{shop}/projects/{bring_in(page, shop)}")
    assert "first thing" in page.inner_text("main")


def empty_keys(page: Page, shop: str) -> None:
    page.goto(f"{shop}/projects/{bring_in(page, shop)}/keys")


def empty_schedule(page: Page, shop: str) -> None:
    page.goto(f"{shop}/projects/{bring_in(page, shop)}/schedule")


def empty_setting_out(page: Page, shop: str) -> None:
    page.goto(shop + urls.setting_out(bring_in(page, shop)))
    assert "no pieces yet" in page.inner_text("main")


def pieces_set_out(page: Page, shop: str) -> None:
    carcass = {"kind": "carcass", "mark": "C", "width": 600, "height": 700, "depth": 300, "thickness": 18}
    inside = {"corner": "top_between", "shelves": [340], "plinth": 70}
    page.goto(shop + urls.setting_out(bring_in(page, shop, a_frame(), an_impossible_joint("B"), carcass | inside)))
    assert "mirror image of C1 1/2" in page.inner_text("main")


def empty_assembly_sheet(page: Page, shop: str) -> None:
    page.goto(shop + urls.assembly_sheet(bring_in(page, shop)))
    assert "nothing to put together" in page.inner_text("main")


def steps_of_assembly(page: Page, shop: str) -> None:
    carcass = {"kind": "carcass", "mark": "C", "width": 600, "height": 700, "depth": 300, "thickness": 18}
    inside = {"corner": "top_between", "shelves": [340], "back": {"fit": "rabbet", "thickness": 5, "depth": 7}}
    number = bring_in(
        page, shop, a_frame(), an_impossible_joint("B"), carcass | inside, rules={"open_seconds": 20}
    )
    page.goto(shop + urls.assembly_sheet(number))
    assert "from behind, dry" in page.inner_text("main")
    assert "Longer than the glue stays open" in page.inner_text("main")


def empty_set_ups(page: Page, shop: str) -> None:
    page.goto(shop + urls.set_ups(bring_in(page, shop)))
    assert "nothing to mill" in page.inner_text("main")


def unreachable_set_ups(page: Page, shop: str) -> None:
    short = a_frame("C", width=140, height=120, stock={"width": 30, "thickness": 18})
    page.goto(shop + urls.set_ups(bring_in(page, shop, a_frame(), an_impossible_joint("B"), short)))
    assert "held by hand" in page.inner_text("main")
    assert "cannot be made" in page.inner_text("main")


def set_ups_together(page: Page, shop: str) -> None:
    page.goto(f"{shop}{urls.set_ups_together()}")
    for box in page.get_by_role("checkbox").all()[:3]:
        box.focus()
        page.keyboard.press("Space")
    page.keyboard.press("Enter")
    page.wait_for_selector("#set-up-1")


def parts_changed(page: Page, shop: str) -> None:
    changes = {"A1": {"material": "oak", "rough_length": 900, "note": "knots out"}, "Z9": {"note": "kept"}}
    page.goto(shop + urls.parts(bring_in(page, shop, a_frame(), parts=changes, rules={"length_allowance": 20})))
    assert "Changes without a part" in page.inner_text("main")
    assert "the plan has" in page.inner_text("main")


def part_refused(page: Page, shop: str) -> None:
    page.goto(shop + urls.change_part(bring_in(page, shop, a_frame()), mark="A1"))
    page.fill("[name=rough_length]", "1")
    page.click("text=Save the change")
    page.wait_for_selector("text=another look")


def part_saved(page: Page, shop: str) -> None:
    page.goto(shop + urls.change_part(bring_in(page, shop, a_frame()), mark="A1"))
    page.fill("[name=note]", "from the long board")
    page.click("text=Save the change")
    page.wait_for_selector("text=Note: from the long board")


def section_with_figures(page: Page, shop: str) -> None:
    page.goto(f"{shop}/catalogue/sections/new")
    for name, text in {"overall": "14", "waist": "11.45", "depth": "12", "flank": "12"}.items():
        page.fill(f"[name={name}]", text)
    page.fill("[name=tip_diameter]", "14.06")
    page.check("text=one side, waist to face")
    page.wait_for_selector("#measured >> text=Take it as the whole key")
    wait_for_htmx(page)


def refused_section(page: Page, shop: str) -> None:
    page.goto(f"{shop}/catalogue/sections/3")
    page.fill("[name=waist]", "wide")
    page.fill("[name=length] >> nth=0", "x")
    page.click("text=Save section")
    page.wait_for_selector(".error-summary")


def section_changed_meanwhile(page: Page, shop: str) -> None:
    page.goto(f"{shop}/catalogue/sections/3")
    send_form(page, "#section-form", stock_to="33")
    page.click("text=Save section")
    page.wait_for_selector("text=Changed meanwhile")


def refused_plug(page: Page, shop: str) -> None:
    page.goto(f"{shop}/catalogue/plugs/1")
    page.fill("[name=height]", "tall")
    page.click("text=Save plug")
    page.wait_for_selector(".error-summary")


def plug_changed_meanwhile(page: Page, shop: str) -> None:
    page.goto(f"{shop}/catalogue/plugs/1")
    send_form(page, "form[action$='/plugs/1']", height="4")
    page.click("text=Save plug")
    page.wait_for_selector("text=Changed meanwhile")


def opened_details(page: Page, shop: str) -> None:
    page.goto(f"{shop}/catalogue/sections/3")
    page.click("text=Delete this section")
    page.wait_for_selector("text=Delete for good")


def kinds_to_add(page: Page, shop: str) -> None:
    page.goto(f"{shop}/projects/1")
    page.click("text=Add an assembly")


def word_explained(page: Page, shop: str) -> None:
    page.goto(shop + urls.schedule(bring_in(page, shop, a_frame())))
    page.locator(".term-word", has_text="Reach").first.click()
    page.locator("#says-reach").wait_for()


def size_that_works_offered(page: Page, shop: str) -> None:
    page.goto(shop + urls.project(bring_in(page, shop, a_frame())))
    page.locator("main h2 a").first.click()
    page.fill('[name="stock.rabbet_width"]', "60")
    page.locator(".field-problems button").wait_for()
    page.keyboard.press("Tab")


def refused_rules(page: Page, shop: str) -> None:
    page.goto(f"{shop}/rules")
    page.fill("[name=wall]", "thin")
    page.click("text=Save settings")
    page.wait_for_selector(".error-summary")


def refused_climate(page: Page, shop: str) -> None:
    page.goto(shop + urls.movement(1))
    page.fill('[name="from.moisture"]', "8")
    page.fill('[name="to.humidity"]', "120")
    page.click("#climate-form button")
    page.wait_for_selector(".error-summary")


def wood_that_moves(page: Page, shop: str) -> None:
    door = {"kind": "railed_frame", "mark": "D", "width": 900, "height": 700, "thickness": 22, "material": "oak"}
    bars = {"stile": 60, "top_rail": 60, "bottom_rail": 180}
    panel = {"panel": {"fit": "groove", "depth": 5, "width": 6, "thickness": 6}}
    climate = {"from": {"moisture": 8}, "to": {"temperature": 20, "humidity": 65}, "other_to": {"moisture": 6}}
    number = bring_in(page, shop, a_frame(), door | bars | panel, climate=climate)
    page.goto(shop + urls.movement(number))
    assert "drops out of its groove" in page.inner_text("main")
    page.fill('[name="from.moisture"]', "11")
    page.wait_for_selector("text=In the shop: wood comes to 11 % of moisture.")


def rules_saved_and_changed_meanwhile(page: Page, shop: str) -> None:
    page.goto(f"{shop}/rules")
    send_form(page, "form.ruled", name="Another name")
    page.click("text=Save settings")
    page.wait_for_selector("text=Changed meanwhile")


def rule_put_back(page: Page, shop: str) -> None:
    page.goto(f"{shop}/rules")
    page.fill("[name=wall]", "2.5")
    page.click("text=Save settings")
    page.wait_for_selector("text=Saved")
    page.click('button:has-text("Back to") >> nth=0')
    page.wait_for_selector("text=back to the usual value")


def look_at(page: Page, shop: str, project: Any) -> None:
    page.goto(f"{shop}/import")
    page.fill("[name=document]", json.dumps(project))
    page.click("text=Look at it")


def import_looked_at(page: Page, shop: str) -> None:
    frame = a_frame(keys={"section": "99"})
    look_at(page, shop, {"format": "dovetally-project", "version": 1, "name": "Looked at", "assemblies": [frame]})
    page.wait_for_selector("text=Sections that are not there")


def import_refused(page: Page, shop: str) -> None:
    frame = a_frame(width="wide", extra="x" * 200)
    look_at(page, shop, {"format": "dovetally-project", "version": 1, "name": "", "assemblies": [frame]})
    page.wait_for_selector("text=another look")


def issued_revision(page: Page, shop: str) -> None:
    number = bring_in(page, shop, a_frame())
    page.goto(shop + urls.revisions(number))
    page.click("text=Issue revision 1")
    page.wait_for_url("**/1")


def wood_cut(page: Page, shop: str) -> None:
    carcass = {"kind": "carcass", "mark": "C", "width": 600, "height": 700, "depth": 300, "thickness": 18}
    inside = {"corner": "top_between", "material": "birch plywood", "shelves": [340]}
    ways = {"trim": 8, "least_offcut": 200}
    stock = [
        {"item": "wood 45 × 20", "nested": True, "stock": [{"length": 2350, "price": 1090}], **ways},
        {"item": "birch plywood 18", "stock": [{"length": 1900, "width": 940}], **ways},
    ]
    number = bring_in(page, shop, a_frame(quantity=2), carcass | inside, stock=stock)
    page.goto(shop + urls.cutting(number))
    assert "turn the stock over after every cut" in page.inner_text("main")


def refused_wood(page: Page, shop: str) -> None:
    number = bring_in(page, shop, a_frame())
    page.goto(shop + urls.cutting_stock(number, item="wood 45 × 20"))
    page.fill("[name=stock]", "2400 at 11.30\nwide")
    page.click("form.narrow button")
    page.wait_for_selector("text=line 2")


def quote_without_a_price(page: Page, shop: str) -> None:
    page.goto(shop + urls.project_quote(bring_in(page, shop, a_frame())))
    page.fill("[name=work]", "Sanding")
    page.wait_for_selector("text=Not reckoned yet")
    page.click("#quote-form .actions button")
    page.wait_for_selector("text=needs its time at the end")


def issued_quote(page: Page, shop: str) -> None:
    number = bring_in(page, shop, a_frame())
    page.goto(shop + urls.project_quote(number))
    for name, text in (("rate", "47.60"), ("margin", "14"), ("tax.name", "Sales tax"), ("tax.rate", "7.25")):
        page.fill(f'[name="{name}"]', text)
    for field in page.query_selector_all('[name^="price."]'):
        field.fill("18.30")
    page.click("#quote-form .actions button")
    page.wait_for_selector("#issue-title")
    page.click("#issue-title ~ form button")
    page.wait_for_selector("text=Papers, as they were issued")


STATES: list[Callable[[Page, str], None]] = [
    quote_without_a_price,
    issued_quote,
    missing_page,
    unnamed_project,
    renamed_meanwhile,
    photographs_refused,
    photographs_of_a_project,
    a_caption_refused,
    photographs_beside_a_project,
    photographs_on_the_schedule,
    refused_assembly,
    lines_of_sizes,
    sizes_in_a_table,
    a_list_refused,
    a_list_looked_at,
    changed_assembly,
    patterns_kept,
    pattern_refused,
    pattern_renamed_meanwhile,
    project_begun_from_a_pattern,
    assembly_begun_from_a_pattern,
    joint_set_apart,
    single_joint,
    nothing_fits,
    nothing_fits_on_paper,
    empty_project,
    empty_keys,
    empty_schedule,
    empty_setting_out,
    pieces_set_out,
    empty_assembly_sheet,
    steps_of_assembly,
    empty_set_ups,
    unreachable_set_ups,
    set_ups_together,
    parts_changed,
    part_refused,
    part_saved,
    section_with_figures,
    refused_section,
    section_changed_meanwhile,
    refused_plug,
    plug_changed_meanwhile,
    opened_details,
    kinds_to_add,
    word_explained,
    size_that_works_offered,
    refused_rules,
    refused_climate,
    wood_that_moves,
    wood_cut,
    refused_wood,
    rules_saved_and_changed_meanwhile,
    rule_put_back,
    import_looked_at,
    import_refused,
    issued_revision,
]


@pytest.mark.parametrize("state", STATES, ids=lambda state: state.__name__)
def test_a_state_that_no_link_leads_to(
    busy_demo: Server, page: Page, axe: Axe, state: Callable[[Page, str], None]
) -> None:
    page.goto(f"{busy_demo.url}/cautions")
    state(page, busy_demo.url)
    look_over(page, axe, PHONE)


def test_a_message_over_a_form(busy_demo: Server, page: Page, axe: Axe, watch: Watch) -> None:
    page.goto(f"{busy_demo.url}/projects/1/assemblies/new/box")
    page.route("**/new/box", lambda route: route.abort())
    page.click(".save-bar button")
    page.wait_for_selector("#messages .notice")
    look_over(page, axe, PHONE)
    watch.expect("ERR_FAILED")
    watch.expect("htmx:error")
