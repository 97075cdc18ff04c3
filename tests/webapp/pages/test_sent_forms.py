"""Every form that books: sent again as it was, with another text, under another form's token.

The list of routes is the application's own, so that a new one cannot be forgotten here.
"""

from __future__ import annotations

import json
import sqlite3
from collections.abc import Iterator
from contextlib import closing
from importlib import import_module
from pathlib import Path

import pytest
from bs4 import BeautifulSoup
from fastapi.routing import APIRoute
from httpx import Response

from tests.client import TestClient
from tests.webapp.pages.order_samples import placed, supplier
from tests.webapp.pages.reading import main, soup
from tests.webapp.pages.sent_form_samples import FORMS, Fields, Form, filled, form_on, post, send, with_texts
from webapp.app import LATER
from webapp.form.carried import new_token
from webapp.pages.shop.sent_routes import route_of
from webapp.site import urls
from webapp.site.incoming import sent_once
from webapp.store import Store
from webapp.usecases.backups import back_up_now
from webapp.usecases.copies import copy_of_project
from webapp.usecases.exchange import project_text


@pytest.fixture
def store(demo_by_day: Store) -> Store:
    """A shop with everything, and one order that is under way."""
    placed(demo_by_day, supplier(demo_by_day), 1)
    return demo_by_day


def project_file(client: TestClient, store: Store) -> str:
    return project_text(copy_of_project(store, 1))


PRICES = "item,supplier,pack size,price,currency,price since\nglue,South,750,8.20,EUR,2026-01-01\n"


def booking_routes() -> Iterator[str]:
    """The addresses whose endpoint takes a form that books once."""
    for name in LATER:
        for route in import_module(name).router.routes:
            if isinstance(route, APIRoute) and any(
                one.call is not None and one.call.__qualname__ == f"{sent_once.__name__}.<locals>.new"
                for one in route.dependant.dependencies
            ):
                yield route.path


BY_FILE = {urls.confirm_import, urls.confirm_offers, urls.add_list, urls.starts, urls.end_start, urls.restore}
"""Forms that come of another one; each has a test of its own below."""


def test_every_route_that_books_is_here() -> None:
    assert set(booking_routes()) == {*FORMS, *BY_FILE}


def stored(file: Path) -> list[str]:
    """All that the shop has stored."""
    with closing(sqlite3.connect(file)) as connection:
        return list(connection.iterdump())


def token_of(fields: Fields) -> str:
    return dict(fields)["token"]


@pytest.mark.parametrize("form", FORMS.values(), ids=[str(address) for address in FORMS])
def test_a_form_that_books(client: TestClient, store: Store, file: Path, form: Form) -> None:
    form.before(client, store)
    sent = filled(client, form)
    asked = urls.sent_form(token_of(sent))
    assert client.get(asked).json() == {"saved": False, "address": None}

    first = post(client, form.action, sent)
    assert first.status_code == 303, main(first)
    kept = stored(file)
    led = client.get(asked).json()
    assert led["saved"]
    if not form.elsewhere:
        assert led["address"] == first.headers["location"]
    assert client.get(led["address"].partition("#")[0]).status_code == 200

    again = post(client, form.action, sent)
    assert (again.status_code, again.headers["location"]) == (303, led["address"])
    by_script = client.post(form.action, data=dict(sent), headers={"HX-Request": "true"})
    if len(dict(sent)) == len(sent):
        assert (by_script.status_code, by_script.headers["HX-Redirect"]) == (204, led["address"])
    assert stored(file) == kept

    changed = with_texts(sent, form.other or {"more": "than before"})
    beside = post(client, form.action, changed)
    assert beside.status_code == 409, main(beside)
    assert stored(file) == kept
    assert soup(beside).select_one(f'a.button[href="{led["address"]}"]') is not None
    rows = {
        row.select("th")[0].get_text(): [cell.get_text() for cell in row.select("td")]
        for row in soup(beside).select("tbody tr")
    }
    texts = dict(form.typed)
    for (name, text), label in zip(form.other.items(), form.labels, strict=False):
        assert rows[label] == [texts[name], text]
    assert_nothing_is_dropped(beside, form.action, changed)

    # what was sent now is saved by the page's own button, unless something else stands in its way
    fresh = form_on(beside, form.action)
    assert token_of(fresh) != token_of(sent)
    answer = post(client, form.action, fresh)
    assert answer.status_code in {303, 409, 422, 404}
    assert "Saved already" not in answer.text


def assert_nothing_is_dropped(page: Response, action: str, sent: Fields) -> None:
    """Every text that was sent is in the page's form that would send it again."""
    carried = form_on(page, action)
    assert sorted(field for field in carried if field[0] != "token") == sorted(
        (name, text.strip()) for name, text in sent if name != "token" and text.strip()
    )


@pytest.mark.parametrize("form", FORMS.values(), ids=[str(address) for address in FORMS])
def test_another_forms_token(client: TestClient, store: Store, file: Path, form: Form) -> None:
    form.before(client, store)
    other = FORMS[urls.new_supplier if form.action != urls.new_supplier() else urls.new_project]
    used = filled(client, other)
    assert post(client, other.action, used).status_code == 303
    sent = with_texts(filled(client, form), {"token": token_of(used)})
    kept = stored(file)
    answer = post(client, form.action, sent)
    assert answer.status_code == 409
    assert "was used up by another form" in main(answer)
    assert stored(file) == kept
    assert_nothing_is_dropped(answer, form.action, sent)


EDITED = [urls.new_project, urls.new_assembly, urls.new_section, urls.plugs, urls.new_supplier]


@pytest.mark.parametrize("address", EDITED)
def test_the_text_of_now_is_opened_in_what_was_saved(
    client: TestClient, store: Store, file: Path, address: urls.Address
) -> None:
    form = FORMS[address]
    sent = filled(client, form)
    assert post(client, form.action, sent).status_code == 303
    beside = post(client, form.action, with_texts(sent, form.other))
    opening = next(
        one for one in soup(beside).select("main form") if "Open it with the text of now" in one.get_text()
    )
    kept = stored(file)
    action = str(opening["action"])
    opened = post(client, action, form_on(beside, action))
    assert opened.status_code == 409
    assert "Changed meanwhile" in main(opened)
    assert stored(file) == kept
    typed = dict(form_on(opened, action))
    name, text = next(iter(form.other.items()))
    assert typed[name] == text
    # and saved from there, it takes the place of what was saved first
    assert post(client, action, form_on(opened, action)).status_code == 303
    assert text in client.get(action).text


def test_a_project_file_is_imported_once(client: TestClient, store: Store, file: Path) -> None:
    document = project_file(client, store)
    sent = {"token": new_token(), "document": document}

    def confirm(**changes: str) -> Response:
        files = {name: (None, value) for name, value in {**sent, **changes}.items()}
        answer: Response = client.post(urls.confirm_import(), files=files)
        return answer

    first = confirm()
    kept = stored(file)
    assert confirm().headers["location"] == first.headers["location"]
    other = json.dumps({**json.loads(document), "name": "Another"})
    beside = confirm(document=other)
    assert beside.status_code == 409
    assert stored(file) == kept
    assert dict(form_on(beside, urls.confirm_import()))["document"] == other


def test_offers_are_taken_once(client: TestClient, file: Path) -> None:
    preview = client.post(urls.import_offers(), files={"document": (None, PRICES)})
    sent = form_on(preview, urls.confirm_offers())

    def confirm(**changes: str) -> Response:
        files = {name: (None, value) for name, value in with_texts(sent, changes)}
        answer: Response = client.post(urls.confirm_offers(), files=files)
        return answer

    assert confirm().headers["location"] == urls.suppliers()
    kept = stored(file)
    assert confirm().headers["location"] == urls.suppliers()
    assert confirm(document=PRICES.replace("8.20", "8.30")).status_code == 409
    assert stored(file) == kept


def test_a_backup_is_restored_once(client: TestClient, store: Store, file: Path) -> None:
    made = back_up_now(store).path.name
    sent = form_on(client.get(urls.backup(made)), urls.restore(made))
    first = post(client, urls.restore(made), sent)
    assert first.status_code == 303
    send(client, FORMS[urls.new_project])
    kept = stored(file)
    again = post(client, urls.restore(made), sent)
    assert (again.status_code, again.headers["location"]) == (303, urls.backups())
    assert stored(file) == kept


def test_what_an_earlier_version_kept_is_told_for_what_it_is(client: TestClient, file: Path) -> None:
    sent = filled(client, FORMS[urls.new_project])
    assert post(client, urls.new_project(), sent).status_code == 303
    with closing(sqlite3.connect(file)) as connection, connection:
        connection.execute("UPDATE form_token SET route = '', fingerprint = '', sent_json = '[]'")
    answer = post(client, urls.new_project(), sent)
    assert answer.status_code == 409
    assert "did not keep what was in it" in main(answer)
    assert client.get(urls.sent_form(token_of(sent))).json() == {"saved": True, "address": None}
    assert_nothing_is_dropped(answer, urls.new_project(), sent)


def test_two_windows_on_one_page_have_forms_of_their_own(client: TestClient) -> None:
    tokens = [
        str(tag["value"])
        for _ in range(2)
        for tag in BeautifulSoup(client.get(urls.project(1)).text, "lxml").select("[name=token]")
    ]
    assert len(tokens) > 2
    assert len(set(tokens)) == len(tokens)


@pytest.mark.parametrize("token", ["", "short", "x" * 200, "no-such-form-0001", "a%00b"])
def test_what_is_no_token_was_not_saved(client: TestClient, token: str) -> None:
    answer = client.get(urls.sent_form("") + token)
    assert answer.status_code == 404 if not token else answer.json() == {"saved": False, "address": None}


def test_every_route_is_found_by_its_path() -> None:
    for address, form in FORMS.items():
        found = route_of(form.action)
        assert found is not None
        assert set(found[1]) == set(address.places)
    assert route_of(urls.section_preview()) is None
