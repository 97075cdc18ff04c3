"""The state of the shop's data in words, for the page and for the terminal."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime

BEING_LOOKED_OVER = "being looked over"
SOUND = "sound"
_SERVERS_OWN = "by the server's own tools"
OK = "ok"
"""How the open JSON says it."""
_JOURNALS = {"wal": "write-ahead log", "delete": "rollback journal"}
_STORES = {"sqlite": "SQLite", "postgresql": "PostgreSQL"}


@dataclass(frozen=True, slots=True)
class Keeping:
    """What keeps the data: the program and its version, its journal, and the version of the data's form."""

    store: str
    engine: str
    journal: str
    schema: int


@dataclass(frozen=True, slots=True)
class Health:
    """The state of the data. ``integrity`` is "ok", or what was found instead; ``checked`` tells when.

    ``where`` is the file, empty for a server's data, which the server's own tools back up. ``checked`` is None
    while the first look over a large file is under way. A count is None where damage keeps from counting.
    """

    keeping: Keeping
    where: str
    integrity: str
    checked: datetime | None
    last_backup: datetime | None
    projects: int | None
    revisions: int | None
    documents: int | None
    movements: int | None

    @property
    def sound(self) -> bool:
        """Whether nothing is known against the data."""
        return self.integrity == OK


def health_rows(health: Health) -> tuple[tuple[str, str], ...]:
    """What is told of the data: label and value, in the order of the page."""
    on_server = not health.where
    file = () if on_server else (("File", health.where),)
    backup = _SERVERS_OWN if on_server else _moment(health.last_backup, "none yet")
    return (
        ("State", state(health)),
        ("Looked over", _moment(health.checked, "not yet")),
        ("Last backup", backup),
        *file,
        ("Kept by", _kept_by(health.keeping)),
        ("Version of the data", str(health.keeping.schema)),
        ("Projects", _counted(health.projects)),
        ("Issued revisions", _counted(health.revisions)),
        ("Issued documents", _counted(health.documents)),
        ("Stock bookings", _counted(health.movements)),
    )


def state(health: Health) -> str:
    """Whether the data is sound, or what is known against it."""
    if not health.sound:
        return f"not sound: {health.integrity}"
    if health.checked is None and health.where:
        return BEING_LOOKED_OVER
    return SOUND


def _kept_by(keeping: Keeping) -> str:
    journal = _JOURNALS.get(keeping.journal, keeping.journal)
    return f"{_STORES.get(keeping.store, keeping.store)} {keeping.engine}, {journal}"


def _moment(at: datetime | None, none: str) -> str:
    """By this computer's clock, to the minute."""
    return none if at is None else f"{at.astimezone():%Y-%m-%d %H:%M}"


def _counted(count: int | None) -> str:
    return "cannot be counted" if count is None else str(count)
