"""Books as often as it is told to, and says after each booking that it is done: to be watched from outside."""

from __future__ import annotations

import os
import sys
from pathlib import Path

from tests.factories import sending
from tests.webapp.store.store_samples import joint, project
from webapp.store import Store
from webapp.usecases.projects import create_project


def main(file: str, times: str) -> None:
    store = Store.open(Path(file))
    for turn in range(int(times)):
        number = create_project(store, sending(f"a-token-{turn:020}"), project(joint(), name=f"Project {turn}"))
        os.write(1, f"saved {number}\n".encode())


if __name__ == "__main__":
    main(*sys.argv[1:])
