"""Ticks from the machine: read, booked once each however often they are sent, and summed for a project.

A tablet keeps what it ticks while the network is down and sends it later, several at a time.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from datetime import UTC, datetime
from uuid import UUID

from domain.problem_codes import ProblemCode
from domain.problems import BadInput, Problem
from webapp.store import Store
from webapp.store import ticks as stored
from webapp.store.projects import project_version
from webapp.store.ticks import StoredTick, Tick
from webapp.wording.problems import InputProblem

MOST_AT_ONCE = 500
MOST_PIECES = 10_000
LONGEST_KEY = 200
FIELDS = ("uuid", "set_up", "piece", "count", "at")


@dataclass(frozen=True, slots=True)
class Booked:
    """What became of ticks that were sent: booked now, or booked before. The device may forget both."""

    new: tuple[str, ...]
    known: tuple[str, ...]


def read_ticks(project_id: int, data: object) -> tuple[Tick, ...]:
    """Ticks from a parsed JSON list of objects with uuid, set_up, piece, count and at.

    Raises BadInput with every problem; then none of them is to be booked.
    """
    if not isinstance(data, list):
        raise BadInput([Problem.of(("ticks",), data, ProblemCode.NOT_A_LIST)])
    if len(data) > MOST_AT_ONCE:
        raise BadInput([Problem.of(("ticks",), len(data), InputProblem.TOO_MANY_AT_ONCE, most_n=MOST_AT_ONCE)])
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
        yield Problem.of((), data, InputProblem.NOT_A_TICK, fields_text=", ".join(FIELDS))
        return
    for name in data:
        if name not in FIELDS:
            yield Problem.of((str(name),), data[name], InputProblem.NOT_A_TICKS_FIELD)
    if not _is_uuid(data.get("uuid")):
        yield Problem.of(("uuid",), data.get("uuid"), InputProblem.NOT_A_UUID)
    for name in ("set_up", "piece"):
        if not _is_key(data.get(name)):
            yield Problem.of((name,), data.get(name), InputProblem.NOT_A_KEY, most_n=LONGEST_KEY)
    count = data.get("count")
    if not isinstance(count, int) or isinstance(count, bool) or not 0 < abs(count) <= MOST_PIECES:
        yield Problem.of(("count",), count, InputProblem.NOT_PIECES, most_n=MOST_PIECES)
    if _moment(data.get("at")) is None:
        yield Problem.of(("at",), data.get("at"), InputProblem.NOT_A_MOMENT)


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
