"""How much of what used to be is kept, and how long: the bin for thirty days, states ever further apart.

Of each thing the newest states are all kept, of older ones the last of each day, and of those older than a year
the last of each month. Thinning joins the stretches that rows stood for: what a state that stays is made of stays.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Mapping, Sequence
from datetime import datetime, timedelta

import sqlalchemy as sa
from sqlmodel import Session

from webapp.store.columns import moment_in, moment_text
from webapp.store.past_kinds import KINDS
from webapp.store.past_lines import EDITS, FILES, ROWS

BIN_KEPT = timedelta(days=30)
NEWEST_KEPT = 200
"""So many states of a thing are kept, whenever they were."""
BY_DAY = timedelta(days=365)


def empty_bin(session: Session, before: datetime) -> int:
    """Let go of what was deleted before that moment; how many things and parts that were.

    A whole is gone for good, with its history. A part, such as an assembly, stays in its project's history.
    """
    rows = session.connection().execute(
        sa.select(ROWS.c.id, ROWS.c.kind, ROWS.c.number, ROWS.c.table_name)
        .join(EDITS, EDITS.c.id == ROWS.c.until)
        .where(ROWS.c.in_bin == 1, EDITS.c.at < moment_text(before))
    )
    gone = list(rows)
    for row, kind, number, table in gone:
        if KINDS[kind].table.name == table:
            session.connection().execute(sa.delete(ROWS).where(ROWS.c.kind == kind, ROWS.c.number == number))
        else:
            session.connection().execute(sa.update(ROWS).where(ROWS.c.id == row).values(in_bin=0))
    _drop_what_nothing_needs(session)
    return len(gone)


def thin(session: Session, moment: datetime) -> None:
    """Let go of the states that are kept no longer."""
    things = session.connection().execute(
        sa.select(ROWS.c.kind, ROWS.c.number)
        .group_by(ROWS.c.kind, ROWS.c.number)
        .having(sa.func.count() > NEWEST_KEPT)
    )
    for kind, number in list(things):
        _thin(session, kind, number, moment)
    _drop_what_nothing_needs(session)


def kept_of(states: Sequence[tuple[int, datetime]], moment: datetime) -> set[int]:
    """Which edits' states stay of these, the oldest first: numbers of edits with their moments.

    >>> from datetime import UTC
    >>> day = datetime(2026, 3, 2, tzinfo=UTC)
    >>> sorted(kept_of([(number, day) for number in range(1, 204)], day))[:3]
    [4, 5, 6]
    """
    newest = [number for number, _ in states[-NEWEST_KEPT:]]
    last: dict[str, int] = {}
    for number, at in states[:-NEWEST_KEPT]:
        day = at.astimezone().date().isoformat()
        last[day if moment - at <= BY_DAY else day[:7]] = number
    # a day or a month whose last state is among the newest has that one
    days = {at.astimezone().date().isoformat() for _, at in states[-NEWEST_KEPT:]}
    return {*newest, *(number for day, number in last.items() if day not in days)}


def _thin(session: Session, kind: str, number: int, moment: datetime) -> None:
    run = session.connection().execute
    mine = (ROWS.c.kind == kind, ROWS.c.number == number)
    rows = list(run(sa.select(ROWS.c.id, ROWS.c.since, ROWS.c.until).where(*mine)))
    numbers = sorted({edit for _, since, until in rows for edit in (since, until) if edit is not None})
    moments: Mapping[int, datetime] = {
        edit: moment_in(at) for edit, at in run(sa.select(EDITS.c.id, EDITS.c.at).where(EDITS.c.id.in_(numbers)))
    }
    kept = sorted(kept_of([(edit, moments[edit]) for edit in numbers], moment))
    after = {edit: next(stays for stays in kept if stays >= edit) for edit in numbers}
    moved: dict[tuple[int, int | None], list[int]] = defaultdict(list)
    for row, since, until in rows:
        stood = after[since], None if until is None else after[until]
        if stood[0] == stood[1]:
            run(sa.delete(ROWS).where(ROWS.c.id == row))
        elif stood != (since, until):
            moved[stood].append(row)
    for (since, until), some in moved.items():
        run(sa.update(ROWS).where(ROWS.c.id.in_(some)).values(since=since, until=until))


def _drop_what_nothing_needs(session: Session) -> None:
    run = session.connection().execute
    used = sa.select(ROWS.c.id).where(sa.or_(ROWS.c.since == EDITS.c.id, ROWS.c.until == EDITS.c.id)).exists()
    run(sa.delete(EDITS).where(~used))
    for sha256 in list(run(sa.select(FILES.c.sha256)).scalars()):
        named = sa.select(ROWS.c.id).where(ROWS.c.row_json.contains(f'{{"file":"{sha256}"}}')).limit(1)
        if run(named).first() is None:
            run(sa.delete(FILES).where(FILES.c.sha256 == sha256))
