"""The pages over data on a database server: what they say where there is no file."""

from __future__ import annotations

from collections.abc import Iterator
from io import BytesIO
from zipfile import ZipFile

import pytest

from tests.client import TestClient, browsing
from tests.terminal import dovetally
from tests.webapp.databases import nothing
from tests.webapp.pages.reading import main, soup
from tests.webapp.postgresql import Cluster
from webapp.form.carried import new_token
from webapp.site import urls
from webapp.store import Store, projects
from webapp.usecases.demo import load_demo_in
from webapp.usecases.health import health_document, health_of


@pytest.fixture
def store(cluster: Cluster) -> Iterator[Store]:
    with cluster.opened("demo", load_demo_in) as opened:
        yield opened


@pytest.fixture
def client(store: Store) -> Iterator[TestClient]:
    with browsing(store) as opened:
        yield opened


def test_the_health_page_says_what_keeps_the_data_and_who_backs_it_up(client: TestClient, store: Store) -> None:
    words = main(client.get(urls.health()))
    assert "State sound" in words
    assert "Last backup by the server's own tools" in words
    assert "Kept by PostgreSQL" in words
    assert "Looked over not yet" not in words
    told = health_document(health_of(store))
    assert (told["store"], told["integrity"], told["journal"]) == ("postgresql", "ok", "wal")
    assert told["engine"][:2].isdigit()
    assert told["projects"] > 0


def test_backups_are_said_to_be_the_servers_and_the_archive_goes_out_and_in(
    store: Store, cluster: Cluster
) -> None:
    with browsing(store) as client:
        page = client.get(urls.backups())
        assert page.status_code == 200
        assert "pg_dump" in main(page)
        assert soup(page).select_one(f'form[action="{urls.unarchive()}"]') is None
        archive = client.get(urls.archive()).content
        assert "tables/project.json" in ZipFile(BytesIO(archive)).namelist()
        for route in (urls.backups(), urls.second_folder(), urls.restore("a.db")):
            refused = client.post(route, data={"token": new_token(), "second_folder": "/"})
            assert refused.status_code in {404, 409}, route
    with store.reading() as session:
        wanted = [head.name for head in projects.list_projects(session)]
    with cluster.opened("empty", nothing) as other, browsing(other) as empty:
        assert soup(empty.get(urls.backups())).select_one(f'form[action="{urls.unarchive()}"]') is not None
        form = {"token": new_token()}
        for _ in range(2):  # sent twice, taken in once
            taken = empty.post(urls.unarchive(), data=form, files={"archive": ("a.zip", archive)})
            assert (taken.status_code, taken.headers["location"]) == (303, urls.projects())
        with other.reading() as session:
            assert [head.name for head in projects.list_projects(session)] == wanted
        assert empty.get(urls.archive()).content == archive


def test_the_command_line_says_the_same(store: Store, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("DOVETALLY_DATABASE_URL", store._writer.url.render_as_string(hide_password=False))
    told = dovetally("health", "--json")
    assert told.returncode == 0
    assert b'"store": "postgresql"' in told.stdout
    for command in (("backup",), ("restore", "--list")):
        refused = dovetally(*command)
        assert refused.returncode == 2
        assert b"pg_dump and pg_restore" in refused.stderr
        assert b"dovetally move" in refused.stderr
