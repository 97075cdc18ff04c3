"""Adding, editing, copying, moving and deleting an assembly, as a browser without and with script does."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

import pytest
from bs4 import Tag
from httpx import Response
from hypothesis import given, settings
from hypothesis import strategies as st

from domain.lengths import Length
from tests.client import OURS, PORT, TestClient
from tests.factories import a_frame, an_impossible_joint, stored
from tests.usual_sizes import typed_into
from tests.webapp.databases import Databases
from tests.webapp.pages.reading import errors, fields, soup, summary
from webapp.app import create_app
from webapp.form.carried import new_token
from webapp.pages.projects.assembly_forms import FORMS
from webapp.site import urls
from webapp.store import Store
from webapp.store.assemblies import StoredAssembly
from webapp.store.projects import load_project
from webapp.usecases.demo import load_demo_in

HTMX = {"HX-Request": "true", "HX-Request-Type": "partial"}
NEW_FRAME = "/projects/{}/assemblies/new/mitred_frame"


def make(store: Store, *assemblies: dict[str, object], **more: object) -> int:
    with store.writing() as session:
        return stored(session, *assemblies, **more)


def specs(store: Store, project_id: int) -> tuple[StoredAssembly, ...]:
    with store.reading() as session:
        return load_project(session, project_id).assemblies


def marks(store: Store, project_id: int) -> list[str]:
    return [each.spec.mark for each in specs(store, project_id)]


def typed(response: Response, **changes: str) -> dict[str, Any]:
    return typed_into(response, {name.replace("__", "."): text for name, text in changes.items()})


def live(response: Response, whole: bool) -> str:
    """The preview: all of a fragment, or its place in the page."""
    found = soup(response)
    place = found.select_one("#live") if whole else found
    assert isinstance(place, Tag)
    return " ".join(str(place.decode_contents()).split())


@pytest.mark.parametrize("kind", FORMS)
def test_every_place_of_a_form_has_an_id_of_its_own(client: TestClient, demo_store: Store, kind: str) -> None:
    page = soup(client.get(urls.new_assembly(make(demo_store), kind)))
    ids = [str(tag["id"]) for tag in page.select("[id]")]
    assert len(ids) == len(set(ids)), sorted(each for each in ids if ids.count(each) > 1)
    assert {str(label["for"]) for label in page.select("label[for]")} <= set(ids)


@pytest.mark.parametrize("kind", FORMS)
def test_a_new_assembly_is_shown_added_and_found_again(client: TestClient, demo_store: Store, kind: str) -> None:
    project_id = make(demo_store)
    form = client.get(urls.new_assembly(project_id, kind))

    added = client.post(urls.new_assembly(project_id, kind), data=typed(form, name="First"))

    assert added.status_code == 303
    (assembly,) = specs(demo_store, project_id)
    assert (assembly.spec.kind, assembly.spec.mark, assembly.spec.name) == (kind, "A", "First")
    assert added.headers["location"] == f"/projects/{project_id}?shown={assembly.id}#assembly-{assembly.id}"
    again = client.get(urls.assembly(project_id, assembly.id))
    assert fields(again)["name"] == "First"
    assert soup(again).select_one("#live svg title") is not None


@pytest.mark.parametrize("kind", FORMS)
def test_the_preview_is_what_the_whole_page_shows(client: TestClient, demo_store: Store, kind: str) -> None:
    project_id = make(demo_store, units="in")
    blank = client.get(urls.new_assembly(project_id, kind))
    page = typed_again(client, project_id, kind)

    for shown in (blank, page):
        fragment = client.post(urls.new_assembly_preview(project_id, kind), data=fields(shown), headers=HTMX)
        assert fragment.status_code == 200
        assert live(fragment, whole=False) == live(shown, whole=True)
    assert "The drawing follows what you type" in live(blank, whole=True)
    assert "joints" in live(page, whole=True)


def typed_again(client: TestClient, project_id: int, kind: str) -> Response:
    """A new form with sizes in it, as a button that changes nothing brings it back."""
    data = typed_into(client.get(urls.new_assembly(project_id, kind)), {"change": "add nothing"})
    answer: Response = client.post(urls.new_assembly(project_id, kind), data=data)
    return answer


@pytest.mark.parametrize("kind", FORMS)
def test_the_pictorials_that_follow_are_what_the_whole_page_shows(
    client: TestClient, demo_store: Store, kind: str
) -> None:
    project_id = make(demo_store, units="in")
    page = typed_again(client, project_id, kind)

    fragment = client.post(urls.new_assembly_pictorials(project_id, kind), data=fields(page), headers=HTMX)

    assert fragment.status_code == 200
    shown, followed = soup(page).select("#pictorials svg"), soup(fragment).select("svg")
    assert [str(each) for each in followed] == [str(each) for each in shown]
    titles = [str(each.title.text) for each in followed if each.title is not None]
    assert [title.rpartition(", ")[2] for title in titles] == ["put together", "taken apart"]


def test_pictorials_follow_what_is_typed_and_go_while_it_cannot_be_read(
    client: TestClient, demo_store: Store
) -> None:
    project_id = make(demo_store, a_frame())
    (assembly,) = specs(demo_store, project_id)
    page = client.get(urls.assembly(project_id, assembly.id))
    address = urls.assembly_pictorials(project_id, assembly.id)

    wider = client.post(address, data=typed(page, width="812"), headers=HTMX)
    unread = client.post(address, data=typed(page, width="wide"), headers=HTMX)

    assert ">812<" in wider.text
    assert soup(unread).select("svg") == []
    assert specs(demo_store, project_id) == (assembly,)


def test_the_preview_of_a_bad_form_is_what_the_refused_page_shows(client: TestClient, demo_store: Store) -> None:
    project_id = make(demo_store)
    address = NEW_FRAME.format(project_id)
    data = typed(client.get(address), width="wide", quantity="x")

    page, fragment = client.post(address, data=data), client.post(f"{address}/preview", data=data, headers=HTMX)

    assert (page.status_code, fragment.status_code) == (422, 200)
    assert live(fragment, whole=False) == live(page, whole=True)
    told = {str(item["data-field"]) for item in soup(fragment).select(".field-problems li")}
    assert told == {"width", "quantity"}


def test_a_preview_saves_nothing(client: TestClient, demo_store: Store) -> None:
    project_id = make(demo_store, a_frame())
    (assembly,) = specs(demo_store, project_id)
    page = client.get(urls.assembly(project_id, assembly.id))

    preview = client.post(urls.assembly_preview(project_id, assembly.id), data=typed(page, width="812"))

    assert ">812<" in preview.text
    assert specs(demo_store, project_id) == (assembly,)


def test_a_refused_form_keeps_what_was_typed_and_names_the_fields(client: TestClient, demo_store: Store) -> None:
    project_id = make(demo_store, units="in")
    address = NEW_FRAME.format(project_id)
    data = typed(client.get(address), width="12,5", height="tall ", stock__width="3 7/8 in")

    refused = client.post(address, data=data)

    assert refused.status_code == 422
    shown = fields(refused)
    assert (shown["width"], shown["height"], shown["stock.width"]) == ("12,5", "tall ", "3 7/8 in")
    assert set(errors(refused)) == {"height"}
    link = soup(refused).select_one(".error-summary a")
    assert link is not None
    assert link["href"] == "#f-height"
    assert link.text == "Size: Height"
    assert soup(refused).select_one("#f-height") is not None
    assert marks(demo_store, project_id) == []


def test_sizes_that_clash_are_told_at_the_size_in_the_projects_units(
    client: TestClient, demo_store: Store
) -> None:
    project_id = make(demo_store, units="in")
    address = NEW_FRAME.format(project_id)

    refused = client.post(address, data=typed(client.get(address), width="3", stock__width="2"))

    assert refused.status_code == 422
    assert errors(refused)["width"] == "leaves no opening in this stock; must be more than 4 in (101.6 mm)"
    assert "Size: Width" in summary(refused)


def test_htmx_gets_the_editor_alone_and_is_sent_on_when_it_is_saved(client: TestClient, demo_store: Store) -> None:
    project_id = make(demo_store)
    address = NEW_FRAME.format(project_id)
    page = client.get(address)

    refused = client.post(address, data=typed(page, width="x"), headers=HTMX)
    whole = client.post(address, data=typed(page, width="x"))
    saved = client.post(address, data=typed(page), headers=HTMX)

    assert refused.status_code == 422
    assert str(soup(refused).select_one("#editor")) == str(soup(whole).select_one("#editor"))
    assert "<html" not in refused.text
    assert (saved.status_code, "HX-Redirect" in saved.headers) == (204, True)


def test_a_form_sent_twice_adds_once(client: TestClient, demo_store: Store) -> None:
    project_id = make(demo_store)
    address = NEW_FRAME.format(project_id)
    data = typed_into(client.get(address))

    first, second = client.post(address, data=data), client.post(address, data=data)

    assert (first.status_code, second.status_code) == (303, 303)
    assert first.headers["location"] == second.headers["location"]
    assert marks(demo_store, project_id) == ["A"]


def test_a_form_whose_token_is_lost_is_shown_again_with_a_new_one(client: TestClient, demo_store: Store) -> None:
    project_id = make(demo_store)
    address = NEW_FRAME.format(project_id)

    refused = client.post(address, data=typed(client.get(address), token="", name="Kept"))

    assert (refused.status_code, fields(refused)["name"]) == (422, "Kept")
    assert client.post(address, data=fields(refused)).status_code == 303


def test_a_mark_that_is_taken_is_told_at_the_mark(client: TestClient, demo_store: Store) -> None:
    project_id = make(demo_store, a_frame("A"), a_frame("B"))
    address = NEW_FRAME.format(project_id)
    page = client.get(address)
    assert fields(page)["mark"] == "C"

    taken = client.post(address, data=typed(page, mark="B", name="Kept"))

    assert taken.status_code == 409
    assert "is used already" in errors(taken)["mark"]
    assert fields(taken)["name"] == "Kept"


def test_a_stale_edit_keeps_the_text_shows_what_differs_and_can_be_saved_over(
    client: TestClient, demo_store: Store
) -> None:
    project_id = make(demo_store, a_frame())
    (assembly,) = specs(demo_store, project_id)
    address = urls.assembly(project_id, assembly.id)
    mine, theirs = client.get(address), client.get(address)
    assert client.post(address, data=typed(theirs, width="500")).status_code == 303

    stale = client.post(address, data=typed(mine, height="333"), headers=HTMX)

    assert stale.status_code == 409
    assert "Size: Width: you have 400, now stored is 500" in summary(stale)
    assert "Size: Height: you have 333, now stored is 300" in summary(stale)
    assert (fields_of(stale)["width"], fields_of(stale)["height"]) == ("400", "333")
    assert specs(demo_store, project_id)[0].spec.width == Length.from_mm(500)  # type: ignore[union-attr]
    assert client.post(address, data=fields_of(stale)).status_code == 303
    assert specs(demo_store, project_id)[0].spec.height == Length.from_mm(333)  # type: ignore[union-attr]


def fields_of(fragment: Response) -> dict[str, Any]:
    """The fields of a fragment, which has no main around it."""
    wrapped = Response(200, text=f"<main>{fragment.text}</main>")
    return fields(wrapped)


def test_exceptions_are_added_and_removed_without_script_and_nothing_typed_is_lost(
    client: TestClient, demo_store: Store
) -> None:
    project_id = make(demo_store)
    address = urls.new_assembly(project_id, "railed_frame")
    page = client.post(address, data=typed(client.get(address), width="8oo", change="add joints"))
    assert page.status_code == 200
    assert soup(page).select_one('[name="joints.0.joint"][autofocus]') is not None
    assert fields(page)["width"] == "8oo"

    page = client.post(address, data=typed(page, joints__0__joint="J1", change="add joints"))
    page = client.post(address, data=typed(page, joints__1__joint="J2", change="remove joints.0"))

    assert "joints.1.joint" not in fields(page)
    assert fields(page)["joints.0.joint"] == "J2"
    assert marks(demo_store, project_id) == []


def test_enter_saves_and_never_presses_a_row_button(client: TestClient, demo_store: Store) -> None:
    page = client.get(urls.new_assembly(make(demo_store), "railed_frame"))

    first = soup(page).select_one("#assembly-form button")

    assert first is not None
    assert not first.has_attr("name")


def test_a_joint_that_cannot_be_made_is_shown_with_its_reason(client: TestClient, demo_store: Store) -> None:
    project_id = make(demo_store, an_impossible_joint())
    (assembly,) = specs(demo_store, project_id)

    page = client.get(urls.assembly(project_id, assembly.id))

    row = soup(page).select_one("table.joints tbody")
    assert row is not None
    assert "Cannot be made" in row.text
    assert "into the other member, which may be cut 3 mm" in row.text
    assert "wood behind both sides" in row.text


def test_names_are_text_and_never_markup(client: TestClient, demo_store: Store) -> None:
    evil = '"><script>alert(1)</script>'
    project_id = make(demo_store, a_frame(name=evil, material=evil), name=evil, customer=evil)
    (assembly,) = specs(demo_store, project_id)

    for address in (
        urls.projects(),
        urls.project(project_id),
        urls.edit_project(project_id),
        urls.delete_project(project_id),
        urls.assembly(project_id, assembly.id),
        urls.delete_assembly(project_id, assembly.id),
        urls.schedule(project_id),
        urls.keys(project_id),
    ):
        page = client.get(address)
        assert page.status_code == 200
        assert "<script>alert" not in page.text, address


def test_a_copy_comes_after_the_assembly_once_and_keeps_its_joints_set_apart(
    client: TestClient, demo_store: Store
) -> None:
    apart = {"A-J1": {"count": 1}}
    project_id = make(demo_store, a_frame("A", joints=apart), a_frame("B"))
    first = specs(demo_store, project_id)[0]
    token = soup(client.get(urls.project(project_id))).select_one(f"#assembly-{first.id} [name=token]")
    assert token is not None
    data = {"token": str(token["value"])}

    answers = [client.post(urls.duplicate_assembly(project_id, first.id), data=data) for _ in range(2)]

    assert {answer.headers["location"] for answer in answers} == {
        urls.in_project(project_id, specs(demo_store, project_id)[1].id)
    }
    assert marks(demo_store, project_id) == ["A", "C", "B"]
    assert list(specs(demo_store, project_id)[1].spec.joints) == ["C-J1"]
    assert "clash" not in client.get(urls.project(project_id)).text


def test_assemblies_move_up_and_down(client: TestClient, demo_store: Store) -> None:
    project_id = make(demo_store, a_frame("A"), a_frame("B"))
    first = specs(demo_store, project_id)[0]

    moved = client.post(urls.move_assembly(project_id, first.id), data={"step": "down", "token": new_token()})

    assert moved.headers["location"] == urls.in_project(project_id, first.id)
    assert marks(demo_store, project_id) == ["B", "A"]
    assert (
        client.post(
            urls.move_assembly(project_id, first.id), data={"step": "away", "token": new_token()}
        ).status_code
        == 422
    )


def test_deleting_asks_first_and_refuses_what_has_changed_since(client: TestClient, demo_store: Store) -> None:
    project_id = make(demo_store, a_frame("A"), a_frame("B"))
    first, second = specs(demo_store, project_id)
    asked = client.get(urls.delete_assembly(project_id, first.id))
    assert marks(demo_store, project_id) == ["A", "B"]
    edit = client.get(urls.assembly(project_id, first.id))
    client.post(urls.assembly(project_id, first.id), data=typed(edit, width="500"))

    stale = client.post(urls.delete_assembly(project_id, first.id), data=fields(asked))
    asked = client.get(urls.delete_assembly(project_id, second.id))
    gone = client.post(urls.delete_assembly(project_id, second.id), data=fields(asked))

    assert (stale.status_code, gone.status_code) == (409, 303)
    assert marks(demo_store, project_id) == ["A"]


@pytest.mark.parametrize(
    "address",
    [
        "/projects/1/assemblies/new/barrel",
        "/projects/99/assemblies/new/box",
        "/projects/1/assemblies/9999",
        "/projects/1/assemblies/x",
        "/projects/1/assemblies/4",
        "/projects/2/assemblies/1/delete",
    ],
)
def test_what_is_not_there_is_said_to_be_not_there(client: TestClient, demo_store: Store, address: str) -> None:
    assert client.get(address).status_code == 404


def test_an_assembly_of_another_project_is_not_changed(client: TestClient, demo_store: Store) -> None:
    with demo_store.reading() as session:
        other = load_project(session, 2).assemblies[0]

    for address in (
        urls.assembly(1, other.id),
        urls.move_assembly(1, other.id),
        urls.duplicate_assembly(1, other.id),
        urls.delete_assembly(1, other.id),
    ):
        data = {"step": "up", "token": "0123456789abcdef", "version": str(other.version)}
        assert client.post(address, data=data).status_code == 404
    assert specs(demo_store, 2)[0] == other


@pytest.fixture(scope="module")
def lasting(databases: Databases, tmp_path_factory: pytest.TempPathFactory) -> Iterator[TestClient]:
    """One client for many generated forms; nothing here depends on what the others saved."""
    with databases.opened("demo", load_demo_in, tmp_path_factory.mktemp("lasting") / "shop.db") as store:
        app = create_app(store, port=PORT)
        with TestClient(app, base_url=OURS, headers={"Origin": OURS}, follow_redirects=False) as client:
            yield client


ODD = st.one_of(
    st.text(st.characters(exclude_categories=["Cs"]), max_size=25),
    st.sampled_from(["", "0", "1", "400", "rest", "any", "3 7/8 in", "1e9", "-2", "yes", "J1", "add joints"]),
)
NAMES = ["mark", "quantity", "width", "height", "depth", "stock.width", "stock.front", "stock.front.0.0", "sides"]
NAMES += [
    "rows",
    "columns",
    "rows.x",
    "shelves",
    "lid",
    "lid.height",
    "keys.count",
    "measure",
]
NAMES += [
    "joints.0.joint",
    "joints.0.plug_choice",
    "keys.plug_choice",
    "keys.plug",
    "token",
    "version",
    "change",
    "step",
    "angle",
]


@settings(max_examples=25, deadline=None)
@given(kind=st.sampled_from(sorted(FORMS)), sent=st.dictionaries(st.sampled_from(NAMES), ODD, max_size=6))
def test_no_form_brings_the_program_down(lasting: TestClient, kind: str, sent: dict[str, str]) -> None:
    usual = typed_into(lasting.get(urls.new_assembly(1, kind)))
    for address in (
        urls.new_assembly(1, kind),
        urls.new_assembly_preview(1, kind),
        urls.assembly(1, 2),
        urls.assembly_preview(1, 2),
        urls.new_assembly_pictorials(1, kind),
        urls.assembly_pictorials(1, 2),
        urls.duplicate_assembly(1, 2),
        urls.move_assembly(1, 2),
    ):
        answer = lasting.post(address, data=usual | sent)
        assert answer.status_code in {200, 204, 303, 409, 422}, answer.text
    assert lasting.get(urls.project(1)).status_code == 200


def test_a_size_that_is_refused_leads_to_its_field_and_to_one_that_works(
    client: TestClient, demo_store: Store
) -> None:
    project_id = make(demo_store)
    address = urls.new_assembly(project_id, "mitred_frame")
    texts = fields(client.get(address)) | {
        "width": "403",
        "height": "287",
        "stock.width": "44",
        "stock.thickness": "19",
        "stock.rabbet_width": "50",
        "stock.rabbet_depth": "8",
    }
    live = soup(client.post(urls.new_assembly_preview(project_id, "mitred_frame"), data=texts))
    (problem,) = live.select(".field-problems li")
    link, button = problem.select_one("a"), problem.select_one("button")
    assert link is not None
    assert link["href"] == "#f-stock-rabbet_width"
    assert button is not None
    # a tenth less than the stock's width of 44
    assert (button["name"], button["value"]) == ("change", "set stock.rabbet_width 43.9")
    again = client.post(address, data=texts | {"change": str(button["value"])})
    assert fields(again)["stock.rabbet_width"] == "43.9"
    assert soup(again).select_one("#live svg") is not None
    assert soup(again).select(".field-error") == []
    # nothing was saved, and nothing else that was typed was lost
    assert soup(client.get(urls.project(project_id))).select("li.assembly") == []
    kept = {name: text for name, text in fields(again).items() if name in texts}
    assert kept | {"token": ""} == texts | {"stock.rabbet_width": "43.9", "token": ""}
