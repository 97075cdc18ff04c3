"""A project's tables and full-size faces, downloaded and read back by other programs."""

from __future__ import annotations

import csv
import io
from dataclasses import replace
from typing import Any
from xml.etree import ElementTree as ET

import pytest
from openpyxl import load_workbook
from openpyxl.worksheet.worksheet import Worksheet
from shapely import Polygon

from domain.lengths import Units
from domain.parts import Member
from domain.planning.fit import mouth
from domain.planning.plans import JointPlan
from domain.spec.choices import Entry
from tests.client import TestClient
from tests.factories import a_frame, an_impossible_joint, stored
from tests.webapp.drawings.drawing_samples import subpaths, wood
from tests.webapp.pages.reading import soup
from webapp.site import urls
from webapp.store import Store
from webapp.tables.project_tables import TableName
from webapp.usecases.projects import PlannedProject, plan

SVG = "{http://www.w3.org/2000/svg}"
Row = dict[str, Any]


def make(store: Store, *assemblies: dict[str, object], **more: object) -> int:
    with store.writing() as session:
        return stored(session, *assemblies, **more)


def active_sheet(body: bytes) -> Worksheet:
    found = load_workbook(io.BytesIO(body)).active
    assert isinstance(found, Worksheet)
    return found


def sheet(client: TestClient, project_id: int, name: str) -> list[Row]:
    answer = client.get(urls.table(project_id, name, "xlsx"))
    assert answer.status_code == 200
    headings, *rows = active_sheet(answer.content).iter_rows(values_only=True)
    return [dict(zip(map(str, headings), row, strict=True)) for row in rows]


def text(client: TestClient, project_id: int, name: str) -> list[dict[str, str]]:
    answer = client.get(urls.table(project_id, name, "csv"))
    assert answer.status_code == 200
    return list(csv.DictReader(io.StringIO(answer.content.decode("utf-8-sig"), newline=""), strict=True))


def joints(project: PlannedProject) -> list[JointPlan]:
    return [joint for each in project.assemblies if each.takeoff for joint in each.takeoff.joints]


@pytest.mark.parametrize("project_id", [1, 2, 3])
@pytest.mark.parametrize("units", Units)
def test_the_schedule_is_the_takeoff(client: TestClient, demo_store: Store, project_id: int, units: Units) -> None:
    project = _in_units(demo_store, project_id, units)
    number = project.head.id
    per, unit = (1, "mm") if units is Units.MM else (25.4, "in")
    rows = sheet(client, number, "schedule")

    assert [row["Joint"] for row in rows] == [joint.joint.mark for joint in joints(project)]
    for row, joint in zip(rows, joints(project), strict=True):
        made, face = joint.plan, joint.joint.face
        assert made is not None
        centres = [row.get(f"Centre {index} ({unit})") for index in range(1, 30)]
        numbers = {
            f"Along the joint line ({unit})": face.breadth,
            f"Along the slot ({unit})": face.run,
            f"Cutter tip ({unit})": made.cutter.tip_diameter,
            f"Projection ({unit})": made.projection,
            f"Snug projection ({unit})": made.snug_projection,
            f"Depth ({unit})": made.depth,
            f"Depth stop ({unit})": joint.depth_stop,
            f"Recess ({unit})": made.recess,
            f"Reach ({unit})": made.reach,
        }
        assert {name: row[name] for name in numbers} == pytest.approx(
            {name: mm / per for name, mm in numbers.items() if mm is not None}, abs=5.1e-5
        )
        assert [centre for centre in centres if centre is not None] == pytest.approx(
            [centre / per for centre in made.centres], abs=5.1e-5
        )
        assert (row["How many"], row["Keys side by side"], row["Slots"]) == (
            joint.joint.quantity,
            made.count,
            len(joint.slots),
        )
        assert (row["Angle (°)"], row["Keys fill (%)"]) == pytest.approx((face.angle, 100 * made.hold), abs=1e-4)
        assert (row["Section"], row["Can be made"]) == (made.section.name, "yes")
        assert [float(key) for key in row["Keys in driving order (mm)"].split(" + ")] == list(made.keys)


def _in_units(store: Store, project_id: int, units: Units) -> PlannedProject:
    """The demo's project again, in these units."""
    project = plan(store, project_id)
    specs = [each.stored.spec.model_dump(mode="json") for each in project.assemblies]
    return plan(store, make(store, *specs, units=units.value))


@pytest.mark.parametrize("project_id", [1, 2, 3])
def test_keys_and_members_are_the_takeoffs(client: TestClient, demo_store: Store, project_id: int) -> None:
    project = plan(demo_store, project_id)
    keys = {row["Item"]: row for row in sheet(client, project_id, "keys")}
    for key in project.totals.keys:
        row = keys[key.item]
        assert (row["Used"], row["Tests"], row["Spare"], row["Total"]) == (
            key.used,
            key.tests,
            key.spare,
            key.total,
        )
        each = project.bench.prices.key(key.section, key.length)
        assert each is not None
        assert row["All, at that price (EUR)"] == pytest.approx(each * key.total / 100)
    plugs = [row for row in keys.values() if row["What"] == "plug"]
    assert [row["Total"] for row in plugs] == [plug.total for plug in project.totals.plugs]
    assert keys["glue"]["Glue (g)"] == project.totals.glue_to_buy

    listed = sheet(client, project_id, "members")
    pieces = [piece for each in project.assemblies if each.takeoff for piece in each.takeoff.expansion.parts]
    unit = project.head.units.value
    per = 25.4 if project.head.units is Units.INCH else 1
    # by the wood they are cut from, solid wood first: each part once
    by_mark = {row["Part"]: row for row in listed}
    assert len(listed) == len(by_mark) == len(pieces)
    members = [by_mark[piece.mark] for piece in pieces]
    assert [(row["Part"], row["How many"]) for row in members] == [(one.mark, one.quantity) for one in pieces]
    for size in ("length", "width", "thickness"):
        cells = [row[f"{size.capitalize()} ({unit})"] for row in members]
        told = list(zip(cells, (getattr(one, size) / per for one in pieces), strict=True))
        # glazing has no thickness of its own, and the room for it stands in a column of its own
        assert [cell for cell, exact in told if exact] == pytest.approx(
            [exact for _, exact in told if exact], abs=5.1e-5
        )
        assert {cell for cell, exact in told if not exact} <= {None}
    rooms = [None if isinstance(one, Member) or one.room is None else one.room / per for one in pieces]
    assert [row[f"Room ({unit})"] for row in members] == [
        room if room is None else pytest.approx(room, abs=5.1e-5) for room in rooms
    ]
    saws = [90 - one.ends[0] if isinstance(one, Member) else None for one in pieces]
    assert [row["Saw, end 1 (°)"] for row in members] == saws


# nothing of the demo moves: how wood moves is read back in tests/faces
@pytest.mark.parametrize("name", [name for name in TableName if name is not TableName.MOVEMENT])
@pytest.mark.parametrize("project_id", [1, 2, 3])
def test_csv_and_spreadsheet_say_the_same(
    client: TestClient, demo_store: Store, project_id: int, name: str
) -> None:
    rows, lines = sheet(client, project_id, name), text(client, project_id, name)
    assert len(rows) == len(lines) > 0
    for row, line in zip(rows, lines, strict=True):
        assert list(row) == list(line)
        for heading, cell in row.items():
            if isinstance(cell, str):
                assert line[heading] == cell
            else:
                assert line[heading] == "" if cell is None else float(line[heading]) == cell


def test_a_joint_that_cannot_be_made_and_a_clash_are_there_and_marked(
    client: TestClient, demo_store: Store
) -> None:
    project_id = make(demo_store, an_impossible_joint(), a_frame("B", width=60))

    impossible, clash = sheet(client, project_id, "schedule")

    assert (impossible["Joint"], impossible["Can be made"], impossible["Section"]) == ("A-J1", "no", None)
    assert "into the other member, which may be cut 3 mm" in impossible["Notes"]
    assert "It can be made with wood behind both sides" in impossible["Advice"]
    assert (clash["Assembly"], clash["Joint"], clash["Can be made"]) == ("B", None, "no")
    assert "clash" in clash["Notes"]
    assert "clash" in sheet(client, project_id, "members")[-1]["Notes"]


@pytest.mark.parametrize("name", TableName)
@pytest.mark.parametrize("ending", ["xlsx", "csv"])
def test_an_empty_project_gives_headings(client: TestClient, demo_store: Store, name: str, ending: str) -> None:
    project_id = make(demo_store)
    if ending == "xlsx":
        body = client.get(urls.table(project_id, name, ending)).content
        (headings,) = active_sheet(body).iter_rows(values_only=True)
    else:
        body = client.get(urls.table(project_id, name, ending)).content
        headings = tuple(*csv.reader(io.StringIO(body.decode("utf-8-sig"), newline="")))
    assert len(headings) > 5
    assert all(headings)


def test_a_name_that_is_a_formula_comes_out_inert(client: TestClient, demo_store: Store) -> None:
    project_id = make(demo_store, a_frame(name="=cmd|' /C calc'!A0", material="@SUM(A1)"))
    body = client.get(urls.table(project_id, "members", "xlsx")).content
    cells = [cell for row in active_sheet(body).iter_rows() for cell in row]
    assert "=cmd|' /C calc'!A0" in [cell.value for cell in cells]
    assert "f" not in {cell.data_type for cell in cells}
    line = text(client, project_id, "members")[0]
    assert (line["Assembly name"], line["Material"]) == ("'=cmd|' /C calc'!A0", "'@SUM(A1)")


@pytest.mark.parametrize("ending", ["xlsx", "csv"])
def test_the_same_project_gives_the_same_bytes(client: TestClient, demo_store: Store, ending: str) -> None:
    address = urls.table(1, "schedule", ending)
    assert client.get(address).content == client.get(address).content


def test_files_have_names_of_ours_and_are_not_guessed_at(client: TestClient, demo_store: Store) -> None:
    project_id = make(demo_store, a_frame(), name='../../etc/"x\u202e; .exe')
    for address, name in (
        (urls.table(project_id, "keys", "xlsx"), f"project-{project_id}-keys.xlsx"),
        (urls.table(project_id, "keys", "csv"), f"project-{project_id}-keys.csv"),
        (urls.face(project_id, "A-J1"), f"project-{project_id}-A-J1.svg"),
    ):
        headers = client.get(address).headers
        assert headers["Content-Disposition"] == f'attachment; filename="{name}"'
        assert headers["X-Content-Type-Options"] == "nosniff"


@pytest.mark.parametrize(
    "address",
    [
        urls.table(1, "nothing", "csv"),
        urls.table(1, "keys", "ods"),
        "/projects/1/tables/keys",
        "/projects/1/tables/keys.csv.exe",
        urls.table(999, "keys", "csv"),
        urls.face(1, "A-J99"),
        urls.face(999, "A-J1"),
        urls.face(1, "../x"),
    ],
)
def test_what_is_not_there_is_not_found(client: TestClient, demo_store: Store, address: str) -> None:
    assert client.get(address).status_code == 404


def test_the_pages_lead_to_the_files(client: TestClient, demo_store: Store) -> None:
    schedule = {str(link["href"]) for link in soup(client.get(urls.schedule(1))).select("main a")}
    keys = {str(link["href"]) for link in soup(client.get(urls.keys(1))).select("main a")}
    for ending in ("xlsx", "csv"):
        assert {urls.table(1, "schedule", ending), urls.table(1, "members", ending)} <= schedule
        assert urls.table(1, "keys", ending) in keys
    faces = {urls.face(1, joint.joint.mark) for joint in joints(plan(demo_store, 1))}
    assert faces <= schedule


class TestFullSizeFaces:
    @pytest.mark.parametrize("project_id", [1, 2, 3])
    def test_every_face_is_true_in_millimetres(
        self, client: TestClient, demo_store: Store, project_id: int
    ) -> None:
        found = joints(plan(demo_store, project_id))
        assert found
        for joint in found:
            root = self.read(client, project_id, joint.joint.mark)
            left, top, width, height = map(float, root.attrib["viewBox"].split())
            assert root.attrib["width"] == f"{width:.4f}".rstrip("0").rstrip(".") + "mm"
            assert root.attrib["height"] == f"{height:.4f}".rstrip("0").rstrip(".") + "mm"
            edges = [point for line in subpaths(root, "outline") for point in line]
            xs, ys = [x for x, _ in edges], [y for _, y in edges]
            assert (min(xs), max(xs)) == pytest.approx((0, joint.joint.face.breadth), abs=0.001)
            assert max(ys) - min(ys) <= joint.joint.face.run + 0.001
            assert left < 0
            assert left + width > joint.joint.face.breadth
            assert -top > joint.joint.face.run

    @pytest.mark.parametrize("project_id", [1, 2, 3])
    def test_slots_are_where_they_are_milled_and_lie_in_the_wood(
        self, client: TestClient, demo_store: Store, project_id: int
    ) -> None:
        for joint in joints(plan(demo_store, project_id)):
            made, face = joint.plan, joint.joint.face
            assert made is not None
            root = self.read(client, project_id, joint.joint.mark)
            centres = sorted(start[0] for start, _ in subpaths(root, "centre-line"))
            # what is printed is to be pricked through: half a tenth of a millimetre is finer than an awl
            assert centres == pytest.approx(sorted(slot.centre for slot in joint.slots), abs=0.05)
            slots = subpaths(root, "slot")
            assert len(slots) == len(joint.slots)
            entry = face.ends[0] if made.entry is Entry.BOTH else made.entry
            there = face.region_from(entry)
            if made.crossing:
                # such a slot goes through what its joint's note tells the maker to nip
                assert there.crossable
                there = replace(there, voids=tuple(void for void in there.voids if void.panel is None))
            region = wood(there, face.sine).buffer(1e-3)
            opening = mouth(made.section, made.cutter.tip_diameter, made.projection)
            for corners in slots:
                shape = Polygon(corners)
                assert region.covers(shape)
                low, _, high, _ = shape.bounds
                assert high - low == pytest.approx(opening, abs=0.05)

    def test_it_is_marked_and_has_a_bar_to_measure(self, client: TestClient, demo_store: Store) -> None:
        root = self.read(client, 1, "A-J1")
        words = [element.text for element in root.iter(f"{SVG}text")]
        assert "A-J1" in words
        assert "measures 50 mm at full size" in words
        (bar,) = subpaths(root, "dimension")
        assert bar[1][0] - bar[0][0] == pytest.approx(50)

    def test_a_joint_that_cannot_be_made_shows_its_wood_and_says_so(
        self, client: TestClient, demo_store: Store
    ) -> None:
        root = self.read(client, make(demo_store, an_impossible_joint()), "A-J1")
        assert not subpaths(root, "slot")
        assert "cannot be made as it stands" in [element.text for element in root.iter(f"{SVG}text")]

    def test_it_runs_nothing_and_names_come_out_escaped(self, client: TestClient, demo_store: Store) -> None:
        nasty = "<script>alert(1)</script>"
        section = plan(demo_store, 1).bench.means.sections[2].model_dump(mode="json")
        project_id = make(demo_store, a_frame(), sections=[section | {"name": nasty}])
        answer = client.get(urls.face(project_id, "A-J1"))
        assert answer.headers["Content-Security-Policy"] == "sandbox; default-src 'none'"
        assert answer.headers["Content-Type"].startswith("image/svg+xml")
        assert "<script" not in answer.text
        assert "&lt;script&gt;" in answer.text

    def read(self, client: TestClient, project_id: int, mark: str) -> ET.Element:
        answer = client.get(urls.face(project_id, mark))
        assert answer.status_code == 200
        assert answer.text.startswith("<?xml")
        return ET.fromstring(answer.content)
