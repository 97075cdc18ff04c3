"""What page, paper, spreadsheet, terminal and JSON say of a part, of keys and of glue is the same."""

from __future__ import annotations

import re

import pytest
from bs4 import Tag

from domain.lengths import Units
from domain.spec.rules import Rules
from domain.takeoff.document import takeoff_document
from tests.client import TestClient
from tests.faces.shown import Served, brought_in, document, mm, planned, table_rows, words
from webapp.papers.lists import keys_data, members_data
from webapp.papers.schedule import schedule_data
from webapp.site import urls
from webapp.terminal.result_tables import takeoff_table
from webapp.usecases.files import plan_document

SIZES = ("length", "width", "thickness")
GLASS = ("length", "width", "room")
COUNTS = ("used", "tests", "spare", "total")


def half_step(units: Units) -> float:
    """Half of what sizes of wood are said to: 0.01 mm, or 1/64 in (1 in = 25.4 mm exactly)."""
    return (0.005 if units is Units.MM else 25.4 / 128) + 5e-4 + 1e-9


def words_of(text: str) -> str:
    """A text with its spaces folded."""
    return " ".join(text.split())


def parts(units: Units) -> dict[str, dict[str, object]]:
    """Members and panels of the takeoff's document by mark; lengths in mm to 0.001."""
    assemblies = takeoff_document(planned(units)[1])["assemblies"]
    return {part["mark"]: part for each in assemblies for part in (*each["members"], *each["panels"])}


def test_a_part_has_one_size_on_page_paper_terminal_and_spreadsheet(served: tuple[Units, Served]) -> None:
    units, shop = served
    page = shop.page(urls.schedule(shop.project_id))
    paper = {row["mark"]: row for each in members_data(*planned(units), units)["groups"] for row in each["parts"]}
    terminal = [re.split(r"\s{2,}", line.strip()) for line in takeoff_table(planned(units)[1], units)]
    lines = {cells[0]: cells for cells in terminal}
    table = {str(row["Part"]): row for row in table_rows(shop, "members", "xlsx")}
    inch = 1.0 if units is Units.MM else 25.4
    assert len(parts(units)) >= 12
    for mark, part in parts(units).items():
        row = page.select_one(f"#part-{mark}")
        assert row is not None
        cells = [words(cell) for cell in row.select("th, td")]
        # glazing is a size, and the room that the rabbet has for all its layers
        names, before = (GLASS, "room ") if "room" in part else (SIZES, "")
        said = cells[2].replace(f" {units.value}, room ", " × ") if before else cells[2]
        on_page = said.removesuffix(f" {units.value}").split(" × ")
        for figure, name in zip(on_page, names, strict=True):
            assert mm(f"{figure} {units.value}") == pytest.approx(part[name], abs=half_step(units)), (mark, name)
        assert [paper[mark][name] for name in SIZES] == [*on_page[:2], before + on_page[2]]
        length, width, thick = (f"{figure} {units.value}" for figure in on_page)
        assert lines[mark][3:6] == [length, width, before + thick]
        assert cells[1] == paper[mark]["quantity"] == lines[mark][2] == str(part["quantity"])
        assert cells[0] == f"{mark} {part['name']}"
        assert paper[mark]["name"] == lines[mark][1] == table[mark]["Name"] == part["name"]
        for heading, name in zip(("Length", "Width", "Room" if before else "Thickness"), names, strict=True):
            exact = float(str(table[mark][f"{heading} ({units.value})"])) * inch
            assert exact == pytest.approx(part[name], abs=5e-4 + 0.5e-4 * inch + 1e-9)
        if "short_length" in part:
            short = cells[3].rsplit("short side ", 1)[1]
            assert mm(short) == pytest.approx(part["short_length"], abs=half_step(units))
            assert f"{paper[mark]['short']} {units.value}" == short
            assert cells[3].startswith(f"{words_of(paper[mark]['ends'])},")
            assert isinstance(part["ends"], list)
            assert cells[3].startswith(f"saw {90 - part['ends'][0]:g}°,")
            assert table[mark]["Saw, end 1 (°)"] == pytest.approx(90 - part["ends"][0])


def total_last(row: Tag) -> list[str]:
    """What a row of keys says: used, tests, spare, total."""
    total, *rest = (words(cell) for cell in row.select("td"))
    return [*rest, total]


def test_keys_plugs_and_glue_are_counted_alike(served: tuple[Units, Served]) -> None:
    units, shop = served
    project, takeoff = planned(units)
    document = takeoff_document(takeoff)
    assert document["keys"]
    assert document["plugs"]
    assert document["fastenings"]
    # on the pages the total comes first, so that a phone shows it
    buy = {words(row.th): total_last(row) for row in shop.page(
        urls.keys(shop.project_id)).select("table.buy tbody tr") if row.td}  # fmt: skip
    overview = shop.page(urls.project(shop.project_id))
    totals = {words(row.th): total_last(row) for row in overview.select(
        ".project-totals tbody tr")}  # fmt: skip
    paper = keys_data(takeoff, project.rules or Rules(), units)
    printed = {row["item"]: row["counts"] for row in (*paper["keys"], *paper["plugs"])}
    terminal = [re.split(r"\s{2,}", line.strip()) for line in takeoff_table(takeoff, units)]
    table = {str(row["Item"]): row for row in table_rows(shop, "keys", "xlsx")}
    for key in document["keys"]:
        item, counts = f"{key['section']} × {key['length']:g}", [str(key[name]) for name in COUNTS]
        assert buy[item] == printed[item] == totals[item] == counts
        assert [item, *counts] in terminal
        assert [str(table[item][name.capitalize()]) for name in COUNTS] == counts
    for plug in document["plugs"]:
        item = f"{plug['material']}, for section {plug['section']}, {plug['height']:g} mm high"
        counts = [str(plug["used"]), "", str(plug["spare"]), str(plug["total"])]
        assert buy[item] == printed[item] == counts
        assert f"Plugs, {item}" in words(overview.select_one(".project-totals"))
        assert [item, counts[0], counts[2], counts[3]] in terminal
        assert table[item]["Total"] == plug["total"]
    for each in document["fastenings"]:
        item = {"tenons": "loose tenons", "screws": "screws"}[each["sort"]]
        counts = [str(each["used"]), "", str(each["spare"]), str(each["total"])]
        assert buy[item] == counts
        assert {row["item"]: row["counts"] for row in paper["fastenings"]}[item] == counts
        assert f"Between the keys, {item} {each['total']}" in words(overview.select_one(".project-totals"))
        assert [item, counts[0], counts[2], counts[3]] in terminal
        assert table[item]["Total"] == each["total"]
    glue = f"{takeoff.totals.glue_to_buy} g"
    assert 0 <= takeoff.totals.glue_to_buy - document["glue_grams"] < 1
    assert paper["glue"] == glue
    assert ["Glue", glue] in terminal
    assert f"Glue: {glue}." in words(shop.page(urls.keys(shop.project_id)).select_one("main"))
    assert glue in words(overview.select_one(".project-totals"))
    assert table["glue"]["Glue (g)"] == takeoff.totals.glue_to_buy


def test_how_it_was_counted_reads_the_same_on_page_and_paper(served: tuple[Units, Served]) -> None:
    units, shop = served
    project, takeoff = planned(units)
    page = words(shop.page(urls.keys(shop.project_id)).select_one("main"))
    for sentence in keys_data(takeoff, project.rules or Rules(), units)["rule"]:
        assert sentence in page


@pytest.mark.parametrize("units", Units, ids=str)
def test_what_a_shelf_carries_is_told_in_the_same_words_everywhere(client: TestClient, units: Units) -> None:
    """One long shelf that sags too far and a short one that holds, in walnut, with the figures of the document."""
    case = {"kind": "carcass", "mark": "D", "width": 1507, "height": 903, "depth": 337, "thickness": 19}
    case |= {
        "corner": "top_over",
        "partitions": [453],
        "shelves": [411],
        "shelf_load": 45,
        "material": "black walnut",
    }
    told = document(units) | {"assemblies": [case]}
    shop, (project, takeoff) = brought_in(client, told), plan_document(told)
    (assembly,) = takeoff.assemblies
    (paper,) = schedule_data(project, takeoff, units)["assemblies"]
    (exact,) = takeoff_document(takeoff)["assemblies"]
    page = words(shop.page(urls.schedule(shop.project_id)).select_one("main"))
    terminal = words_of(" ".join(takeoff_table(takeoff, units)))
    sentences = {note.text(units): note for note in assembly.expansion.notes if "lb a foot" in note.text(units)}
    assert {row["holds"] for row in exact["sag"]} == {True, False}
    assert len(sentences) == len(exact["sag"]) == 2
    for sentence, note in sentences.items():
        assert sentence in page
        assert sentence in terminal
        assert sentence in paper["notes"]
        assert note.text() in exact["notes"]
        (row,) = [row for row in exact["sag"] if sentence.startswith(f"{row['member']}, shelf: ")]
        found = re.search(
            r"it sags (.+?) at once and (.+?) in years, (more than|within) (.+?), its length", sentence
        )
        assert found is not None, sentence
        for figure, name in zip(found.group(1, 2, 4), ("first_day", "in_years", "allowed"), strict=True):
            assert mm(figure) == pytest.approx(row[name], abs=half_step(units)), name
        assert (found.group(3) == "within") is row["holds"]
