"""Lines of sizes in a new assembly's form: shown before they are added, added all or none, once."""

from __future__ import annotations

from typing import Any

import pytest
from httpx import Response
from hypothesis import given, settings
from hypothesis import strategies as st

from domain.spec.sizes import MOST_LINES
from tests.client import TestClient
from tests.factories import a_frame
from tests.usual_sizes import typed_into
from tests.webapp.pages.reading import errors, fields, soup, summary
from tests.webapp.pages.test_assembly_pages import HTMX, live, make, marks, specs
from webapp.form.carried import new_token
from webapp.pages.projects.assembly_forms import FORMS
from webapp.site import urls
from webapp.store import Store

SIZED = {kind: form for kind, form in FORMS.items() if form.sized}
LINES: dict[str, tuple[str, list[Any]]] = {
    "mitred_frame": ("534x287*4\n612,5 x 301; 2; Hall", [("width", "height"), (534, 287), (612.5, 301)]),
    "railed_frame": ("534x487*4\n612,5 x 501; 2; Hall", [("width", "height"), (534, 487), (612.5, 501)]),
    "box": (
        "333x217x96*4\n301,5x180x88; 2; Hall",
        [("length", "width", "height"), (333, 217, 96), (301.5, 180, 88)],
    ),
    "carcass": (
        "534x687x280*4\n612,5x701x300; 2; Hall",
        [("width", "height", "depth"), (534, 687, 280), (612.5, 701, 300)],
    ),
}


def opened(client: TestClient, project_id: int, kind: str = "mitred_frame") -> dict[str, Any]:
    return typed_into(client.get(urls.new_assembly(project_id, kind)))


def send(client: TestClient, project_id: int, lines: str, kind: str = "mitred_frame", **more: str) -> Response:
    form = opened(client, project_id, kind) | {"sizes": lines} | more
    answer: Response = client.post(urls.new_assembly(project_id, kind), data=form)
    return answer


def shown(client: TestClient, project_id: int, lines: str, **more: str) -> Response:
    form = opened(client, project_id) | {"sizes": lines} | more
    answer: Response = client.post(urls.new_assembly_preview(project_id, "mitred_frame"), data=form, headers=HTMX)
    return answer


def rows(response: Response) -> list[list[str]]:
    """The table of lines, cell by cell."""
    found = soup(response).select("#sizes-lines tbody tr")
    return [[" ".join(cell.text.split()) for cell in row.select("th, td")] for row in found]


@pytest.mark.parametrize("kind", SIZED)
def test_every_line_is_an_assembly_and_all_share_the_rest(
    client: TestClient, demo_store: Store, kind: str
) -> None:
    lines, (names, *sizes) = LINES[kind]
    project_id = make(demo_store)

    answer = send(client, project_id, lines, kind, material="ash", **{"keys.count": "2"})

    assert answer.status_code == 303, summary(answer)
    first, second = (each.spec for each in specs(demo_store, project_id))
    assert [(each.kind, each.mark, each.quantity, each.name) for each in (first, second)] == [
        (kind, "A", 4, None),
        (kind, "B", 2, "Hall"),
    ]
    for spec, wanted in zip((first, second), sizes, strict=True):
        assert tuple(getattr(spec, name).mm for name in names) == wanted
        assert (spec.material, spec.keys.count) == ("ash", 2)
    same = {"mark", "quantity", "name", *names}
    assert first.model_dump(exclude=same) == second.model_dump(exclude=same)


def test_a_single_joint_has_no_sizes_to_list(client: TestClient, demo_store: Store) -> None:
    project_id = make(demo_store)
    form = opened(client, project_id, "single_joint")
    assert "sizes" not in form
    client.post(urls.new_assembly(project_id, "single_joint"), data=form | {"sizes": "1x2\n3x4"})
    assert marks(demo_store, project_id) == ["A"]


def test_one_line_fills_the_sizes_and_leaves_how_many_as_it_stands(client: TestClient, demo_store: Store) -> None:
    project_id = make(demo_store)
    send(client, project_id, "534 x 287", width="", height="", quantity="7")
    (frame,) = specs(demo_store, project_id)
    spec: Any = frame.spec
    assert (spec.width.mm, spec.height.mm, spec.quantity) == (534, 287, 7)


def test_marks_go_on_after_those_in_use(client: TestClient, demo_store: Store) -> None:
    project_id = make(demo_store, a_frame(mark="A"), a_frame(mark="C"))
    wanted = ["LID", "D", "E"]
    lines = "534x287\n612x301\n700x400"
    assert [row[0] for row in rows(shown(client, project_id, lines, mark="LID"))] == wanted
    send(client, project_id, lines, mark="LID")
    assert marks(demo_store, project_id) == ["A", "C", *wanted]


def test_the_lines_are_shown_as_they_will_be_added(client: TestClient, demo_store: Store) -> None:
    project_id = make(demo_store)
    preview = shown(client, project_id, "534x287*4\n612,5 x 301; 2; Hall")
    assert [row[:2] for row in rows(preview)] == [["A", "4"], ["B", "2"]]
    assert "534 × 287 mm outside" in rows(preview)[0][2]
    assert rows(preview)[1][2].endswith("Hall")
    said = soup(preview).select_one("[role=status]")
    assert said is not None
    assert " ".join(said.text.split()) == "Adds 2 assemblies, 6 to be made"
    keys = soup(preview).select(".key-line")[-1].text
    used = [sum(int(part.split()[0]) for part in row[3].split(", ")) for row in rows(preview)]
    assert sum(used) == sum(int(part.split()[0]) for part in keys.split(": ")[1].split(", "))


def test_the_page_shows_what_the_fragment_does(client: TestClient, demo_store: Store) -> None:
    project_id = make(demo_store)
    form = opened(client, project_id) | {"sizes": "534x287*4\nabc\n612x301"}
    page = client.post(urls.new_assembly(project_id, "mitred_frame"), data=form)
    fragment = client.post(urls.new_assembly_preview(project_id, "mitred_frame"), data=form, headers=HTMX)
    assert page.status_code == 422
    assert rows(fragment)
    assert live(page, whole=True) == live(fragment, whole=False)


def test_a_bad_line_is_named_and_nothing_is_added(client: TestClient, demo_store: Store) -> None:
    project_id = make(demo_store)
    lines = "534x287*4\n\n20x287\n612xabc"
    refused = send(client, project_id, lines)
    assert refused.status_code == 422
    assert marks(demo_store, project_id) == []
    assert fields(refused)["sizes"] == lines
    said = errors(refused)["sizes"]
    assert said.startswith("line 3, “20x287”: Width: leaves no opening in this stock; must be more than")
    assert "line 4, “612xabc”: “abc” is not a length" in said
    assert [row[0] for row in rows(refused)] == ["A", "Line 3", "Line 4"]


def test_what_all_lines_share_is_told_once_at_its_field(client: TestClient, demo_store: Store) -> None:
    project_id = make(demo_store)
    refused = send(client, project_id, "534x287\n612x301", **{"stock.width": "wide", "mark": "A B"})
    assert set(errors(refused)) == {"stock-width", "mark"}
    assert [row[0] for row in rows(refused)] == ["Line 1", "Line 2"]
    assert marks(demo_store, project_id) == []


def test_a_mark_in_use_keeps_all_of_them_out(client: TestClient, demo_store: Store) -> None:
    project_id = make(demo_store, a_frame(mark="A"))
    refused = send(client, project_id, "534x287\n612x301", mark="A")
    assert refused.status_code in {409, 422}
    assert "mark" in errors(refused)
    assert marks(demo_store, project_id) == ["A"]


def test_sent_twice_it_is_added_once(client: TestClient, demo_store: Store) -> None:
    project_id = make(demo_store)
    form = opened(client, project_id) | {"sizes": "534x287\n612x301"}
    answers = [client.post(urls.new_assembly(project_id, "mitred_frame"), data=form) for _ in range(2)]
    first = specs(demo_store, project_id)[0].id
    assert [each.headers["location"] for each in answers] == [urls.in_project(project_id, first)] * 2
    assert marks(demo_store, project_id) == ["A", "B"]


def test_sent_again_with_other_lines_both_stand_side_by_side(client: TestClient, demo_store: Store) -> None:
    project_id = make(demo_store)
    form = opened(client, project_id) | {"sizes": "534x287\n612x301"}
    client.post(urls.new_assembly(project_id, "mitred_frame"), data=form)
    both = client.post(urls.new_assembly(project_id, "mitred_frame"), data=form | {"sizes": "534x287\n612x302"})
    assert both.status_code == 409
    (row,) = [row for row in soup(both).select("tbody tr") if row.select("strong")]
    assert row.select("th")[0].text == "Sizes"
    assert "612x302" in row.text
    # no form of one assembly takes several lines: it can only be saved beside
    again = [str(each["action"]) for each in soup(both).select("main form")]
    assert again == [urls.new_assembly(project_id, "mitred_frame")]
    assert marks(demo_store, project_id) == ["A", "B"]


def test_a_polygon_has_one_size(client: TestClient, demo_store: Store) -> None:
    project_id = make(demo_store)
    send(client, project_id, "455*2\n610", sides="6")
    found: list[Any] = [each.spec for each in specs(demo_store, project_id)]
    assert [(spec.across.mm, spec.quantity) for spec in found] == [(455, 2), (610, 1)]


def test_a_row_added_to_the_form_keeps_the_lines(client: TestClient, demo_store: Store) -> None:
    again = send(client, make(demo_store), "534x287\n612x301", change="add joints")
    assert fields(again)["sizes"] == "534x287\n612x301"
    assert [tag["name"] for tag in soup(again).select("[autofocus]")] == ["joints.0.joint"]


def test_a_new_form_begins_in_its_sizes(client: TestClient, demo_store: Store) -> None:
    page = client.get(urls.new_assembly(make(demo_store), "box"))
    assert [tag["name"] for tag in soup(page).select("[autofocus]")] == ["sizes"]


def test_more_lines_than_one_form_takes_are_refused(client: TestClient, demo_store: Store) -> None:
    project_id = make(demo_store)
    refused = send(client, project_id, "534x287\n" * (MOST_LINES + 1))
    assert f"at most {MOST_LINES} lines" in errors(refused)["sizes"]
    assert marks(demo_store, project_id) == []


def test_inches_are_the_projects(client: TestClient, demo_store: Store) -> None:
    project_id = make(demo_store, units="in")
    send(client, project_id, "21 1/4 x 11.5, 2 off\n534x287 mm")
    found: list[Any] = [each.spec for each in specs(demo_store, project_id)]
    assert [(spec.width.mm, spec.height.mm, spec.quantity) for spec in found] == [
        (539.75, 292.1, 2),  # 21.25 and 11.5 times 25.4
        (534, 287, 1),
    ]


ODD = st.text(alphabet="0123456789x×*.,;\t\n/\"'½ abcmoftin-", max_size=60)


# one server answers every example: how long that takes says how busy the machine is
@settings(max_examples=40, deadline=None)
@given(lines=ODD)
def test_whatever_is_typed_is_added_whole_or_not_at_all(asked: tuple[TestClient, Store, int], lines: str) -> None:
    client, store, project_id = asked
    before = marks(store, project_id)
    form = opened(client, project_id) | {"sizes": lines, "token": new_token()}
    answer = client.post(urls.new_assembly(project_id, "mitred_frame"), data=form)
    said = [line for line in lines.splitlines() if line.strip()]
    added = len(marks(store, project_id)) - len(before)
    assert answer.status_code in {303, 422}
    if answer.status_code == 422:
        assert added == 0
    else:
        assert added in {max(len(said), 1), len(said) - 1}  # a heading makes none


@pytest.fixture(scope="module")
def asked(tmp_path_factory: pytest.TempPathFactory) -> Any:
    from tests.client import browsing
    from tests.webapp.databases import bare_demo

    store = Store.open(tmp_path_factory.mktemp("sizes") / "shop.db")
    with store.writing() as session:
        bare_demo(session)
    with browsing(store) as client:
        yield client, store, make(store)
    store.close()
