"""Whether the data may still be written. Once it was seen to be damaged, or its file is gone, never again.

What was seen stays seen until the program is started again, or a backup is put in the data's place: a file that
is damaged in one place may well take writing in another, and every write would make it harder to mend.
"""

from __future__ import annotations

import sqlite3
import threading
from collections.abc import Callable, Iterator
from contextlib import contextmanager, suppress
from datetime import UTC, datetime
from pathlib import Path

from webapp.store import sqlite
from webapp.store.backup import back_up_open
from webapp.store.errors import Damaged, FileGone, NothingWritten, OnlyToLookAt, ReadOnly, StoreError, in_our_words

_Identity = tuple[int, int]


class Standing:
    """What is known against an open database: at first nothing.

    ``path`` is its file, None for a server's. When that is gone, ``read_on`` is called with what can still be
    read: the copy that was saved, or the connection through which the file is still there.
    """

    def __init__(
        self,
        path: Path | None,
        read_on: Callable[[Path | sqlite3.Connection], None],
        trouble: StoreError | None,
    ) -> None:
        self._path = path
        self._read_on = read_on
        self._trouble = trouble
        self._lock = threading.Lock()
        self._identity = None if path is None else _identity(path)
        # open as long as the store is: through it a file that was deleted can still be read
        self._keeper = None if path is None else _kept_open(path)

    @property
    def trouble(self) -> StoreError | None:
        """What keeps anything from being written, or None."""
        return self._trouble

    def stop(self, because: StoreError) -> None:
        """Let nothing be written from now on; the first reason stays."""
        with self._lock:
            self._trouble = self._trouble or because

    def lift(self) -> None:
        """Other data is in the file now: what was seen of the data before counts no more."""
        with self._lock:
            if not isinstance(self._trouble, FileGone | OnlyToLookAt):
                self._trouble = None

    def refuse_to_write(self) -> None:
        """Raise NothingWritten where something is known."""
        self.look()
        if self._trouble is not None:
            raise NothingWritten(self._trouble)

    def look(self) -> None:
        """Notice a file that is gone, and save what was in it."""
        if self._path is None or self._identity == _identity(self._path):
            return
        with self._lock:
            if not isinstance(self._trouble, FileGone):
                self._trouble = self._gone(self._path)

    @contextmanager
    def noticing(self) -> Iterator[None]:
        """Named store errors out of the block; damage that shows in it stops all writing."""
        try:
            with in_our_words():
                yield
        except Damaged as seen:
            self.stop(seen)
            raise
        except ReadOnly:
            self.look()  # SQLite, too, writes nothing to a file that has lost its name
            if isinstance(self._trouble, FileGone):
                raise NothingWritten(self._trouble) from None
            raise

    def close(self) -> None:
        """Let go of the file."""
        if self._keeper is not None:
            self._keeper.close()

    def _gone(self, path: Path) -> FileGone:
        """What is to be said of it, once all that can be saved is saved."""
        replaced = path.exists()
        copy = path.with_name(f"{path.name}.saved-{datetime.now(UTC):%Y%m%dT%H%M%S%fZ}")
        assert self._keeper is not None
        try:
            copy.parent.mkdir(parents=True, exist_ok=True)
            back_up_open(self._keeper, copy)
        except (OSError, sqlite3.Error, StoreError):
            self._read_on(self._keeper)
            return FileGone(str(path), replaced=replaced, saved=None)
        if not replaced:
            # the copy has what they held; beside it they would damage it
            for ending in sqlite.BESIDE:
                with suppress(OSError):
                    path.with_name(path.name + ending).unlink()
        self._read_on(copy)
        return FileGone(str(path), replaced=replaced, saved=str(copy))


def _kept_open(path: Path) -> sqlite3.Connection:
    connection = sqlite.connect(path)
    with suppress(sqlite3.Error):  # a first look also opens the log beside the file
        connection.execute("SELECT 1 FROM sqlite_schema LIMIT 1").fetchone()
    return connection


def _identity(path: Path) -> _Identity | None:
    """Which file stands under this name; None where there is none."""
    try:
        found = path.stat()
    except OSError:
        return None
    return found.st_dev, found.st_ino
