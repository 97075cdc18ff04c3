"""A shop from its file to a server and back: all of it, or nothing; and the open archive on a server."""

from __future__ import annotations

import sqlite3
import threading
from collections.abc import Iterator
from contextlib import closing
from datetime import UTC, datetime
from pathlib import Path

import pytest
from sqlalchemy.engine import make_url

from tests.terminal import dovetally
from tests.webapp.databases import nothing
from tests.webapp.faults.shop import contents
from tests.webapp.postgresql import Cluster
from tests.webapp.store.filled import fill
from tests.webapp.store.store_samples import project
from tests.webapp.store.test_server_schema import EARLIER
from webapp.store import Store, carry, projects, relocate
from webapp.store.archive import ShopNotEmpty, archive, archive_open, take_in
from webapp.store.carry import NotCarried
from webapp.store.engine import hold, life_of
from webapp.store.errors import CannotOpen, InUse, NewerDatabase, Occupied, OtherVersion, StoreError
from webapp.store.file_tables import OF_THE_PROGRAM
from webapp.store.relocate import TargetNotEmpty
from webapp.store.restore import Flaw, Refused

AT = datetime(2026, 3, 2, tzinfo=UTC)


@pytest.fixture(scope="module")
def made(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A file with at least one row in every table."""
    file = tmp_path_factory.mktemp("made") / "shop.db"
    fill(file)
    return file


@pytest.fixture
def full(made: Path, tmp_path: Path) -> Path:
    """A copy of it."""
    (tmp_path / "full").mkdir()
    file = tmp_path / "full" / "shop.db"
    file.write_bytes(made.read_bytes())
    return file


@pytest.fixture
def name(cluster: Cluster) -> Iterator[str]:
    """A database with nothing in it, not even tables."""
    with cluster.empty() as empty:
        yield empty


@pytest.fixture
def url(cluster: Cluster, name: str) -> str:
    return cluster.url(name)


def tables_on(cluster: Cluster, name: str) -> set[object]:
    with closing(cluster.connect(name)) as connection:
        return {
            row[0] for row in connection.execute("SELECT tablename FROM pg_tables WHERE schemaname = 'public'")
        }


def zipped(file: Path) -> bytes:
    archive(file, file.with_name("out.zip"))
    return file.with_name("out.zip").read_bytes()


def test_there_and_back_every_row_is_the_same_and_so_is_the_archive(url: str, full: Path, tmp_path: Path) -> None:
    before, archived = contents(full), zipped(full)
    assert all(rows for table, rows in before.items() if not table.startswith("sqlite_"))
    moved = relocate.to_server(full, make_url(url))
    assert contents(full) == before
    assert moved.counts == {table: len(rows) for table, rows in before.items() if table not in OF_THE_PROGRAM}
    with closing(Store.open(url)) as store:
        archive_open(store, tmp_path / "server.zip")
    assert (tmp_path / "server.zip").read_bytes() == archived
    back = tmp_path / "back" / "shop.db"
    again = relocate.to_file(make_url(url), back, AT)
    assert again.contents == moved.contents
    assert {table: sorted(rows, key=repr) for table, rows in contents(back).items()} == {
        table: sorted((row for row in rows if table != "sqlite_sequence" or row[1]), key=repr)
        for table, rows in before.items()
    }
    assert zipped(back) == archived


def test_numbers_go_on_after_the_last_that_was_given_out(url: str, full: Path, tmp_path: Path) -> None:
    with closing(Store.open(full)) as store, store.writing() as session:
        last = projects.create_project(session, project())
        projects.delete_project(session, last, 1)
    relocate.to_server(full, make_url(url))
    relocate.to_file(make_url(url), tmp_path / "back.db", AT)
    for where in (url, tmp_path / "back.db"):
        with closing(Store.open(where)) as store, store.writing() as session:
            assert projects.create_project(session, project()) == last + 1


@pytest.mark.parametrize("version", [min(EARLIER), max(EARLIER)])
def test_a_file_of_an_earlier_version_is_brought_up_to_date_on_the_way(
    url: str, tmp_path: Path, version: int
) -> None:
    file = tmp_path / "earlier.db"
    with closing(sqlite3.connect(file)) as connection:
        connection.executescript(EARLIER[version].read_text(encoding="utf-8"))
    before = file.read_bytes()
    moved = relocate.to_server(file, make_url(url))
    assert file.read_bytes() == before
    Store.open(file).close()
    assert carry.contents_of_file(file) == moved.contents


def test_nothing_is_moved_where_somebody_has_either_open(
    cluster: Cluster, name: str, url: str, full: Path, tmp_path: Path
) -> None:
    lock = hold(full)
    with pytest.raises(InUse, match="already running on this data"):
        relocate.to_server(full, make_url(url))
    lock.release()
    with (
        closing(cluster.connect(name)),
        pytest.raises(Occupied, match=r"1 other connection is open to .*Stop Dov"),
    ):
        relocate.to_server(full, make_url(url))
    assert tables_on(cluster, name) == set()
    with closing(Store.open(url)), pytest.raises(Occupied, match="Stop Dovetally at every station"):
        relocate.to_file(make_url(url), tmp_path / "back.db", AT)
    assert not (tmp_path / "back.db").exists()


def test_a_shop_is_moved_only_to_where_there_is_none(url: str, full: Path, tmp_path: Path) -> None:
    before = contents(full)
    with closing(Store.open(url)) as store, store.writing() as session:
        projects.create_project(session, project())
    with pytest.raises(TargetNotEmpty, match=r"rows in project.*name an empty place"):
        relocate.to_server(full, make_url(url))
    with pytest.raises(TargetNotEmpty, match="name an empty place"):
        relocate.to_file(make_url(url), full, AT)
    assert contents(full) == before
    empty = tmp_path / "empty.db"
    Store.open(empty).close()
    moved = relocate.to_file(make_url(url), empty, AT)
    assert moved.before is not None
    assert moved.before.path.is_file()
    with closing(Store.open(empty)) as store, store.reading() as session:
        assert [head.name for head in projects.list_projects(session)] == ["Window seat"]


UNTAKEN = {
    "a letter that is none": ("UPDATE project SET customer = 'Ålund' || char(0)", "project"),
    "a number too large": ("INSERT INTO plug VALUES (9, 'oak', 9, NULL, 3000000000)", "plug"),
}


@pytest.mark.parametrize(("change", "table"), UNTAKEN.values(), ids=UNTAKEN)
def test_what_a_server_cannot_keep_is_named_and_nothing_is_moved(
    cluster: Cluster, name: str, url: str, full: Path, change: str, table: str
) -> None:
    with closing(sqlite3.connect(full, isolation_level=None)) as connection:
        connection.execute(change)
    with pytest.raises(NotCarried, match=f"The table {table} cannot be moved: .* Nothing was moved"):
        relocate.to_server(full, make_url(url))
    assert tables_on(cluster, name) == set()


def test_what_reads_back_otherwise_is_not_moved(
    cluster: Cluster, name: str, url: str, full: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    relocate.to_server(full, make_url(url))
    rows_on = carry._rows_on

    def other(connection: object, table: str, *rest: object) -> Iterator[carry.Row]:
        for row in rows_on(connection, table, *rest):  # type: ignore[arg-type]
            yield tuple(b"other" if isinstance(value, bytes) else value for value in row)

    monkeypatch.setattr(carry, "_rows_on", other)
    with cluster.empty() as second, pytest.raises(NotCarried, match="does not read back as it was"):
        relocate.to_server(full, make_url(cluster.url(second)))
    with pytest.raises(Refused, match="paper that is not what was issued"):
        relocate.to_file(make_url(url), tmp_path / "back.db", AT)
    assert not (tmp_path / "back.db").exists()


def test_a_damaged_or_missing_file_is_not_moved(cluster: Cluster, name: str, url: str, full: Path) -> None:
    with pytest.raises(CannotOpen, match="there is no such file"):
        relocate.to_server(full.with_name("none.db"), make_url(url))
    with closing(sqlite3.connect(full, isolation_level=None)) as connection:
        connection.execute("DROP TRIGGER movement_no_delete")
    with pytest.raises(Refused) as refusal:
        relocate.to_server(full, make_url(url))
    assert refusal.value.flaw is Flaw.ALTERED
    assert tables_on(cluster, name) == set()


def test_a_newer_servers_data_is_not_moved(
    url: str, full: Path, tmp_path: Path, cluster: Cluster, name: str
) -> None:
    relocate.to_server(full, make_url(url))
    with closing(cluster.connect(name)) as connection:
        connection.execute("UPDATE alembic_version SET version_num = '9999'")
    with pytest.raises(NewerDatabase):
        relocate.to_file(make_url(url), tmp_path / "back.db", AT)


def test_an_archive_is_taken_in_by_an_empty_shop_on_a_server_and_every_station_knows(
    cluster: Cluster, full: Path, tmp_path: Path
) -> None:
    archive(full, tmp_path / "one.zip")
    with (
        cluster.opened("empty", nothing) as store,
        closing(Store.open(store._writer.url.render_as_string(hide_password=False))) as other,
    ):
        with other.reading() as session:
            life = life_of(session)
        done = take_in(store, tmp_path / "one.zip", "one.zip")
        assert done.held.counts["project"] == 1
        with other.reading() as session:
            assert life_of(session) is not life
            assert life_of(session) is other.life
            assert len(projects.list_projects(session)) == 1
        archive_open(other, tmp_path / "two.zip")
        with pytest.raises(ShopNotEmpty):
            take_in(other, tmp_path / "one.zip", "one.zip")
    assert (tmp_path / "one.zip").read_bytes() == (tmp_path / "two.zip").read_bytes()


def test_a_station_of_another_version_neither_reads_nor_writes(cluster: Cluster) -> None:
    with cluster.opened("empty", nothing) as store:
        with closing(cluster.connect(str(store._writer.url.database))) as connection:
            connection.execute("UPDATE alembic_version SET version_num = '9999'")
        said = r"version 9999 .* Install the same Dovetally at every station"
        with pytest.raises(OtherVersion, match=said), store.writing() as session:
            projects.create_project(session, project())
        with pytest.raises(OtherVersion), store.reading() as session:
            projects.list_projects(session)


def test_a_database_that_has_not_every_letter_is_refused(cluster: Cluster) -> None:
    with closing(cluster.connect("postgres")) as admin:
        admin.execute(
            "CREATE DATABASE letters TEMPLATE template0 ENCODING 'LATIN1' LOCALE_PROVIDER libc LOCALE 'C'"
        )
        try:
            with pytest.raises(CannotOpen, match=r"encoding is LATIN1.*make it with UTF8"):
                Store.open(cluster.url("letters"))
        finally:
            admin.execute("DROP DATABASE letters WITH (FORCE)")


def test_two_stations_that_start_at_once_make_one_schema(url: str) -> None:
    opened: list[Store] = []
    failed: list[StoreError] = []

    def start() -> None:
        try:
            opened.append(Store.open(url))
        except StoreError as error:
            failed.append(error)

    stations = [threading.Thread(target=start) for _ in range(3)]
    for each in stations:
        each.start()
    for each in stations:
        each.join()
    assert failed == []
    for store in opened:
        with store.writing() as session:
            projects.create_project(session, project())
        store.close()


def test_the_command_tells_what_it_moved_and_says_no_password(
    url: str, full: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    secret = url.replace("shop@", "shop:of-nobodys-business@")
    told = dovetally("move", "--from", str(full), "--to", secret)
    out = told.stdout.decode()
    assert (told.returncode, told.stderr) == (0, b"")
    assert "of-nobodys-business" not in out
    lines = dict(line.rsplit(maxsplit=1) for line in out.splitlines() if line[-1:].isdigit())
    assert (lines["Projects"], lines["Issued papers"], lines["Entries of the ledger"]) == ("1", "1", "1")
    assert "every row was read back and has the sum that it had before" in out
    assert "Name it in DOVETALLY_DATABASE_URL at every station" in out
    again = dovetally("move", "--from", str(full), "--to", secret)
    assert again.returncode == 2
    assert "there is a shop in it already" in again.stderr.decode()
    monkeypatch.setenv("DOVETALLY_DATABASE_URL", url)
    assert dovetally("archive", str(tmp_path / "out.zip")).returncode == 0
    assert (tmp_path / "out.zip").read_bytes() == zipped(full)
    back = dovetally("move", "--from", url, "--to", str(tmp_path / "back.db"))
    assert back.returncode == 0
    assert "Start with DOVETALLY_DATA naming its folder" in back.stdout.decode()


@pytest.mark.parametrize(
    ("source", "target"), [("one.db", "two.db"), ("postgresql://nobody@here/one", "postgresql://nobody@here/two")]
)
def test_the_command_moves_between_a_file_and_a_server_alone(source: str, target: str) -> None:
    told = dovetally("move", "--from", source, "--to", target)
    assert told.returncode == 2
    assert b"name a file and a server" in told.stderr
