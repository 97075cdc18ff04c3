"""Assemblies in by a list: headings in the trade's words, every bad cell named, shown first, all or none, once."""

from __future__ import annotations

from typing import Any

import pytest
from httpx import Response
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.client import TestClient
from tests.factories import a_frame
from tests.webapp.pages.reading import soup
from tests.webapp.pages.test_assembly_pages import make, marks, specs
from webapp.form.carried import new_token
from webapp.pages.projects.assembly_list import columns_of
from webapp.site import urls
from webapp.store import Store

KINDS = """kind;mark;name;how many;width;height;length;depth;wood;wall;thickness;corners
Mitred frame;;Hall, left;3;612,5;20 1/2;;;ash;;;
Box;TEA;Tea;;217;96;333;;pear;14;;Butted
carcass;;;2;813;92 cm;;287;birch plywood;;18;
"""
FRAMES = 'Kind\tWidth\tHeight\tHow many\tStock width\tName\r\nMitred frame\t534\t287\t2\t41\t"Hall; ""left"""\r\n'


def look(client: TestClient, project_id: int, text: str) -> Response:
    answer: Response = client.post(urls.import_list(project_id), files={"document": (None, text)})
    return answer


def send(client: TestClient, project_id: int, text: str, token: str = "") -> Response:
    files = {"document": (None, text), "token": (None, token or new_token())}
    answer: Response = client.post(urls.add_list(project_id), files=files)
    return answer


def told(answer: Response) -> list[str]:
    """What is wrong, without the quotes around the values."""
    return [" ".join(each.text.replace("'", "").split()) for each in soup(answer).select(".error-summary li")]


def test_a_list_of_several_kinds_is_shown_and_then_added(client: TestClient, demo_store: Store) -> None:
    project_id = make(demo_store, a_frame("A"))
    shown = look(client, project_id, KINDS)
    assert shown.status_code == 200, told(shown)
    rows = [
        [" ".join(cell.text.split()) for cell in row.select("td, th")] for row in soup(shown).select("tbody tr")
    ]
    assert [row[:4] for row in rows] == [
        ["2", "B", "Mitred frame Hall, left", "3"],
        ["3", "TEA", "Box Tea", "1"],
        ["4", "C", "Carcass", "2"],
    ]
    assert marks(demo_store, project_id) == ["A"]
    kept = soup(shown).select_one("[name=document]")
    assert kept is not None
    answer = send(client, project_id, str(kept["value"]))
    found: list[Any] = [each.spec for each in specs(demo_store, project_id)]
    assert answer.headers["location"] == urls.in_project(project_id, specs(demo_store, project_id)[1].id)
    _, frame, box, carcass = found
    assert (frame.quantity, frame.width.mm, frame.height.mm, frame.material) == (
        3,
        612.5,
        520.7,
        "ash",
    )  # 20.5 × 25.4
    assert frame.stock == found[0].stock  # as the shop's last of its kind
    assert (box.name, box.quantity, box.length.mm, box.corner.value, box.wall.mm) == ("Tea", 1, 333, "butt", 14)
    assert (carcass.quantity, carcass.height.mm, carcass.thickness.mm) == (2, 920, 18)


def test_a_block_from_a_spreadsheet_is_read(client: TestClient, demo_store: Store) -> None:
    # what LibreOffice Calc puts on the clipboard: tabs, CRLF, quotes doubled
    project_id = make(demo_store, a_frame("A"))
    assert send(client, project_id, FRAMES).status_code == 303
    found: Any = specs(demo_store, project_id)[1].spec
    assert (found.stock.width.mm, found.name, found.quantity) == (41, 'Hall; "left"', 2)


def test_a_file_is_read_as_a_spreadsheet_saves_it(client: TestClient, demo_store: Store) -> None:
    project_id = make(demo_store, a_frame("A"))
    body = '\ufeffkind,width,height\r\nMitred frame,"534,5",287\r\n'.encode()
    answer = client.post(urls.import_list(project_id), files={"file": ("a.csv", body)})
    assert answer.status_code == 200
    assert "534.5 × 287 mm" in answer.text.replace("\xa0", " ")


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("width;height\n1;2", 'line 1: missing: needs the heading "kind"'),
        ("kind;weight\nBox;3", "line 1: weight: is no heading here; there are kind, mark, name"),
        ("kind;width;Width\nBox;3;4", "line 1: Width: this heading stands twice"),
        ("kind;width\nBoat;300", "line 2, kind: Boat: must be Mitred frame, Face frame or door, Box"),
        ("kind;width\n;300", "line 2, kind: nothing: must be Mitred frame"),
        ("kind;width;height\nMitred frame;20;287", "line 2, width: 20: leaves no opening in this stock"),
        ("kind;width;height\nMitred frame;534;287\n\nMitred frame;wide;287", "line 4, width: wide: not a length"),
        ("kind;width;height;depth\nMitred frame;534;287;20", "line 2, depth: 20: a mitred frame has no such size"),
        ("kind;width;height\nMitred frame;534", "line 2, height: nothing: is needed"),
        ("kind;mark;width;height\nMitred frame;A;534;287", "line 2, mark: A: is in use already"),
        ("kind;mark;width;height\nMitred frame;X;534;287\nMitred frame;X;534;287", "line 3, mark: X: is in use"),
        ("kind;width;height\nMitred frame;534;287;9", "line 2: 4 fields: the headings have 3"),
        ("kind;how many;width;height\nMitred frame;two;534;287", "line 2, how many: two: must be a whole number"),
        ("kind;width\n", "the file: nothing: needs a line below its headings"),
        ("", "the file: nothing: choose a CSV file, or paste its text"),
        ("kind;width;height\n" + "Mitred frame;534;287\n" * 101, "the file: lines: must be at most 100"),
    ],
)
def test_what_cannot_be_added_is_named_and_nothing_is(
    client: TestClient, demo_store: Store, text: str, said: str
) -> None:
    project_id = make(demo_store, a_frame("A"))
    for answer in (look(client, project_id, text), send(client, project_id, text)):
        assert answer.status_code == 422
        assert told(answer)[0].startswith(said), told(answer)
    assert marks(demo_store, project_id) == ["A"]


def test_every_bad_line_is_named_at_once_and_the_text_is_kept(client: TestClient, demo_store: Store) -> None:
    project_id = make(demo_store, a_frame("A"))
    text = "kind;width;height\nMitred frame;wide;287\nMitred frame;534;287\nBoat;1;2\nMitred frame;534;high"
    answer = look(client, project_id, text)
    assert [line.split(":")[0] for line in told(answer)] == ["line 2, width", "line 4, kind", "line 5, height"]
    kept = soup(answer).select_one("textarea")
    assert kept is not None
    assert kept.text.strip() == text


def test_sent_twice_it_is_added_once(client: TestClient, demo_store: Store) -> None:
    project_id, token = make(demo_store, a_frame("A")), new_token()
    answers = [send(client, project_id, FRAMES, token) for _ in range(2)]
    assert answers[0].headers["location"] == answers[1].headers["location"]
    assert marks(demo_store, project_id) == ["A", "B"]
    other = send(client, project_id, FRAMES.replace("534", "535"), token)
    assert other.status_code == 409
    assert marks(demo_store, project_id) == ["A", "B"]


def test_the_headings_are_there_to_be_filled_in(client: TestClient, demo_store: Store) -> None:
    project_id = make(demo_store)
    answer = client.get(urls.list_template(project_id))
    assert answer.headers["content-disposition"] == 'attachment; filename="assemblies.csv"'
    headings = answer.content.decode("utf-8-sig").strip()
    assert headings == "kind;mark;name;how many;length;width;height;depth;wood"
    filled = f"{headings}\r\nMitred frame;;;2;;534;287;;ash\r\n"
    assert look(client, project_id, filled).status_code == 200
    assert client.get(urls.list_template(99_999)).status_code == 404


def test_fields_of_one_label_are_told_apart_by_their_groups() -> None:
    columns = columns_of("mitred_frame")
    assert (columns["width"].name, columns["moulding width"].name) == ("width", "stock.width")
    assert columns["stock width"] == columns["moulding width"]  # as the project file calls it
    assert (columns["thickness"].name, columns["rabbet, width"].name) == ("stock.thickness", "stock.rabbet_width")


ODD = st.text(alphabet="kindBoxwidthheight0123456789;,\t\n\"'x/½ -=", max_size=120)


# one server answers every example: how long that takes says how busy the machine is
@settings(max_examples=30, deadline=None)
@given(text=ODD, leads=st.booleans())
def test_whatever_is_sent_is_added_whole_or_not_at_all(
    asked: tuple[TestClient, Store, int], text: str, leads: bool
) -> None:
    client, store, project_id = asked
    text = f"kind;width;height\nMitred frame;534;287\n{text}" if leads else text
    before = marks(store, project_id)
    answer = send(client, project_id, text)
    assert answer.status_code in {303, 422}
    added = len(marks(store, project_id)) - len(before)
    assert added == 0 if answer.status_code == 422 else 1 <= added <= len(text.splitlines())


@pytest.fixture(scope="module")
def asked(tmp_path_factory: pytest.TempPathFactory) -> Any:
    from tests.client import browsing
    from tests.webapp.databases import bare_demo

    store = Store.open(tmp_path_factory.mktemp("list") / "shop.db")
    with store.writing() as session:
        bare_demo(session)
    with browsing(store) as client:
        yield client, store, make(store, a_frame("A"))
    store.close()
