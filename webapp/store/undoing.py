"""The way back: an edit undone, a state brought back, something taken out of the bin.

Each is an edit itself, kept like any other, so that it can be undone in turn. Versions only ever rise: a form that
was open on what is brought back is told that somebody changed it.
"""

from __future__ import annotations

import json
from collections.abc import Iterable, Mapping
from typing import Any

import sqlalchemy as sa
from sqlalchemy import Column, RowMapping, UniqueConstraint
from sqlalchemy.exc import IntegrityError
from sqlmodel import Session

from webapp.store.columns import moment_text
from webapp.store.engine import now
from webapp.store.past import Doing, touch, watched
from webapp.store.past_errors import (
    ChangedSince,
    NoLongerKept,
    OwnerGone,
    StillNeeded,
    TakenMeanwhile,
    ThereAlready,
)
from webapp.store.past_kinds import BINNED_PARTS, KINDS, Part, parts_of, plain
from webapp.store.past_lines import (
    EDITS,
    ROWS,
    Key,
    Line,
    Lines,
    kept_lines,
    lines_of,
    same,
    with_bytes,
    with_what_hangs_on,
)
from webapp.store.shop import raise_edition


def undo(session: Session, edit: int) -> tuple[tuple[str, int], ...]:
    """Put back what the edit changed, all of it or nothing; the things that it was, by kind and number.

    Raises NoLongerKept, ChangedSince, TakenMeanwhile, ThereAlready, OwnerGone or StillNeeded.
    """
    rows = session.connection().execute(
        sa.select(ROWS).where(sa.or_(ROWS.c.since == edit, ROWS.c.until == edit)).order_by(ROWS.c.id)
    )
    changed: dict[tuple[str, int], dict[Key, dict[str, RowMapping]]] = {}
    for row in rows.mappings():
        side = "after" if row["since"] == edit else "before"
        thing = changed.setdefault((row["kind"], row["number"]), {})
        thing.setdefault((row["table_name"], row["row_key"]), {})[side] = row
    done = session.connection().execute(sa.select(EDITS.c.doing).where(EDITS.c.id == edit)).scalar()
    if not changed or done == Doing.FOUND.value:
        raise NoLongerKept
    _doing(session, Doing.UNDONE, edit)
    for (kind, number), keys in changed.items():
        lines = lines_of(session, kind, [number]).get(number, {})
        target = dict(lines)
        for key, sides in keys.items():
            _refuse_unless_it_stands(session, kind, lines.get(key), sides)
            if "before" in sides:
                target[key] = json.loads(sides["before"]["row_json"])
            else:
                del target[key]
        _make_it(session, kind, number, lines, target)
    _raise_editions(session, (kind for kind, _ in changed))
    return tuple(changed)


def bring_state_back(session: Session, kind: str, number: int, edit: int) -> None:
    """Let a thing be as it was after an edit. Raises as ``undo`` does."""
    target = kept_lines(session, kind, number, edit)
    if not target:
        raise NoLongerKept
    _doing(session, Doing.BROUGHT_BACK, edit)
    _make_it(session, kind, number, lines_of(session, kind, [number]).get(number, {}), target)
    _raise_editions(session, [kind])


def take_out_of_bin(session: Session, row: int) -> tuple[str, int]:
    """Bring back what went into the bin with a kept row; the thing's kind and number. Raises as ``undo`` does."""
    found = session.connection().execute(sa.select(ROWS).where(ROWS.c.id == row, ROWS.c.in_bin == 1))
    kept = found.mappings().first()
    if kept is None:
        raise NoLongerKept
    kind, number = kept["kind"], kept["number"]
    lines = lines_of(session, kind, [number]).get(number, {})
    _doing(session, Doing.BROUGHT_BACK, kept["until"])
    if kept["table_name"] in BINNED_PARTS:
        if not lines:
            raise OwnerGone(kind)
        # what it stood with unchanged stands; an older state of such a row is not put over it
        target = _what_went_with_it(session, kept) | lines
    else:
        target = kept_lines(session, kind, number, kept["until"] - 1)
    _make_it(session, kind, number, lines, target)
    _raise_editions(session, [kind])
    return kind, number


def _doing(session: Session, doing: Doing, edit: int) -> None:
    seen = watched(session)
    seen.doing, seen.of_edit = doing, edit


def _refuse_unless_it_stands(
    session: Session, kind: str, line: Line | None, sides: Mapping[str, RowMapping]
) -> None:
    """What the edit made must stand as it made it; what it took away must be gone."""
    made = json.loads(sides["after"]["row_json"]) if "after" in sides else None
    if not same(kind, line, made):
        raise ChangedSince


def _what_went_with_it(session: Session, kept: RowMapping) -> Lines:
    """A part that was deleted, with the rows that went with it in that edit, other such parts apart."""
    rows = session.connection().execute(
        sa.select(ROWS.c.table_name, ROWS.c.row_key, ROWS.c.row_json).where(
            ROWS.c.kind == kept["kind"],
            ROWS.c.number == kept["number"],
            ROWS.c.until == kept["until"],
        )
    )
    gone: Lines = {(table, key): json.loads(text) for table, key, text in rows}
    own, head = (kept["table_name"], kept["row_key"]), KINDS[kept["kind"]].table.name
    return {key: line for key, line in gone.items() if key == own or key[0] not in {*BINNED_PARTS, head}}


def _make_it(session: Session, kind: str, number: int, lines: Lines, target: Lines) -> None:
    """Let the thing's rows be those of ``target``, which may be none. Rows that are the same stay untouched."""
    parts = parts_of(kind)
    head = (parts[0].name, str(number))
    differing = {key for key in lines.keys() | target.keys() if not same(kind, lines.get(key), target.get(key))}
    # what hangs on a row that is put anew is put anew with it
    differing |= with_what_hangs_on(kind, lines | target, differing - {head})
    if head not in target:
        differing |= lines.keys()
    touch(session, kind, number, [key for key in differing if key not in target])
    if not differing:
        return
    run = session.connection().execute
    try:
        of = {part.name: part for part in parts}
        target = target | {key: with_bytes(session, of[key[0]], target[key]) for key in differing & target.keys()}
        if head not in target:
            run(sa.delete(plain(parts[0].table)).where(plain(parts[0].table).c[parts[0].keys[0]] == number))
            return
        for part in reversed(parts[1:]):
            for key in differing & lines.keys():
                if key[0] == part.name:
                    run(sa.delete(plain(part.table)).where(*_is(part, lines[key])))
        version = _put_head(session, kind, lines.get(head), target[head])
        for part in parts[1:]:
            for key in sorted(differing & target.keys()):
                if key[0] == part.name:
                    _insert(session, part, _counted(target[key], version))
    except IntegrityError:
        raise StillNeeded from None
    except StopIteration:  # bytes that are kept nowhere
        raise NoLongerKept from None
    session.expire_all()


def _put_head(session: Session, kind: str, standing: Line | None, line: Line) -> int:
    """Put a thing's head as it was; its version, which no form has seen yet."""
    part = parts_of(kind)[0]
    if standing is None:
        back = KINDS[kind].out_of_bin
        came = {name: back.get(name, {}).get(value, value) for name, value in line.items()}
        version: int = line.get("version", 0) + 1
        _insert(session, part, _counted(came, version) | _dated(session, line))
        return version
    version = standing.get("version", 0) + 1
    _refuse_taken(session, part, line)
    stays = KINDS[kind].apart | set(part.keys)
    values = {name: value for name, value in _known(part, line).items() if name not in stays}
    counted = {"version": version} if "version" in standing else {}
    table = plain(part.table)
    changed = values | counted | _dated(session, standing)
    session.connection().execute(sa.update(table).where(*_is(part, line)).values(**changed))
    return version


def _insert(session: Session, part: Part, line: Line) -> None:
    _refuse_taken(session, part, line)
    session.connection().execute(sa.insert(plain(part.table)).values(**_known(part, line)))


def _known(part: Part, line: Line) -> Line:
    """The columns that the table has today; one that came later takes what it would have taken then."""
    columns = {column.name: column for column in part.table.columns}
    missing = {name: _begins_with(column) for name, column in columns.items() if name not in line}
    return {name: value for name, value in (missing | line).items() if name in columns}


def _begins_with(column: Column[Any]) -> Any:
    if column.default is not None and column.default.is_scalar:
        return column.default.arg  # type: ignore[attr-defined]
    return None


def _counted(line: Line, version: int) -> Line:
    return line | ({"version": version} if "version" in line else {})


def _dated(session: Session, line: Line) -> Line:
    return {"updated": moment_text(now(session))} if "updated" in line else {}


def _is(part: Part, line: Line) -> list[sa.ColumnElement[bool]]:
    table = plain(part.table)
    return [table.c[name] == line[name] for name in part.keys]


def _refuse_taken(session: Session, part: Part, line: Line) -> None:
    table = plain(part.table)
    for constraint in part.table.constraints:
        if isinstance(constraint, UniqueConstraint):
            names = [column.name for column in constraint.columns]
            others = [table.c[name] == line.get(name) for name in names]
            mine = sa.and_(*_is(part, line))
            if session.connection().execute(sa.select(table.c[names[0]]).where(*others, ~mine)).first():
                if "sha256" in names:
                    raise ThereAlready(part.name)
                told = [name for name in names if part.link is None or name != part.link.name]
                raise TakenMeanwhile(part.name, told[0], line[told[0]])


def _raise_editions(session: Session, kinds: Iterable[str]) -> None:
    if any(KINDS[kind].plans for kind in kinds):
        raise_edition(session)
