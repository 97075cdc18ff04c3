"""One project with all five kinds, and what every face says of it: fact by fact, read off the face itself."""

from __future__ import annotations

import json
import re
from dataclasses import dataclass, field
from functools import cache
from typing import Any

from bs4 import BeautifulSoup, Tag

from domain.lengths import Units
from domain.planning.plans import JointPlan
from domain.spec.project import Project
from domain.takeoff.document import takeoff_document
from domain.takeoff.takeoff import Takeoff
from tests.client import TestClient
from tests.webapp.tables.exports_samples import read_csv, read_xlsx
from webapp.drawings.face import draw_face
from webapp.drawings.full_size import draw_full_size
from webapp.papers.kinds import Paper
from webapp.papers.schedule import schedule_data
from webapp.papers.strips import strips_data
from webapp.site import urls
from webapp.terminal.result_tables import takeoff_table
from webapp.usecases.files import plan_document

Facts = dict[str, str]
"""Facts by name, as a face says them, units and all."""

SECTIONS: list[dict[str, Any]] = [
    {"name": "8", "waist": 6.1, "half_depth": 4.2, "flank": 13, "tip_diameter": 8.35, "lengths": [12, 19, 27],
     "drive_limit": 36, "stock_from": 9, "stock_to": 19, "reach_limit": 34},
    {"name": "12", "waist": 9.3, "half_depth": 5.9, "flank": 13, "tip_diameter": 12.3, "lengths": [15, 24, 37],
     "drive_limit": 44, "stock_from": 17, "stock_to": 40, "reach_limit": 42, "end": "square"},
]  # fmt: skip
MM: list[dict[str, Any]] = [
    {"kind": "mitred_frame", "mark": "A", "quantity": 2, "measure": "outside", "width": 407, "height": 311,
     "stock": {"width": 46, "thickness": 21, "rabbet_width": 6, "rabbet_depth": 9}, "material": "alder",
     "keys": {"plug": {"material": "plum", "height": 2.5}}},
    {"kind": "railed_frame", "mark": "B", "width": 583, "height": 714, "thickness": 21, "stile": 54,
     "top_rail": 54, "bottom_rail": 66, "mid_rail": 48, "rows": [{"opening": 171}, {"opening": "rest"}]},
    {"kind": "box", "mark": "C", "measure": "outside", "length": 287, "width": 193, "height": 97, "wall": 17,
     "corner": "mitre"},
    {"kind": "carcass", "mark": "D", "width": 787, "height": 903, "depth": 337, "thickness": 22, "corner": "mitre",
     "shelves": [431], "back": {"fit": "rabbet", "thickness": 6, "depth": 9}, "plinth": 83,
     "keys": {"middle": "tenons"}},
    {"kind": "single_joint", "mark": "E", "breadth": 71, "run": 23, "angle": 90, "behind": [52, 52],
     "entry": "back"},
]  # fmt: skip
INCH: list[dict[str, Any]] = [
    {"kind": "mitred_frame", "mark": "A", "quantity": 2, "measure": "outside", "width": "16 1/8 in",
     "height": "12 3/8 in",
     "stock": {"width": "1 7/8 in", "thickness": "13/16 in"}, "material": "alder",
     "keys": {"plug": {"material": "plum", "height": "3/32 in"}}},
    {"kind": "railed_frame", "mark": "B", "width": "23 in", "height": "28 1/8 in", "thickness": "13/16 in",
     "stile": "2 1/8 in", "top_rail": "2 1/8 in", "bottom_rail": "2 5/8 in", "mid_rail": "1 7/8 in",
     "rows": [{"opening": "6 3/4 in"}, {"opening": "rest"}]},
    {"kind": "box", "mark": "C", "measure": "outside", "length": "11 3/8 in", "width": "7 5/8 in",
     "height": "3 5/8 in",
     "wall": "11/16 in", "corner": "butt"},
    {"kind": "carcass", "mark": "D", "width": "31 in", "height": "35 1/2 in", "depth": "13 1/4 in",
     "thickness": "7/8 in",
     "corner": "top_between", "shelves": ["17 in"], "keys": {"middle": "screws"}},
    {"kind": "single_joint", "mark": "E", "breadth": "2 13/16 in", "run": "29/32 in", "angle": 90,
     "behind": ["2 in", "2 in"], "entry": "back"},
]  # fmt: skip
KINDS = {"A": "mitred_frame", "B": "railed_frame", "C": "box", "D": "carcass", "E": "single_joint"}


def document(units: Units, **more: Any) -> dict[str, Any]:
    """The project of that unit system as a project file, with sections and a fence step of its own."""
    step = 0.5 if units is Units.MM else "1/32"
    return {
        "format": "dovetally-project",
        "version": 1,
        "name": "Every kind",
        "units": units.value,
        "sections": SECTIONS,
        "rules": {"setting_step": step, **more},
        "assemblies": MM if units is Units.MM else INCH,
    }


@cache
def planned(units: Units) -> tuple[Project, Takeoff]:
    return plan_document(document(units))


def joints(units: Units) -> list[JointPlan]:
    """Every joint of the project; all of them can be made."""
    found = [joint for assembly in planned(units)[1].assemblies for joint in assembly.joints]
    assert all(joint.plan for joint in found), [joint.joint.mark for joint in found if not joint.plan]
    return found


@dataclass(frozen=True)
class Served:
    """The project as the program serves it."""

    client: TestClient
    project_id: int
    kept: dict[str, BeautifulSoup] = field(default_factory=dict)

    def page(self, address: str) -> BeautifulSoup:
        if address not in self.kept:
            answer = self.client.get(address)
            assert answer.status_code == 200, address
            self.kept[address] = BeautifulSoup(answer.text, "html.parser")
        return self.kept[address]


def imported(client: TestClient, units: Units, **rules: Any) -> Served:
    """The project, brought in as a file through the page."""
    return brought_in(client, document(units, **rules))


def brought_in(client: TestClient, project: dict[str, Any]) -> Served:
    """Any project file, brought in through the page."""
    files = {"document": (None, json.dumps(project))}
    preview = client.post(urls.import_project(), files=files)
    form = BeautifulSoup(preview.text, "html.parser").select_one(f"form[action='{urls.confirm_import()}']")
    assert form is not None, preview.text
    sent = {str(tag["name"]): (None, str(tag.get("value") or tag.text)) for tag in form.select("input, textarea")}
    answer = client.post(urls.confirm_import(), files=sent)
    return Served(client, int(answer.headers["location"].rsplit("/", 1)[1]))


def words(tag: Tag | None) -> str:
    """A tag's text with its spaces folded."""
    assert tag is not None
    return " ".join(tag.get_text(" ").split())


# the schedule page


def on_page(served: Served, mark: str) -> Facts:
    """A joint's facts on the schedule page."""
    card = served.page(urls.schedule(served.project_id)).select_one(f"#joint-{mark}")
    assert card is not None
    said = {words(row.dt): words(row.dd) for row in card.select("dl.facts > div")}
    centres, origin = said["Slot centres"].split(" from the ")
    tip = said["Cutter"].split(", ")[1].removesuffix(" tip")
    projection, snug = said["Projection"].removesuffix(")").split(" (snug at ")
    keys, *slots = re.split(" mm in each of |, in (?=\\d+ slots)", said["Keys in driving order"])
    size, angle = said["Mating face"].rsplit(", ", 1)
    return {
        "section": said["Section"],
        "cutter": said["Cutter"].split(", ")[0],
        "tip": tip,
        "projection": projection,
        "snug": snug,
        "centres": centres,
        "origin": origin,
        "depth": said["Depth"],
        "stop": said["Depth stop"],
        "driven from": said["Driven in from"],
        "keys": keys.replace(" mm", ""),
        "end": said["Leading end"],
        "slots": slots[0].split()[0] if slots else "1",
        "recess": said["Recess"],
        "reach": said["Reach"],
        "hold": said["Keys fill"].split(", ")[0],
        "held": said["Keys fill"].split(", ")[1],
        "face": f"{size}, {angle}",
        "heading": words(card.h3),
        **({"middle": said["Between the keys"]} if "Between the keys" in said else {}),
    }


def in_editor(served: Served, mark: str) -> Facts:
    """What the list of joints beside an assembly's form says."""
    project = served.page(urls.project(served.project_id))
    letter = mark.split("-")[0]
    link = next(a for a in project.select("a[href]") if words(a).startswith(letter + " ") or words(a) == letter)
    page = served.page(str(link["href"]).split("#")[0])
    (row,) = [tr for tr in page.select("table.joints tbody tr") if tr.th and words(tr.th).split()[0] == mark]
    section, centres, keys, depth = (words(cell) for cell in row.select("td")[1:])
    sunk, driven_from = depth.split("; " if "; " in depth else ", ", 1)
    return {"section": section, "centres": centres, "keys": keys, "depth": sunk, "driven from": driven_from,
            "where": words(row.th)}  # fmt: skip


# paper, drawing, terminal, table, JSON


def on_paper(units: Units, mark: str) -> Facts:
    """A joint's row on the printed schedule: what the template is given to set."""
    data = schedule_data(*planned(units), units)
    (row,) = [joint for assembly in data["assemblies"] for joint in assembly["joints"] if joint["mark"] == mark]
    figures, unit = row["figures"], units.value
    return {
        "section": figures["section"],
        "cutter": figures["cutter"],
        **{
            name: with_unit(figures[name], unit)
            for name in ("tip", "projection", "depth", "stop", "recess", "reach")
        },
        "centres": ", ".join(figures["centres"]) + f" {unit}",
        "origin": figures["origin"],
        "driven from": figures["entry"],
        "keys": figures["keys"],
        "end": figures["end"],
        "slots": str(figures["slots"]),
        "hold": figures["hold"],
        "face": " ".join(row["face"].split()),
        "heading": f"{mark} {row['quantity']} × {row['where']}, {row['members']}",
    }


def on_strip(units: Units, mark: str) -> Facts:
    """A joint's marking strip."""
    (strip,) = [
        strip for strip in strips_data(*planned(units)[1:], units, Paper.A4)["strips"]
        if mark in strip["names"].split(", ") and strip["origin"]
    ]  # fmt: skip
    facts, unit = strip["facts"], units.value
    found = re.fullmatch(
        r"section (?P<section>\S+), (?P<cutter>\S+) cutter · depth stop (?P<stop>.+?)"
        r" · projection (?P<projection>.+?) · keys (?P<keys>.+?)(?: mm|,) from the (?P<driven>.+?)"
        r" · joint line (?P<breadth>.+?), from the (?P<origin>.+)",
        facts,
    )
    assert found is not None, facts
    said = found.groupdict()
    said["driven from"], said["keys"] = said.pop("driven"), said["keys"].replace(" mm", "")
    if not strip["part"]:
        said["centres"] = ", ".join(slot["figure"] for slot in strip["slots"]) + f" {unit}"
    return said


def on_terminal(units: Units, mark: str) -> Facts:
    """A joint's line of ``dovetally takeoff``."""
    lines = list(takeoff_table(planned(units)[1], units))
    (line,) = [line for line in lines if line.split()[:1] == [mark]]
    cells = re.split(r"\s{2,}", line.strip())
    _, _, quantity, section, centres, projection, depth, stop, keys = cells
    driven, driven_from = keys.split(", from the ")
    stacked, end = driven.rsplit(", ", 1)
    return {"quantity": quantity, "section": section, "centres": centres, "projection": projection, "depth": depth,
            "stop": stop, "keys": stacked, "end": end, "driven from": driven_from}  # fmt: skip


def in_table(served: Served, mark: str, ending: str) -> dict[str, object]:
    """A joint's row of the spreadsheet, by heading."""
    (row,) = [row for row in table_rows(served, "schedule", ending) if row["Joint"] == mark]
    return row


def table_rows(served: Served, name: str, ending: str) -> list[dict[str, object]]:
    """A table's rows by its headings."""
    body = served.client.get(urls.table(served.project_id, name, ending)).content
    rows: list[list[object]] = [list(row) for row in (read_xlsx(body) if ending == "xlsx" else read_csv(body))]
    head = next(number for number, row in enumerate(rows) if len([cell for cell in row if cell]) > 5)
    return [dict(zip(map(str, rows[head]), row, strict=True)) for row in rows[head + 1 :]]


def in_json(units: Units, mark: str) -> dict[str, Any]:
    """A joint of the takeoff's document, in mm."""
    found = [
        joint for assembly in takeoff_document(planned(units)[1])["assemblies"] for joint in assembly["joints"]
        if joint["mark"] == mark
    ]  # fmt: skip
    return dict(found[0])


def on_drawing(joint: JointPlan, units: Units) -> tuple[str, ...]:
    """Every word on the drawing of a mating face."""
    return tuple(text.words for text in draw_face(joint, units).texts)


def at_full_size(joint: JointPlan, units: Units) -> str:
    """What the full-size drawing says of itself."""
    return draw_full_size(joint, units).describes


# figures read back


EDGES = "(?:back|front|top|bottom)"


def by_end(figures: str) -> dict[str, str]:
    """A figure by the ends of a run: "70 mm back, 44 mm front"; one that serves both under ""."""
    parts = re.findall(rf"(.+?) ({EDGES})(?:, |$)", figures)
    return {edge: figure for figure, edge in parts} or {"": figures}


def with_unit(bare: str, unit: str) -> str:
    """What a column says whose heading has the unit, with its unit: "70 back, 44 front"."""
    return re.sub(rf"(?= {EDGES}(?:, |$))", f" {unit}", bare) if "" not in by_end(bare) else f"{bare} {unit}"


def mm(figure: str) -> float:
    """A figure with its unit, back in mm: "16.5 mm", "3 7/8 in", "0.650 in". 1 in = 25.4 mm exactly."""
    # in a sentence inches have their sign
    number, unit = figure.replace("″", " in").rsplit(" ", 1)
    total = 0.0
    for part in number.split():
        top, _, bottom = part.partition("/")
        total += float(top) / float(bottom or 1)
    return total * {"mm": 1.0, "in": 25.4}[unit]


def all_mm(figures: str) -> list[float]:
    """Several figures with one unit behind the last: "16.5, 47 mm"."""
    numbers, unit = figures.rsplit(" ", 1)
    return [mm(f"{number} {unit}") for number in numbers.split(", ")]
