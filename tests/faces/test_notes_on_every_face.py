"""What somebody wrote beside a project, an assembly or a joint stands on every face, and when it is due."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest

from domain.lengths import Units
from tests.client import TestClient
from tests.faces.shown import brought_in, document, words
from tests.terminal import dovetally
from tests.webapp.papers.paper_samples import text_of
from tests.webapp.tables.exports_samples import read_xlsx
from webapp.site import urls
from webapp.tables.project_tables import NOTED, NOTED_ON_ASSEMBLY

JOB: dict[str, Any] = {
    "state": "built",
    "due": "2027-02-19",
    "note": "Two coats of oil.\nHang it left.",
    "notes": {"A": "Elm from the loft", "C": "Lid last", "A-J1": "Dry fit first"},
}
SAID = ("2027-02-19", "Two coats of oil.", "Hang it left.", "Elm from the loft", "Lid last", "Dry fit first")


def noted(units: Units) -> dict[str, Any]:
    project = document(units)
    return {**project, **JOB, "assemblies": [each for each in project["assemblies"] if each["mark"] in "AC"]}


@pytest.mark.parametrize("units", Units, ids=str)
def test_pages_and_papers_say_them(client: TestClient, units: Units) -> None:
    served = brought_in(client, noted(units))
    number = served.project_id
    for page in (urls.project(number), urls.schedule(number)):
        assert [said for said in SAID if said not in words(served.page(page).main)] == [], page
    assembled = words(served.page(urls.assembly_sheet(number)).main)
    assert "Elm from the loft" in assembled
    assert "Lid last" in assembled
    paper = text_of(client.get(urls.draft(number, "schedule")).content)
    assert [said for said in SAID if said not in paper] == []
    sheet = text_of(client.get(urls.draft(number, "assembly")).content)
    assert "Elm from the loft" in sheet
    rows = read_xlsx(client.get(urls.table(number, "schedule", "xlsx")).content)
    heads = [str(cell) for cell in rows[0]]
    told = {
        str(row[heads.index("Joint")]): (row[heads.index(NOTED)], row[heads.index(NOTED_ON_ASSEMBLY)])
        for row in rows[1:]
    }
    assert told["A-J1"] == ("Dry fit first", "Elm from the loft")
    assert told["C-J1"][1] == "Lid last"
    assert client.get(urls.export(number)).json() | JOB == client.get(urls.export(number)).json()


@pytest.mark.parametrize("units", Units, ids=str)
def test_terminal_and_json_say_them(tmp_path: Path, units: Units) -> None:
    file = tmp_path / "job.json"
    file.write_text(json.dumps(noted(units)), encoding="utf-8")
    told = dovetally("takeoff", str(file)).stdout.decode()
    assert "Built, due 2027-02-19" in told
    assert [said for said in SAID if said not in told] == []
    found = json.loads(dovetally("takeoff", str(file), "--json").stdout)
    assert (found["state"], found["due"], found["note"]) == (JOB["state"], JOB["due"], JOB["note"])
    notes = {each["mark"]: each["note"] for each in found["assemblies"] if "note" in each}
    joints = [joint for each in found["assemblies"] for joint in each["joints"]]
    assert notes | {each["mark"]: each["note"] for each in joints if "note" in each} == JOB["notes"]


def test_a_project_of_which_nothing_is_noted_says_nothing(tmp_path: Path) -> None:
    file = tmp_path / "job.json"
    file.write_text(json.dumps(document(Units.MM)), encoding="utf-8")
    told = dovetally("takeoff", str(file)).stdout.decode()
    assert "|" not in told
    assert "lanned" not in told
    assert {"state", "due", "note"} & json.loads(dovetally("takeoff", str(file), "--json").stdout).keys() == set()
