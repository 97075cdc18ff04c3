"""Rows of things as the database has them, now and as they were kept: read, laid side by side, written as text."""

from __future__ import annotations

import hashlib
import json
from collections import defaultdict
from collections.abc import Collection, Iterator
from typing import Any

import sqlalchemy as sa
from sqlmodel import Session

from webapp.store.past_kinds import KINDS, Part, parts_of, plain, table_of
from webapp.store.past_tables import EditRow, PastFileRow, PastRowRow

Line = dict[str, Any]
"""A row as the database has it: its columns by name.

Bytes, such as a photograph's, stand in it as how many they are, {"length": 4}; and where they are kept, because
the row went, with the SHA-256 that they are kept under, {"file": "ab…", "length": 4}. None are read to compare.
"""
Key = tuple[str, str]
"""A row's table, and what tells it from the others there."""
Lines = dict[Key, Line]
"""The rows of one thing."""

EDITS, ROWS, FILES = (plain(table_of(row)) for row in (EditRow, PastRowRow, PastFileRow))
_AT_ONCE = 400
"""So many things are asked after in one query."""


def lines_of(session: Session, kind: str, numbers: Collection[int]) -> dict[int, Lines]:
    """The rows of things as they stand, by the things' numbers; nothing for one that is not there."""
    found: dict[int, Lines] = defaultdict(dict)
    owners: dict[str, dict[Any, int]] = {}
    for part in parts_of(kind):
        table = plain(part.table)
        if part.link is None or part.parent is None:
            column, of = table.c[part.keys[0]], {number: number for number in numbers}
        else:
            column, of = table.c[part.link.name], owners[part.parent.name]
        mine = owners.setdefault(part.name, {})
        for some in portions(sorted(of)):
            files = part.files
            asked = [sa.func.length(each).label(each.name) if each.name in files else each for each in table.c]
            for row in session.connection().execute(sa.select(*asked).where(column.in_(some))).mappings():
                line: Line = {name: {"length": value} if name in files else value for name, value in row.items()}
                number = of[line[column.name]]
                found[number][part.name, key_of(part, line)] = line
                mine[line[part.keys[0]]] = number
    return dict(found)


def kept_lines(session: Session, kind: str, number: int, at: int | None = None) -> Lines:
    """The rows of a thing as they stood after the edit ``at``; without it, as they were kept last."""
    stood: sa.ColumnElement[bool] = ROWS.c.until.is_(None)
    if at is not None:
        stood = sa.and_(ROWS.c.since <= at, sa.or_(ROWS.c.until.is_(None), ROWS.c.until > at))
    rows = session.connection().execute(
        sa.select(ROWS.c.table_name, ROWS.c.row_key, ROWS.c.row_json).where(
            ROWS.c.kind == kind, ROWS.c.number == number, stood
        )
    )
    return {(table, key): json.loads(text) for table, key, text in rows}


def key_of(part: Part, line: Line) -> str:
    """What tells the row from the others of its table."""
    return " ".join(str(line[name]) for name in part.keys)


def same(kind: str, one: Line | None, other: Line | None) -> bool:
    """Whether two rows say the same, apart from what only counts and dates.

    A column that one of them does not know, for it was kept by an earlier version, says nothing.
    """
    if one is None or other is None:
        return one is other
    compared = one.keys() & other.keys() - KINDS[kind].apart
    return all(_told(one[name]) == _told(other[name]) for name in compared)


def _told(value: Any) -> Any:
    return value["length"] if isinstance(value, dict) else value


def line_text(line: Line) -> str:
    """The row as it is kept."""
    return json.dumps(line, sort_keys=True, ensure_ascii=False, separators=(",", ":"))


def with_files_kept(session: Session, part: Part, line: Line) -> Line:
    """A row that stands, its bytes kept under their SHA-256: once for all rows that hold the same."""
    return line | {name: _kept_file(session, part, line, name) for name in part.files}


def _kept_file(session: Session, part: Part, line: Line, name: str) -> Line:
    body = _standing_bytes(session, part, line, name)
    if body is None:
        return {"length": 0}
    sha256 = hashlib.sha256(body).hexdigest()
    there = sa.select(FILES.c.sha256).where(FILES.c.sha256 == sha256)
    if session.connection().execute(there).first() is None:
        session.connection().execute(sa.insert(FILES).values(sha256=sha256, body=body))
    return {"file": sha256, "length": len(body)}


def with_bytes(session: Session, part: Part, line: Line) -> Line:
    """A kept row with its bytes: from where they are kept, or from the row itself where it stands.

    Raises StopIteration where they are kept nowhere.
    """
    return line | {name: _bytes_of(session, part, line, name) for name in part.files if name in line}


def _bytes_of(session: Session, part: Part, line: Line, name: str) -> bytes:
    value = line[name]
    if isinstance(value, dict) and "file" not in value:
        standing = _standing_bytes(session, part, line, name)
        if standing is not None:
            return standing
        value = _kept_elsewhere(session, part, line, name)
    if isinstance(value, dict):
        kept = sa.select(FILES.c.body).where(FILES.c.sha256 == value["file"])
        body: bytes = session.connection().execute(kept).scalar_one()
        return body
    standing = value
    return bytes(standing)


def _standing_bytes(session: Session, part: Part, line: Line, name: str) -> bytes | None:
    table = plain(part.table)
    found: bytes | None = (
        session.connection()
        .execute(sa.select(table.c[name]).where(*(table.c[key] == line[key] for key in part.keys)))
        .scalar()
    )
    return found


def _kept_elsewhere(session: Session, part: Part, line: Line, name: str) -> Any:
    """What a later state of the row says of its bytes, which were kept when it went."""
    rows = session.connection().execute(
        sa.select(ROWS.c.row_json).where(
            ROWS.c.table_name == part.name,
            ROWS.c.row_key == key_of(part, line),
            ROWS.c.row_json.contains('"file"'),
        )
    )
    found = [json.loads(text)[name] for text in rows.scalars()]
    return next(each for each in found if each["length"] == line[name]["length"])


def with_what_hangs_on(kind: str, lines: Lines, keys: Collection[Key]) -> set[Key]:
    """Those of the rows, and of the rest what refers to them and goes with them."""
    found = {key for key in keys if key in lines}
    for part in parts_of(kind):
        for key, line in lines.items():
            if key[0] == part.name and _owner_of(part, line) in found:
                found.add(key)
    return found


def _owner_of(part: Part, line: Line) -> Key | None:
    """The row that a row refers to and goes with; None for a thing's head."""
    return None if part.link is None or part.parent is None else (part.parent.name, str(line[part.link.name]))


def portions(numbers: list[Any]) -> Iterator[list[Any]]:
    """The numbers in portions of what one query asks after."""
    for start in range(0, len(numbers), _AT_ONCE):
        yield numbers[start : start + _AT_ONCE]
