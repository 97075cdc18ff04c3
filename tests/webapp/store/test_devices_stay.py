"""A restore brings no device back that was ended since, and loses none that was paired."""

from __future__ import annotations

from collections.abc import Sequence
from contextlib import closing
from pathlib import Path

import pytest

from tests.webapp.databases import Databases, nothing
from tests.webapp.store.store_samples import Clock, joint, project
from webapp.store import Store, projects
from webapp.store.archive import archive_open, take_in
from webapp.store.backup import make_backup
from webapp.store.devices import Role, add_device, device_of, end_device, list_devices
from webapp.store.keeping import Why
from webapp.store.restore import restore, restore_stopped

ENDED, STAYS, NEW = ("a" * 64, "b" * 64, "c" * 64)


@pytest.fixture
def backup(store: Store, file: Path, clock: Clock) -> Path:
    """A backup of a shop with two devices; since then one was ended, and another was paired."""
    with store.writing() as session:
        number = add_device(session, "Lost phone", Role.EVERYTHING, ENDED)
        add_device(session, "Tablet", Role.AT_THE_MACHINE, STAYS)
        projects.create_project(session, project(joint()))
    made = make_backup(file, clock(), Why.BY_HAND).path
    with store.writing() as session:
        end_device(session, number)
        add_device(session, "New phone", Role.READS, NEW)
    return made


def known(store: Store, secrets: Sequence[str] = (ENDED, STAYS, NEW)) -> list[bool]:
    with store.reading() as session:
        return [device_of(session, secret) is not None for secret in secrets]


def test_an_archive_holds_no_device_and_takes_none_away(databases: Databases, tmp_path: Path) -> None:
    file = tmp_path / "shop.zip"
    with databases.opened("empty", nothing, tmp_path / "other.db") as other:
        with other.writing() as session:
            add_device(session, "Theirs", Role.EVERYTHING, ENDED)
            projects.create_project(session, project(joint()))
        archive_open(other, file)
    with databases.opened("empty", nothing, tmp_path / "new.db") as new:
        with new.writing() as session:
            add_device(session, "Ours", Role.READS, STAYS)
        take_in(new, file, file.name)
        assert known(new) == [False, True, False]
        with new.reading() as session:
            assert len(projects.list_projects(session)) == 1


def test_what_was_ended_stays_ended(store: Store, backup: Path) -> None:
    restore(store, backup)
    assert known(store) == [False, True, True]


def test_with_the_program_stopped_too(store: Store, file: Path, backup: Path, clock: Clock) -> None:
    store.close()
    restore_stopped(file, backup, clock())
    with closing(Store.open(file, clock=clock)) as opened:
        assert known(opened) == [False, True, True]


@pytest.mark.parametrize("damage", ["gone", "damaged"])
def test_where_it_cannot_be_known_every_device_is_paired_again(
    store: Store, file: Path, backup: Path, clock: Clock, damage: str
) -> None:
    store.close()
    if damage == "gone":
        file.unlink()
    else:
        file.write_bytes(b"\0" * 4096 + file.read_bytes()[4096:])
    restore_stopped(file, backup, clock())
    with closing(Store.open(file, clock=clock)) as opened:
        with opened.reading() as session:
            assert list_devices(session) == ()
            assert len(projects.list_projects(session)) == 1
        assert known(opened) == [False, False, False]
