"""Ticks from the machine: read, booked once each however often they are sent, and summed for a project.

A tablet keeps what it ticks while the network is down and sends it later, several at a time.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import UTC, datetime
from uuid import UUID

from domain.problems import BadInput, Problem
from webapp.store import Store
from webapp.store import ticks as stored
from webapp.store.projects import project_version
from webapp.store.ticks import StoredTick, Tick

MOST_AT_ONCE = 500
MOST_PIECES = 10_000
LONGEST_KEY = 200
FIELDS = ("uuid", "set_up", "piece", "count", "at")


@dataclass(frozen=True, slots=True)
class Booked:
    """What became of ticks that were sent: booked now, or booked before. The device may forget both."""

    new: tuple[str, ...]
    known: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Progress:
    """Pieces ticked off, by the keys of set-up and piece."""

    sums: Mapping[tuple[str, str], int]

    def done(self, set_up: str, piece: str, quantity: int) -> int:
        """How many of ``quantity`` pieces are done: two devices may have ticked more, or taken back more."""
        return min(max(0, self.sums.get((set_up, piece), 0)), quantity)


def read_ticks(project_id: int, data: object) -> tuple[Tick, ...]:
    """Ticks from a parsed JSON list of objects with uuid, set_up, piece, count and at.

    Raises BadInput with every problem; then none of them is to be booked.
    """
    if not isinstance(data, list):
        raise BadInput([Problem(("ticks",), data, "must be a list")])
    if len(data) > MOST_AT_ONCE:
        raise BadInput([Problem(("ticks",), len(data), f"send at most {MOST_AT_ONCE} at once")])
    problems = [problem.under("ticks", index) for index, each in enumerate(data) for problem in _problems(each)]
    if problems:
        raise BadInput(problems)
    return tuple(_tick(project_id, each) for each in data)


def book(store: Store, project_id: int, ticks: Sequence[Tick]) -> Booked:
    """Book the project's ticks, each once for its uuid. Raises NotFound where the project is gone."""
    with store.writing() as session:
        project_version(session, project_id)
        new = stored.book_ticks(session, ticks)
    sent = tuple(dict.fromkeys(tick.uuid for tick in ticks))
    return Booked(tuple(each for each in sent if each in new), tuple(each for each in sent if each not in new))


def progress(store: Store, project_id: int) -> Progress:
    """What is ticked off of the project's set-ups."""
    with store.reading() as session:
        return Progress(stored.ticked(session, project_id))


def booked(store: Store, uuids: Iterable[str]) -> dict[str, Tick]:
    """Those of these ticks that are booked already, by their uuids."""
    with store.reading() as session:
        return stored.find_ticks(session, uuids)


def history(store: Store, project_id: int, after: int = 0) -> tuple[StoredTick, ...]:
    """The project's ticks by the moment they were made: all, or those that were booked after that number."""
    with store.reading() as session:
        return stored.list_ticks(session, project_id, after)


def _problems(data: object) -> Iterator[Problem]:
    if not isinstance(data, dict):
        yield Problem((), data, "must be an object with " + ", ".join(FIELDS))
        return
    yield from (Problem((str(name),), data[name], "is not a field here") for name in data if name not in FIELDS)
    if not _is_uuid(data.get("uuid")):
        yield Problem(("uuid",), data.get("uuid"), "must be a uuid, 36 signs with hyphens")
    for name in ("set_up", "piece"):
        if not _is_key(data.get(name)):
            yield Problem((name,), data.get(name), f"must be the sheet's key for it, 1 to {LONGEST_KEY} signs")
    count = data.get("count")
    if not isinstance(count, int) or isinstance(count, bool) or not 0 < abs(count) <= MOST_PIECES:
        yield Problem(("count",), count, f"must be a whole number of pieces, not 0 and at most {MOST_PIECES}")
    if _moment(data.get("at")) is None:
        yield Problem(("at",), data.get("at"), "must be a moment with its zone, such as 2026-03-02T08:30:00Z")


def _tick(project_id: int, data: dict[str, object]) -> Tick:
    at, count = _moment(data["at"]), data["count"]
    assert at is not None
    assert isinstance(count, int)
    return Tick(str(data["uuid"]).lower(), project_id, str(data["set_up"]), str(data["piece"]), count, at)


def _is_uuid(value: object) -> bool:
    if not isinstance(value, str) or len(value) != 36:
        return False
    try:
        return str(UUID(value)) == value.lower()
    except ValueError:
        return False


def _is_key(value: object) -> bool:
    return isinstance(value, str) and 0 < len(value) <= LONGEST_KEY and value.isprintable() and bool(value.strip())


def _moment(value: object) -> datetime | None:
    """A moment in UTC; None for what is none, or has no time zone, or lies outside what a clock may show."""
    if not isinstance(value, str) or len(value) > 40:
        return None
    try:
        moment = datetime.fromisoformat(value)
        if moment.tzinfo is None or not 2000 <= moment.year <= 2999:
            return None
        return moment.astimezone(UTC)
    except (ValueError, OverflowError):
        return None
