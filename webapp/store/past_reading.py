"""What is kept of earlier states, to be shown: the edits of a thing, what each changed, what lies in the bin."""

from __future__ import annotations

import json
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime

import sqlalchemy as sa
from sqlmodel import Session

from webapp.store.columns import choice_in, moment_in
from webapp.store.errors import NotFound
from webapp.store.past import Doing
from webapp.store.past_kinds import KINDS
from webapp.store.past_lines import EDITS, ROWS, Line

AT_ONCE = 50
"""So many edits are read at once."""


@dataclass(frozen=True, slots=True)
class Changed:
    """A row that an edit changed: as it was before, None where it was new, and after, None where it went."""

    kind: str
    number: int
    table: str
    before: Line | None
    after: Line | None


@dataclass(frozen=True, slots=True)
class Edit:
    """An edit that is kept. ``at`` is in UTC; ``device`` is "" for the computer itself.

    ``of_edit`` is the edit that it undid or went back to.
    """

    number: int
    at: datetime
    doing: Doing
    device: str
    of_edit: int | None
    changed: tuple[Changed, ...]


@dataclass(frozen=True, slots=True)
class Binned:
    """Something in the bin, under its kept row's number. ``owner`` is what it was part of, None for a whole."""

    row: int
    kind: str
    number: int
    table: str
    line: Line
    owner: Line | None
    at: datetime
    device: str


def edits_of(session: Session, kind: str, number: int, before: int | None = None) -> tuple[Edit, ...]:
    """The edits of a thing, the newest first; those ``before`` an edit's number, where that is given."""
    mine = sa.select(ROWS.c.since.label("edit")).where(ROWS.c.kind == kind, ROWS.c.number == number)
    ended = sa.select(ROWS.c.until).where(ROWS.c.kind == kind, ROWS.c.number == number, ROWS.c.until.is_not(None))
    numbers = mine.union(ended).subquery()
    query = sa.select(numbers.c.edit).order_by(numbers.c.edit.desc()).limit(AT_ONCE)
    if before is not None:
        query = query.where(numbers.c.edit < before)
    found = tuple(session.connection().execute(query).scalars())
    return _edits(session, found, (ROWS.c.kind == kind, ROWS.c.number == number))


def edit_with(session: Session, token: str) -> Edit | None:
    """The edit that a form's token made; None where it made none."""
    found = session.connection().execute(sa.select(EDITS.c.id).where(EDITS.c.token == token, EDITS.c.token != ""))
    return next(iter(_edits(session, tuple(found.scalars()))), None)


def load_edit(session: Session, number: int) -> Edit:
    """One edit. Raises NotFound."""
    found = _edits(session, (number,))
    if not found:
        raise NotFound("change", number)
    return found[0]


def to_undo(edits: Iterable[Edit]) -> Edit | None:
    """Of a thing's edits, the newest first, the one to undo next: not one that undid, and none that was undone."""
    undone = set()
    for edit in edits:
        if edit.doing is Doing.UNDONE:
            undone.add(edit.of_edit)
        elif edit.number not in undone:
            return None if edit.doing is Doing.FOUND else edit
    return None


def in_bin(session: Session) -> tuple[Binned, ...]:
    """What lies in the bin, what was deleted last first."""
    rows = session.connection().execute(
        sa.select(ROWS, EDITS.c.at, EDITS.c.device)
        .join(EDITS, EDITS.c.id == ROWS.c.until)
        .where(ROWS.c.in_bin == 1)
        .order_by(ROWS.c.until.desc(), ROWS.c.id)
    )
    return tuple(
        Binned(
            row=row["id"],
            kind=row["kind"],
            number=row["number"],
            table=row["table_name"],
            line=json.loads(row["row_json"]),
            owner=None
            if _is_head(row["kind"], row["table_name"])
            else head_of(session, row["kind"], row["number"]),
            at=moment_in(row["at"]),
            device=row["device"],
        )
        for row in rows.mappings().all()
    )


def head_of(session: Session, kind: str, number: int) -> Line:
    """The head of a thing, as it was kept last."""
    found = session.connection().execute(
        sa.select(ROWS.c.row_json)
        .where(ROWS.c.kind == kind, ROWS.c.number == number, ROWS.c.table_name == KINDS[kind].table.name)
        .order_by(ROWS.c.id.desc())
        .limit(1)
    )
    line: Line = json.loads(found.scalar_one())
    return line


def _is_head(kind: str, table: str) -> bool:
    return KINDS[kind].table.name == table


def _edits(
    session: Session, numbers: tuple[int, ...], among: tuple[sa.ColumnElement[bool], ...] = ()
) -> tuple[Edit, ...]:
    heads = session.connection().execute(
        sa.select(EDITS).where(EDITS.c.id.in_(numbers)).order_by(EDITS.c.id.desc())
    )
    rows = (
        session.connection()
        .execute(
            sa.select(ROWS)
            .where(sa.or_(ROWS.c.since.in_(numbers), ROWS.c.until.in_(numbers)), *among)
            .order_by(ROWS.c.id)
        )
        .mappings()
        .all()
    )
    sides: dict[int, dict[tuple[str, int, str, str], dict[str, Line]]] = {number: {} for number in numbers}
    for row in rows:
        key = (row["kind"], row["number"], row["table_name"], row["row_key"])
        for side in ("since", "until"):
            if row[side] in sides:
                sides[row[side]].setdefault(key, {})[side] = json.loads(row["row_json"])
    return tuple(
        Edit(
            number=head["id"],
            at=moment_in(head["at"]),
            doing=choice_in(Doing, head["doing"]),
            device=head["device"],
            of_edit=head["of_edit"],
            changed=tuple(
                Changed(kind, number, table, both.get("until"), both.get("since"))
                for (kind, number, table, _), both in sides[head["id"]].items()
            ),
        )
        for head in heads.mappings()
    )
