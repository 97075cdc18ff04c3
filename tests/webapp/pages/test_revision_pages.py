"""Issuing from the browser: numbered once, reprinted byte for byte, compared joint by joint."""

from __future__ import annotations

import hashlib
import io
import re
import sqlite3
from contextlib import closing
from pathlib import Path
from typing import Any
from uuid import uuid4

import pytest
from httpx import Response
from pypdf import PdfReader

from domain.lengths import Length
from domain.spec.catalogue import Section
from tests.client import TestClient, browsing
from tests.factories import a_frame, a_project, an_impossible_joint
from tests.webapp.databases import Databases, copy, nothing
from tests.webapp.pages.reading import errors, fields, main, soup
from webapp.drawings.qr import qr_svg
from webapp.papers import labels
from webapp.papers.kinds import ISSUED
from webapp.site import urls
from webapp.store import Store, assemblies, catalogue, projects
from webapp.store.shop import load_shop, update_shop

SECTION = Section(
    name="14",
    waist=11.2,
    half_depth=6,
    flank=12,
    tip_diameter=13.815,
    lengths=[16, 22, 38],
    drive_limit=60,
    stock_from=14,
    stock_to=40,
)
XSS = '<script>alert("1")</script>'


@pytest.fixture
def project_id(store: Store) -> int:
    return make_frame(store)


def make_frame(store: Store) -> int:
    """A frame, in a shop with one section and its prices."""
    with store.writing() as session:
        catalogue.create_section(session, SECTION, {Length.from_mm(16): 12})
        return projects.create_project(session, a_project(a_frame(), customer="Ms Brandt"))


@pytest.fixture(scope="module")
def revision_1(databases: Databases, tmp_path_factory: pytest.TempPathFactory) -> tuple[int, Path]:
    """The frame and the database in which it has been issued: eight documents are set once for many tests."""
    file = tmp_path_factory.mktemp("issued") / "shop.db"
    with databases.opened("empty", nothing, file) as store, browsing(store) as client:
        number = make_frame(store)
        assert issue(client, number).status_code == 303
    return number, file


@pytest.fixture
def issued(revision_1: tuple[int, Path], client: TestClient, file: Path) -> int:
    """The frame, issued once."""
    copy(revision_1[1], file)
    return revision_1[0]


def issue(client: TestClient, project_id: int, **changes: str) -> Response:
    form = fields(client.get(f"/projects/{project_id}/revisions"))
    answer: Response = client.post(f"/projects/{project_id}/revisions", data={**form, **changes})
    return answer


def change(store: Store, project_id: int, **fields_of_frame: Any) -> None:
    with store.writing() as session:
        stored = projects.load_project(session, project_id).assemblies[0]
        spec = a_project(a_frame(**fields_of_frame)).assemblies[0]
        assemblies.update_assembly(session, stored.id, stored.version, spec)


def links(answer: Response, part: str) -> list[str]:
    return [str(tag["href"]) for tag in soup(answer).select("main a[href]") if part in str(tag["href"])]


def test_a_project_is_issued_and_its_documents_reprint(client: TestClient, project_id: int) -> None:
    form = client.get(f"/projects/{project_id}/revisions")
    assert "Revision 1 would hold 1 assembly, 4 joints, with" in main(form)
    for kind in ISSUED:
        assert kind.heading in main(form)
    answer = issue(client, project_id)
    assert (answer.status_code, answer.headers["location"]) == (303, f"/projects/{project_id}/revisions/1")
    page = client.get(f"/projects/{project_id}/revisions/1")
    assert "Nothing: the project stands as it was issued" in main(page)
    for kind in ISSUED:
        assert kind.heading in main(page)
    hashes = [code.text for code in soup(page).select(".documents code")]
    documents = links(page, "/documents/")
    assert len(documents) == len(hashes) == len(ISSUED)
    for address, sha256 in zip(documents, hashes, strict=True):
        pdf = client.get(address)
        assert hashlib.sha256(pdf.content).hexdigest() == sha256
        assert pdf.headers["content-type"] == "application/pdf"
        assert pdf.headers["x-content-type-options"] == "nosniff"
        kind_text = address.split("/")[-2]
        expected = f'attachment; filename="project-{project_id}-revision-1-{kind_text}-a4.pdf"'
        assert pdf.headers.get_list("content-disposition") == [expected]
    assert "Reading room Ms Brandt 1 " in main(client.get("/revisions"))


def test_a_form_sent_five_times_issues_once(client: TestClient, project_id: int) -> None:
    form = fields(client.get(f"/projects/{project_id}/revisions"))
    answers = [client.post(f"/projects/{project_id}/revisions", data=form) for _ in range(5)]
    assert {answer.headers["location"] for answer in answers} == {f"/projects/{project_id}/revisions/1"}
    assert "Nothing has changed since revision 1" in main(client.get(f"/projects/{project_id}/revisions"))
    assert client.get(f"/projects/{project_id}/revisions/2").status_code == 404


def test_what_was_changed_meanwhile_is_not_issued_unseen(
    client: TestClient, store: Store, project_id: int
) -> None:
    form = fields(client.get(f"/projects/{project_id}/revisions"))
    change(store, project_id, width=410)
    answer = client.post(f"/projects/{project_id}/revisions", data=form)
    assert answer.status_code == 409
    assert "Changed meanwhile, not issued" in main(answer)
    assert client.post(f"/projects/{project_id}/revisions", data=fields(answer)).status_code == 303


def test_a_number_that_somebody_else_was_given_is_not_given_again(client: TestClient, project_id: int) -> None:
    mine, theirs = (fields(client.get(f"/projects/{project_id}/revisions")) for _ in range(2))
    assert client.post(f"/projects/{project_id}/revisions", data=theirs).status_code == 303
    answer = client.post(f"/projects/{project_id}/revisions", data=mine)
    assert answer.status_code == 409
    assert "another revision was issued" in main(answer)
    assert "Nothing has changed since revision 1" in main(answer)
    assert client.get(f"/projects/{project_id}/revisions/2").status_code == 404


def test_the_paper_chosen_is_the_paper_issued(client: TestClient, project_id: int) -> None:
    issue(client, project_id, paper="Letter")
    (address,) = links(client.get(f"/projects/{project_id}/revisions/1"), "/documents/keys/")
    assert address.endswith("/keys/Letter")
    box = PdfReader(io.BytesIO(client.get(address).content)).pages[0].mediabox
    assert (round(float(box.width)), round(float(box.height))) == (612, 792)  # 8.5 by 11 in, in points
    assert client.get(address.replace("Letter", "A4")).status_code == 404
    assert client.get(address.replace("Letter", "A0")).status_code == 404


@pytest.mark.parametrize("paper", ["", "A0", XSS])
def test_no_other_paper(client: TestClient, project_id: int, paper: str) -> None:
    answer = issue(client, project_id, paper=paper)
    assert answer.status_code == 422
    assert "is no paper here; there is A4 and Letter" in main(answer)
    assert client.get(f"/projects/{project_id}/revisions/1").status_code == 404


def test_what_changed_since_is_told_joint_by_joint(client: TestClient, store: Store, issued: int) -> None:
    change(store, issued, quantity=2, stock={"width": 60, "thickness": 20})
    with store.writing() as session:
        shop = load_shop(session)
        rules = shop.rules.model_copy(update={"spare": 0.1})
        update_shop(session, shop.version, name="", units=shop.units, currency="EUR", rules=rules)
        stored = catalogue.list_sections(session)[0]
        prices = {Length.from_mm(16): 15}
        catalogue.update_section(session, stored.id, stored.version, SECTION, prices)
    page = client.get(f"/projects/{issued}/revisions/1")
    assert "Joints: 1 changed." in main(page)
    rows = {
        (table.select("thead th")[0].text, row.select("th")[0].text): tuple(cell.text for cell in row.select("td"))
        for table in soup(page).select("table.changes")
        for row in table.select("tbody tr")
    }
    assert rows["Assembly A", "Quantity"] == ("1", "2")
    assert rows["Joint A-J1", "Quantity"] == ("4", "8")
    assert rows["Joint A-J1", "Along the joint line"] == ("63.64 mm", "84.85 mm")
    assert ("Joint A-J1", "Centres") in rows
    assert rows["Part A1", "Width"] == ("45 mm", "60 mm")
    assert rows["Rule", "Spare"] == ("5 %", "10 %")
    assert rows["Piece", "Key 14 × 16"] == ("0.12 EUR", "0.15 EUR")
    # 4 corners of 2 slots, one test joint, 5 % spare rounded up; then 8 corners and 10 %
    assert rows["In all", "Key 14 × 16"] == ("10", "19")
    assert links(page, "/revisions")[-1] == f"/projects/{issued}/revisions"


def test_joints_that_changed_alike_are_told_together(client: TestClient, store: Store) -> None:
    with store.writing() as session:
        catalogue.create_section(session, SECTION)
        carcass = {"kind": "carcass", "mark": "A", "width": 600, "height": 700, "depth": 300, "thickness": 18}
        carcass |= {"corner": "mitre", "shelves": [300]}
        number = projects.create_project(session, a_project(carcass))
    issue(client, number)
    with store.writing() as session:
        stored = projects.load_project(session, number).assemblies[0]
        spec = a_project(carcass | {"depth": 320}).assemblies[0]
        assemblies.update_assembly(session, stored.id, stored.version, spec)
    page = client.get(f"/projects/{number}/revisions/1")
    heads = [str(head.text) for head in soup(page).select("table.changes thead th:first-child")]
    assert "Joints A-J1, A-J2, A-J3" in heads
    notes = [str(said.text) for said in soup(page).select(".said dd")]
    assert notes
    assert all("without a key" in said for said in notes)


def test_two_revisions_side_by_side(client: TestClient, store: Store, issued: int) -> None:
    change(store, issued, width=500)
    issue(client, issued)
    change(store, issued, width=400)
    page = client.get(f"/projects/{issued}/revisions/1?against=2")
    assert "From revision 1 to revision 2" in main(page)
    assert "Length 400 mm 500 mm" in main(page)
    assert "the project stands as it was issued" in main(client.get(f"/projects/{issued}/revisions/1"))
    assert "the two are the same" in main(client.get(f"/projects/{issued}/revisions/1?against=1"))
    assert client.get(f"/projects/{issued}/revisions/1?against=3").status_code == 404
    assert client.get(f"/projects/{issued}/revisions/1?against=x").status_code == 422


def test_an_assembly_that_clashes_now_is_not_called_removed(client: TestClient, store: Store, issued: int) -> None:
    change(store, issued, width=80)
    words = main(client.get(f"/projects/{issued}/revisions/1"))
    assert "Not compared: sizes clash now" in words
    assert "Assembly A removed" not in words


@pytest.mark.parametrize(
    ("assemblies", "why"), [([], "Add the first assembly"), ([a_frame(width=80)], "The sizes of A clash")]
)
def test_what_cannot_be_put_on_paper_is_not_issued(
    client: TestClient, store: Store, assemblies: list[dict[str, object]], why: str
) -> None:
    with store.writing() as session:
        number = projects.create_project(session, a_project(*assemblies))
    assert why in main(client.get(f"/projects/{number}/revisions"))
    with store.reading() as session:
        version, revision = projects.edition(session, number)
    sent = {
        "token": uuid4().hex,
        "version": str(version),
        "catalogue": str(revision),
        "number": "1",
        "paper": "A4",
    }
    answer = client.post(f"/projects/{number}/revisions", data=sent)
    assert answer.status_code == 422
    assert "It cannot be issued yet" in main(answer)
    assert client.get(f"/projects/{number}/revisions/1").status_code == 404
    draft = client.get(f"/projects/{number}/print/keys")
    assert draft.status_code == 422
    assert "It cannot be printed yet" in main(draft)


def test_a_joint_that_cannot_be_made_is_said_and_may_be_issued(client: TestClient, store: Store) -> None:
    with store.writing() as session:
        catalogue.create_section(session, SECTION)
        number = projects.create_project(session, a_project(a_frame(), an_impossible_joint("B")))
    assert "5 joints, 1 of them cannot be made" in main(client.get(f"/projects/{number}/revisions"))
    assert issue(client, number).status_code == 303


def test_a_letter_that_the_font_lacks_is_refused_in_words(client: TestClient, store: Store) -> None:
    with store.writing() as session:
        number = projects.create_project(session, a_project(a_frame(), name="Kiosk 名"))
    answer = issue(client, number)
    assert answer.status_code == 422
    assert "is not in the font" in main(answer)
    assert "U+540D" in main(answer)
    assert "Nothing has been issued yet" in main(client.get("/revisions"))


def test_a_damaged_document_is_not_handed_out(client: TestClient, tmp_path: Path, project_id: int) -> None:
    issue(client, project_id)
    with closing(sqlite3.connect(tmp_path / "shop.db", isolation_level=None)) as connection:
        connection.execute("DROP TRIGGER revision_document_no_update")
        connection.execute("UPDATE revision_document SET body = CAST(body || x'00' AS BLOB) WHERE kind = 'keys'")
    answer = client.get(f"/projects/{project_id}/revisions/1/documents/keys/A4")
    assert answer.status_code == 500
    assert "is not what was issued, so it is not handed out" in main(answer)
    assert "restore the last backup" in main(answer)
    assert client.get(f"/projects/{project_id}/revisions/1/documents/labels/A4").status_code == 200


def test_a_draft_is_marked_and_not_kept(client: TestClient, project_id: int) -> None:
    answer = client.get(f"/projects/{project_id}/print/schedule?paper=Letter")
    assert answer.headers["content-type"] == "application/pdf"
    expected = f'inline; filename="project-{project_id}-draft-schedule-letter.pdf"'
    assert answer.headers["content-disposition"] == expected
    words = "".join(page.extract_text() for page in PdfReader(io.BytesIO(answer.content)).pages)
    assert "draft" in words.lower()
    assert "Nothing has been issued yet" in main(client.get("/revisions"))
    assert client.get(f"/projects/{project_id}/print/keys?paper=A0").status_code == 422


def test_an_issued_document_bears_its_number(client: TestClient, store: Store, issued: int) -> None:
    change(store, issued, width=410)
    issue(client, issued)
    for number in (1, 2):
        pdf = client.get(f"/projects/{issued}/revisions/{number}/documents/keys/A4").content
        words = "".join(page.extract_text() for page in PdfReader(io.BytesIO(pdf)).pages)
        assert re.search(rf"\b{number}\b", words)
        assert "draft" not in words.lower()


def test_a_project_is_duplicated_once(client: TestClient, store: Store, project_id: int) -> None:
    form = fields(client.get(f"/projects/{project_id}/duplicate"))
    answers = [client.post(f"/projects/{project_id}/duplicate", data=form) for _ in range(3)]
    (address,) = {answer.headers["location"] for answer in answers}
    with store.reading() as session:
        copy = projects.load_project(session, int(address.split("/")[-1])).project
        original = projects.load_project(session, project_id).project
        assert len(projects.list_projects(session)) == 2
    assert copy == original.model_copy(update={"name": "Reading room (copy)"})


def test_a_repeat_order_starts_as_the_revision_was(client: TestClient, store: Store, issued: int) -> None:
    change(store, issued, width=500)
    with store.writing() as session:
        stored = catalogue.list_sections(session)[0]
        catalogue.delete_section(session, stored.id, stored.version)
    address = f"/projects/{issued}/revisions/1/duplicate"
    answer = client.post(address, data=fields(client.get(address)))
    copy = int(answer.headers["location"].split("/")[-1])
    with store.reading() as session:
        project = projects.load_project(session, copy).project
    assert (project.name, project.customer) == ("Reading room (repeat)", "Ms Brandt")
    assert project.sections == (SECTION,)
    assert issue(client, copy).status_code == 303
    assert "14 × 16" in main(client.get(f"/projects/{copy}/keys"))


def test_a_revision_outlives_its_project(client: TestClient, store: Store, issued: int) -> None:
    with store.writing() as session:
        projects.delete_project(session, issued, 1)
    assert "Reading room" in main(client.get("/revisions"))
    assert "deleted since" in main(client.get(f"/projects/{issued}/revisions"))
    page = client.get(f"/projects/{issued}/revisions/1")
    assert "The project has been deleted since" in main(page)
    for address in links(page, "/documents/"):
        assert client.get(address).status_code == 200
    address = f"/projects/{issued}/revisions/1/duplicate"
    assert client.post(address, data=fields(client.get(address))).status_code == 303
    sent = {"token": uuid4().hex, "version": "1", "catalogue": "2", "number": "2", "paper": "A4"}
    assert client.post(f"/projects/{issued}/revisions", data=sent).status_code == 404


@pytest.mark.parametrize(
    "address",
    [
        "/projects/99/revisions",
        "/projects/0/revisions",
        "/projects/1/revisions/1",
        "/projects/1/revisions/0",
        "/projects/1/revisions/x",
        "/projects/1/revisions/9007199254740992",
        "/projects/1/revisions/1/documents/keys/A4",
        "/projects/1/revisions/1/documents/secrets/A4",
        "/projects/1/revisions/1/documents/keys/..",
        "/projects/99/print/keys",
        "/projects/1/print/secrets",
    ],
)
def test_what_is_not_there(client: TestClient, project_id: int, address: str) -> None:
    assert client.get(address).status_code == 404


@pytest.mark.parametrize("address", ["/projects/99/duplicate", "/projects/1/revisions/1/duplicate"])
def test_nothing_comes_of_what_is_not_there(client: TestClient, project_id: int, address: str) -> None:
    assert client.get(address).status_code == 404
    assert client.post(address, data={"token": uuid4().hex, "name": "Copy"}).status_code == 404


@pytest.mark.parametrize("name", ["", " ", "x" * 121, "a\ufffeb"])
def test_a_copy_needs_a_name(client: TestClient, store: Store, project_id: int, name: str) -> None:
    address = f"/projects/{project_id}/duplicate"
    answer = client.post(address, data={"token": uuid4().hex, "name": name})
    assert answer.status_code == 422
    assert errors(answer)["name"]
    assert fields(answer)["name"] == name.strip()
    assert client.post(address, data={"token": "?", "name": "Copy"}).status_code == 422
    with store.reading() as session:
        assert len(projects.list_projects(session)) == 1


def test_no_text_of_a_users_runs_on_the_pages(client: TestClient, store: Store) -> None:
    with store.writing() as session:
        catalogue.create_section(session, SECTION)
        frame = a_frame(name=XSS, material=XSS)
        number = projects.create_project(session, a_project(frame, name=XSS, customer=XSS))
    assert issue(client, number).status_code == 303
    with store.writing() as session:
        head = projects.load_project(session, number).head
        projects.update_head(
            session, number, head.version, name=XSS + "2", customer=XSS + "2", units=head.units, currency=None
        )
        assemblies.delete_assembly(session, projects.load_project(session, number).assemblies[0].id, 1)
        catalogue.create_section(session, SECTION.model_copy(update={"name": XSS}))
    mine = f"/projects/{number}"
    for address in (
        "/revisions",
        f"{mine}/revisions",
        f"{mine}/revisions/1",
        f"{mine}/duplicate",
        f"{mine}/revisions/1/duplicate",
    ):
        page = client.get(address)
        assert "<script>alert" not in page.text
        assert "alert(" in page.text


def test_a_labels_code_leads_to_the_part_on_the_schedule(
    client: TestClient, project_id: int, monkeypatch: pytest.MonkeyPatch
) -> None:
    coded: list[str] = []

    def record(text: str) -> str:
        coded.append(text)
        return qr_svg(text)

    monkeypatch.setattr(labels, "qr_svg", record)
    schedule = f"/projects/{project_id}/schedule"
    parts = [str(row["id"]).removeprefix("part-") for row in soup(client.get(schedule)).select("tr[id^=part-]")]
    ids = [f"{client.base_url}{urls.schedule(project_id, part=part)}" for part in parts]
    assert len(ids) == 2

    assert client.get(f"/projects/{project_id}/print/labels").status_code == 200
    assert coded == ids
    assert issue(client, project_id).status_code == 303
    assert coded == ids * 2
