"""A restore where the disk has no room for it, and one that ends what was seen of the data before."""

from __future__ import annotations

import sqlite3
from collections.abc import Iterator
from contextlib import closing
from pathlib import Path

import pytest

from tests.terminal import dovetally
from tests.torture import Tally
from tests.webapp.databases import Databases
from tests.webapp.faults.shop import Shop, contents, opened_shop, small_disk
from tests.webapp.pages.reading import main
from tests.webapp.store.store_samples import joint, project
from webapp.form.carried import new_token
from webapp.site import urls
from webapp.store import Store, projects
from webapp.store.errors import DiskFull, NothingWritten
from webapp.store.restore import restore
from webapp.usecases.backups import back_up_now, overview


@pytest.fixture
def shop(databases: Databases, tmp_path: Path) -> Iterator[Shop]:
    kept = tmp_path / "kept"
    kept.mkdir()
    with small_disk(tmp_path / "disk", "6m") as disk, opened_shop(databases, disk, kept) as opened:
        yield opened


def leave_room(shop: Shop, kilobytes: int) -> Path:
    """Fill the disk but for so much."""
    filler, spare = shop.file.with_name("filler"), shop.file.with_name("spare")
    spare.write_bytes(bytes(kilobytes << 10))
    with filler.open("wb", buffering=0) as opened:
        try:
            while True:
                opened.write(bytes(1 << 12))
        except OSError:
            pass
    spare.unlink()
    return filler


ROOMS = [0, 64, 256, 512, 1024, 1536]
"""From where nothing can be copied to where all but the last step can."""


@pytest.mark.parametrize("kilobytes", ROOMS)
def test_without_room_nothing_is_restored_and_it_is_said(shop: Shop, tally: Tally, kilobytes: int) -> None:
    tally("S9 restore without room: live data as it was")
    made = back_up_now(shop.store).path
    with shop.store.writing() as session:
        projects.create_project(session, project(joint(), name="later"))
    before = contents(shop.file)
    filler = leave_room(shop, kilobytes)
    answer = shop.client.post(urls.restore(made.name), data={"token": new_token()})
    restored = answer.status_code == 303
    assert restored or answer.status_code == 507, main(answer)
    if not restored:
        assert "Free some space" in main(answer)
        assert contents(shop.file) == before
    assert restored == (contents(shop.file)["project"] != before["project"])
    assert list(shop.file.parent.glob(".look-*")) == []
    filler.unlink()
    assert shop.client.post(urls.restore(made.name), data={"token": new_token()}).status_code == 303


def test_the_first_of_them_is_refused(shop: Shop) -> None:
    made = back_up_now(shop.store).path
    leave_room(shop, 0)
    with pytest.raises(DiskFull):
        restore(shop.store, made)


def test_an_older_backup_is_brought_up_to_date_or_said_to_have_no_room(shop: Shop, tmp_path: Path) -> None:
    older = tmp_path / "older.db"
    with closing(sqlite3.connect(older)) as connection:
        script = Path(__file__).parents[1] / "store" / "version_3.sql"
        connection.executescript(script.read_text(encoding="utf-8"))
    before = contents(shop.file)
    leave_room(shop, (older.stat().st_size >> 10) + 8)  # for the copy, not for the journal of its migration
    with pytest.raises(DiskFull):
        restore(shop.store, older)
    assert contents(shop.file) == before


def test_a_restore_ends_what_was_seen_of_the_data_before(databases: Databases, tmp_path: Path) -> None:
    file = tmp_path / "shop.db"
    with opened_shop(databases, tmp_path, tmp_path_for(tmp_path)) as shop:
        made = back_up_now(shop.store).path
        shop.store.close()
        with closing(sqlite3.connect(file)) as connection:
            connection.execute("DROP TRIGGER tick_no_update")
        damaged = Store.open(file)
        assert damaged.trouble is not None
        with pytest.raises(NothingWritten), damaged.writing():
            pass
        restore(damaged, made)
        assert damaged.trouble is None
        assert damaged.checkup is not None
        assert damaged.checkup.damage is None
        with damaged.writing() as session:
            projects.create_project(session, project(joint(), name="written again"))
        assert overview(damaged).backups
        damaged.close()


def tmp_path_for(folder: Path) -> Path:
    kept = folder / "kept"
    kept.mkdir()
    return kept


def test_the_command_says_so_too(shop: Shop, monkeypatch: pytest.MonkeyPatch) -> None:
    made = back_up_now(shop.store).path
    shop.store.close()
    before = contents(shop.file)
    leave_room(shop, 0)
    monkeypatch.setenv("DOVETALLY_DATABASE_URL", f"sqlite:///{shop.file}")
    done = dovetally("restore", str(made), "--yes")
    assert done.returncode == 2
    assert "Free some space" in done.stderr.decode()
    assert "Traceback" not in done.stderr.decode()
    assert contents(shop.file) == before
