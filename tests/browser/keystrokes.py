"""Jobs of an evening, and a newcomer's first, by a hand that is counted: every key and every click is one.

The shop is the demo's, but for the newcomer's: wood, moulding and wall may stand as they were entered last; sizes,
rows, shelves, plugs and names are the job's own, and none of them is what a form begins with.
"""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import dataclass
from typing import TYPE_CHECKING

from webapp.site import urls

if TYPE_CHECKING:
    from playwright.sync_api import Page


class CountedHand:
    """A hand at mouse and keyboard; ``actions`` is how often it pressed a key or clicked."""

    def __init__(self, page: Page, server: str) -> None:
        self.page = page
        self.actions = 0
        page.goto(server + urls.projects())

    def click(self, control: str) -> None:
        """Click the first control of that selector."""
        self.actions += 1
        self.page.locator(control).first.click()

    def follow(self, control: str, to: str) -> None:
        """Click what leads to an address that matches ``to``."""
        self.click(control)
        self.page.wait_for_url(re.compile(to))

    def type(self, text: str) -> None:
        """Type into what has the focus; a line's end is Enter."""
        self.actions += len(text)
        self.page.keyboard.type(text)

    def press(self, key: str) -> None:
        """Press one key."""
        self.actions += 1
        self.page.keyboard.press(key)

    def enter(self, to: str) -> None:
        """Press Enter, and wait for an address that matches ``to``."""
        self.press("Enter")
        self.page.wait_for_url(re.compile(to))

    def begin(self, name: str, kind: str) -> None:
        """A new project, its name, and what is made in it first."""
        self.follow(f"a[href='{urls.new_project()}']", "/projects/new$")
        self.type(name)
        self.click(f"[name=kind][value={kind}]")
        self.enter(f"/assemblies/new/{kind}$")

    def see_keys(self) -> None:
        """From the project to its keys to buy."""
        self.follow("a:text-is('Keys to buy')", "/keys$")


ADDED = r"/projects/\d+(\?shown=\d+)?#assembly-\d+$"


def three_frames(hand: CountedHand) -> None:
    """Three frames with plugs, to the keys to buy."""
    hand.begin("Lea", "mitred_frame")
    hand.type("534x287*3")
    hand.click("[name='keys.plug_choice']")
    hand.press("Escape")  # the list that the click opened; a letter then chooses
    hand.type("T")
    hand.press("Tab")
    hand.type("wenge")
    hand.enter(ADDED)
    hand.see_keys()


def lidded_box(hand: CountedHand) -> None:
    """A box with bottom, top and a sawn-off lid, its wall another than the last one's, to the keys to buy."""
    hand.begin("Tea", "box")
    hand.type("333x217x96")
    hand.click("[name=wall]")
    hand.type("17")
    hand.click("[name=bottom]")
    hand.click("[name=top]")
    hand.click("[name=lid]")
    hand.enter(ADDED)
    hand.see_keys()


def cabinet(hand: CountedHand) -> None:
    """A face frame with a row for drawers, and its carcass with a shelf, to the joint schedule as PDF."""
    hand.begin("Den", "railed_frame")
    hand.type("613x702")
    hand.click("[name=mid_rail]")
    hand.type("38")
    hand.click("[name=rows]")
    hand.type("150,rest")
    hand.enter(ADDED)
    hand.click("summary:text-is('Add an assembly')")
    hand.follow("a[href$='/new/carcass']", "/new/carcass$")
    hand.type("613x821x287")
    hand.click("[name=shelves]")
    hand.type("402")
    hand.enter(ADDED)
    hand.follow("a:text-is('Issue and print')", "/revisions$")
    with hand.page.expect_response(re.compile("/print/schedule")) as answer:
        hand.click("a[href*='/print/schedule']")
    assert answer.value.headers["content-type"] == "application/pdf"


TEN = (
    "534x287", "612x301", "455x355", "705x402", "288x213",
    "391x296", "523x417", "647x388", "319x244", "866x563",
)  # fmt: skip


def ten_frames(hand: CountedHand) -> None:
    """Ten frames of ten sizes in one moulding that is another than the last one's, to the keys to buy."""
    hand.begin("Ten", "mitred_frame")
    hand.type("\n".join(TEN))
    hand.click("[name='stock.width']")
    for place, figure in enumerate(("39", "21", "6", "8")):
        if place:
            hand.press("Tab")
        hand.type(figure)
    hand.enter(ADDED)
    hand.see_keys()


def newcomer(hand: CountedHand) -> None:
    """From an empty shop: one's own key and cutter measured, a frame, to the keys to buy."""
    if not hand.page.locator(f"a[href='{urls.new_section()}']").count():
        hand.follow(f"a[href='{urls.catalogue()}']", "/catalogue$")
    hand.follow(f"a[href='{urls.new_section()}']", "/sections/new$")
    for place, figure in enumerate(("9", "7.4", "8.2")):
        if place:
            hand.press("Tab")
        hand.type(figure)
    hand.click("[name=depth_of][value=whole_key]")
    hand.press("Tab")
    hand.type("9.1")
    hand.press("Tab")
    hand.type("16")
    hand.follow("button[value=begin]", "/projects/new$")
    hand.type("Ida")
    hand.click("[name=kind][value=mitred_frame]")
    hand.enter("/assemblies/new/mitred_frame$")
    hand.type("534x287")
    hand.click("[name='stock.width']")
    hand.type("39")
    hand.press("Tab")
    hand.type("22")
    hand.enter(ADDED)
    hand.see_keys()


@dataclass(frozen=True)
class Job:
    """A job, how many keys and clicks it may take, and how many assemblies it makes.

    It begins in the demo's shop, or in an ``empty`` one.
    """

    what: str
    work: Callable[[CountedHand], None]
    most: int
    assemblies: int
    empty: bool = False


JOBS = (
    Job("three frames with plugs", three_frames, 30, 1),
    Job("a lidded box with bottom", lidded_box, 33, 1),
    Job("a face frame and its carcass, to the PDF", cabinet, 60, 2),
    Job("ten frames of ten sizes", ten_frames, 110, 10),
    Job("a newcomer's first frame, own key measured", newcomer, 40, 1, empty=True),
)
