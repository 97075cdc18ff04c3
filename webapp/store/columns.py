"""Column types: what a value of ours is in the database.

SQLite's STRICT tables know INTEGER and TEXT; its INTEGER has 64 bits, elsewhere that is BIGINT.
"""

from __future__ import annotations

from collections.abc import Callable
from datetime import UTC, date, datetime
from enum import Enum
from typing import TypeVar

from sqlalchemy import BigInteger, Integer, Text
from sqlalchemy.engine import Dialect
from sqlalchemy.types import TypeDecorator

from domain.lengths import Length
from webapp.store.errors import Damaged

When = TypeVar("When", date, datetime)
Choice = TypeVar("Choice", bound=Enum)
WHOLE = BigInteger().with_variant(Integer(), "sqlite")
"""A whole number of 64 bits."""


class LengthColumn(TypeDecorator[Length]):
    """A length as whole nanometres."""

    impl = WHOLE
    cache_ok = True

    def process_bind_param(self, value: Length | None, dialect: Dialect) -> int | None:
        """Nanometres; anything that is no Length fails here, before SQLite sees it."""
        return None if value is None else value.nm

    def process_result_value(self, value: int | None, dialect: Dialect) -> Length | None:
        """The length again."""
        return None if value is None else Length(value)


class MomentColumn(TypeDecorator[datetime]):
    """A moment in UTC as ISO text of fixed width, so that text order is time order.

    >>> moment_text(datetime(2026, 2, 28, 7, 5, tzinfo=UTC))
    '2026-02-28T07:05:00.000000Z'
    """

    impl = Text
    cache_ok = True

    def process_bind_param(self, value: datetime | None, dialect: Dialect) -> str | None:
        """The text; a moment without a time zone is refused."""
        return None if value is None else moment_text(value)

    def process_result_value(self, value: str | None, dialect: Dialect) -> datetime | None:
        """The moment again, aware and in UTC. Raises Damaged for what nobody can have stored."""
        return None if value is None else moment_in(value)


class DayColumn(TypeDecorator[date]):
    """A day of the calendar as ISO text, so that text order is time order."""

    impl = Text
    cache_ok = True

    def process_bind_param(self, value: date | None, dialect: Dialect) -> str | None:
        """The text."""
        return None if value is None else value.isoformat()

    def process_result_value(self, value: str | None, dialect: Dialect) -> date | None:
        """The day again. Raises Damaged for what nobody can have stored."""
        return None if value is None else _stored(date.fromisoformat, value)


def _stored(read: Callable[[str], When], value: str) -> When:
    """A moment or a day; SQLite itself does not see where a bit fell over in the text of one."""
    try:
        return read(value)
    except ValueError:
        raise Damaged(f"{value!r} stands where a day or a moment should") from None


def moment_in(text: str) -> datetime:
    """The moment that ``moment_text`` wrote. Raises Damaged for what nobody can have stored."""
    return _stored(datetime.fromisoformat, text)


def choice_in(kind: type[Choice], value: str) -> Choice:
    """The choice that a column's text stands for. Raises Damaged where it is none of them."""
    try:
        return kind(value)
    except ValueError:
        raise Damaged(f"{value!r} stands where one of {', '.join(each.value for each in kind)} should") from None


def moment_text(moment: datetime) -> str:
    """``moment`` in UTC as the database holds it. Raises ValueError for one without a time zone."""
    if moment.tzinfo is None:
        raise ValueError(f"{moment} has no time zone")
    return moment.astimezone(UTC).isoformat(timespec="microseconds").replace("+00:00", "Z")
