"""Trials in the shop's book, the starts that it accepted from them, and mouldings that come back.

A trial or a start is never changed: one that no longer counts is withdrawn or ended, and stays readable.
"""

from __future__ import annotations

from collections import defaultdict
from dataclasses import dataclass
from datetime import datetime

from sqlalchemy import func
from sqlmodel import Session, col, select

from domain.problems import BadInput
from domain.spec.catalogue import CutterKind
from domain.spec.starts import AcceptedStart, Starts, check_start
from domain.trials.mouldings import KeptMoulding, Moulding, check_moulding
from domain.trials.trial import KeptTrial, Outcome, Trial, check_trial
from webapp.store.columns import choice_in
from webapp.store.engine import now
from webapp.store.errors import NotFound
from webapp.store.machine_tables import (
    AcceptedStartRow,
    MouldingRow,
    StartEndedRow,
    StartTrialRow,
    TrialRow,
    TrialWithdrawnRow,
)
from webapp.store.past_tables import PastRowRow
from webapp.store.rows import LARGEST_NUMBER, number_of
from webapp.store.shop import raise_edition
from webapp.store.specs import moulding_text, read_moulding


@dataclass(frozen=True, slots=True)
class Withdrawal:
    """Why and when (UTC) a trial was withdrawn."""

    why: str
    at: datetime


@dataclass(frozen=True, slots=True)
class StoredStart:
    """An accepted start under its number; ``accepted`` and ``ended`` are moments in UTC, None while it holds."""

    number: int
    start: AcceptedStart
    accepted: datetime
    ended: datetime | None


def add_trial(session: Session, trial: Trial, day: str) -> int:
    """Write a trial into the book under a day (ISO 8601); its number. Raises BadInput."""
    problems = tuple(check_trial(trial))
    if problems:
        raise BadInput(problems)
    row = TrialRow(
        section=trial.section,
        cutter=trial.cutter.value,
        tip_diameter=trial.tip_diameter,
        species=trial.species,
        thickness=trial.thickness,
        projection=trial.projection,
        depth=trial.depth,
        fence_reading=trial.fence_reading,
        outcome=trial.outcome.value,
        gap=trial.gap,
        stopped_at=trial.stopped_at,
        day=day,
        at=now(session),
    )
    session.add(row)
    session.flush()
    return number_of(row)


def withdraw_trial(session: Session, number: int, why: str) -> None:
    """Let a trial count no more; one that was withdrawn already stays so. Raises NotFound."""
    _trial_row(session, number)
    if session.get(TrialWithdrawnRow, number) is None:
        session.add(TrialWithdrawnRow(trial_id=number, why=" ".join(why.split()), at=now(session)))
        session.flush()


def load_trial(session: Session, number: int) -> tuple[KeptTrial, Withdrawal | None]:
    """A trial, and its withdrawal if there was one. Raises NotFound."""
    row = _trial_row(session, number)
    gone = session.get(TrialWithdrawnRow, number)
    return _kept(row), None if gone is None else Withdrawal(gone.why, gone.at)


def book_edition(session: Session) -> tuple[int, ...]:
    """Figures that stay the same for as long as no trial or moulding comes or goes; accepted starts are not in it.

    Those raise the shop's edition, for plans change with them.
    """
    return tuple(
        session.exec(select(figure)).one() or 0
        for figure in (
            func.max(TrialRow.id),
            func.count(col(TrialWithdrawnRow.trial_id)),
            func.max(MouldingRow.id),
            func.count(col(MouldingRow.id)),
            # one that comes out of the bin has the number that it had
            select(func.max(PastRowRow.id)).where(PastRowRow.kind == "moulding").scalar_subquery(),
        )
    )


def list_trials(
    session: Session, *, section: str | None = None, cutter: CutterKind | None = None
) -> tuple[KeptTrial, ...]:
    """The trials that count, of one section or cutter or of all, the newest first."""
    query = select(TrialRow).where(col(TrialRow.id).not_in(select(TrialWithdrawnRow.trial_id)))
    if section is not None:
        query = query.where(TrialRow.section == section)
    if cutter is not None:
        query = query.where(TrialRow.cutter == cutter.value)
    return tuple(
        _kept(row) for row in session.exec(query.order_by(col(TrialRow.day).desc(), col(TrialRow.id).desc()))
    )


def withdrawn_trials(session: Session) -> tuple[tuple[KeptTrial, Withdrawal], ...]:
    """The trials that count no more, the one withdrawn last first."""
    rows = session.exec(
        select(TrialRow, TrialWithdrawnRow)
        .where(TrialRow.id == TrialWithdrawnRow.trial_id)
        .order_by(col(TrialWithdrawnRow.at).desc(), col(TrialRow.id).desc())
    )
    return tuple((_kept(row), Withdrawal(gone.why, gone.at)) for row, gone in rows)


def add_start(session: Session, start: AcceptedStart) -> int:
    """Accept a start: from now on the shop's projects are planned with it; its number.

    Raises BadInput, or NotFound where one of its trials is not in the book.
    """
    problems = tuple(check_start(start))
    if problems:
        raise BadInput(problems)
    for trial in start.trials:
        _trial_row(session, trial)
    row = AcceptedStartRow(
        section=start.section,
        cutter=start.cutter.value,
        species=start.species or "",
        snug=start.snug,
        projection=start.projection,
        tip_diameter=start.tip_diameter,
        day=start.day,
        at=now(session),
    )
    session.add(row)
    session.flush()
    number = number_of(row)
    session.add_all(
        StartTrialRow(start_id=number, position=position, trial_id=trial)
        for position, trial in enumerate(start.trials)
    )
    raise_edition(session)
    return number


def end_start(session: Session, number: int) -> None:
    """Plan with the start no more; one that was ended already stays so. Raises NotFound."""
    row = session.get(AcceptedStartRow, number) if 0 < number <= LARGEST_NUMBER else None
    if row is None:
        raise NotFound("start", number)
    if session.get(StartEndedRow, number) is None:
        session.add(StartEndedRow(start_id=number, at=now(session)))
        raise_edition(session)


def list_starts(session: Session, *, ended: bool = False) -> tuple[StoredStart, ...]:
    """The starts that hold, in the order in which they were accepted; with ``ended`` all there ever were."""
    ends = {row.start_id: row.at for row in session.exec(select(StartEndedRow))}
    trials: defaultdict[int, list[int]] = defaultdict(list)
    for each in session.exec(select(StartTrialRow).order_by(col(StartTrialRow.position))):
        trials[each.start_id].append(each.trial_id)
    rows = session.exec(select(AcceptedStartRow).order_by(col(AcceptedStartRow.id)))
    return tuple(
        StoredStart(number_of(row), _start(row, trials[number_of(row)]), row.at, ends.get(number_of(row)))
        for row in rows
        if ended or number_of(row) not in ends
    )


def shops_starts(session: Session) -> Starts:
    """The starts that the shop's projects are planned with."""
    return tuple(stored.start for stored in list_starts(session))


def add_moulding(session: Session, moulding: Moulding) -> int:
    """Keep a moulding that comes back; its number. Raises BadInput."""
    problems = tuple(check_moulding(moulding))
    if problems:
        raise BadInput(problems)
    row = MouldingRow(name=moulding.name, day=moulding.day, spec_json=moulding_text(moulding))
    session.add(row)
    session.flush()
    return number_of(row)


def delete_moulding(session: Session, number: int) -> None:
    """Keep a moulding no longer. Raises NotFound."""
    row = session.get(MouldingRow, number) if 0 < number <= LARGEST_NUMBER else None
    if row is None:
        raise NotFound("moulding", number)
    session.delete(row)
    session.flush()


def list_mouldings(session: Session) -> tuple[KeptMoulding, ...]:
    """The mouldings that are kept, by name, the newest first among those of one name. Raises Unreadable."""
    rows = session.exec(
        select(MouldingRow).order_by(col(MouldingRow.day).desc(), col(MouldingRow.id).desc())
    ).all()
    # names not by the database, of which each has an order of its own for them
    rows = sorted(rows, key=lambda row: row.name)
    return tuple(KeptMoulding(number_of(row), read_moulding(row.id, row.spec_json)) for row in rows)


def _trial_row(session: Session, number: int) -> TrialRow:
    row = session.get(TrialRow, number) if 0 < number <= LARGEST_NUMBER else None
    if row is None:
        raise NotFound("trial", number)
    return row


def _kept(row: TrialRow) -> KeptTrial:
    trial = Trial(
        section=row.section,
        cutter=choice_in(CutterKind, row.cutter),
        tip_diameter=row.tip_diameter,
        species=row.species,
        thickness=row.thickness,
        projection=row.projection,
        depth=row.depth,
        fence_reading=row.fence_reading,
        outcome=choice_in(Outcome, row.outcome),
        gap=row.gap,
        stopped_at=row.stopped_at,
    )
    return KeptTrial(number_of(row), row.day, trial)


def _start(row: AcceptedStartRow, trials: list[int]) -> AcceptedStart:
    return AcceptedStart(
        section=row.section,
        cutter=choice_in(CutterKind, row.cutter),
        species=row.species or None,
        snug=row.snug,
        projection=row.projection,
        tip_diameter=row.tip_diameter,
        trials=tuple(trials),
        day=row.day,
    )
