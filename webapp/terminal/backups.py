"""The data as a whole, out and back, with the server or without: as a backup, and as an open archive."""

from __future__ import annotations

import argparse
from collections.abc import Iterator
from contextlib import closing
from datetime import datetime
from pathlib import Path
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Mapping

    from webapp.store import Store
    from webapp.store.restore import Held


class CannotBackUp(Exception):
    """No backup can be made or restored; the message says why and what would work."""


def add_parsers(commands: argparse._SubParsersAction[argparse.ArgumentParser]) -> list[argparse.ArgumentParser]:
    """The commands, without what runs them."""
    backup = commands.add_parser("backup", help="make a backup of the data, also while the program serves")
    backup.add_argument("file", metavar="FILE", nargs="?", help="where to; beside the data unless one is named")
    restore = commands.add_parser(
        "restore", help="say what a backup holds; with --yes put it in place of the data"
    )
    restore.add_argument("file", metavar="FILE", nargs="?", help="the backup")
    restore.add_argument(
        "--yes", action="store_true", help="put it in place of the data, which is backed up first"
    )
    restore.add_argument("--list", action="store_true", help="list the backups there are")
    archive = commands.add_parser(
        "archive", help="write the whole shop as one open archive: JSON and PDFs in a zip"
    )
    archive.add_argument("file", metavar="FILE", help="the zip to write; none that is there is replaced")
    unarchive = commands.add_parser("unarchive", help="take an archive into an empty shop")
    unarchive.add_argument("file", metavar="FILE", help="the archive")
    return [backup, restore, archive, unarchive]


def back_up(named: str | None, moment: datetime) -> Iterator[str]:
    """Make a backup; what there is to say. Raises CannotBackUp or StoreError."""
    from webapp.store.backup import back_up, make_backup
    from webapp.store.keeping import Why
    from webapp.store.second_folder import second_folder

    database = _database()
    if not database.is_file():
        raise CannotBackUp(f"there is no data at {database}; start the program once, or set DOVETALLY_DATA")
    if named is None:
        made = make_backup(database, moment, Why.BY_HAND, also_to=second_folder(database))
        yield f"Backed up to {made.path}."
        return
    copy = _new_file(named)
    back_up(database, copy)
    yield f"Backed up to {copy}."


def archive(named: str) -> Iterator[str]:
    """Write the open archive; what there is to say. Raises CannotBackUp or StoreError."""
    from webapp.store.archive import archive, archive_open
    from webapp.wording.backups import size_words

    file = _new_file(named)
    where = _kept_at()
    if isinstance(where, Path):
        if not where.is_file():
            raise CannotBackUp(f"there is no data at {where}; start the program once, or set DOVETALLY_DATA")
        archive(where, file)
    else:
        with where as store:
            archive_open(store, file)
    yield f"The whole shop is in {file}, {size_words(file.stat().st_size)}."


def unarchive(named: str, moment: datetime) -> Iterator[str]:
    """Take an archive into an empty shop. Raises CannotBackUp or StoreError."""
    from webapp.store.archive import take_in, take_in_stopped
    from webapp.wording.backups import counted

    file = Path(named).absolute()
    if not file.is_file():
        raise CannotBackUp(f"there is no file {named}; name the archive")
    where = _kept_at()
    if isinstance(where, Path):
        done, place = take_in_stopped(where, file, moment), str(where)
    else:
        with where as store:
            done, place = take_in(store, file, str(file)), "The database on the server"
    yield f"{place} holds now what {named} holds."
    for words, count in counted(done.held.counts):
        yield f"{words:<24}{count:>12}"


def _new_file(named: str) -> Path:
    """A file that is to be made. Raises CannotBackUp where it is there, or has no folder."""
    file = Path(named).absolute()
    if file.exists():
        raise CannotBackUp(f"{named} is there already; name another file")
    if not file.parent.is_dir():
        raise CannotBackUp(f"{file.parent} is no folder; make it first, or plug the drive in")
    return file


def restore(named: str | None, moment: datetime, *, sure: bool, listed: bool) -> Iterator[str]:
    """Say what a backup holds, or put it in place. Raises CannotBackUp or StoreError."""
    from webapp.store.restore import counts_in, held_by, restore_stopped

    database = _database()
    if listed:
        yield from _listed(database)
        return
    if named is None:
        raise CannotBackUp("name the backup's file; `dovetally restore --list` lists those there are")
    file = Path(named).absolute()
    if not sure:
        yield from _told(named, held_by(file, database), counts_in(database))
        yield f"Nothing was changed. With --yes it is put in place of {database}, which is backed up first."
        return
    done = restore_stopped(database, file, moment)
    yield f"{database} holds now what {named} holds."
    if done.before is not None:
        yield f"What was there before is {done.before.path}: restore that to undo it."
    if done.aside is not None:
        yield f"What was there before was damaged; it is kept as {done.aside}."


def _listed(database: Path) -> Iterator[str]:
    from webapp.store.backup import folder_of, list_backups
    from webapp.store.second_folder import second_folder
    from webapp.wording.backups import WHY, moment_words, size_words

    second = second_folder(database)
    folders = [folder_of(database), *([second] if second else [])]
    found = [each for folder in folders for each in list_backups(database, folder)]
    for each in found:
        why = WHY[each.name.why.value]
        yield f"{moment_words(each.name.moment)}  {why:<16}  {size_words(each.size):>8}  {each.path}"
    if not found:
        yield f"There is no backup of {database} yet."


def _told(named: str, held: Held, here: Mapping[str, int]) -> Iterator[str]:
    from webapp.wording.backups import compared, moment_words, size_words

    changed = f", last changed {moment_words(held.changed)}" if held.changed else ""
    yield f"{named}: version {held.version}, {size_words(held.size)}{changed}."
    yield f"{'':<24}{'in the file':>12}{'here now':>12}"
    for words, there, now in compared(held.counts, here):
        yield f"{words:<24}{there:>12}{now:>12}"


def _database() -> Path:
    """The data's file. Raises CannotBackUp where the data is on the network, OnServer where it is on a server."""
    from webapp.store.engine import sqlite_path
    from webapp.store.restore import OnServer

    path = sqlite_path(_place())
    if path is None:
        raise OnServer
    return path


def _kept_at() -> Path | closing[Store]:
    """The data's file, or a store on a server, open for a block. Raises CannotBackUp, and what opening does."""
    from webapp.store import Store
    from webapp.store.engine import sqlite_path

    place = _place()
    path = sqlite_path(place)
    return closing(Store.open(place)) if path is None else path


def _place() -> str:
    from webapp.site.settings import NetworkPath, Settings

    try:
        return Settings.from_environment().database
    except NetworkPath as refusal:
        raise CannotBackUp(str(refusal)) from None
