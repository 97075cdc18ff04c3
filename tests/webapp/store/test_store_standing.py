"""Once damage was seen or the file is gone nothing is written, what can be saved is, nothing is begun anew."""

from __future__ import annotations

import os
import shutil
import sqlite3
import sys
from contextlib import closing
from datetime import UTC, datetime
from pathlib import Path

import pytest

from tests.webapp.store.store_samples import joint, project
from webapp.store import Store, projects, schema, sqlite
from webapp.store.backup import make_backup
from webapp.store.errors import Damaged, DataMissing, FileGone, NothingWritten, OnlyToLookAt, ReadOnly
from webapp.store.keeping import Why
from webapp.store.sqlite import Journal

ON_WINDOWS = pytest.mark.skipif(sys.platform == "win32", reason="Windows keeps an open file from being deleted")


def names(store: Store) -> list[str]:
    with store.reading() as session:
        return [head.name for head in projects.list_projects(session)]


def write(store: Store, name: str = "Written") -> None:
    with store.writing() as session:
        projects.create_project(session, project(joint(), name=name))


def rows(file: Path) -> list[str]:
    with closing(sqlite3.connect(file)) as connection:
        assert connection.execute("PRAGMA integrity_check").fetchone() == ("ok",)
        return [name for (name,) in connection.execute("SELECT name FROM project ORDER BY id")]


def test_all_is_well_at_first(store: Store) -> None:
    write(store)
    assert store.trouble is None


def test_damage_that_a_reader_meets_stops_every_writer(store: Store, file: Path) -> None:
    write(store)

    def meet_damage() -> None:
        with store.reading():
            raise Damaged("row 3 missing from index")

    with pytest.raises(Damaged):
        meet_damage()
    before = file.read_bytes()
    with pytest.raises(NothingWritten, match=r"Nothing was saved.*row 3 missing.*restore the last backup") as told:
        write(store, "After it")
    assert isinstance(told.value.because, Damaged)
    assert names(store) == ["Written"]  # looking goes on
    assert file.read_bytes() == before
    # the first thing seen is what is told
    with pytest.raises(Damaged), store.reading():
        raise Damaged("something else")
    assert "row 3" in str(store.trouble)


def test_damage_seen_while_somebody_writes_undoes_what_was_written(store: Store) -> None:
    def write_beside_damage() -> None:
        with store.writing() as session:
            projects.create_project(session, project(name="Half way"))
            with pytest.raises(Damaged), store.reading():
                raise Damaged

    with pytest.raises(NothingWritten):
        write_beside_damage()
    assert names(store) == []


def test_text_that_is_none_any_more_is_damage(store: Store) -> None:
    # sqlite3 cannot decode what SQLite quotes in its own message from a damaged page
    with pytest.raises(Damaged), store.reading():
        b"\xff".decode()
    assert isinstance(store.trouble, Damaged)


@ON_WINDOWS
def test_a_file_deleted_while_running_is_noticed_and_saved(journal: Journal, file: Path) -> None:
    store = Store.open(file)
    write(store)
    file.unlink()
    with pytest.raises(NothingWritten, match="deleted or moved away while the program ran") as told:
        write(store, "Too late")
    gone = told.value.because
    assert isinstance(gone, FileGone)
    assert gone.saved is not None
    assert gone.saved in str(gone)
    assert rows(Path(gone.saved)) == ["Written"]
    assert names(store) == ["Written"]  # by now from the copy
    assert not file.exists()  # no empty one was made in its place
    store.close()
    # what the sentence says is done, and works
    Path(gone.saved).rename(file)
    again = Store.open(file)
    write(again, "Afterwards")
    assert sorted(names(again)) == ["Afterwards", "Written"]
    again.close()


@ON_WINDOWS
def test_a_reader_notices_too(store: Store, file: Path) -> None:
    write(store)
    file.unlink()
    assert names(store) == ["Written"]
    assert isinstance(store.trouble, FileGone)


@ON_WINDOWS
def test_a_file_deleted_between_two_looks_is_noticed_by_sqlite(store: Store, file: Path) -> None:
    write(store)

    def write_to_what_was_deleted() -> None:
        with store.writing() as session:
            file.unlink()
            projects.create_project(session, project(name="Too late"))

    with pytest.raises(NothingWritten, match="deleted"):
        write_to_what_was_deleted()
    assert names(store) == ["Written"]


@ON_WINDOWS
def test_the_whole_folder_deleted_is_noticed_and_saved(tmp_path: Path) -> None:
    file = tmp_path / "data" / "shop.db"
    store = Store.open(file)
    write(store)
    shutil.rmtree(file.parent)
    assert names(store) == ["Written"]
    gone = store.trouble
    assert isinstance(gone, FileGone)
    assert gone.saved is not None
    assert rows(Path(gone.saved)) == ["Written"]
    store.close()


@ON_WINDOWS
def test_a_file_replaced_while_running_is_noticed_and_neither_is_mixed(
    store: Store, file: Path, tmp_path: Path
) -> None:
    other = tmp_path / "other.db"
    with closing(Store.open(other)) as another:
        write(another, "Another shop's")
    write(store)
    os.replace(other, file)
    before = file.read_bytes()
    with pytest.raises(NothingWritten, match="replaced by another"):
        write(store, "Too late")
    assert names(store) == ["Written"]
    assert isinstance(store.trouble, FileGone)
    assert store.trouble.replaced
    assert file.read_bytes() == before
    assert rows(file) == ["Another shop's"]


@ON_WINDOWS
def test_what_cannot_be_saved_is_said(store: Store, file: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    write(store)
    file.unlink()

    def full(*_: object) -> None:
        raise OSError("full")

    monkeypatch.setattr("webapp.store.standing.back_up_open", full)
    with pytest.raises(NothingWritten, match="Do not stop the program before you have exported"):
        write(store, "Too late")
    assert names(store) == ["Written"]  # through the connections that are open


@pytest.mark.parametrize("emptied", ["deleted", "empty", "no tables"])
def test_no_empty_shop_where_data_used_to_be(file: Path, emptied: str) -> None:
    store = Store.open(file)
    write(store)
    store.close()
    file.unlink()
    if emptied == "empty":
        file.touch()
    if emptied == "no tables":
        with closing(sqlite3.connect(file)) as connection:
            connection.execute("PRAGMA user_version=0")
            connection.execute("VACUUM")
    there = file.exists()
    with pytest.raises(DataMissing, match=r"where a shop's data used to be\. Put the file back.*--new-shop"):
        Store.open(file)
    assert file.exists() is there
    begun = Store.open(file, new_shop=True)
    assert names(begun) == []
    begun.close()
    Store.open(file).close()


def test_the_newest_backup_is_named(store: Store, file: Path) -> None:
    store.close()
    backup = make_backup(file, datetime(2026, 3, 2, tzinfo=UTC), Why.BY_HAND)
    file.unlink()
    file.with_name(f"{file.name}.kept-here").unlink()
    with pytest.raises(DataMissing, match=f"beside it lie backups.{backup.path.name}"):
        Store.open(file)


def test_copies_that_lie_beside_are_named(file: Path) -> None:
    file.with_name("shop.db.before-version-6").touch()
    with pytest.raises(DataMissing, match=r"beside it lie shop\.db\.before-version-6\."):
        Store.open(file)


def test_a_first_start_that_was_cut_short_begins_again(file: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def cut(*_: object) -> None:
        raise OSError("cut")

    with monkeypatch.context() as patched:
        patched.setattr(schema, "upgrade", cut)
        with pytest.raises(OSError, match="cut"):
            Store.open(file, lock=True)
    Store.open(file, lock=True).close()


@pytest.mark.parametrize("version", [-3, 0])
def test_a_version_that_cannot_be_is_damage(store: Store, file: Path, version: int) -> None:
    store.close()
    with closing(sqlite3.connect(file)) as connection:
        connection.execute(f"PRAGMA user_version={version}")
    before = file.read_bytes()
    with pytest.raises(Damaged, match=f"its version reads {version}"):
        Store.open(file)
    assert file.read_bytes() == before


def test_a_place_that_takes_no_writing_is_opened_to_look_at(
    store: Store, file: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    write(store)
    store.close()

    def refused(_: Path) -> None:
        raise PermissionError(30, "Read-only file system")

    monkeypatch.setattr("webapp.store.engine.hold", refused)
    looking = Store.open(file, lock=True)
    assert names(looking) == ["Written"]
    assert isinstance(looking.trouble, OnlyToLookAt)
    before = file.read_bytes()
    with pytest.raises(NothingWritten, match="read-only file system"):
        write(looking, "Not here")
    assert file.read_bytes() == before
    looking.close()


@pytest.mark.on_file
def test_a_file_that_may_not_be_written_for_now_is_no_damage(store: Store) -> None:
    def write_where_none_may() -> None:
        with store.writing() as session:
            session.connection().exec_driver_sql("PRAGMA query_only=1")
            projects.create_project(session, project())

    with pytest.raises(ReadOnly):
        write_where_none_may()
    assert store.trouble is None


def test_no_connection_makes_a_file(tmp_path: Path) -> None:
    with pytest.raises(sqlite3.OperationalError, match="unable to open"):
        sqlite.connect(tmp_path / "none.db")
    assert list(tmp_path.iterdir()) == []
