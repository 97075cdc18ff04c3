"""A project's assemblies as tables: what shares its wood stands together, is edited in place and saved at once."""

from __future__ import annotations

from typing import Any

import pytest
from httpx import Response
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.client import TestClient
from tests.factories import a_frame
from tests.webapp.pages.reading import errors, fields, soup
from tests.webapp.pages.test_assembly_pages import HTMX, fields_of, make, marks, specs
from webapp.form.carried import new_token
from webapp.pages.projects.table_form import MOST_NEW
from webapp.site import urls
from webapp.store import Store

BOX = {
    "kind": "box",
    "mark": "C",
    "measure": "outside",
    "length": 333,
    "width": 217,
    "height": 96,
    "wall": 14,
    "corner": "mitre",
}
JOINT = {"kind": "single_joint", "mark": "D", "breadth": 71, "run": 23, "behind": [50, 50]}


def order(store: Store, **head: Any) -> int:
    """Two frames of one wood, one of another, a box and a single joint."""
    frames = (a_frame("A"), a_frame("B", width=512, name="Hall"), a_frame("E", material="elm"))
    return make(store, *frames, BOX, JOINT, **head)


def page(client: TestClient, project_id: int) -> Response:
    found: Response = client.get(urls.sizes_table(project_id))
    return found


def send(client: TestClient, project_id: int, **texts: str) -> Response:
    """The page's form with these texts; a cell is ``a1__width``."""
    typed = {name.replace("__", "."): text for name, text in texts.items()}
    answer: Response = client.post(urls.sizes_table(project_id), data=fields(page(client, project_id)) | typed)
    return answer


def ids(store: Store, project_id: int) -> dict[str, int]:
    return {each.spec.mark: each.id for each in specs(store, project_id)}


def test_what_shares_its_wood_stands_in_one_table(client: TestClient, demo_store: Store) -> None:
    project_id = order(demo_store)
    shown = soup(page(client, project_id))
    tables = [[head.text.strip() for head in table.select("tbody th")] for table in shown.select("table.cells")]
    assert [[mark.split()[0] for mark in table] for table in tables] == [
        ["A", "B", "new", "new"],
        ["E", "new", "new"],
        ["C", "new", "new"],
    ]
    heads = [[" ".join(head.text.split()) for head in table.select("thead th")] for table in shown.select("table")]
    assert heads[0] == ["Mark", "How many", "Width, mm", "Height, mm", "Name"]
    assert heads[2] == ["Mark", "How many", "Length, mm", "Width, mm", "Height, mm", "Name"]
    number = ids(demo_store, project_id)["B"]
    assert fields(page(client, project_id))[f"a{number}.width"] == "512"


def test_all_rows_are_saved_together_and_new_ones_share_the_rest(client: TestClient, demo_store: Store) -> None:
    project_id = order(demo_store)
    number = ids(demo_store, project_id)
    a, b = number["A"], number["B"]
    versions = {each.id: each.version for each in specs(demo_store, project_id)}
    answer = send(
        client,
        project_id,
        **{f"a{a}__width": "612,5", f"a{b}__quantity": "4", f"a{number['C']}__height": "88"},
        **{f"n{a}__0__width": "300", f"n{a}__0__height": "20 1/2", f"n{a}__0__quantity": "3"},
        **{f"n{a}__1__width": "288", f"n{a}__1__height": "213", f"n{a}__1__name": "Stairs"},
    )
    assert (answer.status_code, answer.headers["location"]) == (303, urls.project(project_id))
    found: list[Any] = [each.spec for each in specs(demo_store, project_id)]
    assert [spec.mark for spec in found] == ["A", "B", "E", "C", "D", "F", "G"]
    assert (found[0].width.mm, found[1].quantity, found[3].height.mm) == (612.5, 4, 88)
    first, second = found[5:]
    assert (first.quantity, first.width.mm, first.height.mm, first.name) == (3, 300, 520.7, None)  # 20.5 × 25.4
    assert (second.quantity, second.name) == (1, "Stairs")
    assert first.stock == found[0].stock
    assert first.material == found[0].material
    # what nobody changed has the version that it had
    now = {each.id: each.version for each in specs(demo_store, project_id)}
    assert {each for each in versions if now[each] != versions[each]} == {a, b, number["C"]}


def test_a_bad_cell_is_told_where_it_is_and_nothing_is_saved(client: TestClient, demo_store: Store) -> None:
    project_id = order(demo_store)
    a = ids(demo_store, project_id)["A"]
    before = specs(demo_store, project_id)
    answer = send(
        client, project_id, **{f"a{a}__width": "20", f"a{a}__name": "Kept", f"n{a}__0__height": "abc", "n0__x": ""}
    )
    assert answer.status_code == 422
    said = errors(answer)
    assert list(said) == [f"a{a}-width", f"n{a}-0-height"]
    assert said[f"a{a}-width"].startswith("leaves no opening in this stock")
    assert said[f"n{a}-0-height"].startswith("not a length")
    assert "A, Width" in " ".join(soup(answer).select_one(".error-summary").text.split())  # type: ignore[union-attr]
    assert fields(answer)[f"a{a}.name"] == "Kept"
    assert fields(answer)[f"n{a}.0.height"] == "abc"
    assert specs(demo_store, project_id) == before


def test_who_saves_second_sees_what_changed_and_may_keep_theirs(client: TestClient, demo_store: Store) -> None:
    project_id = order(demo_store)
    a = ids(demo_store, project_id)["A"]
    mine = fields(page(client, project_id)) | {
        f"a{a}.width": "400",
        f"n{a}.0.width": "300",
        f"n{a}.0.height": "200",
    }
    send(client, project_id, **{f"a{a}__width": "500"})

    stale = client.post(urls.sizes_table(project_id), data=mine, headers=HTMX)

    assert stale.status_code == 409
    assert "A, Width: you have 400, now stored is 500" in " ".join(soup(stale).text.split())
    assert marks(demo_store, project_id) == ["A", "B", "E", "C", "D"]
    assert client.post(urls.sizes_table(project_id), data=fields_of(stale)).status_code == 303
    found: Any = specs(demo_store, project_id)
    assert (found[0].spec.width.mm, found[-1].spec.width.mm) == (400, 300)


def test_what_was_typed_into_a_row_that_is_gone_is_shown(client: TestClient, demo_store: Store) -> None:
    project_id = order(demo_store)
    b = ids(demo_store, project_id)["B"]
    mine = fields(page(client, project_id)) | {f"a{b}.width": "477"}
    client.post(urls.delete_assembly(project_id, b), data={"version": "1", "token": new_token()})

    answer = client.post(urls.sizes_table(project_id), data=mine)

    assert answer.status_code == 409
    assert "A row that is not here any more: you have 477" in " ".join(soup(answer).text.split())


def test_a_new_row_is_not_made_of_wood_that_changed_meanwhile(client: TestClient, demo_store: Store) -> None:
    project_id = order(demo_store)
    e = ids(demo_store, project_id)["E"]
    mine = fields(page(client, project_id)) | {f"n{e}.0.width": "300", f"n{e}.0.height": "200"}
    address = urls.assembly(project_id, e)
    client.post(address, data=fields(client.get(address)) | {"material": "bog oak"})
    assert client.post(urls.sizes_table(project_id), data=mine).status_code == 409
    assert len(specs(demo_store, project_id)) == 5


def test_sent_twice_it_is_saved_once(client: TestClient, demo_store: Store) -> None:
    project_id = order(demo_store)
    a = ids(demo_store, project_id)["A"]
    data = fields(page(client, project_id)) | {f"n{a}.0.width": "300", f"n{a}.0.height": "200"}
    answers = [client.post(urls.sizes_table(project_id), data=data) for _ in range(2)]
    assert [each.headers["location"] for each in answers] == [urls.project(project_id)] * 2
    assert len(specs(demo_store, project_id)) == 6


def test_more_rows_keep_what_was_typed(client: TestClient, demo_store: Store) -> None:
    project_id = order(demo_store)
    a = ids(demo_store, project_id)["A"]
    again = send(client, project_id, **{f"n{a}__1__width": "31x", "change": "rows"})
    assert again.status_code == 200
    assert fields(again)[f"n{a}.1.width"] == "31x"
    assert f"n{a}.3.width" in fields(again)


def test_rows_beyond_the_most_are_shown_and_not_lost(client: TestClient, demo_store: Store) -> None:
    project_id = order(demo_store)
    a = ids(demo_store, project_id)["A"]
    answer = send(client, project_id, **{f"n{a}__{MOST_NEW}__width": "311"})
    assert answer.status_code == 409
    assert "you have 311" in answer.text
    assert len(specs(demo_store, project_id)) == 5


def test_an_inch_project_shows_and_takes_inches(client: TestClient, demo_store: Store) -> None:
    project_id = make(demo_store, a_frame("A", width="20 1/2 in"), units="in")
    (a,) = ids(demo_store, project_id).values()
    assert fields(page(client, project_id))[f"a{a}.width"] == "20 1/2"
    assert send(client, project_id, **{f"a{a}__width": "21,25"}).status_code == 303
    found: Any = specs(demo_store, project_id)[0].spec
    assert found.width.mm == 539.75  # 21.25 × 25.4


def test_a_project_without_sizes_says_so(client: TestClient, demo_store: Store) -> None:
    project_id = make(demo_store)
    assert "nothing here yet" in page(client, project_id).text
    assert client.post(urls.sizes_table(project_id), data={"token": new_token()}).status_code == 303
    assert client.get(urls.sizes_table(99_999)).status_code == 404


CELLS = ["a1.width", "a1.quantity", "a1.name", "n1.0.width", "n1.0.height", "n1.0.quantity", "n9.0.width", "a7.x"]


# one server answers every example: how long that takes says how busy the machine is
@settings(max_examples=25, deadline=None)
@given(
    typed=st.dictionaries(
        st.sampled_from(CELLS), st.text("0123456789x,./ -½'\"\t", max_size=9), min_size=1, max_size=5
    )
)
def test_whatever_is_typed_is_saved_whole_or_not_at_all(
    asked: tuple[TestClient, Store, int, int], typed: dict[str, str]
) -> None:
    client, store, project_id, number = asked
    before = [each.spec for each in specs(store, project_id)]
    data = fields(page(client, project_id))
    data |= {name.replace("1", str(number), 1): text for name, text in typed.items()}
    answer = client.post(urls.sizes_table(project_id), data=data)
    assert answer.status_code in {303, 409, 422}
    after = [each.spec for each in specs(store, project_id)]
    added = any(name.startswith("n1") and text.strip() for name, text in typed.items())
    assert len(after) - len(before) == (1 if answer.status_code == 303 and added else 0)
    if answer.status_code != 303:
        assert after == before


@pytest.fixture(scope="module")
def asked(tmp_path_factory: pytest.TempPathFactory) -> Any:
    from tests.client import browsing
    from tests.webapp.databases import bare_demo

    store = Store.open(tmp_path_factory.mktemp("table") / "shop.db")
    with store.writing() as session:
        bare_demo(session)
    with browsing(store) as client:
        project_id = make(store, a_frame("A"))
        yield client, store, project_id, specs(store, project_id)[0].id
    store.close()
