"""A form books once, however often it is sent: a double click, a retry, the back button.

A token is bound to where its form was sent and to what was in it. The same again is told the first
result; anything else under that token is refused with both texts, so that none of them is lost.
"""

from __future__ import annotations

import hashlib
import json
import re
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from functools import cached_property

from sqlalchemy import delete
from sqlmodel import Session, col

from domain.problems import BadInput, Problem
from webapp.store.engine import now
from webapp.store.errors import StoreError
from webapp.store.tables import FormTokenRow
from webapp.wording.problems import InputProblem

KEPT = timedelta(days=30)
MOST_LETTERS = 4_000
"""So much is kept of one text, to be shown beside another; of a longer one, such as a file's, its beginning."""
_TOKEN = re.compile(r"[A-Za-z0-9_-]{16,64}")
_OWN_FIELD = "token"

Texts = tuple[tuple[str, tuple[str, ...]], ...]
"""The texts that were sent, by the fields' names, these in alphabetical order."""


@dataclass(frozen=True)
class Sending:
    """A form as it was sent: its token, the path that it was sent to, and what was in it.

    >>> typed = Sending.of("a-form-token-0001", "/suppliers/new", {"shipping": [""], "name": ["North"]})
    >>> typed.texts
    (('name', ('North',)),)
    """

    token: str
    route: str
    texts: Texts
    device: str = ""
    """The name of the device that sent it; "" for the computer itself. It makes no other form of it."""

    @classmethod
    def of(cls, token: str, route: str, fields: Mapping[str, Sequence[str]], device: str = "") -> Sending:
        """What was sent, in an order of its own: by name; what is empty says nothing, and line ends are one."""
        texts = (
            (name, _without_empty_ends([text.replace("\r\n", "\n").strip() for text in sent]))
            for name, sent in sorted(fields.items())
            if name != _OWN_FIELD
        )
        return cls(token, route, tuple((name, sent) for name, sent in texts if sent), device)

    @cached_property
    def fingerprint(self) -> str:
        """The SHA-256 of route and texts: the same for the same form sent again, and for no other."""
        return hashlib.sha256(json.dumps([self.route, self.texts]).encode()).hexdigest()


def _without_empty_ends(texts: list[str]) -> tuple[str, ...]:
    """Rows at the end that nothing was typed in are left away: how many of them a form shows means nothing."""
    while texts and not texts[-1]:
        texts.pop()
    return tuple(texts)


@dataclass(frozen=True, slots=True)
class KeptSending:
    """The form that a token was acted on for. ``route`` is "" where an earlier version kept only the outcome."""

    route: str
    texts: Texts
    outcome: str
    at: datetime


class SentOtherwise(StoreError):
    """The token has been acted on for another text, or at another place: ``first`` then, ``now`` this time."""

    def __init__(self, first: KeptSending, now: Sending) -> None:
        self.first, self.now = first, now
        super().__init__("This form was saved before, with something else in it; what it says now was not saved.")


def once(session: Session, sent: Sending, act: Callable[[], str]) -> tuple[str, bool]:
    """Act, unless this very form has been acted on; the outcome, and whether it acted.

    ``act`` changes things through the same session and returns what is to be told again on a repeat,
    such as the numbers of what it made. Action and token are kept together or not at all: where ``act``
    raises, the token is free again. Raises SentOtherwise where the token was acted on for anything else,
    and BadInput for what is no token.
    """
    earlier = outcome_of(session, sent)
    if earlier is not None:
        return earlier, False
    outcome = act()
    moment = now(session)
    session.exec(delete(FormTokenRow).where(col(FormTokenRow.at) < moment - KEPT))
    session.add(
        FormTokenRow(
            token=sent.token,
            outcome=outcome,
            at=moment,
            route=sent.route,
            fingerprint=sent.fingerprint,
            sent_json=_kept_text(sent.texts),
        )
    )
    session.flush()
    return outcome, True


def outcome_of(session: Session, sent: Sending) -> str | None:
    """What came of this form; None where it has not been acted on.

    For work that is done before the transaction that ``once`` needs. Raises as ``once`` does.
    """
    if not _TOKEN.fullmatch(sent.token):
        raise BadInput([Problem.of((_OWN_FIELD,), sent.token, InputProblem.OLD_FORM)])
    row = _row(session, sent.token)
    if row is None:
        return None
    if row.fingerprint != sent.fingerprint:
        raise SentOtherwise(_kept(row), sent)
    return row.outcome


def kept_sending(session: Session, token: str) -> KeptSending | None:
    """The form that the token was acted on for; None where it was not, also for what is no token."""
    row = _row(session, token)
    return None if row is None else _kept(row)


def _row(session: Session, token: str) -> FormTokenRow | None:
    return session.get(FormTokenRow, token) if _TOKEN.fullmatch(token) else None


def _kept(row: FormTokenRow) -> KeptSending:
    texts = tuple((name, tuple(sent)) for name, sent in json.loads(row.sent_json))
    return KeptSending(row.route, texts, row.outcome, row.at)


def _kept_text(texts: Texts) -> str:
    return json.dumps([(name, [_beginning(text) for text in sent]) for name, sent in texts])


def _beginning(text: str) -> str:
    if len(text) <= MOST_LETTERS:
        return text
    return f"{text[:MOST_LETTERS]}… ({len(text)} letters)"
