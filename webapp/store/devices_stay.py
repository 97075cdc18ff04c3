"""A restore leaves other devices as they are: one that was ended since the backup stays locked out.

Which devices may come in is this computer's business, as its second folder for backups is, and no part of what
the shop has entered.
"""

from __future__ import annotations

import sqlite3
from contextlib import closing
from pathlib import Path

_ROWS = "SELECT * FROM device ORDER BY id"


def keep_devices(sound: Path, database: Path | None) -> None:
    """Put the devices of ``database`` in place of those in ``sound``; none where there are none to be read.

    Both are of this version, but for ``database`` where it is older, damaged or None: then every device has to be
    paired again.
    """
    rows = [] if database is None else _rows(database)
    with closing(sqlite3.connect(sound)) as connection:
        if connection.execute(_ROWS).fetchall() == rows:
            return
        connection.execute("DELETE FROM device")
        for row in rows:
            connection.execute(f"INSERT INTO device VALUES ({', '.join('?' * len(row))})", row)
        connection.commit()


def _rows(database: Path) -> list[tuple[object, ...]]:
    try:
        with closing(sqlite3.connect(f"{database.absolute().as_uri()}?mode=ro", uri=True)) as connection:
            return connection.execute(_ROWS).fetchall()
    except (sqlite3.Error, UnicodeDecodeError):
        return []
