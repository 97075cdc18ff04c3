"""The whole shop as one open archive: out as a file, and in again by an empty shop."""

from __future__ import annotations

import hashlib
import shutil
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import IO

from webapp.store import Store
from webapp.store.archive import archive_open, is_empty, take_in
from webapp.store.backup import keeping_in
from webapp.store.errors import StoreError
from webapp.store.restore import Restored, room_for
from webapp.store.tokens import KeptSending, Sending
from webapp.usecases.booking import sent_before
from webapp.usecases.tokens_kept import keep_acted_on

FILE_NAME = "dovetally-archive.zip"


def is_empty_shop(store: Store) -> bool:
    """Whether the shop is empty, so that it may take an archive in; not where that cannot be told just now."""
    try:
        return is_empty(store)
    except StoreError:
        return False  # damaged, say: the page of backups is shown just then


@contextmanager
def archived(store: Store) -> Iterator[Path]:
    """The archive as a file, for the length of the block. Raises Busy, Damaged, DiskFull, CannotKeep."""
    with room_for(_folder(store)) as room:
        file = Path(room) / FILE_NAME
        archive_open(store, file)
        yield file


@contextmanager
def received(store: Store, sent: IO[bytes]) -> Iterator[Path]:
    """What was sent as a file, on the data's own disk where it has one, for the length of the block.

    Raises DiskFull or CannotKeep.
    """
    with room_for(_folder(store)) as room:
        file = Path(room) / FILE_NAME
        with keeping_in(file.parent), file.open("wb") as opened:
            shutil.copyfileobj(sent, opened)
        yield file


def _folder(store: Store) -> Path | None:
    """Where the data is; None on a server, whose disk is not this computer's."""
    return None if store.path is None else store.path.parent


def with_file(sent: Sending, file: Path) -> Sending:
    """What was sent with the file as one of its texts, by its sum: another file is another text."""
    with file.open("rb") as opened:
        told = hashlib.file_digest(opened, "sha256").hexdigest()
    return Sending(sent.token, sent.route, (*sent.texts, ("file", (told,))))


def taken_before(store: Store, sent: Sending) -> KeptSending | None:
    """The very form with the very file, where it was acted on. Raises SentOtherwise."""
    return sent_before(store, sent)


def unarchive(store: Store, sent: Sending, file: Path, where: str) -> Restored:
    """Take the archive in. Raises what ``take_in`` raises; then nothing was changed."""
    done = take_in(store, file, where)
    keep_acted_on(store, sent)
    return done
