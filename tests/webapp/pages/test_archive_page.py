"""The open archive on the page: downloaded whole, taken in by an empty shop, once."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest

from tests.client import OURS, TestClient, browsing
from tests.webapp.databases import Databases
from tests.webapp.pages.reading import main, soup
from webapp.form.carried import new_token
from webapp.site import urls
from webapp.store import Store, projects
from webapp.store.errors import Damaged
from webapp.usecases import archiving
from webapp.usecases.demo import load_demo_in


@pytest.fixture
def out(databases: Databases, tmp_path: Path) -> bytes:
    """The demo's archive, as the page gives it."""
    folder = tmp_path / "demo"
    folder.mkdir()
    with databases.opened("demo", load_demo_in, folder / "shop.db") as store, browsing(store) as client:
        answer = client.get(urls.archive())
    assert answer.status_code == 200
    assert answer.headers["content-type"] == "application/zip"
    assert 'filename="dovetally-archive.zip"' in answer.headers["content-disposition"]
    assert [each.name for each in folder.iterdir() if each.name.startswith(".look")] == []
    return bytes(answer.content)


@pytest.fixture
def client(store: Store, out: bytes) -> Iterator[TestClient]:
    """At an empty shop; after ``out``, for one browser is open at a time."""
    with browsing(store) as opened:
        yield opened


def send(client: TestClient, body: bytes, token: str | None = None) -> tuple[int, str, str]:
    data, files = {"token": token or new_token()}, {"archive": ("shop.zip", body)}
    answer = client.post(urls.unarchive(), data=data, files=files)
    return answer.status_code, answer.headers.get("location", ""), main(answer) if answer.text else ""


def names(store: Store) -> list[str]:
    with store.reading() as session:
        return [head.name for head in projects.list_projects(session)]


def test_an_empty_shop_takes_it_in_once_and_gives_it_out_again(
    client: TestClient, store: Store, out: bytes
) -> None:
    page = client.get(urls.backups())
    (form,) = soup(page).select(f'form[action="{urls.unarchive()}"]')
    assert form["enctype"] == "multipart/form-data"
    token = new_token()
    assert send(client, out, token)[:2] == (303, urls.projects())
    assert len(names(store)) >= 3
    assert client.get(urls.archive()).content == out
    # the very same once more is led to the first result, another file under that form is not
    assert send(client, out, token)[:2] == (303, urls.projects())
    assert send(client, out + b" ", token)[0] == 409
    assert client.get(urls.sent_form(token)).json() == {"saved": True, "address": urls.projects()}


def test_a_shop_that_is_not_empty_says_so_and_what_to_do(client: TestClient, store: Store, out: bytes) -> None:
    send(client, out)
    before = names(store)
    status, _, said = send(client, out)
    assert status == 409
    assert "This shop is not empty" in said
    assert "DOVETALLY_DATA" in said
    assert names(store) == before
    page = client.get(urls.backups())
    assert soup(page).select(f'form[action="{urls.unarchive()}"]') == []
    assert "An archive is taken in by an empty shop alone" in main(page)


@pytest.mark.parametrize("body", [b"", b"PK", b"not a zip at all" * 100])
def test_what_is_none_is_refused_by_the_name_that_it_was_sent_under(
    client: TestClient, store: Store, body: bytes
) -> None:
    status, _, said = send(client, body)
    assert status == 422
    assert "shop.zip is not taken in: it is no zip file, or a damaged one." in said
    assert names(store) == []


def test_no_file_chosen(client: TestClient) -> None:
    answer = client.post(urls.unarchive(), data={"token": new_token()}, headers={"Origin": OURS})
    assert answer.status_code == 422
    assert "choose an archive" in main(answer)


def test_an_archive_may_be_larger_than_a_form(client: TestClient) -> None:
    status, _, said = send(client, b"x" * 3_000_000)
    assert (status, "no zip file" in said) == (422, True)


def test_the_page_is_shown_where_the_data_cannot_be_read(
    client: TestClient, monkeypatch: pytest.MonkeyPatch
) -> None:
    def damaged(_store: Store) -> bool:
        raise Damaged("row 3 missing")

    monkeypatch.setattr(archiving, "is_empty", damaged)
    page = client.get(urls.backups())
    assert page.status_code == 200
    assert soup(page).select(f'form[action="{urls.unarchive()}"]') == []
