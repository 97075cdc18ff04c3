"""Books as often as it is told to, and says after each booking that it is done: to be watched from outside."""

from __future__ import annotations

import sys
from pathlib import Path

from tests.webapp.faults.living import book
from webapp.store import Store


def main(file: str, times: str) -> None:
    store = Store.open(Path(file))
    for turn in range(int(times)):
        book(store, f"Project {turn}")


if __name__ == "__main__":
    main(*sys.argv[1:])
