"""A shop's life in short, to be watched from outside: books, backs up, restores, and says so once each is done."""

from __future__ import annotations

import sys
from pathlib import Path

from tests.factories import sending
from tests.webapp.store.crash_writer import say
from tests.webapp.store.store_samples import joint, project
from webapp.store import Store, sqlite
from webapp.store.backup import Backup, make_backup
from webapp.store.keeping import Why
from webapp.store.restore import restore
from webapp.store.sqlite import Journal
from webapp.usecases.projects import create_project

FORGETFUL = "forgetful"
"""The journal is kept, and nothing is brought to the disk: a test that sees power cuts sees what this loses."""


def main(file: str, journal: str, times: str, manner: str = "") -> None:
    sqlite.journal_for = lambda version: Journal[journal]
    if manner == FORGETFUL:
        sqlite._SYNCHRONOUS = {"FULL": 0, "EXTRA": 0}
    store = Store.open(Path(file))
    for turn in range(int(times)):
        book(store, f"Before {turn}")
    backup = make_backup(Path(file), store.moment(), Why.BY_HAND)
    say(f"kept {backup.path.name}")
    book(store, "After the backup")
    bring_back(store, backup)
    book(store, "After the restore")
    store.close()
    say("closed")


def book(store: Store, name: str) -> None:
    create_project(store, sending(f"a-token-{name:>20}".replace(" ", "-"), name=name), project(joint(), name=name))
    say(f"saved {name}")


def bring_back(store: Store, backup: Backup) -> None:
    say(f"restoring {backup.path.name}")
    restore(store, backup.path)
    say(f"restored {backup.path.name}")


if __name__ == "__main__":
    main(*sys.argv[1:])
