"""Pieces ticked off at the machine. A tick carries the device's own uuid: sent twice, it is booked once."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import datetime

from sqlalchemy import func
from sqlmodel import Session, col, select

from webapp.store.engine import now
from webapp.store.machine_tables import TickRow
from webapp.store.rows import LARGEST_NUMBER, number_of


@dataclass(frozen=True, slots=True)
class Tick:
    """``count`` pieces of a set-up done, or taken back where it is below 0; ``at`` by the device's clock, in UTC.

    ``set_up`` and ``piece`` are the keys that the set-up sheet gives them.
    """

    uuid: str
    project_id: int
    set_up: str
    piece: str
    count: int
    at: datetime


@dataclass(frozen=True, slots=True)
class StoredTick:
    """A tick under its number, and when it reached this program (UTC)."""

    number: int
    tick: Tick
    received: datetime


def book_ticks(session: Session, ticks: Sequence[Tick]) -> frozenset[str]:
    """Book those that are not booked yet; the uuids of these. One that is there already stays as it is."""
    wanted = {tick.uuid: tick for tick in reversed(ticks)}
    there = set(session.exec(select(TickRow.uuid).where(col(TickRow.uuid).in_(wanted))))
    moment = now(session)
    new = [tick for tick in dict.fromkeys(wanted[tick.uuid] for tick in ticks) if tick.uuid not in there]
    session.add_all(
        TickRow(
            uuid=tick.uuid,
            project_id=tick.project_id,
            set_up=tick.set_up,
            piece=tick.piece,
            count=tick.count,
            ticked_at=tick.at,
            received_at=moment,
        )
        for tick in new
    )
    session.flush()
    return frozenset(tick.uuid for tick in new)


def ticked(session: Session, project_id: int) -> dict[tuple[str, str], int]:
    """How many pieces of each set-up are ticked off, by set-up and piece; sums, as they were booked."""
    if not 0 < project_id <= LARGEST_NUMBER:
        return {}
    rows = session.exec(
        select(TickRow.set_up, TickRow.piece, func.sum(TickRow.count))
        .where(TickRow.project_id == project_id)
        .group_by(TickRow.set_up, TickRow.piece)
    )
    return {(set_up, piece): int(count) for set_up, piece, count in rows}


def find_ticks(session: Session, uuids: Iterable[str]) -> dict[str, Tick]:
    """Those of these ticks that are booked, of whichever project, by their uuids."""
    rows = session.exec(select(TickRow).where(col(TickRow.uuid).in_(set(uuids))))
    return {row.uuid: _tick(row) for row in rows}


def list_ticks(session: Session, project_id: int, after: int = 0) -> tuple[StoredTick, ...]:
    """The ticks of a project that were booked after that number, by the moment they were made on the device."""
    if not 0 < project_id <= LARGEST_NUMBER:
        return ()
    rows = session.exec(
        select(TickRow)
        .where(TickRow.project_id == project_id, col(TickRow.id) > after)
        .order_by(col(TickRow.ticked_at), col(TickRow.id))
    )
    return tuple(StoredTick(number_of(row), _tick(row), row.received_at) for row in rows)


def _tick(row: TickRow) -> Tick:
    return Tick(row.uuid, row.project_id, row.set_up, row.piece, row.count, row.ticked_at)
