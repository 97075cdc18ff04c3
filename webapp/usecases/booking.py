"""What books carries a token: sent twice, it books once and tells the same again."""

from __future__ import annotations

from collections.abc import Callable, Iterable

from sqlmodel import Session

from webapp.store import Store
from webapp.store.past import watched
from webapp.store.tokens import KeptSending, Sending, kept_sending, once, outcome_of

Numbers = tuple[int, ...]


def book_once(store: Store, sent: Sending, act: Callable[[Session], Iterable[int]]) -> Numbers:
    """Act in one transaction, once for each form sent; the numbers of what it booked, also on a repeat.

    Raises SentOtherwise where the form's token was acted on for anything else.
    """
    with store.writing() as session:
        watched(session).token, watched(session).device = sent.token, sent.device
        outcome, _ = once(session, sent, lambda: _text(act(session)))
    return numbers(outcome)


def change_once(store: Store, sent: Sending, act: Callable[[Session], None]) -> None:
    """Change what is guarded otherwise, such as by its version, in one transaction, once for each form sent.

    A form without a token may do so too. Raises SentOtherwise as ``book_once`` does.
    """

    def acted(session: Session) -> tuple[int, ...]:
        act(session)
        return ()

    if sent.token:
        book_once(store, sent, acted)
        return
    with store.writing() as session:
        watched(session).device = sent.device
        act(session)


def sent_before(store: Store, sent: Sending) -> KeptSending | None:
    """The very form, where it has been acted on; None where not, also for what is no token, which booking refuses.

    To be asked before anything is looked up for it: to act on it has changed what it rests on. Raises
    SentOtherwise as ``book_once`` does.
    """
    with store.reading() as session:
        kept = kept_sending(session, sent.token)
        if kept is not None:
            outcome_of(session, sent)  # refuses another text under the same token
        return kept


def sent_with(store: Store, token: str) -> KeptSending | None:
    """What was sent under a token and acted on; None where nothing was."""
    with store.reading() as session:
        return kept_sending(session, token)


def numbers(outcome: str) -> Numbers:
    """The numbers that an outcome holds."""
    return tuple(int(number) for number in outcome.split())


def _text(booked: Iterable[int]) -> str:
    return " ".join(str(number) for number in booked)
