"""What page, paper, spreadsheet and CSV say of a part to cut is the same, in millimetres and in inches."""

from __future__ import annotations

import json

import pytest
from bs4 import BeautifulSoup

from domain.lengths import Units
from tests.client import TestClient
from tests.faces.shown import Served, brought_in, document, mm, table_rows, words
from webapp.papers.lists import members_data
from webapp.site import urls
from webapp.usecases.files import plan_document

COLUMNS = (
    "mark",
    "name",
    "quantity",
    "length",
    "width",
    "thickness",
    "finished",
    "ends",
    "short",
    "grain",
    "joints",
)


@pytest.fixture(params=list(Units), ids=str)
def listed(request: pytest.FixtureRequest, client: TestClient) -> tuple[Units, Served, dict[str, object]]:
    """The project of all five kinds with allowances, one part changed, and a change whose part is gone."""
    units: Units = request.param
    project = document(units, length_allowance=25.4, width_allowance=6.35, thickness_allowance=3.175, kerf=3.175)
    frame, *others = project["assemblies"]
    rabbet = {"rabbet_width": "1/4 in", "rabbet_depth": "3/8 in"}
    project["assemblies"] = [frame | {"stock": frame["stock"] | rabbet}, *others]
    project["parts"] = {
        "B1": {"rough_length": 914.4, "material": "white oak", "note": "from the long board"},
        "Z1": {"note": "kept"},
    }
    return units, brought_in(client, project), project


def on_page(page: BeautifulSoup) -> dict[str, list[str]]:
    """Every part's cells between the box and the link; the assembly's name stands behind the part's."""
    found = {}
    for row in page.select("#parts-to-cut tbody tr[id]"):
        cells = row.select("th, td")[1:-1]
        cells[1].select_one(".soft").extract()  # type: ignore[union-attr]
        found[str(row["id"]).removeprefix("part-")] = [words(cell) for cell in cells]
    return found


def test_a_part_is_cut_to_one_size_on_every_face(listed: tuple[Units, Served, dict[str, object]]) -> None:
    units, shop, project = listed
    page = shop.page(urls.parts(shop.project_id))
    said = {
        str(row["id"]).removeprefix("part-"): words(row.find_next_sibling("tr"))
        for row in page.select("#parts-to-cut tbody tr.has-notes")
    }
    page_rows = on_page(page)
    paper = members_data(*plan_document(project), units)
    printed = {row["mark"]: (group, row) for group in paper["groups"] for row in group["parts"]}
    tables = [{str(row["Part"]): row for row in table_rows(shop, "members", ending)} for ending in ("xlsx", "csv")]
    inch = 1.0 if units is Units.MM else 25.4
    assert set(printed) == set(page_rows)
    assert len(printed) >= 15
    for mark, (group, row) in printed.items():
        cells = page_rows[mark]
        assert [" ".join(str(row[name]).split()) for name in COLUMNS] == cells, mark
        if row["said"]:
            assert said[mark].startswith(" ".join(" ".join(row["said"]).split()))
        for table in tables:
            line = table[mark]
            assert (line["Name"], str(line["How many"])) == (row["name"], row["quantity"])
            assert line["Cut from"] == group["item"]
            assert (line["Grain"], line["Joints"] or "") == (row["grain"], row["joints"])
            for name in ("length", "width", "thickness"):
                figure = str(row[name])
                if figure.startswith("room"):
                    continue
                exact = float(str(line[f"Rough {name} ({units.value})"])) * inch
                half = 0.005 if units is Units.MM else 25.4 / 128
                assert mm(f"{figure} {units.value}") == pytest.approx(exact, abs=half + 2e-3)
    # solid wood has 25.4 more to be trimmed, and says what it is when it is finished
    assert printed["A1"][1]["finished"]
    assert tables[0]["A1"][f"Rough length ({units.value})"] == pytest.approx(
        float(str(tables[0]["A1"][f"Length ({units.value})"])) + 25.4 / inch
    )


def test_a_change_reads_alike_on_every_face(listed: tuple[Units, Served, dict[str, object]]) -> None:
    units, shop, project = listed
    changed = f"length {'914.4 mm' if units is Units.MM else '36 in'}, the plan has"
    page = words(shop.page(urls.parts(shop.project_id)).select_one("main"))
    paper = json.dumps(members_data(*plan_document(project), units), ensure_ascii=False)
    for face in (page, paper):
        assert changed in face
        assert "of white oak, the plan has wood" in face
        assert "Note: from the long board" in face
        assert "Z1: note: kept." in face
    for ending in ("xlsx", "csv"):
        rows = {str(row["Part"]): row for row in table_rows(shop, "members", ending)}
        assert changed in str(rows["B1"]["Changed"])
        assert "from the long board" in str(rows["B1"]["Notes"])
        assert "No part has this mark now. Z1: note: kept." in str(rows["Z1"]["Notes"])


def test_what_a_wood_comes_to_reads_alike_on_page_and_paper(
    listed: tuple[Units, Served, dict[str, object]],
) -> None:
    units, shop, project = listed
    page = shop.page(urls.parts(shop.project_id))
    heads = [words(head) for head in page.select("#parts-to-cut .table-heading th")]
    paper = members_data(*plan_document(project), units)
    told = [
        " ".join(
            f"{group['item']} {'(' + group['section'] + ') ' if group['section'] else ''}"
            f"{group['sums']} {group['strip']}".split()
        )
        for group in paper["groups"]
    ]
    assert heads == told
    assert [words(run) for run in page.select("section li")] == [" ".join(run.split()) for run in paper["runs"]]
    assert paper["runs"]
