"""How the shop's data is: what keeps it, whether it is sound, how much there is, when it was last backed up."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

from webapp.store import Store
from webapp.store.backup import folder_of, list_backups
from webapp.store.errors import Damaged, FileGone, StoreError
from webapp.store.health import Checkup, count_rows, keeping, keeping_of_file, look_over_file
from webapp.wording.health import OK, Health, Keeping

FORMAT, VERSION = "dovetally-health", 1

_COUNTED = {
    "project": "projects",
    "revision": "revisions",
    "revision_document": "documents",
    "movement": "movements",
}
_FORMERLY = {"revision": "issue", "revision_document": "issue_document"}
"""What tables were called up to version 4."""


def health_of(store: Store, *, now: bool = False) -> Health:
    """How the data of an open store is, by the last look over it; ``now`` looks it over again.

    Raises the errors of any look where nothing can be read at all.
    """
    checkup = store.look_over() if now else store.checkup
    with store.reading() as session:
        kept = keeping(session)
    try:
        with store.reading() as session:
            rows: Mapping[str, int] = count_rows(session, *_COUNTED)
    except StoreError:
        rows = {} if checkup is None else checkup.rows
    return _health(kept, store.path, checkup, rows, store.trouble)


def health_of_file(path: Path) -> Health:
    """How the data in a SQLite file is, as it is: nothing is made, and nothing brought up to date.

    Raises CannotOpen where there is none, ForeignDatabase, NewerDatabase, or Damaged where nothing can be read.
    """
    checkup = look_over_file(path, datetime.now(UTC))
    return _health(keeping_of_file(path), path, checkup, checkup.rows)


def _health(
    kept: Keeping,
    path: Path | None,
    checkup: Checkup | None,
    rows: Mapping[str, int],
    trouble: StoreError | None = None,
) -> Health:
    backups = () if path is None else list_backups(path, folder_of(path))
    projects, revisions, documents, movements = (
        rows.get(table, rows.get(_FORMERLY.get(table, ""))) for table in _COUNTED
    )
    return Health(
        keeping=kept,
        where="" if path is None else str(path),
        integrity=_integrity(checkup, trouble),
        checked=None if checkup is None else checkup.at,
        last_backup=backups[0].name.moment if backups else None,
        projects=projects,
        revisions=revisions,
        documents=documents,
        movements=movements,
    )


def _integrity(checkup: Checkup | None, trouble: StoreError | None) -> str:
    """What is known against the data: what was found when it was looked over, else what was met since."""
    if checkup is not None and checkup.faults:
        return "; ".join(checkup.faults)
    if isinstance(trouble, FileGone):
        return "its file is gone"
    if isinstance(trouble, Damaged):
        return trouble.found or "damage was met while it was read"
    return OK


def health_document(health: Health) -> dict[str, Any]:
    """The state of the data as open JSON."""
    backup = health.last_backup
    return {
        "format": FORMAT,
        "version": VERSION,
        "store": health.keeping.store,
        "engine": health.keeping.engine,
        "journal": health.keeping.journal,
        "schema": health.keeping.schema,
        "integrity": health.integrity,
        "last_backup": None if backup is None else f"{backup.astimezone(UTC):%Y-%m-%dT%H:%M:%SZ}",
        "projects": health.projects,
        "revisions": health.revisions,
        "documents": health.documents,
        "movements": health.movements,
    }
