"""Backups: those there are, one more by hand or of the day, a look into one, and one put in place of the data."""

from __future__ import annotations

import logging
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import UTC, date, timedelta
from pathlib import Path
from threading import Event, Thread
from weakref import WeakKeyDictionary

from webapp.store import Store
from webapp.store.backup import Backup, copy_to, folder_of, list_backups, make_backup
from webapp.store.errors import NotFound, StoreError
from webapp.store.keeping import Why
from webapp.store.restore import Held, Restored, file_of, held_by, held_here, restore
from webapp.store.second_folder import name_second_folder, second_folder
from webapp.store.tokens import Sending
from webapp.usecases.past_tidy import tidy
from webapp.usecases.tokens_kept import keep_acted_on

OLD = timedelta(days=3)
"""Backups are made daily: the newest is no older unless something is in the way."""
FIRST_LOOK, NEXT_LOOK = 30.0, 600.0
"""Seconds from the start of the server to the first look whether a backup is due, and from one to the next."""

log = logging.getLogger("dovetally")
_TROUBLE: WeakKeyDictionary[Store, str] = WeakKeyDictionary()


@dataclass(frozen=True, slots=True)
class Overview:
    """The backups here and in the second folder, the newest first; ``upgrades`` are files from before one.

    ``old`` where the newest is too old or there is none, ``trouble`` what was in the way the last time.
    """

    folder: Path
    backups: tuple[Backup, ...]
    upgrades: tuple[Path, ...]
    second: Path | None
    in_reach: bool
    copies: tuple[Backup, ...]
    old: bool
    trouble: str | None


@dataclass(frozen=True, slots=True)
class Look:
    """What a file holds, beside what the shop holds now."""

    file: Path
    held: Held
    here: Mapping[str, int]


def overview(store: Store) -> Overview:
    """The backups there are. Raises OnServer."""
    path = file_of(store)
    backups, second = list_backups(path, folder_of(path)), second_folder(path)
    newest = max((each.name.moment for each in backups), default=None)
    return Overview(
        folder=folder_of(path),
        backups=backups,
        upgrades=tuple(sorted(path.parent.glob(f"{path.name}.before-version-*"))),
        second=second,
        in_reach=second is not None and second.is_dir(),
        copies=() if second is None else list_backups(path, second),
        old=newest is None or store.moment() - newest > OLD,
        trouble=_TROUBLE.get(store),
    )


def back_up_now(store: Store, sent: Sending | None = None) -> Backup:
    """One more backup, here and in the second folder. Raises what ``make_backup`` raises."""
    path = file_of(store)
    made = make_backup(path, store.moment(), Why.BY_HAND, also_to=second_folder(path))
    _TROUBLE.pop(store, None)
    keep_acted_on(store, sent)
    return made


def back_up_if_due(store: Store) -> Backup | None:
    """The backup of the day, unless there is one of today already or the data is a server's.

    What a disk or a drive does not allow is kept for the page, and raised no further.
    """
    path = store.path
    if path is None:
        return None
    moment, second = store.moment(), second_folder(path)
    today = moment.astimezone(UTC).date()
    made = [each for each in list_backups(path, folder_of(path)) if each.name.moment.date() == today]
    try:
        if all(each.name.why is Why.BEFORE_RESTORE for each in made):
            daily = make_backup(path, moment, Why.DAILY, also_to=second)
            _TROUBLE.pop(store, None)
            return daily
        if second is not None and not (second / made[0].path.name).exists():
            copy_to(made[0].path, second)  # the drive was not there when it was made
        _TROUBLE.pop(store, None)
    except StoreError as error:
        log.warning("backup of the day: %s", error)
        _TROUBLE[store] = str(error)
    return None


class Daily:
    """Looks from time to time, beside the requests, whether the backup of the day is due."""

    def __init__(self, store: Store, first: float = FIRST_LOOK, following: float = NEXT_LOOK) -> None:
        self._store, self._first, self._following = store, first, following
        self._ended = Event()
        self._tidied: date | None = None
        self._thread = Thread(target=self._look, name="backups", daemon=True)

    def start(self) -> None:
        """Begin to look."""
        self._thread.start()

    def stop(self) -> None:
        """Look no more, whether it had begun or not; a backup that is being made is finished."""
        self._ended.set()
        if self._thread.is_alive():
            self._thread.join()

    def _tidy_if_due(self) -> None:
        """Once a day, and after each start, what is kept of earlier states is gone through."""
        today = self._store.moment().astimezone().date()
        if self._tidied != today:
            tidy(self._store)
            self._tidied = today

    def _look(self) -> None:
        pause = self._first
        while not self._ended.wait(pause):
            pause = self._following
            try:
                back_up_if_due(self._store)
                self._tidy_if_due()
            except Exception:
                log.exception("the backup of the day failed")


def choose_second_folder(store: Store, text: str) -> None:
    """Back up to that folder too, "" for no longer; the newest backup is copied there at once.

    Raises BadInput at the field, CannotKeep, DiskFull or OnServer.
    """
    path = file_of(store)
    name_second_folder(path, text)
    newest = list_backups(path, folder_of(path))[:1]
    for each in newest if text else ():
        copy_to(each.path, Path(text))
    _TROUBLE.pop(store, None)


def look_into(store: Store, name: str) -> Look:
    """What a backup holds, beside what is here. Raises NotFound, or as ``restore`` does for the file."""
    path, file = file_of(store), backup_file(store, name)
    return Look(file, held_by(file, path), held_here(store).counts)


def put_back(store: Store, name: str, sent: Sending | None = None) -> Restored:
    """Put a backup in place of the data, which is backed up first, to the second folder too where it is in reach.

    Raises NotFound, and what ``restore`` raises; then nothing was changed.
    """
    restored = restore(store, backup_file(store, name))
    log.warning("the data was replaced by the backup %s", name)
    second = second_folder(file_of(store))
    if second is not None and restored.before is not None:
        try:
            copy_to(restored.before.path, second)
        except StoreError as error:
            _TROUBLE[store] = str(error)
    keep_acted_on(store, sent)
    return restored


def backup_file(store: Store, name: str) -> Path:
    """Where the backup called ``name`` is, of those that are listed. Raises NotFound."""
    seen = overview(store)
    listed = [*(each.path for each in (*seen.backups, *seen.copies)), *seen.upgrades]
    for path in listed:
        if path.name == name:
            return path
    raise NotFound("backup", name)
