"""The whole job from the keyboard: an empty shop, four keys measured, three projects, the keys to buy.

What the pages say must be what the command line says of the same project files.
"""

from __future__ import annotations

import json
import subprocess
import sys
from collections.abc import Callable, Iterator
from math import ceil
from pathlib import Path
from typing import Any

import pytest
from playwright.sync_api import Browser, Page

from tests.browser.conftest import Server, Watch, open_page, serving
from tests.browser.hands import Hands, whole
from tests.workshop import WORKSHOP

pytestmark = pytest.mark.browser


@pytest.fixture(scope="module")
def measured_shop(browser: Browser, tmp_path_factory: pytest.TempPathFactory) -> Iterator[Server]:
    """A shop that was empty, with the demo's four key sections typed into its catalogue."""
    with serving(tmp_path_factory.mktemp("measured")) as running:
        type_the_catalogue(browser, running)
        yield running


def type_the_catalogue(browser: Browser, shop: Server) -> None:
    watch = Watch()
    with open_page(browser, watch) as page:
        hands = Hands(page)
        hands.go_to(shop.url)
        hands.follow("Catalogue")
        hands.follow("Measure the first key")
        measure_fourteen(hands)
        sections = json.loads((WORKSHOP / "shop.json").read_text("utf-8"))["sections"]
        for section in sections:
            if section["name"] != "14":
                hands.follow("Add a key section")
                type_section(hands, section)
    assert watch.problems == []


def measure_fourteen(hands: Hands) -> None:
    """Type a key as the calipers give it: over the ends, and over its whole depth."""
    hands.fill("Overall width", "14")
    hands.fill("Waist", "11,45")
    hands.fill("Depth", "12 mm")
    hands.pick("whole key, face to face")
    hands.fill("Flank angle", "12")
    hands.fill("Cutter tip", "14.06")
    hands.fill("Free-fit cutter tip", "14.4")
    hands.fill("Thinnest wood", "16")
    hands.fill("Thickest wood", "32")
    for row, length in enumerate((16, 22, 38, 60), start=1):
        hands.fill(f"Length {row} (mm)", str(length))
    hands.follow("Save section")


def type_section(hands: Hands, section: dict[str, Any]) -> None:
    """Type a key from its data sheet."""
    hands.fill("Waist", str(section["waist"]))
    hands.fill("Depth", str(section["half_depth"]))
    hands.pick("one side, waist to face")
    hands.fill("Flank angle", str(section["flank"]))
    hands.fill("Name", section["name"])
    hands.fill("Cutter tip", str(section["tip_diameter"]))
    if "free_tip_diameter" in section:
        hands.fill("Free-fit cutter tip", str(section["free_tip_diameter"]))
    hands.fill("Thinnest wood", str(section["stock_from"]))
    hands.fill("Thickest wood", str(section["stock_to"]))
    hands.fill("Drive limit", str(section["drive_limit"]))
    hands.fill("Reach limit", str(section["reach_limit"]))
    for row, length in enumerate(section["lengths"], start=1):
        if row == 5:  # four rows stand ready
            hands.add_row("More rows", "Length 5 (mm)")
            hands.type_here(str(length))
        else:
            hands.fill(f"Length {row} (mm)", str(length))
    hands.follow("Save section")


def frame_set(hands: Hands) -> None:
    hands.fill("Mark", "A")
    hands.fill("How many", "2")
    hands.fill("Name", "Large print")
    hands.fill("Wood", "ash")
    hands.choose("Measured over", "Glass")
    hands.fill("Width", "500", within="Size")
    hands.fill("Height", "400")
    type_moulding(hands, ("45", "24", "6", "10"), ((0, 22), (3, 24), (32, 24), (45, 15)))
    hands.choose("Plugs", "These")
    hands.fill("Wood of the plugs", "walnut")
    hands.fill("Height of a plug", "3")
    hands.follow("Add to the project")

    hands.follow_new("Mitred frame")
    hands.fill("How many", "4")
    hands.fill("Name", "Small print")
    hands.fill("Wood", "ash")
    hands.choose("Measured over", "Glass")
    hands.fill("Width", "240", within="Size")
    hands.fill("Height", "180")
    # wood, moulding and plugs stand there as they were for the last one
    type_moulding(hands, ("30", "20", "6", "9"), ((0, 18), (2, 20), (20, 20), (30, 13)), standing=4)
    hands.choose("Plugs", "As the project")
    hands.follow("Add to the project")

    hands.follow_new("Mitred frame")
    hands.fill("Name", "Hexagon mirror")
    hands.fill("Wood", "ash")
    hands.choose("Sides", "6")
    hands.choose("Measured over", "Outside")
    hands.fill("Across the flats", "420")
    hands.fill("Width", "50", within="Moulding")
    hands.fill("Thickness", "22")
    hands.fill("Rabbet, width", "8")
    hands.fill("Rabbet, depth", "8")
    hands.untick("The front is shaped")
    hands.follow("Add to the project")


def type_moulding(
    hands: Hands, stock: tuple[str, ...], points: tuple[tuple[int, int], ...], standing: int = 0
) -> None:
    """``standing`` points are there already, of a shaped front that is ticked."""
    labels = ("Width", "Thickness", "Rabbet, width", "Rabbet, depth")
    for label, text in zip(labels, stock, strict=True):
        hands.fill(label, text, within="Moulding")
    if not standing:
        hands.tick("The front is shaped")
    for number, (across, height) in enumerate(points, start=1):
        if number <= max(standing, 2):  # two points stand ready
            hands.fill("From the edge", str(across), within=f"Point {number}")
        else:
            hands.add_row("Add a point", "From the edge")
            hands.type_here(str(across))
        hands.fill("Height", str(height), within=f"Point {number}")


def keepsake_box(hands: Hands) -> None:
    hands.fill("Name", "Keepsake box")
    hands.fill("Wood", "cherry")
    hands.fill("Length", "11")
    hands.fill("Width", "7 in")
    hands.fill("Height", '4"')
    hands.fill("Walls, thickness", "5/8")
    hands.fill("Lining, thickness", "1/16 in")
    hands.tick("A bottom let into the walls")
    hands.fill("Thickness", "3/16", within="Bottom")
    hands.fill("Depth into the wall", "5/32", within="Bottom")
    hands.fill("Up from the edge", "1/4")
    hands.tick("A top panel or glazing")
    hands.fill("Material", "clear glass")
    hands.fill("Thickness", "1/8", within="Top panel")
    hands.fill("Depth into the wall", "5/32", within="Top panel")
    hands.fill("Down from the edge", "3/16")
    hands.tick("A lid sawn off the glued box")
    hands.fill("Height of the lid", "1 3/8")
    hands.fill("Saw kerf", "3/32")
    hands.fill("Lip", "1/4")
    hands.fill("Clearance of the lip", "0,1 mm")
    hands.follow("Add to the project")


def hall_cabinet(hands: Hands) -> None:
    hands.fill("Name", "Carcass")
    hands.fill("Wood", "birch plywood")
    for label, text in {"Width": "900", "Height": "860", "Depth": "380", "Thickness": "19"}.items():
        hands.fill(label, text, within="Size")
    hands.fill("Plinth, height", "70")
    hands.fill("Heights of the shelves", "560")
    hands.fill("Distances of the partitions", "440,5")
    hands.tick("A back let into the panels")
    hands.fill("Thickness", "6", within="Back")
    hands.fill("Depth into the panels", "8")
    hands.fill("In from the back edges", "10")
    hands.follow("Add to the project")

    hands.follow_new("Face frame or door")
    hands.fill("Name", "Face frame")
    hands.fill("Wood", "cherry")
    type_rails(hands, ("900", "790", "20", "45", "45", "60"))
    hands.fill("Rails between rows", "36")
    hands.fill("Stiles between openings", "40")
    hands.fill("Rows from the top", "130 (rest, 385), 130 (rest, 385), rest")
    hands.follow("Add to the project")

    hands.follow_new("Face frame or door")
    hands.fill("How many", "2")
    hands.fill("Name", "Door")
    hands.fill("Wood", "cherry")
    type_rails(hands, ("402", "386", "20", "52", "52", "64"))
    hands.tick("A panel in every opening")
    hands.fill("Thickness", "6", within="Panel")
    hands.fill("Groove or rabbet, width", "6")
    hands.fill("Groove or rabbet, depth", "9")
    hands.follow("Add to the project")


def type_rails(hands: Hands, sizes: tuple[str, ...]) -> None:
    labels = ("Width", "Height", "Thickness", "Stiles", "Top rail", "Bottom rail")
    for label, text in zip(labels, sizes, strict=True):
        hands.fill(label, text)


@pytest.mark.parametrize(
    ("file", "first", "type_assemblies"),
    [
        ("frame-set.json", "Mitred frame", frame_set),
        ("keepsake-box.json", "Box", keepsake_box),
        ("hall-cabinet.json", "Carcass", hall_cabinet),
    ],
    ids=["frame-set", "keepsake-box", "hall-cabinet"],
)
def test_a_project_typed_in_comes_to_what_the_command_line_says(
    measured_shop: Server,
    page: Page,
    tmp_path: Path,
    file: str,
    first: str,
    type_assemblies: Callable[[Hands], None],
) -> None:
    project = json.loads((WORKSHOP / file).read_text("utf-8"))
    del project["rules"]  # the shop that was typed in has the usual ones
    hands = Hands(page)
    hands.go_to(measured_shop.url)
    hands.follow("New project")
    hands.type_here(project["name"])
    hands.fill("Customer", project["customer"])
    if project["units"] == "in":
        hands.choose("Shown in", "Inches")
    hands.fill("Currency", "EUR")
    hands.pick(first)
    hands.follow("Create project")
    type_assemblies(hands)
    hands.follow("Keys to buy")
    written = tmp_path / file
    written.write_text(json.dumps(project), "utf-8")
    assert figures(page) == told_by_the_command_line(written)


def test_a_frame_for_its_glass_added_to_the_demo(demo_shop_to_fill: Server, page: Page, tmp_path: Path) -> None:
    hands = Hands(page)
    hands.go_to(demo_shop_to_fill.url)
    hands.follow("Open the demo workshop")
    hands.follow("New project")
    hands.type_here("Try-out")
    hands.fill("Currency", "EUR")
    hands.pick("Mitred frame")
    hands.enter()
    hands.choose("Measured over", "Glass")
    hands.fill("Width", "400", within="Size")
    hands.fill("Height", "300")
    for label, text in {"Width": "45", "Thickness": "20", "Rabbet, width": "6", "Rabbet, depth": "10"}.items():
        hands.fill(label, text, within="Moulding")
    hands.enter()
    hands.follow("Keys to buy")

    stock = {"width": 45, "thickness": 20, "rabbet_width": 6, "rabbet_depth": 10}
    frame = {"kind": "mitred_frame", "mark": "A", "measure": "glass", "width": 400, "height": 300, "stock": stock}
    project = {"format": "dovetally-project", "version": 1, "name": "Try-out", "assemblies": [frame]}
    file = tmp_path / "try-out.json"
    file.write_text(json.dumps(project), "utf-8")
    assert figures(page) == told_by_the_command_line(file)
    assert figures(page)["keys"]


@pytest.fixture
def demo_shop_to_fill(server: Server) -> Server:
    """An empty shop: the first page offers the demo."""
    return server


Figures = dict[str, Any]


def figures(page: Page) -> Figures:
    """What the keys-to-buy page says: keys, plugs, glue in whole grams."""
    keys: dict[str, list[int]] = {}
    plugs: dict[str, list[int]] = {}
    for row in page.locator("table.buy tbody tr").all():
        if row.locator("td").count() == 0:
            continue  # the heading above the plugs
        name = row.locator("th").inner_text()
        total, used, tests, spare = (row.locator("td").nth(index).inner_text() for index in range(4))
        if tests:
            keys[name] = [int(used), int(tests), int(spare), int(total)]
        else:
            plugs[name] = [int(used), int(spare), int(total)]
    glue = page.locator("main p", has_text="Glue: ").first.inner_text()
    return {"keys": keys, "plugs": plugs, "glue": whole(glue)}


def told_by_the_command_line(file: Path) -> Figures:
    """The same figures from ``dovetally takeoff --json``, with the file's sections, or else the demo's."""
    command = [sys.executable, "-m", "webapp.terminal.cli", "takeoff", str(file), "--json"]
    done = subprocess.run(command, capture_output=True, check=True, timeout=60)
    takeoff = json.loads(done.stdout)
    keys = {
        f"{key['section']} × {key['length']:g}": [key["used"], key["tests"], key["spare"], key["total"]]
        for key in takeoff["keys"]
    }
    plugs = {
        f"{plug['material']}, for section {plug['section']}, {plug['height']:g} mm high": [
            plug["used"],
            plug["spare"],
            plug["total"],
        ]
        for plug in takeoff["plugs"]
    }
    return {"keys": keys, "plugs": plugs, "glue": ceil(takeoff["glue_grams"])}
