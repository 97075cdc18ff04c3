"""Backups in use: of the day by the clock, on the page, from the command line, in a second folder."""

from __future__ import annotations

import sqlite3
from collections.abc import Iterator
from contextlib import closing
from pathlib import Path

import pytest
from bs4 import BeautifulSoup

from domain.lengths import Units
from tests.client import TestClient, browsing
from tests.terminal import dovetally
from tests.webapp.databases import Databases, bare_demo
from tests.webapp.store.store_samples import Clock, joint, project
from webapp.site import urls
from webapp.store import Store, backup, projects
from webapp.store.backup import folder_of, list_backups
from webapp.store.errors import Busy
from webapp.store.keeping import Why
from webapp.usecases import backups
from webapp.usecases.backups import Daily, back_up_if_due, back_up_now, choose_second_folder, overview
from webapp.usecases.projects import plan


@pytest.fixture
def clock() -> Clock:
    return Clock()


@pytest.fixture
def file(tmp_path: Path) -> Path:
    return tmp_path / "data" / "dovetally.db"


@pytest.fixture
def store(file: Path, databases: Databases, clock: Clock) -> Iterator[Store]:
    file.parent.mkdir()
    with databases.opened("bare demo", bare_demo, file, clock) as opened:
        yield opened


@pytest.fixture
def client(store: Store) -> Iterator[TestClient]:
    with browsing(store) as opened:
        yield opened


@pytest.fixture
def drive(tmp_path: Path) -> Path:
    folder = tmp_path / "drive"
    folder.mkdir()
    return folder


def words(client: TestClient, address: str) -> str:
    answer = client.get(address)
    assert answer.status_code == 200
    main = BeautifulSoup(answer.text, "html.parser").main
    assert main is not None
    return " ".join(main.get_text(" ").split())


def made(file: Path) -> list[Why]:
    return [each.name.why for each in list_backups(file, folder_of(file))]


def names(store: Store) -> set[str]:
    with store.reading() as session:
        return {head.name for head in projects.list_projects(session)}


def test_one_is_made_every_day_that_the_program_runs(store: Store, file: Path, clock: Clock) -> None:
    for _ in range(4):
        for _ in range(3):
            back_up_if_due(store)
            clock.forward(hours=1)
        clock.forward(days=1)
    assert made(file) == [Why.DAILY] * 4


def test_one_by_hand_is_the_days_and_one_before_a_restore_is_not(store: Store, file: Path, clock: Clock) -> None:
    by_hand = back_up_now(store)
    assert back_up_if_due(store) is None
    clock.forward(days=1)
    backups.put_back(store, by_hand.path.name)
    back_up_if_due(store)
    assert made(file) == [Why.DAILY, Why.BEFORE_RESTORE, Why.BY_HAND] or made(file) == [
        Why.BEFORE_RESTORE,
        Why.DAILY,
        Why.BY_HAND,
    ]


def test_what_is_in_the_way_is_told_on_the_page_and_tried_again(
    store: Store, file: Path, client: TestClient, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(backup, "PATIENCE", 0.05)
    with closing(sqlite3.connect(file, isolation_level=None)) as holder:
        holder.execute("BEGIN EXCLUSIVE")
        assert back_up_if_due(store) is None
    assert str(Busy()) in words(client, urls.backups())
    assert back_up_if_due(store) is not None
    assert str(Busy()) not in words(client, urls.backups())


def test_the_server_looks_by_itself_and_ends_when_it_ends(store: Store, file: Path) -> None:
    daily = Daily(store, first=0.01, following=0.01)
    daily.start()
    while not made(file):
        pass
    daily.stop()
    assert made(file) == [Why.DAILY]
    Daily(store).stop()


def test_a_drive_that_comes_back_gets_the_newest(store: Store, clock: Clock, drive: Path) -> None:
    choose_second_folder(store, str(drive))
    gone = drive.rename(drive.with_name("unplugged"))
    assert back_up_if_due(store) is not None or overview(store).trouble
    assert "plug the drive in" in (overview(store).trouble or "")
    assert not overview(store).in_reach
    gone.rename(drive)
    back_up_if_due(store)
    seen = overview(store)
    assert (seen.trouble, seen.in_reach) == (None, True)
    assert [each.path.name for each in seen.copies] == [each.path.name for each in seen.backups]


def test_the_page_says_when_the_last_was_made_and_warns(store: Store, client: TestClient, clock: Clock) -> None:
    assert "There is no backup yet" in words(client, urls.backups())
    answer = client.post(urls.backups())
    assert answer.status_code == 303
    said = words(client, answer.headers["location"])
    assert f"The last backup is of {clock().astimezone():%Y-%m-%d %H:%M} , by hand" in said
    assert "more than three days old" not in said
    clock.forward(days=3, seconds=1)
    assert "more than three days old" in words(client, urls.backups())


def test_the_page_shows_what_a_backup_holds_and_restores_it_and_back(store: Store, client: TestClient) -> None:
    before = names(store)
    earlier = back_up_now(store).path.name
    with store.writing() as session:
        projects.create_project(session, project(joint(), name="later"))
    said = words(client, urls.backup(earlier))
    assert f"Projects {len(before)} {len(before) + 1}" in said
    assert names(store) == before | {"later"}
    answer = client.post(urls.restore(earlier))
    assert answer.status_code == 303
    assert names(store) == before
    (undo,) = [each for each in overview(store).backups if each.name.why is Why.BEFORE_RESTORE]
    assert undo.path.name in words(client, answer.headers["location"])
    client.post(urls.restore(undo.path.name))
    assert names(store) == before | {"later"}


def test_no_page_shows_what_was_kept_of_the_data_before_a_restore(store: Store, client: TestClient) -> None:
    """The project has the same number and the same version again, and is another."""
    first = names(store)
    earlier = back_up_now(store).path.name

    def change(name: str) -> int:
        with store.writing() as session:
            head = projects.load_project(session, 1).head
            projects.update_head(session, 1, head.version, name=name, customer=None, units=Units.MM, currency=None)
        return plan(store, 1).bench.edition[1]

    version = change("One name")
    assert "One name" in words(client, urls.schedule(1))
    client.post(urls.restore(earlier))
    assert names(store) == first
    assert change("Another name") == version
    assert "Another name" in words(client, urls.schedule(1))
    assert "One name" not in words(client, urls.schedule(1))


def test_a_damaged_backup_is_told_on_its_page_and_nothing_changes(store: Store, client: TestClient) -> None:
    made = back_up_now(store).path
    raw = bytearray(made.read_bytes())
    raw[len(raw) // 2] ^= 4
    made.write_bytes(raw)
    before = names(store)
    for answer in (client.get(urls.backup(made.name)), client.post(urls.restore(made.name))):
        assert answer.status_code == 422
        assert "choose another backup" in answer.text
    assert names(store) == before


@pytest.mark.parametrize("name", ["dovetally.db", "..%2Fdovetally.db", "second-folder.json", ".lock", "none.db"])
def test_no_file_but_a_backup_is_handed_out(store: Store, client: TestClient, name: str) -> None:
    back_up_now(store)
    for address in (f"/backups/files/{name}", f"/backups/files/{name}/download"):
        assert client.get(address).status_code == 404
    assert client.post(f"/backups/files/{name}/restore").status_code == 404


def test_a_backup_can_be_downloaded_whole(store: Store, client: TestClient) -> None:
    made = back_up_now(store).path
    answer = client.get(urls.backup_file(made.name))
    assert answer.content == made.read_bytes()
    assert made.name in answer.headers["content-disposition"]


def test_the_second_folder_is_named_on_the_page_and_kept(store: Store, client: TestClient, drive: Path) -> None:
    newest = back_up_now(store).path.name
    answer = client.post(urls.second_folder(), data={"second_folder": str(drive)})
    assert answer.status_code == 303
    assert [path.name for path in drive.iterdir()] == [newest]
    assert "here and there" in words(client, urls.backups())
    assert str(drive) in client.get(urls.backups()).text
    client.post(urls.second_folder(), data={"second_folder": ""})
    back_up_now(store)
    assert [path.name for path in drive.iterdir()] == [newest]


@pytest.mark.parametrize("text", ["/there/is/none", "drive"])
def test_a_second_folder_that_will_not_do_is_refused_at_its_field(
    store: Store, client: TestClient, file: Path, text: str
) -> None:
    answer = client.post(urls.second_folder(), data={"second_folder": text})
    assert answer.status_code == 422
    assert "there is no such folder" in answer.text.lower()
    assert f'value="{text}"' in answer.text
    inside = client.post(urls.second_folder(), data={"second_folder": str(file.parent)})
    assert inside.status_code == 422
    assert "is where the data is" in inside.text.lower()


@pytest.fixture
def told(file: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """The command line's data is this test's."""
    monkeypatch.setenv("DOVETALLY_DATA", str(file.parent))
    monkeypatch.delenv("DOVETALLY_DATABASE_URL", raising=False)


@pytest.mark.usefixtures("told", "store")
def test_the_command_makes_a_backup_while_the_data_is_open(file: Path, tmp_path: Path) -> None:
    run = dovetally("backup")
    assert (run.returncode, run.stderr) == (0, b"")
    (there,) = list_backups(file, folder_of(file))
    assert run.stdout.decode() == f"Backed up to {there.path}.\n"
    assert str(there.path) in dovetally("restore", "--list").stdout.decode()
    named = tmp_path / "elsewhere.db"
    assert dovetally("backup", str(named)).returncode == 0
    again = dovetally("backup", str(named))
    assert (again.returncode, again.stdout) == (2, b"")
    assert "is there already" in again.stderr.decode()


@pytest.mark.usefixtures("told")
def test_the_command_restores_and_says_what_it_would_replace(store: Store, file: Path) -> None:
    earlier, before = back_up_now(store).path, names(store)
    with store.writing() as session:
        projects.create_project(session, project(joint(), name="later"))
    store.close()
    raw = file.read_bytes()
    look = dovetally("restore", str(earlier))
    assert (look.returncode, look.stderr) == (0, b"")
    assert f"{'Projects':<24}{len(before):>12}{len(before) + 1:>12}" in look.stdout.decode().splitlines()
    assert "Nothing was changed" in look.stdout.decode()
    assert file.read_bytes() == raw
    assert dovetally("restore", str(earlier), "--yes").returncode == 0
    with closing(Store.open(file)) as opened:
        assert names(opened) == before
    (undo,) = [each for each in list_backups(file, folder_of(file)) if each.name.why is Why.BEFORE_RESTORE]
    assert dovetally("restore", str(undo.path), "--yes").returncode == 0
    with closing(Store.open(file)) as opened:
        assert names(opened) == before | {"later"}


@pytest.mark.usefixtures("told")
def test_the_command_changes_nothing_while_a_server_runs(store: Store, file: Path) -> None:
    earlier = back_up_now(store).path
    store.close()
    with closing(Store.open(file, lock=True)):
        before = file.read_bytes()
        run = dovetally("restore", str(earlier), "--yes")
        assert (run.returncode, run.stdout) == (2, b"")
        assert "already running" in run.stderr.decode()
        assert file.read_bytes() == before


@pytest.mark.usefixtures("told")
@pytest.mark.parametrize(
    ("arguments", "said"),
    [
        (("restore",), "restore --list"),
        (("restore", "none.db"), "there is no such file"),
        (("restore", "none.db", "--yes"), "there is no such file"),
        (("backup",), "there is no data"),
    ],
)
def test_the_command_refuses_in_one_line(file: Path, arguments: tuple[str, ...], said: str) -> None:
    run = dovetally(*arguments)
    assert (run.returncode, run.stdout) == (2, b"")
    assert said in run.stderr.decode()
    assert run.stderr.count(b"\n") == 1
    assert not file.exists()


def test_a_server_makes_its_own(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("DOVETALLY_DATABASE_URL", "postgresql://localhost/workshop")
    for arguments in (("backup",), ("restore", "--list")):
        run = dovetally(*arguments)
        assert run.returncode == 2
        assert "pg_dump" in run.stderr.decode()
