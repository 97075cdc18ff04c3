"""A shop on a small disk of its own that fills up, becomes read-only or is locked when it is told to."""

from __future__ import annotations

import os
import shutil
import sqlite3
import subprocess
from collections.abc import Callable, Iterator
from contextlib import AbstractContextManager, closing, contextmanager
from dataclasses import dataclass, field
from pathlib import Path

import pytest

from tests.client import TestClient, browsing
from tests.webapp.databases import Databases, copy
from tests.webapp.faults.requests import REQUESTS, Sent
from tests.webapp.pages.order_samples import Day, placed, supplier
from webapp.site.urls import Address
from webapp.store import Store, sqlite
from webapp.store import backup as backups
from webapp.store.engine import Life
from webapp.usecases.demo import load_demo_in

DISK = "24m"
PATIENCE = 0.06
"""Seconds that a shop under a fault waits for a lock; five in the shop itself."""


def mount(*words: str) -> None:
    subprocess.run(["mount", *words], check=True, capture_output=True)


def can_mount(folder: Path) -> bool:
    """Whether a disk can be made for a test: the superuser of a machine, or of a container that allows it."""
    if shutil.which("mount") is None or not hasattr(os, "geteuid") or os.geteuid() != 0:
        return False
    try:
        mount("-t", "tmpfs", "-o", "size=1m", "tmpfs", str(folder))
    except (OSError, subprocess.CalledProcessError):
        return False
    subprocess.run(["umount", "-l", str(folder)], check=True)
    return True


@contextmanager
def small_disk(folder: Path, size: str = DISK) -> Iterator[Path]:
    """A disk of that size for the length of the block. Skips the test where none can be made."""
    folder.mkdir(exist_ok=True)
    if not can_mount(folder):
        pytest.skip("a disk for the test can be mounted by the superuser alone")
    mount("-t", "tmpfs", "-o", f"size={size}", "tmpfs", str(folder))
    try:
        yield folder
    finally:
        subprocess.run(["umount", "-l", str(folder)], check=True)


Contents = dict[str, list[tuple[object, ...]]]


def contents(file: Path) -> Contents:
    """Every row of every table, as another program reads them; the file is sound, or the test fails."""
    with closing(sqlite3.connect(file)) as connection:
        assert connection.execute("PRAGMA quick_check").fetchall() == [("ok",)]
        assert connection.execute("PRAGMA foreign_key_check").fetchall() == []
        tables = [name for (name,) in connection.execute("SELECT name FROM sqlite_schema WHERE type = 'table'")]
        return {name: connection.execute(f'SELECT * FROM "{name}"').fetchall() for name in sorted(tables)}


@dataclass(frozen=True)
class Ready:
    """A request, and the data that it is sent to: a file, and what is in it."""

    sent: Sent
    made: Path
    contents: Contents


@dataclass
class Shop:
    """The demo with an order under way, as every request finds it; ``store`` is open on ``file``."""

    file: Path
    store: Store
    client: TestClient
    kept: Path
    _ready: dict[Address, Ready] = field(default_factory=dict)
    _stands: Path | None = None

    def ready(self, address: Address) -> Ready:
        """The data as that request finds it, and the request; made once and kept."""
        if address not in self._ready:
            self._put_back(self.kept / "shop.db")
            shutil.rmtree(self.file.with_name("backups"), ignore_errors=True)
            sent = REQUESTS[address](self.client, self.store)
            made = self.kept / f"{len(self._ready)}.db"
            copy(self.file, made)
            self._ready[address] = Ready(sent, made, contents(made))
        ready = self._ready[address]
        if self._stands != ready.made:
            self._put_back(ready.made)
        return ready

    def touched(self) -> None:
        """The data is not as the request found it any more."""
        self._stands = None

    def _put_back(self, made: Path) -> None:
        copy(made, self.file)
        self.store.life = Life()
        self._stands = made


@contextmanager
def opened_shop(databases: Databases, disk: Path, kept: Path) -> Iterator[Shop]:
    """The shop for the length of the block; it waits for no lock for long."""
    with pytest.MonkeyPatch.context() as patched:
        patched.setattr(sqlite, "WAIT_MS", int(PATIENCE * 1_000))
        patched.setattr(backups, "PATIENCE", PATIENCE)
        file = disk / "shop.db"
        with databases.opened("demo by day", load_demo_in, file, Day()) as store:
            placed(store, supplier(store), 1)
            copy(file, kept / "shop.db")
            with browsing(store) as client:
                yield Shop(file, store, client, kept)


@contextmanager
def full_disk(shop: Shop) -> Iterator[None]:
    filler = shop.file.with_name("filler")
    with filler.open("wb", buffering=0) as opened:
        for size in (1 << 16, 1 << 12):
            try:
                while True:
                    opened.write(bytes(size))
            except OSError:
                pass
    try:
        yield
    finally:
        filler.unlink()


@contextmanager
def limited_files(shop: Shop) -> Iterator[None]:
    """No file may grow beyond a kilobyte."""
    import resource

    soft, hard = resource.getrlimit(resource.RLIMIT_FSIZE)
    resource.setrlimit(resource.RLIMIT_FSIZE, (1024, hard))
    try:
        yield
    finally:
        resource.setrlimit(resource.RLIMIT_FSIZE, (soft, hard))


@contextmanager
def _read_only(place: Path) -> Iterator[None]:
    """What is opened of it from now on is read-only; what was open stays as it was."""
    mount("--bind", str(place), str(place))
    mount("-o", "remount,bind,ro", str(place))
    try:
        yield
    finally:
        subprocess.run(["umount", "-l", str(place)], check=True)


def read_only_folder(shop: Shop) -> AbstractContextManager[None]:
    """No journal, and no other file, can be made beside the data."""
    return _read_only(shop.file.parent)


@contextmanager
def read_only_file(shop: Shop) -> Iterator[None]:
    """Connections made meanwhile can only read."""
    with _read_only(shop.file):
        shop.store._writer.dispose()
        shop.store._reader.dispose()
        yield


@contextmanager
def _held(shop: Shop, begin: str) -> Iterator[None]:
    with closing(sqlite3.connect(shop.file, isolation_level=None)) as other:
        other.execute(begin)
        yield
        other.execute("ROLLBACK")


def locked(shop: Shop) -> AbstractContextManager[None]:
    """Another program holds the whole data."""
    return _held(shop, "BEGIN EXCLUSIVE")


def another_writes(shop: Shop) -> AbstractContextManager[None]:
    """Another program is about to write."""
    return _held(shop, "BEGIN IMMEDIATE")


Fault = Callable[[Shop], AbstractContextManager[None]]
FAULTS: dict[str, tuple[Fault, int]] = {
    "full disk": (full_disk, 507),
    "file-size limit": (limited_files, 507),
    "read-only folder": (read_only_folder, 503),
    "read-only file": (read_only_file, 503),
    "locked": (locked, 503),
    "another writer": (another_writes, 503),
}
"""Each with what it is answered by."""
