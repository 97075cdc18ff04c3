"""Patterns on the pages: kept of a project or an assembly, named, deleted, and begun from."""

from __future__ import annotations

from typing import Any

import pytest
from httpx import Response

from domain.spec.job import Stage
from domain.spec.patterns import pattern_of
from tests.client import TestClient
from tests.factories import a_frame
from tests.webapp.pages.reading import errors, fields, main, soup
from tests.webapp.pages.test_assembly_pages import make, specs
from tests.webapp.store.store_samples import one_of_each_kind
from webapp.form.carried import new_token
from webapp.site import urls
from webapp.store import Store
from webapp.store.projects import create_project, list_projects, load_project
from webapp.usecases.kept_patterns import kept, pattern

KEYS = {"section": "10", "count": 1, "plug": {"material": "wenge", "height": 2.5}}
TOO_LONG = "n" * 121


def keep(client: TestClient, project_id: int, name: str, assembly: int | None = None) -> Response:
    form: dict[str, Any] = fields(client.get(urls.keep_pattern(project_id, assembly=assembly)))
    answer: Response = client.post(urls.keep_pattern(project_id), data=form | {"name": name})
    return answer


def begin(client: TestClient, number: int, **typed: str) -> Response:
    form: dict[str, Any] = fields(client.get(urls.begin_from_pattern(number)))
    answer: Response = client.post(urls.begin_from_pattern(number), data=form | typed)
    return answer


def names(store: Store) -> list[str]:
    return [head.name for head in kept(store)]


def test_a_project_begins_from_a_finished_one(client: TestClient, store: Store) -> None:
    with store.writing() as session:
        first = create_project(session, one_of_each_kind())
    page = client.get(urls.project(first))
    assert soup(page).select(f"a[href='{urls.keep_pattern(first)}']")
    assert keep(client, first, "One of each").status_code == 303
    (head,) = kept(store)
    assert client.post(urls.delete_project(first), data={"token": new_token(), "version": "1"}).status_code == 303

    begun = begin(client, head.id, name="For the museum", customer="Bo")

    assert begun.status_code == 303
    with store.reading() as session:
        (made,) = list_projects(session)
        project = load_project(session, made.id).project
    assert begun.headers["location"] == urls.project(made.id)
    assert project == pattern_of(one_of_each_kind()).model_copy(
        update={"name": "For the museum", "customer": "Bo"}
    )
    assert (made.stage, made.due) == ("planned", None)


def test_a_pattern_stays_as_it_is_whatever_becomes_of_its_project(client: TestClient, demo_store: Store) -> None:
    number = make(demo_store, a_frame(width=412))
    keep(client, number, "Frame")
    (head,) = kept(demo_store)
    before = pattern(demo_store, head.id)
    form: dict[str, Any] = fields(client.get(urls.assembly(number, specs(demo_store, number)[0].id)))
    client.post(urls.assembly(number, specs(demo_store, number)[0].id), data=form | {"width": "555"})
    assert pattern(demo_store, head.id) == before


def test_an_assembly_begins_from_one_and_is_shown_before_it_is_saved(
    client: TestClient, demo_store: Store
) -> None:
    joints = {"C-J1": {"section": "7"}}
    old = make(demo_store, a_frame("B"), a_frame("C", width=412, material="elm", keys=KEYS, joints=joints))
    assert keep(client, old, "Hall frame", specs(demo_store, old)[1].id).status_code == 303
    number = make(demo_store, a_frame("A"))
    page = client.get(urls.project(number))
    (link,) = soup(page).select(f"a[href='{urls.kept_patterns(project=number)}']")
    offered = soup(client.get(str(link["href"])))
    (row,) = [row for row in offered.select("tbody tr") if "Hall frame" in row.text]

    shown = client.get(str(row.select("a")[0]["href"]))

    form: dict[str, Any] = fields(shown)
    assert (form["mark"], form["width"], form["height"], form["material"]) == ("B", "412", "300", "elm")
    assert (form["keys.section"], form["keys.plug_choice"]) == ("10", "2.5 mm wenge")
    assert len(specs(demo_store, number)) == 1  # nothing is stored yet
    added = client.post(urls.new_assembly(number, "mitred_frame"), data=form | {"width": "512"})
    assert added.status_code == 303
    spec = specs(demo_store, number)[1].spec
    assert (spec.mark, spec.material, list(spec.joints)) == ("B", "elm", ["B-J1"])
    assert "512" in main(client.get(urls.project(number)))


@pytest.mark.parametrize("place", range(5))
def test_the_form_of_every_kind_is_filled_with_its_pattern(client: TestClient, store: Store, place: int) -> None:
    with store.writing() as session:
        old = create_project(session, one_of_each_kind())
        number = create_project(session, one_of_each_kind().model_copy(update={"assemblies": ()}))
    assembly = specs(store, old)[place]
    keep(client, old, "One", assembly.id)
    (head,) = kept(store)
    kind = assembly.spec.kind

    form: dict[str, Any] = fields(client.get(urls.new_assembly(number, kind, pattern=head.id)))
    added = client.post(urls.new_assembly(number, kind), data=form | {"mark": assembly.spec.mark})

    if added.status_code == 303:
        opened = fields(client.get(urls.assembly(number, specs(store, number)[0].id)))
    else:  # sizes that clash are told at their fields, as in the project that they were kept from
        opened = fields(added)
    before = fields(client.get(urls.assembly(old, assembly.id)))
    unseen = {"token", "version", "sizes", "as_in"}
    same = {name for name in before if not name.startswith("joints.") and name not in unseen}
    assert {name: opened.get(name) for name in same} == {name: before[name] for name in same}


def test_the_job_stays_with_the_old_project(client: TestClient, demo_store: Store) -> None:
    job = {"state": "built", "due": "2026-12-18", "note": "ring first", "customer": "Ada"}
    number = make(demo_store, a_frame(), name="Old", **job)
    keep(client, number, "Frame")
    begin(client, kept(demo_store)[0].id, name="New")
    with demo_store.reading() as session:
        made = next(head for head in list_projects(session) if head.name == "New")
        project = load_project(session, made.id).project
    assert (project.customer, project.due, project.note) == (None, None, None)
    assert made.stage is Stage.PLANNED


@pytest.mark.parametrize("name", ["", "  ", TOO_LONG, "Tray 漢"])
def test_a_name_that_cannot_be_is_told_at_its_field(client: TestClient, demo_store: Store, name: str) -> None:
    number = make(demo_store, a_frame())
    refused = keep(client, number, name)
    assert refused.status_code == 422
    assert "name" in errors(refused)
    keep(client, number, "Good")
    head = kept(demo_store)[0]
    form: dict[str, Any] = fields(client.get(urls.kept_pattern(head.id)))
    renamed = client.post(urls.kept_pattern(head.id), data=form | {"name": name})
    assert renamed.status_code == 422
    assert begin(client, head.id, name=name).status_code == 422
    assert names(demo_store) == ["Good"]


def test_a_name_that_is_taken_is_told_at_its_field(client: TestClient, demo_store: Store) -> None:
    number = make(demo_store, a_frame())
    keep(client, number, "Tray")
    refused = keep(client, number, "Tray", specs(demo_store, number)[0].id)
    assert refused.status_code == 422
    assert "There is a pattern Tray already" in soup(refused).text
    assert fields(refused)["assembly"] == str(specs(demo_store, number)[0].id)  # which one is not lost
    assert names(demo_store) == ["Tray"]


def test_who_renames_second_sees_both_names(client: TestClient, demo_store: Store) -> None:
    keep(client, make(demo_store, a_frame()), "Tray")
    head = kept(demo_store)[0]
    mine, theirs = (fields(client.get(urls.kept_pattern(head.id))) for _ in range(2))
    first: dict[str, Any] = theirs | {"name": "Deep tray"}
    second: dict[str, Any] = mine | {"name": "Flat tray"}
    assert client.post(urls.kept_pattern(head.id), data=first).status_code == 303
    refused = client.post(urls.kept_pattern(head.id), data=second)
    assert refused.status_code == 409
    assert "Deep tray" in main(refused)
    assert fields(refused)["name"] == "Flat tray"
    assert names(demo_store) == ["Deep tray"]


def test_a_deleted_pattern_is_offered_back_and_lies_in_the_bin(client: TestClient, demo_store: Store) -> None:
    keep(client, make(demo_store, a_frame()), "Tray")
    head = kept(demo_store)[0]
    form = {"token": new_token(), "version": str(head.version)}
    assert client.post(urls.delete_pattern(head.id), data=form).status_code == 303
    assert names(demo_store) == []
    binned = soup(client.get(urls.the_bin()))
    assert "Pattern Tray" in binned.text
    (back,) = binned.select("form[action$='/back']")
    token = {"token": new_token()}
    answer = client.post(str(back["action"]), data=token)
    assert answer.headers["location"] == urls.kept_patterns(at=f"pattern-{head.id}")
    assert names(demo_store) == ["Tray"]


@pytest.mark.parametrize(
    "address",
    [
        urls.kept_pattern(99),
        urls.begin_from_pattern(99),
        urls.keep_pattern(999),
        urls.keep_pattern(1, assembly=999),
        urls.kept_patterns(project=999),
        urls.new_assembly(1, "box", pattern=99),
    ],
)
def test_what_is_not_there_is_not_found(client: TestClient, demo_store: Store, address: str) -> None:
    assert client.get(address).status_code == 404


def test_no_assembly_begins_from_a_whole_project(client: TestClient, demo_store: Store) -> None:
    number = make(demo_store, a_frame())
    keep(client, number, "Whole")
    head = kept(demo_store)[0]
    assert client.get(urls.new_assembly(number, "mitred_frame", pattern=head.id)).status_code == 404
    assert "None is kept yet" in main(client.get(urls.kept_patterns(project=number)))


def test_a_new_project_and_the_list_lead_to_the_patterns(client: TestClient, demo_store: Store) -> None:
    for address in (urls.new_project(), urls.projects()):
        assert soup(client.get(address)).select(f"a[href='{urls.kept_patterns()}']")
