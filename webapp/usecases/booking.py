"""A form acted on in a transaction of its own, once for the token that it carries."""

from __future__ import annotations

from collections.abc import Callable

from sqlmodel import Session

from webapp.store import Store
from webapp.store.tokens import once


def booked_once(store: Store, token: str, act: Callable[[Session], int]) -> int:
    """What ``act`` gave, now or when the form was first sent. Raises what ``act`` raises; then nothing is kept."""
    with store.writing() as session:
        outcome, _ = once(session, token, lambda: str(act(session)))
    return int(outcome)
