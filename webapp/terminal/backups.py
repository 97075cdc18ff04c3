"""`dovetally backup` and `dovetally restore`: the data's whole file, out and back, with the server or without."""

from __future__ import annotations

import argparse
from collections.abc import Iterator
from datetime import datetime
from pathlib import Path
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Mapping

    from webapp.store.restore import Held


class CannotBackUp(Exception):
    """No backup can be made or restored; the message says why and what would work."""


def add_parsers(commands: argparse._SubParsersAction[argparse.ArgumentParser]) -> list[argparse.ArgumentParser]:
    """The two commands, without what runs them."""
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
    return [backup, restore]


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
    copy = Path(named).absolute()
    if copy.exists():
        raise CannotBackUp(f"{named} is there already; name another file")
    if not copy.parent.is_dir():
        raise CannotBackUp(f"{copy.parent} is no folder; make it first, or plug the drive in")
    back_up(database, copy)
    yield f"Backed up to {copy}."


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
    """The data's file. Raises CannotBackUp where the data is on the network or on a server."""
    from webapp.site.settings import NetworkPath, Settings
    from webapp.store.engine import sqlite_path
    from webapp.store.restore import OnServer

    try:
        path = sqlite_path(Settings.from_environment().database)
    except NetworkPath as refusal:
        raise CannotBackUp(str(refusal)) from None
    if path is None:
        raise OnServer
    return path
