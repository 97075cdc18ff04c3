"""``dovetally health``: the shop's data looked over, also while the server runs on it."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import closing

from webapp.site.settings import NetworkPath, Settings
from webapp.store import Store
from webapp.store.engine import sqlite_path
from webapp.store.errors import Damaged, StoreError
from webapp.usecases.health import health_of, health_of_file
from webapp.wording.health import Health, health_rows


class CannotLook(Exception):
    """There is no data, or none that could be read; the message says why and what would work."""


def look() -> Health:
    """The state of the data that a server started now would serve. Raises CannotLook."""
    try:
        where = Settings.from_environment().database
        path = sqlite_path(where)
        if path is not None:
            return health_of_file(path)
        with closing(Store.open(where)) as store:
            return health_of(store)
    except (NetworkPath, StoreError) as refusal:
        raise CannotLook(str(refusal)) from None


def health_lines(health: Health) -> Iterator[str]:
    """What is told of the data, a line each; of damaged data what to do as well."""
    rows = health_rows(health)
    width = max(len(label) for label, _ in rows)
    for label, value in rows:
        yield f"{label:<{width}}  {value}"
    if not health.sound:
        yield str(Damaged())
