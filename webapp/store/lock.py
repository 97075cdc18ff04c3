"""One server a database: a lock file beside it, held for as long as the process lives.

The lock is the operating system's, so a killed server leaves no lock behind. It is on a file of
its own: opening and closing the database itself would drop SQLite's locks on it.
"""

from __future__ import annotations

import sys
from pathlib import Path
from typing import IO

from webapp.store.errors import InUse

if sys.platform == "win32":
    import msvcrt

    _FAR = 1 << 30  # lock a byte far out, so that the process number stays readable

    def _take(file: IO[str]) -> None:
        file.seek(_FAR)
        msvcrt.locking(file.fileno(), msvcrt.LK_NBLCK, 1)

else:
    import fcntl

    def _take(file: IO[str]) -> None:
        fcntl.flock(file, fcntl.LOCK_EX | fcntl.LOCK_NB)


class FileLock:
    """The lock on ``database``; raises InUse at once where another holder has it."""

    def __init__(self, database: Path) -> None:
        self.path = database.with_name(database.name + ".lock")
        self._file = self.path.open("a", encoding="ascii")
        try:
            _take(self._file)
        except OSError:
            self._file.close()
            raise InUse(str(self.path)) from None

    def release(self) -> None:
        """Let go. The file stays: deleting it would let two processes lock two files of one name."""
        self._file.close()
