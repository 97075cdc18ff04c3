"""At the machine: the set-ups of a sheet with what is ticked off, and the exchange of ticks with a device.

A tick carries a uuid of version 4 that the device made. What takes it back carries the same uuid as version 8
(RFC 9562: a layout of one's own), so it is known from the tick alone: whoever takes a tick back, on whichever
device and however often it is sent, books the same entry, once.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property
from hashlib import sha256

from domain.machine.set_ups import SetUpWork, Source, set_up_works
from domain.machine.sheet import Sheet
from domain.machine.ticking import Tickable, is_finished, tickables
from domain.problems import BadInput, Problem
from webapp.store import Store
from webapp.store.ticks import StoredTick, Tick
from webapp.usecases import ticking
from webapp.usecases.projects import PlannedProject
from webapp.usecases.set_ups import choose, choose_soon, sheet_soon, source_of
from webapp.wording.problems import InputProblem

TICK, UNDO = "4", "8"
_VERSION = 14
"""Where a uuid written with hyphens has its version."""


def undo_of(uuid: str) -> str:
    """The uuid of what takes back the tick with this uuid.

    >>> undo_of("6f9619ff-8b86-4011-b42d-00c04fc964ff")
    '6f9619ff-8b86-8011-b42d-00c04fc964ff'
    """
    return uuid[:_VERSION] + UNDO + uuid[_VERSION + 1 :]


@dataclass(frozen=True)
class ShopSheet:
    """What can be ticked off for these projects together, and their ticks as the ledger has them: all, or news."""

    works: tuple[SetUpWork, ...]
    ledger: tuple[StoredTick, ...]

    @cached_property
    def rows(self) -> Mapping[str, tuple[Tickable, ...]]:
        """The rows of every set-up, by its key."""
        return {work.key: tickables(work) for work in self.works}

    @cached_property
    def keys(self) -> frozenset[tuple[str, str]]:
        """Every pair of keys that a tick may be for."""
        return frozenset((row.set_up, key) for rows in self.rows.values() for row in rows for key in row.keys)

    @cached_property
    def mark(self) -> str:
        """The same text as long as the same rows can be ticked off as often: a page that shows another is old."""
        rows = sorted((row.set_up, row.keys, row.quantity) for each in self.rows.values() for row in each)
        return sha256(repr(rows).encode()).hexdigest()[:16]

    @cached_property
    def ticks(self) -> tuple[Tick, ...]:
        """The ticks that stand, in the order in which they were booked."""
        booked = [entry.tick for entry in self.ledger]
        back = {tick.uuid for tick in booked if tick.count < 0}
        return tuple(tick for tick in booked if tick.count > 0 and undo_of(tick.uuid) not in back)

    @cached_property
    def sums(self) -> Mapping[tuple[str, str], int]:
        """How many are ticked off, by the keys of set-up and piece."""
        found: dict[tuple[str, str], int] = {}
        for tick in self.ticks:
            found[tick.set_up, tick.piece] = found.get((tick.set_up, tick.piece), 0) + tick.count
        return found

    @property
    def elsewhere(self) -> int:
        """Ticks that stand for set-ups or pieces which the sheet no longer has."""
        return sum((tick.set_up, tick.piece) not in self.keys for tick in self.ticks)

    def finished(self, set_up: str) -> bool:
        """Whether everything of the set-up with this key is ticked off."""
        return is_finished(self.rows[set_up], self.sums)

    def last_of(self, set_up: str, pieces: Iterable[str]) -> Tick | None:
        """The tick for one of these pieces that was booked last."""
        wanted = set(pieces)
        return next(
            (each for each in reversed(self.ticks) if each.set_up == set_up and each.piece in wanted), None
        )


@dataclass(frozen=True, slots=True)
class Answer:
    """What became of the ticks sent, by uuid: ``booked`` now or before, or ``gone`` with what they were for."""

    booked: tuple[str, ...]
    gone: tuple[str, ...]
    sheet: ShopSheet


def open_sheet(store: Store, numbers: Sequence[int]) -> tuple[tuple[PlannedProject, ...], Sheet, ShopSheet]:
    """These projects, their set-up sheet, and its state. Raises NotFound, Unreadable or TakesLong."""
    projects, change_minutes = choose_soon(store, numbers)
    sheet = sheet_soon(projects, change_minutes)
    return projects, sheet, ShopSheet(tuple(line.work for line in sheet.lines), _ledger(store, numbers, 0))


def state(store: Store, numbers: Sequence[int], after: int = 0) -> ShopSheet:
    """These projects' sheet, its set-ups in any order, with what was booked after that number.

    Raises NotFound or Unreadable.
    """
    return ShopSheet(set_up_works(_sources(store, numbers)), _ledger(store, numbers, after))


def exchange(store: Store, numbers: Sequence[int], data: object, after: int = 0) -> Answer:
    """Book what a device sends: a JSON list of ticks in the order in which they were made.

    A tick whose set-up or piece the sheet does not have, and what takes back a tick that was never booked,
    is booked nowhere and named in the answer. The answer's sheet has what was booked after that number, by this
    device and others. Raises BadInput where the list itself cannot be read (then nothing of it is booked),
    NotFound or Unreadable.
    """
    sheet = ShopSheet(set_up_works(_sources(store, numbers)), ())
    ticks = [_of_project(tick, numbers) for tick in ticking.read_ticks(numbers[0], data)]
    found = ticking.booked(store, (_tick_of(tick.uuid) for tick in ticks))
    made = {uuid: tick for uuid, tick in found.items() if tick.project_id in numbers}
    taken = {undo_of(uuid): tick for uuid, tick in made.items()}
    good: list[Tick] = []
    for place, tick in enumerate(ticks):
        _check(tick, taken.get(tick.uuid), place)
        if tick.uuid in made or tick.uuid in taken or (tick.count > 0 and (tick.set_up, tick.piece) in sheet.keys):
            good.append(tick)
            if tick.count > 0:
                made.setdefault(tick.uuid, tick)
                taken.setdefault(undo_of(tick.uuid), tick)
    for number in numbers:
        theirs = [tick for tick in good if tick.project_id == number]
        if theirs:
            ticking.book(store, number, theirs)
    booked = tuple(dict.fromkeys(tick.uuid for tick in good))
    kept = frozenset(booked)
    gone = tuple(dict.fromkeys(tick.uuid for tick in ticks if tick.uuid not in kept))
    return Answer(booked, gone, ShopSheet(sheet.works, _ledger(store, numbers, after)))


def _check(tick: Tick, taken: Tick | None, place: int) -> None:
    """Raise BadInput for what no device of ours would send; ``taken`` is the tick that this one takes back."""
    if tick.uuid[_VERSION] != (TICK if tick.count > 0 else UNDO):
        raise BadInput([Problem.of(("ticks", place, "uuid"), tick.uuid, InputProblem.OTHER_UUID)])
    if taken is not None and (taken.set_up, taken.piece, taken.count) != (tick.set_up, tick.piece, -tick.count):
        path = ("ticks", place, "count")
        raise BadInput([Problem.of(path, tick.count, InputProblem.OTHER_COUNT, count_n=-taken.count)])


def _tick_of(uuid: str) -> str:
    """The uuid of the tick itself, where it may be that of what takes it back."""
    return uuid[:_VERSION] + TICK + uuid[_VERSION + 1 :]


def _of_project(tick: Tick, numbers: Sequence[int]) -> Tick:
    """The tick under the project whose piece it names."""
    source = tick.piece.partition("/")[0]
    number = next((each for each in numbers if str(each) == source), numbers[0])
    return Tick(tick.uuid, number, tick.set_up, tick.piece, tick.count, tick.at)


def _sources(store: Store, numbers: Sequence[int]) -> list[Source]:
    return [source_of(project) for project in choose(store, numbers)[0]]


def _ledger(store: Store, numbers: Sequence[int], after: int) -> tuple[StoredTick, ...]:
    found = [entry for number in numbers for entry in ticking.history(store, number, after)]
    return tuple(sorted(found, key=lambda entry: entry.number))
