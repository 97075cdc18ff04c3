"""What books carries a token: sent twice, it books once and tells the same again."""

from __future__ import annotations

from collections.abc import Callable, Iterable

from sqlmodel import Session

from webapp.store import Store
from webapp.store.tokens import once

Numbers = tuple[int, ...]


def book_once(store: Store, token: str, act: Callable[[Session], Iterable[int]]) -> Numbers:
    """Act in one transaction, once for each token; the numbers of what it booked, also on a repeat."""
    with store.writing() as session:
        outcome, _ = once(session, token, lambda: _text(act(session)))
    return numbers(outcome)


def numbers(outcome: str) -> Numbers:
    """The numbers that an outcome holds."""
    return tuple(int(number) for number in outcome.split())


def _text(booked: Iterable[int]) -> str:
    return " ".join(str(number) for number in booked)
