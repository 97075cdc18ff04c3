"""The demo workshop in a place of its own: a way in and out, and nothing of the shop's own is touched."""

from __future__ import annotations

import hashlib
import re
import sqlite3
from collections.abc import Iterator
from contextlib import closing

import pytest

from tests.client import TestClient
from tests.webapp.pages.reading import main, soup
from tests.webapp.pages.sent_form_samples import form_on, post, with_texts
from tests.webapp.store.store_samples import joint, project
from webapp.form.carried import new_token
from webapp.site import urls
from webapp.store import Store, projects
from webapp.usecases.demo import demo_file

IN_DEMO = urls.way_in()


@pytest.fixture
def own(store: Store) -> Store:
    with store.writing() as session:
        projects.create_project(session, project(joint()))
    return store


def sum_of(store: Store) -> str:
    """What is in the shop's own data, row by row."""
    assert store.path is not None
    with closing(sqlite3.connect(store.path)) as connection:
        return hashlib.sha256("\n".join(connection.iterdump()).encode()).hexdigest()


def inside(client: TestClient) -> list[str]:
    return sorted(cell.get_text(strip=True) for cell in soup(client.get(IN_DEMO)).select("#project-list tbody th"))


def test_an_empty_shop_and_its_settings_lead_in_and_every_page_leads_out(client: TestClient) -> None:
    for page in (urls.projects(), urls.catalogue(), urls.rules()):
        assert soup(client.get(page)).select_one(f'a[href="{IN_DEMO}"]'), page
    assert len(inside(client)) == 3
    waiting, seen = [IN_DEMO], set[str]()
    while waiting:
        address = waiting.pop()
        shape = re.sub(r"\d+", "1", address.split("?")[0].split("#")[0])
        if shape in seen or not shape.startswith("/demo/") or "/print" in shape or "/tables/" in shape:
            continue
        seen.add(shape)
        answer = client.get(address)
        if not answer.headers["content-type"].startswith("text/html"):
            continue
        read = soup(answer)
        assert "You are in the demo workshop" in read.get_text(), address
        leads = [
            str(link[name])
            for name in ("href", "action", "hx-get", "hx-post")
            for link in read.select(f"[{name}]")
        ]
        out = {lead for lead in leads if lead.startswith("/") and not lead.startswith(("/demo/", "/static/"))}
        assert out == {urls.projects()}, address  # the way out, and no other
        waiting += [str(link["href"]) for link in read.select("main a[href^='/demo/']")][:40]
    assert len(seen) > 20


def test_what_is_done_inside_leaves_the_shop_as_it_is(client: TestClient, own: Store) -> None:
    before = sum_of(own)
    page = client.get(f"{urls.demo}{urls.edit_project(1)}")
    action = f"{urls.demo}{urls.edit_project(1)}"
    answer = post(client, action, with_texts(form_on(page, action), {"name": "Tried out"}))
    assert (answer.status_code, answer.headers["location"]) == (303, f"{urls.demo}{urls.project(1)}")
    page = client.get(f"{urls.demo}{urls.project_stock(1)}")
    action = f"{urls.demo}{urls.go_ahead(1)}"
    assert post(client, action, form_on(page, action)).status_code == 303
    assert "Tried out" in inside(client)
    assert sum_of(own) == before
    assert "Window seat" in main(client.get(urls.projects()))
    assert "Tried out" not in main(client.get(urls.projects()))
    assert demo_file(own).exists()


def test_the_same_form_sent_twice_inside_is_told_the_first_result(client: TestClient) -> None:
    action = f"{urls.demo}{urls.new_project()}"
    page = client.get(action)
    fields = with_texts(form_on(page, action), {"name": "Twice"})
    first, second = post(client, action, fields), post(client, action, fields)
    assert first.status_code == second.status_code == 303
    assert first.headers["location"] == second.headers["location"]
    assert first.headers["location"].startswith(urls.demo)
    assert inside(client).count("Twice") == 1


def test_a_token_of_the_shop_is_none_of_the_demo(client: TestClient, own: Store) -> None:
    token, both = new_token(), []
    for place in ("", urls.demo):
        data = {"token": token, "name": "Box", "customer": "", "units": "mm", "currency": "", "kind": ""}
        both.append(client.post(f"{place}{urls.new_project()}", data=data).headers["location"])
    assert both[0].startswith("/projects/")
    assert both[1].startswith("/demo/projects/")


def test_it_is_begun_afresh(client: TestClient, own: Store) -> None:
    before = sum_of(own)
    action = f"{urls.demo}{urls.new_project()}"
    post(client, action, with_texts(form_on(client.get(action), action), {"name": "Spoilt"}))
    assert "Spoilt" in inside(client)
    answer = client.post(f"{urls.demo}{urls.demo_afresh()}")
    assert (answer.status_code, answer.headers["location"]) == (303, IN_DEMO)
    assert len(inside(client)) == 3
    assert client.post(urls.demo_afresh()).status_code == 404
    assert sum_of(own) == before


@pytest.mark.parametrize(
    "address", [urls.backups(), urls.devices(), urls.pair(), urls.archive(), urls.api_check()]
)
@pytest.mark.parametrize("method", ["GET", "POST"])
def test_backups_and_devices_are_the_shops_alone(client: TestClient, address: str, method: str) -> None:
    answer = client.request(method, f"{urls.demo}{address}")
    assert answer.status_code == 404
    assert "Not in the demo workshop" in answer.text


def test_what_was_tried_is_kept_until_it_is_thrown_away(client: TestClient, own: Store) -> None:
    action = f"{urls.demo}{urls.new_project()}"
    post(client, action, with_texts(form_on(client.get(action), action), {"name": "Kept"}))
    client.app.state.demo_place.close()  # type: ignore[attr-defined]
    assert "Kept" in inside(client)


@pytest.fixture(autouse=True)
def closed(client: TestClient) -> Iterator[None]:
    yield
    client.app.state.demo_place.begin_afresh()  # type: ignore[attr-defined]
