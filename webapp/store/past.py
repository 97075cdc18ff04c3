"""What used to be is kept: every edit of a thing leaves the rows that it changed or took away as they were.

It happens by itself, in the transaction that edits (``Store.writing`` calls ``watch`` and ``keep``), so that no
edit can forget it. A row is kept with the edits since which and until which it stood: a state of a thing is the
rows that stood at one edit, and an edit costs no more than the rows that it changed. A thing that was made and
never changed since keeps nothing.
"""

from __future__ import annotations

import json
from collections import defaultdict
from collections.abc import Collection, Iterable, Iterator
from dataclasses import dataclass, field
from datetime import datetime
from enum import StrEnum
from typing import Any

import sqlalchemy as sa
from sqlalchemy import event
from sqlalchemy.orm import ORMExecuteState
from sqlalchemy.orm import Session as AnySession
from sqlmodel import Session

from domain.lengths import Length
from webapp.store.columns import moment_in
from webapp.store.past_kinds import BINNED_PARTS, KINDS, Part, belongs
from webapp.store.past_lines import (
    ROWS,
    Key,
    Line,
    Lines,
    line_text,
    lines_of,
    portions,
    same,
    with_files_kept,
    with_what_hangs_on,
)
from webapp.store.past_tables import EditRow
from webapp.store.tables import Row

Thing = tuple[str, int]
"""The kind and the number of a thing."""
_WATCH = "past"


class Doing(StrEnum):
    """What an edit was: a first look at what was there, an edit, or a way back."""

    FOUND = "found"
    EDITED = "edited"
    UNDONE = "undone"
    BROUGHT_BACK = "brought_back"


@dataclass(slots=True)
class Watch:
    """What a session's edit is, and what it has touched.

    ``before`` has the rows of things of which none were kept, as they were found; ``going`` those that are
    deleted, with the counts that they end on; ``made`` are the things that are new.
    """

    token: str = ""
    device: str = ""
    doing: Doing = Doing.EDITED
    of_edit: int | None = None
    touched: set[Thing] = field(default_factory=set)
    before: dict[Thing, Lines] = field(default_factory=dict)
    going: dict[Thing, Lines] = field(default_factory=dict)
    made: set[Thing] = field(default_factory=set)


@dataclass(slots=True)
class _Differing:
    """A thing whose rows are not what they were; ``stood`` has the numbers of kept ones, None where none were."""

    kind: str
    number: int
    stood: dict[Key, int] | None
    now: Lines
    keys: list[Key]


def watch(session: Session) -> None:
    """See from now on what the session touches."""
    session.info[_WATCH] = Watch()
    event.listen(session, "before_flush", _before_flush)
    event.listen(session, "after_flush", _after_flush)
    event.listen(session, "do_orm_execute", _before_many)


def watched(session: AnySession) -> Watch:
    """What the session's edit is, where that may be told, and what it has touched."""
    found: Watch = session.info[_WATCH]
    return found


def touch(session: Session, kind: str, number: int, going: Collection[Key]) -> None:
    """Tell that a thing is about to be changed past the mapper, before it is; and which of its rows go."""
    watched(session).touched.add((kind, number))
    _look(session, kind, {number})
    _note_going(session, kind, number, going)


def keep(session: Session, moment: datetime) -> None:
    """Keep what the session's edit changed, in its own transaction: called once, at its end."""
    session.flush()
    by_kind: dict[str, list[int]] = defaultdict(list)
    for kind, number in sorted(watched(session).touched):
        by_kind[kind].append(number)
    differing = [
        each
        for kind, numbers in by_kind.items()
        for some in portions(numbers)
        for each in _differing(session, kind, some)
    ]
    if differing:
        _keep_found(session, [each for each in differing if each.stood is None], moment)
        _keep_edit(session, differing, moment)


def _before_flush(session: AnySession, _context: object, _instances: object) -> None:
    assert isinstance(session, Session)
    seen = watched(session)
    changed = [row for row in session.dirty if session.is_modified(row)]
    touched: dict[str, set[int]] = defaultdict(set)
    for row in (*changed, *session.deleted, *session.new):
        thing = _thing(session, row)
        if thing is not None and thing not in seen.made:
            touched[thing[0]].add(thing[1])
    for kind, numbers in touched.items():
        seen.touched |= {(kind, number) for number in numbers}
        _look(session, kind, numbers)
    for row in session.deleted:
        thing = _thing(session, row)
        if thing is not None:
            assert isinstance(row, Row)
            key = (_name(row), " ".join(str(getattr(row, name)) for name in belongs()[_name(row)][1].keys))
            _note_going(session, *thing, [key])


def _before_many(state: ORMExecuteState) -> None:
    """Rows that are changed or deleted many at once, by what they have in common, not one by one."""
    if not (state.is_update or state.is_delete) or state.bind_mapper is None:
        return
    name = state.bind_mapper.local_table.name  # type: ignore[attr-defined]
    if name not in belongs():
        return
    kind, part = belongs()[name]
    session = state.session
    assert isinstance(session, Session)
    where = state.statement.whereclause  # type: ignore[attr-defined]
    if part.link is None or part.parent is not KINDS[kind].table:
        raise NotImplementedError(f"rows of {name} are changed one by one")
    asked = sa.select(part.link, *(part.table.c[key] for key in part.keys)).where(where)
    rows = list(session.connection().execute(asked))
    for number in {row[0] for row in rows} - {number for of, number in watched(session).made if of == kind}:
        keys = [(name, " ".join(str(each) for each in _plain(row[1:]))) for row in rows if row[0] == number]
        watched(session).touched.add((kind, number))
        _look(session, kind, {number})
        if state.is_delete:
            _note_going(session, kind, number, keys)


def _plain(values: Iterable[Any]) -> Iterator[Any]:
    """Values of our types as the database has them."""
    return (value.nm if isinstance(value, Length) else value for value in values)


def _after_flush(session: AnySession, _context: object) -> None:
    for row in session.new:
        if isinstance(row, Row) and _name(row) in belongs() and belongs()[_name(row)][1].link is None:
            thing = _thing(session, row)
            if thing is not None:
                watched(session).made.add(thing)


def _thing(session: AnySession, row: object) -> Thing | None:
    """What a row belongs to; None where nothing of that is kept, or it has no number yet."""
    if not isinstance(row, Row) or _name(row) not in belongs():
        return None
    kind, part = belongs()[_name(row)]
    while part.link is not None and part.parent is not None:
        number = getattr(row, part.link.key)
        part = belongs()[part.parent.name][1]
        if part.link is None:
            return kind, number
        above = session.get(_class_of(part), number)
        if above is None:
            return None
        row = above
    number = getattr(row, part.keys[0])
    return None if number is None else (kind, number)


def _name(row: Row) -> str:
    name: str = type(row).__tablename__  # type: ignore[assignment]
    return name


def _class_of(part: Part) -> type[Row]:
    found: type[Row] = next(
        mapper.class_ for mapper in Row._sa_registry.mappers if mapper.local_table is part.table
    )
    return found


def _look(session: Session, kind: str, numbers: set[int]) -> None:
    """Note how things stand before they change, whose rows are not kept yet."""
    before = watched(session).before
    for some in portions(sorted(number for number in numbers if (kind, number) not in before)):
        kept = (
            sa.select(ROWS.c.number)
            .where(ROWS.c.kind == kind, ROWS.c.number.in_(some), ROWS.c.until.is_(None))
            .distinct()
        )
        known = set(session.connection().execute(kept).scalars())
        asked = [number for number in some if number not in known]
        lines = lines_of(session, kind, asked) if asked else {}
        before.update({(kind, number): lines.get(number, {}) for number in asked})


def _note_going(session: Session, kind: str, number: int, keys: Collection[Key]) -> None:
    """Note how rows stand that are about to go, what hangs on them too: what they count, and their bytes."""
    lines = lines_of(session, kind, [number]).get(number, {})
    going = with_what_hangs_on(kind, lines, keys)
    noted = watched(session).going.setdefault((kind, number), {})
    for key in going - noted.keys():
        noted[key] = with_files_kept(session, belongs()[key[0]][1], lines[key])


def _differing(session: Session, kind: str, numbers: list[int]) -> Iterator[_Differing]:
    now = lines_of(session, kind, numbers)
    kept: dict[int, dict[Key, tuple[int, Line]]] = defaultdict(dict)
    rows = session.connection().execute(
        sa.select(ROWS.c.id, ROWS.c.number, ROWS.c.table_name, ROWS.c.row_key, ROWS.c.row_json).where(
            ROWS.c.kind == kind, ROWS.c.number.in_(numbers), ROWS.c.until.is_(None)
        )
    )
    for row, number, table, key, text in rows:
        kept[number][table, key] = row, json.loads(text)
    for number in numbers:
        lines = now.get(number, {})
        stood = {key: row for key, (row, _) in kept[number].items()} if number in kept else None
        old = (
            {key: line for key, (_, line) in kept[number].items()}
            if number in kept
            else watched(session).before.get((kind, number), {})
        )
        keys = sorted(key for key in old.keys() | lines.keys() if not same(kind, old.get(key), lines.get(key)))
        if keys:
            yield _Differing(kind, number, stood, lines, keys)


def _keep_found(session: Session, found: Iterable[_Differing], moment: datetime) -> None:
    """Keep how things stood that were never changed since they were made: as of then, where that is known."""
    edits: dict[datetime, int] = {}
    for each in found:
        before = watched(session).before.get((each.kind, each.number), {})
        head = before.get((KINDS[each.kind].table.name, str(each.number)), {})
        at = moment_in(head["updated"]) if "updated" in head else moment
        if before and at not in edits:
            edits[at] = _add_edit(session, EditRow(at=at, doing=Doing.FOUND.value, token="", device=""))
        each.stood = {}
        if before:
            _add(session, each, edits[at], before)
            each.stood = _kept_since(session, each, edits[at])


def _keep_edit(session: Session, differing: Iterable[_Differing], moment: datetime) -> None:
    seen = watched(session)
    edit = _add_edit(
        session,
        EditRow(at=moment, doing=seen.doing.value, token=seen.token, device=seen.device, of_edit=seen.of_edit),
    )
    for each in differing:
        going = seen.going.get((each.kind, each.number), {})
        for key in each.keys:
            if each.stood and key in each.stood:
                ended: Line = {"until": edit}
                if key not in each.now:
                    ended["in_bin"] = int(_binned(each, key))
                    if key in going:
                        ended["row_json"] = line_text(going[key])
                session.connection().execute(sa.update(ROWS).where(ROWS.c.id == each.stood[key]).values(**ended))
        _add(session, each, edit, {key: each.now[key] for key in each.keys if key in each.now})


def _binned(gone: _Differing, key: Key) -> bool:
    """Whether a row that is gone goes into the bin itself, or with what it belonged to."""
    whole = not gone.now
    return key[0] == KINDS[gone.kind].table.name if whole else key[0] in BINNED_PARTS


def _out_of_bin(session: Session, thing: _Differing, lines: Lines) -> None:
    """What stands again lies in the bin no more."""
    binned = sa.select(ROWS.c.id, ROWS.c.table_name, ROWS.c.row_key).where(
        ROWS.c.kind == thing.kind, ROWS.c.number == thing.number, ROWS.c.in_bin == 1
    )
    back = [row for row, table, key in session.connection().execute(binned) if (table, key) in lines]
    if back:
        session.connection().execute(sa.update(ROWS).where(ROWS.c.id.in_(back)).values(in_bin=0))


def _add_edit(session: Session, edit: EditRow) -> int:
    session.add(edit)
    session.flush()
    assert edit.id is not None
    return edit.id


def _add(session: Session, thing: _Differing, since: int, lines: Lines) -> None:
    """Keep rows as they stand since an edit."""
    rows = [
        {
            "kind": thing.kind,
            "number": thing.number,
            "table_name": table,
            "row_key": key,
            "since": since,
            "in_bin": 0,
            "row_json": line_text(line),
        }
        for (table, key), line in lines.items()
    ]
    if rows:
        session.connection().execute(sa.insert(ROWS), rows)
        _out_of_bin(session, thing, lines)


def _kept_since(session: Session, thing: _Differing, since: int) -> dict[Key, int]:
    """What a thing's rows are kept under that stand since an edit."""
    kept = session.connection().execute(
        sa.select(ROWS.c.table_name, ROWS.c.row_key, ROWS.c.id).where(
            ROWS.c.kind == thing.kind, ROWS.c.number == thing.number, ROWS.c.since == since
        )
    )
    return {(table, key): row for table, key, row in kept}
