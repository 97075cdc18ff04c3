"""Backups: whole copies of the SQLite file, made while others read and write, checked before they count.

A backup is written under another name, checked as a restore would check it, brought to the disk for good, and
only then called what it is: whatever has a backup's name is a backup.
"""

from __future__ import annotations

import errno
import hashlib
import os
import shutil
import sqlite3
import time
from collections.abc import Iterator
from contextlib import closing, contextmanager
from dataclasses import dataclass
from datetime import UTC, datetime
from pathlib import Path

from webapp.store.errors import Busy, Damaged, DiskFull, StoreError, named
from webapp.store.keeping import BackupName, Why, kept
from webapp.store.soundness import examine, looking_at
from webapp.store.sqlite import journal_here, pragmas, set_up

PATIENCE = 5.0
"""Seconds that a backup waits for whoever is writing."""
_FOLDER = "backups"
_QUEUE = 60.0
NO_ROOM = {errno.ENOSPC, errno.EDQUOT, errno.EFBIG}


class CannotKeep(StoreError):
    """A place where no backup can be written."""

    def __init__(self, where: str, why: str) -> None:
        self.where, self.why = where, why
        super().__init__(f"No backup can be written to {where}: {why}. The data itself is untouched.")


@dataclass(frozen=True, slots=True)
class Backup:
    """A backup that is there: what its name says, where it is, and its bytes."""

    name: BackupName
    path: Path
    size: int


def folder_of(database: Path) -> Path:
    """Where the backups of a database are kept: beside it."""
    return database.with_name(_FOLDER)


def list_backups(database: Path, folder: Path) -> tuple[Backup, ...]:
    """The backups of ``database`` in ``folder``, the newest first; none where there is no such folder."""
    found = []
    try:
        for path in folder.iterdir():
            name = BackupName.read(path.name)
            if name is not None and name.stem == database.stem:
                found.append(Backup(name, path, path.stat().st_size))
    except OSError:
        return ()
    return tuple(sorted(found, key=lambda each: (each.name.moment, each.path.name), reverse=True))


def make_backup(database: Path, moment: datetime, why: Why, *, also_to: Path | None = None) -> Backup:
    """Back ``database`` up beside it, then let go of the backups that the rule no longer keeps.

    The backup is copied to the folder ``also_to`` too, and what is let go here goes there. Raises Damaged where
    the data is not whole, Busy, DiskFull, or CannotKeep; a backup that is there by then stays.
    """
    folder = folder_of(database)
    if not database.is_file():
        raise CannotKeep(str(folder), f"there is no data at {database} yet")
    with _alone(folder):
        part = folder / f".{database.stem}.part"
        back_up(database, part)
        name = BackupName(database.stem, moment.astimezone(UTC).replace(microsecond=0), why, sum_of(part))
        path = folder / str(name)
        with keeping_in(folder):
            os.replace(part, path)
            sync(folder)
        gone = _let_go(database, folder, moment)
        if also_to is not None:
            copy_to(path, also_to)
            for each in gone:
                (also_to / each).unlink(missing_ok=True)
        return Backup(name, path, path.stat().st_size)


def _let_go(database: Path, folder: Path, moment: datetime) -> list[str]:
    """Remove the backups that are not kept; their names."""
    names = [backup.path.name for backup in list_backups(database, folder)]
    gone = sorted(set(names) - kept(names, moment.astimezone(UTC).date()))
    for name in gone:
        (folder / name).unlink(missing_ok=True)
    return gone


def copy_to(backup: Path, folder: Path) -> Path:
    """A copy of a finished backup in another folder, which must be there: an unplugged drive is not made up."""
    if not folder.is_dir():
        raise CannotKeep(str(folder), "there is no such folder; plug the drive in, or name another")
    copy, part = folder / backup.name, folder / f".{backup.name}.part"
    with keeping_in(folder):
        shutil.copyfile(backup, part)
        sync(part)
        if sum_of(part) != sum_of(backup):
            part.unlink()
            raise CannotKeep(str(folder), "what was written there reads back otherwise; use another drive")
        os.replace(part, copy)
        sync(folder)
    return copy


def back_up(database: Path, copy: Path) -> None:
    """A sound copy of ``database``, on the disk for good before this returns; it replaces what is there.

    Raises Damaged where the copy is not whole, Busy after ``PATIENCE`` seconds, DiskFull, CannotKeep.
    """
    address = f"{database.absolute().as_uri()}?mode=rw"  # which makes no file where there is none
    with keeping_in(copy.parent), closing(sqlite3.connect(address, uri=True, timeout=0)) as source:
        back_up_open(source, copy)


def back_up_open(source: sqlite3.Connection, copy: Path) -> None:
    """The same of a database that is open, even where its file has lost its name meanwhile."""
    part = copy.with_name(copy.name + ".part")
    try:
        with keeping_in(copy.parent):
            part.unlink(missing_ok=True)
            _copy(source, part)
            with looking_at(part) as connection:
                findings = examine(connection)
            if findings.integrity or findings.references:
                raise Damaged
            sync(part)
            os.replace(part, copy)
            sync(copy.parent)
    finally:
        part.unlink(missing_ok=True)


def _copy(source: sqlite3.Connection, part: Path) -> None:
    with closing(sqlite3.connect(part)) as target:
        target.execute("PRAGMA synchronous=OFF")  # it is brought to the disk when it is whole
        copy_pages(source, target)
        # one file that needs no other beside it
        target.execute("PRAGMA journal_mode=DELETE")


def put_in_place(file: Path, database: Path) -> None:
    """All of the sound SQLite file ``file`` in place of what is in ``database``, at once or not at all.

    It goes through SQLite's journal as any other change: whoever has the database open notices, and where the
    program is killed meanwhile the next to open it finds what was there before. Raises Busy, DiskFull, CannotKeep.
    """
    address = f"{database.absolute().as_uri()}?mode=rw"
    with (
        keeping_in(database.parent),
        looking_at(file) as source,
        closing(sqlite3.connect(address, uri=True, timeout=0)) as target,
    ):
        set_up(target, pragmas(journal_here()) | {"busy_timeout": 0})
        copy_pages(source, target)


def copy_pages(source: sqlite3.Connection, target: sqlite3.Connection) -> None:
    """All of ``source`` over ``target``, in one step and one transaction. Raises Busy after ``PATIENCE``."""
    until = time.monotonic() + PATIENCE

    def patient(status: int, _remaining: int, _total: int) -> None:
        if status in (sqlite3.SQLITE_BUSY, sqlite3.SQLITE_LOCKED) and time.monotonic() > until:
            raise Busy

    source.backup(target, progress=patient, sleep=0.02)


def sum_of(file: Path) -> str:
    """The beginning of the SHA-256 of a file's bytes: enough to tell one flipped bit, short enough for a name.

    Never of a database that is open: closing the file would drop SQLite's locks on it.
    """
    with file.open("rb") as opened:
        return hashlib.file_digest(opened, "sha256").hexdigest()[:16]


def sync(path: Path) -> None:
    """Bring a file, or the names in a folder, to the disk for good; Windows has no handle on a folder."""
    if path.is_dir() and os.name != "posix":
        return
    handle = os.open(path, os.O_RDONLY if path.is_dir() else os.O_RDWR)
    try:
        os.fsync(handle)
    finally:
        os.close(handle)


@contextmanager
def _alone(folder: Path) -> Iterator[None]:
    """One backup at a time, also where the command line makes one beside the server."""
    from filelock import FileLock, Timeout

    with keeping_in(folder):
        folder.mkdir(parents=True, exist_ok=True)
        lock = FileLock(folder / ".lock", thread_local=False)
        try:
            lock.acquire(timeout=_QUEUE)
        except Timeout:
            raise Busy from None
    try:
        yield
    finally:
        lock.release()


@contextmanager
def keeping_in(folder: Path) -> Iterator[None]:
    """What the disk or SQLite says inside the block, in our words."""
    try:
        yield
    except sqlite3.Error as error:
        raise (named(error) or error) from error
    except OSError as error:
        if error.errno in NO_ROOM:
            raise DiskFull from error
        raise CannotKeep(str(folder), (error.strerror or str(error)).lower()) from error
