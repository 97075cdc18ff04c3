"""What lies beside a shop's data: the mark that it is kept there, and the copies made of it.

A start that finds no data makes a new shop only where none used to be. The mark tells, and it is not the data's
own file, so whoever deletes or forgets to copy the one is asked before an empty shop takes its place.
"""

from __future__ import annotations

from contextlib import suppress
from pathlib import Path

from webapp.store.backup import folder_of, list_backups

_MARK = ".kept-here"
_MARK_TEXT = (
    "The data of a Dovetally workshop is kept beside this file. Leave it here: "
    "should the data ever be missing, the program asks before it begins an empty workshop.\n"
)
_COPIES = (".before-version-*", ".saved-*")


def mark(path: Path) -> None:
    """Leave the mark beside the data at ``path``."""
    beside = path.with_name(path.name + _MARK)
    if not beside.exists():
        with suppress(OSError):  # a place that cannot be written is none where a new shop could be made
            beside.write_text(_MARK_TEXT, encoding="utf-8")


def were_used(path: Path) -> bool:
    """Whether a shop's data used to be at ``path``: the mark is there, or copies that the program made."""
    return path.with_name(path.name + _MARK).exists() or bool(copies(path))


def copies(path: Path) -> tuple[str, ...]:
    """The copies of the data that lie beside it and among its backups, the newest first."""
    found = [copy for ending in _COPIES for copy in path.parent.glob(path.name + ending)]
    beside = tuple(copy.name for copy in sorted(found, key=lambda copy: copy.stat().st_mtime, reverse=True))
    backups = list_backups(path, folder_of(path))
    return beside + tuple(str(backup.path.relative_to(path.parent)) for backup in backups[:1])
