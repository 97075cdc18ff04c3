"""The health of the data, on its page and in the terminal."""

from __future__ import annotations

import json
import re
import sqlite3
from contextlib import closing
from pathlib import Path

import pytest
from bs4 import BeautifulSoup

from tests.client import TestClient, browsing
from tests.terminal import dovetally
from webapp.site import urls
from webapp.store import Store
from webapp.store.errors import Damaged


def facts(client: TestClient, address: str = urls.health) -> dict[str, str]:
    page = BeautifulSoup(client.get(address).text, "html.parser")
    return {
        label.get_text(): label.find_next("dd").get_text()  # type: ignore[union-attr]
        for label in page.select("main dl.facts dt")
    }


def test_sound_data(client: TestClient, demo_store: Store, file: Path) -> None:
    told = facts(client, f"{urls.health}?check=now")
    assert told["State"] == "sound"
    assert re.fullmatch(r"\d{4}-\d\d-\d\d \d\d:\d\d", told["Looked over"])
    assert told["File"] == str(file)
    assert told["Kept by"].startswith(f"SQLite {sqlite3.sqlite_version}, ")
    assert told["Projects"] == "3"
    assert "Looked over just now" in client.get(f"{urls.health}?check=now").text
    assert urls.health in client.get(urls.rules).text


def test_damage_is_told_on_every_page_and_stops_every_form(client: TestClient, demo_store: Store) -> None:
    def meet_damage() -> None:
        with demo_store.reading():
            raise Damaged("row 3 missing from index")

    client.get(urls.project(1))  # kept as bytes, without the notice
    with pytest.raises(Damaged):
        meet_damage()
    for address in (urls.projects(), urls.project(1), urls.rules()):
        page = BeautifulSoup(client.get(address).text, "html.parser")
        assert page.select_one(f"main .notice a[href='{urls.health()}']"), address
        assert "Nothing is saved any more" in page.get_text()
    assert facts(client)["State"] == "not sound: row 3 missing from index"
    health = client.get(urls.health).text
    assert "row 3 missing from index" in health
    assert "restore the last backup" in health
    refused = client.post(urls.delete_project(1), data={"version": "1"})
    assert refused.status_code == 503
    assert "Nothing was saved, and nothing will be until this is mended" in refused.text
    assert "restore the last backup" in refused.text
    assert client.get(urls.project(1)).status_code == 200


def test_looking_it_over_finds_what_came_meanwhile(client: TestClient, store: Store, file: Path) -> None:
    assert facts(client)["State"] == "sound"
    with closing(sqlite3.connect(file)) as connection:
        connection.execute("DROP TRIGGER tick_no_update")
    assert facts(client)["State"] == "sound"  # by the last look
    assert facts(client, f"{urls.health}?check=now")["State"] == "not sound: the trigger tick_no_update is missing"
    assert isinstance(store.trouble, Damaged)


NAMES = {
    *("format", "version", "store", "engine", "journal", "schema", "integrity", "last_backup"),
    *("projects", "revisions", "documents", "movements"),
}


@pytest.fixture
def data(demo_store: Store, file: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """The demo where the command line looks for it."""
    place = file.with_name("dovetally.db")
    with closing(sqlite3.connect(file)) as source, closing(sqlite3.connect(place)) as target:
        source.backup(target)
    monkeypatch.setenv("DOVETALLY_DATA", str(file.parent))
    monkeypatch.delenv("DOVETALLY_DATABASE_URL", raising=False)
    return place


def test_the_command_says_the_same(data: Path) -> None:
    done = dovetally("health", "--json")
    document = json.loads(done.stdout)
    assert done.returncode == 0
    assert set(document) == NAMES
    assert document["format"] == "dovetally-health"
    assert document["version"] == 1
    assert document["store"] == "sqlite"
    assert document["engine"] == sqlite3.sqlite_version
    assert document["integrity"] == "ok"
    assert document["last_backup"] is None
    assert document["projects"] == 3
    done = dovetally("health")
    told = dict(re.split(r"\s{2,}", line, maxsplit=1) for line in done.stdout.decode().splitlines())
    with browsing(Store.open(data)) as client:
        on_page = facts(client, f"{urls.health}?check=now")
    assert told.keys() == on_page.keys()
    assert told | {"Looked over": ""} == on_page | {"Looked over": ""}


def test_the_command_over_damaged_data_changes_nothing_and_says_what_to_do(data: Path) -> None:
    with closing(sqlite3.connect(data)) as connection:
        connection.execute("DROP TRIGGER tick_no_update")
    before = data.read_bytes()
    done = dovetally("health", "--json")
    assert (done.returncode, json.loads(done.stdout)["integrity"]) == (2, "the trigger tick_no_update is missing")
    done = dovetally("health")
    assert done.returncode == 2
    assert "not sound: the trigger tick_no_update is missing" in done.stdout.decode()
    assert "restore the last backup" in done.stdout.decode()
    assert data.read_bytes() == before


@pytest.mark.parametrize(
    ("body", "told"),
    [(None, "there is no data yet"), (b"a shopping list " * 100, "is not a Dovetally database")],
)
def test_the_command_where_there_is_nothing_to_look_at(data: Path, body: bytes | None, told: str) -> None:
    data.unlink()
    if body:
        data.write_bytes(body)
    done = dovetally("health")
    assert (done.returncode, done.stdout, done.stderr.count(b"\n")) == (2, b"", 1)
    assert told in done.stderr.decode()
    assert data.exists() is bool(body)
