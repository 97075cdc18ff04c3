"""What is kept of earlier states, gone through once a day."""

from __future__ import annotations

import logging

from webapp.store import Store
from webapp.store.engine import now
from webapp.store.errors import StoreError
from webapp.store.past_upkeep import BIN_KEPT, empty_bin, thin

log = logging.getLogger("dovetally")


def tidy(store: Store) -> None:
    """Let go of what is kept no longer. What is in the way is written down, and tried again another day."""
    try:
        with store.writing() as session:
            empty_bin(session, now(session) - BIN_KEPT)
            thin(session, now(session))
    except StoreError as error:
        log.warning("earlier states: %s", error)
