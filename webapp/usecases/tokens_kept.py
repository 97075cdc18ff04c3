"""Forms whose work lies beside the data, or is all of it: that they were acted on is kept once it is done."""

from __future__ import annotations

from contextlib import suppress

from sqlmodel import Session

from webapp.store import Store
from webapp.store.errors import StoreError
from webapp.store.tokens import Sending
from webapp.usecases.booking import change_once


def keep_acted_on(store: Store, sent: Sending | None) -> None:
    """Keep that the form was acted on, so that it is not a second time.

    Where that cannot be kept, what was done stays: just when nothing can be written a backup is wanted.
    """
    if sent is not None and sent.token:
        with suppress(StoreError):
            change_once(store, sent, _nothing_more)


def _nothing_more(_session: Session) -> None:
    """What was done is done."""
