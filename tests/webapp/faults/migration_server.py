"""Upgrades that are going to be killed.

For every "STATEMENT FILE" on its input this process splits off one that brings the database up to date and kills
itself before that many-th statement, its commit among them. Then it says "killed", or "done" and how many
statements there were.
"""

from __future__ import annotations

import os
import signal
import sqlite3
import sys
from pathlib import Path

from webapp.store import schema, sqlite
from webapp.store.sqlite import set_up


def main() -> None:
    schema.schema_of_version(1)  # what an upgrade loads is loaded before the split
    for line in sys.stdin:
        statement, file = line.split()
        child = os.fork()
        if child == 0:
            say(f"done {upgrade(Path(file), int(statement))}")
            os._exit(0)
        _, status = os.waitpid(child, 0)
        if status:
            say("killed" if os.WIFSIGNALED(status) else "failed")


def say(line: str) -> None:
    os.write(1, f"{line}\n".encode())


def upgrade(file: Path, statement: int) -> int:
    done = 0

    def count(_sql: str) -> None:
        nonlocal done
        done += 1
        if done > statement:
            os.kill(os.getpid(), signal.SIGKILL)

    def counted(connection: sqlite3.Connection, wanted: dict[str, int | str]) -> None:
        set_up(connection, wanted)
        if not wanted["foreign_keys"]:  # the one that changes the schema
            connection.set_trace_callback(count)

    sqlite.set_up = counted
    schema.bring_up_to_date(file)
    return done


if __name__ == "__main__":
    main()
