"""A shop from its file to a database server, and from a server to a file: all of it, or nothing.

Where it came from stays as it was, to the last byte; where it goes must be an empty shop, or nothing yet. Nobody
else may have either open meanwhile: what they wrote would be lost.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path

from sqlalchemy.engine import URL

from webapp.store import carry, places, schema, server
from webapp.store.archive import NEVER_EMPTY, NOBODYS_WORK, first_with_rows
from webapp.store.backup import Backup, back_up, make_backup, put_in_place
from webapp.store.engine import hold
from webapp.store.errors import CannotOpen
from webapp.store.keeping import Why
from webapp.store.restore import judged, move_in, room_for
from webapp.store.soundness import looking_at


class TargetNotEmpty(CannotOpen):
    """Where a shop is to be moved to there is one already; ``has`` is a table of it with rows."""

    def __init__(self, where: str, has: str) -> None:
        self.has = has
        super().__init__(where, f"there is a shop in it already (it has rows in {has}); name an empty place")


@dataclass(frozen=True, slots=True)
class Moved:
    """What was moved: the contents of every table, as they read back where they are now.

    ``before`` is the backup of the empty shop that was there.
    """

    contents: carry.Contents
    before: Backup | None = None

    @property
    def counts(self) -> Mapping[str, int]:
        """The rows of each table."""
        return {table: content.rows for table, content in self.contents.items()}


def to_server(database: Path, url: URL) -> Moved:
    """Move what a file holds to a server.

    Raises InUse where a program has the file open, Occupied where one has the server's database, TargetNotEmpty,
    what a restore raises for the file, and NotCarried.
    """
    if not database.is_file():
        raise CannotOpen(str(database), "there is no such file")
    schema.version_of(database)
    lock = hold(database)
    try:
        with room_for(database.parent) as room:
            copy = Path(room) / "copy.db"
            back_up(database, copy)
            judged(copy, database)
            with server.alone(url) as target:
                has = carry.first_with_rows(target, NOBODYS_WORK | NEVER_EMPTY)
                if has is not None:
                    raise TargetNotEmpty(server.shown(url), has)
                contents = carry.to_server(copy, target)
                carry.begin_life(target)
        return Moved(contents)
    finally:
        lock.release()


def to_file(url: URL, database: Path, moment: datetime) -> Moved:
    """Move what a server holds to a file. Raises as ``to_server`` does; what a backup raises, too."""
    database.parent.mkdir(parents=True, exist_ok=True)
    lock = hold(database)
    try:
        here = schema.version_of(database) > 0
        if here:
            with looking_at(database) as connection:
                has = first_with_rows(connection)
            if has is not None:
                raise TargetNotEmpty(str(database), has)
        with room_for(database.parent) as room:
            made = Path(room) / "made.db"
            with server.alone(url, keep=False) as source:
                contents = carry.to_file(source, made)
            judged(made, Path(server.shown(url)))
            before = make_backup(database, moment, Why.BEFORE_RESTORE) if here else None
            if here:
                put_in_place(made, database)
            else:
                move_in(made, database)
            places.mark(database)
            return Moved(contents, before)
    finally:
        lock.release()
