"""How wood moves reads the same on page, schedule, paper, spreadsheet and terminal, and is what the JSON says."""

from __future__ import annotations

import re
from typing import Any

import pytest

from domain.lengths import Units
from domain.takeoff.document import takeoff_document
from tests.client import TestClient
from tests.faces.shown import Served, brought_in, document, words
from tests.webapp.tables.exports_samples import read_csv, read_xlsx
from webapp.papers.schedule import schedule_data
from webapp.site import urls
from webapp.terminal.result_tables import takeoff_table
from webapp.usecases.files import plan_document

CLIMATE = {"from": {"moisture": 9}, "to": {"temperature": 21, "humidity": 61}, "other_to": {"moisture": 7.5}}
DOOR = {"kind": "railed_frame", "mark": "D", "width": 611, "height": 743, "thickness": 23, "stile": 58,
        "top_rail": 58, "bottom_rail": 197, "panel": {"fit": "groove", "depth": 9, "width": 7, "thickness": 7},
        "species": "Walnut, black", "cut": "flat"}  # fmt: skip
FRAME = {"kind": "mitred_frame", "mark": "F", "measure": "outside", "width": 517, "height": 409,
         "stock": {"width": 83, "thickness": 21}, "material": "oak"}  # fmt: skip


def told(units: Units) -> dict[str, Any]:
    return document(units) | {"assemblies": [DOOR, FRAME], "climate": CLIMATE}


def in_mm(figure: str) -> float:
    """The millimetres of a figure as it is said: "−0.77 mm", or "+0.052 in (3/64)"."""
    found = re.match(r"([+−]?)([\d.]+) (mm|in)", figure)
    assert found is not None, figure
    size = float(found[2]) * (25.4 if found[3] == "in" else 1)
    return -size if found[1] == "−" else size


@pytest.fixture
def shop(client: TestClient, units: Units) -> Served:
    return brought_in(client, told(units))


@pytest.mark.parametrize("units", Units, ids=str)
def test_every_face_says_the_same_of_every_part(shop: Served, units: Units) -> None:
    project, takeoff = plan_document(told(units))
    page = shop.page(urls.movement(shop.project_id))
    rows = {}
    for table in page.select('[aria-label^="Parts of"] table'):
        for row in table.select("tbody tr"):
            mark, _name = words(row.th).split(" ", 1)
            cells = row.select("td")
            changes = [words(cell).split(" thickness ")[0] for cell in cells[3:]]
            rows[mark] = (words(cells[0]), words(cells[1]), words(cells[2]), *changes)
    exact = {row["member"]: row for row in takeoff_document(takeoff)["movement"]}
    assert set(rows) == set(exact) == {"D1", "D2", "D3", "D4", "F1", "F2"}
    assemblies = schedule_data(project, takeoff, units)["assemblies"]
    paper = {row["mark"]: row for one in assemblies for row in one["movement"]["rows"]}
    terminal = [" ".join(line.split()) for line in takeoff_table(takeoff, units)]
    half = 0.0051 if units is Units.MM else 0.00051 * 25.4
    for mark, (wood, sawn, across, home, other) in rows.items():
        row = exact[mark]
        assert wood == row["species"]
        assert (paper[mark]["wood"], paper[mark]["sawn"], paper[mark]["across"]) == (wood, sawn, across)
        assert paper[mark]["changes"] == [home, other]
        end = f"{wood} {sawn} {across} {home} {other}"
        assert any(line.startswith(f"{mark} ") and line.endswith(end) for line in terminal)
        for said, change in ((home, "change"), (other, "change_other")):
            figures = said.split(" to ")
            assert in_mm(figures[-1]) == pytest.approx(row[change], abs=half)
            assert in_mm(figures[0]) == pytest.approx(row.get(f"{change}_least", row[change]), abs=half)
    assert rows["D1"][3].count(" to ") == 0
    assert rows["F1"][3].count(" to ") == 1


@pytest.mark.parametrize("units", Units, ids=str)
def test_what_is_to_be_done_is_told_in_the_same_words(shop: Served, units: Units) -> None:
    project, takeoff = plan_document(told(units))
    page, schedule = (
        words(shop.page(address).select_one("main"))
        for address in (urls.movement(shop.project_id), urls.schedule(shop.project_id))
    )
    terminal = " ".join(" ".join(takeoff_table(takeoff, units)).split())
    papers = [note for one in schedule_data(project, takeoff, units)["assemblies"] for note in one["notes"]]
    ours = [
        note
        for each in takeoff.assemblies
        for note in each.expansion.notes
        if note.code.value.startswith(("moves", "panel_s", "panel_l", "mitre_", "crossing_"))
    ]
    codes = {note.code.value for note in ours}
    assert codes == {"moves", "moves_between", "panel_swells", "panel_stays", "mitre_opens", "crossing_rail"}
    in_json = [note for each in takeoff_document(takeoff)["assemblies"] for note in each["notes"]]
    for note in ours:
        sentence = note.text(units)
        assert sentence in page
        assert sentence in schedule
        assert sentence in terminal
        assert sentence in papers
        assert note.text() in in_json


@pytest.mark.parametrize("units", Units, ids=str)
def test_the_spreadsheet_has_the_documents_figures(client: TestClient, shop: Served, units: Units) -> None:
    _, takeoff = plan_document(told(units))
    exact = {row["member"]: row for row in takeoff_document(takeoff)["movement"]}
    heads, *cells = read_xlsx(client.get(urls.table(shop.project_id, "movement", "xlsx")).content)
    names, *texts = read_csv(client.get(urls.table(shop.project_id, "movement", "csv")).content)
    rows: list[dict[str, Any]] = [dict(zip(map(str, heads), row, strict=True)) for row in cells]
    lines = [dict(zip(names, row, strict=True)) for row in texts]
    per = 1 if units is Units.MM else 25.4
    unit = units.value
    assert [row["Part"] for row in rows] == list(exact)
    for row, line in zip(rows, lines, strict=True):
        known = exact[row["Part"]]
        assert row["Reckoned as"] == line["Reckoned as"] == known["species"]
        assert row["Moisture in its place (%)"] == pytest.approx(known["moisture_to"], abs=5.1e-4)
        for heading, name in (("in its place", "change"), ("in the other season", "change_other")):
            cell = row[f"Change {heading} ({unit})"]
            assert cell == pytest.approx(known[name] / per, abs=5.6e-4)
            assert float(line[f"Change {heading} ({unit})"]) == cell
