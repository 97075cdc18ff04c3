"""A process that makes one backup after another, until it is killed: ``FILE HOW_MANY_LINES``."""

from __future__ import annotations

import sys
from datetime import UTC, datetime, timedelta
from itertools import count
from pathlib import Path

from webapp.store.backup import make_backup
from webapp.store.keeping import Why

BEGUN = datetime(2026, 3, 2, 8, tzinfo=UTC)


def main(file: str) -> None:
    print("begun", flush=True)
    for turn in count():
        made = make_backup(Path(file), BEGUN + timedelta(seconds=turn), Why.BY_HAND)
        print(made.path.name, flush=True)


if __name__ == "__main__":
    main(sys.argv[1])
