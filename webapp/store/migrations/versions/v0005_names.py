"""What was kept under older words, under those of today; no row is added, taken away or numbered anew.

Cutters are close-fit and free-fit (``close`` and ``free``; they were ``standard`` and ``oversize``). A joint typed
in by hand is a single joint (it was ``loose_joint``). What is issued is a revision, in the tables ``revision`` and
``revision_document`` (they were ``issue`` and ``issued_document``); the shop's counter of changes is its edition
(it was ``revision``).

SQLite tables are rebuilt from their own text with other words in it, and so are their indexes and triggers: both
go with the table. PostgreSQL renames in place. What has been issued is not touched: a snapshot stays, byte for
byte, as it was, and is translated when it is read.
"""

from __future__ import annotations

import json
import re
from collections.abc import Callable, Mapping
from typing import Any

import sqlalchemy as sa
from alembic import op

revision = "0005"
down_revision = "0004"

_CUTTERS = {"standard": "close", "oversize": "free"}
_OF_A_CUTTER = ("trial", "accepted_start", "calibration")
_WAS_CHECKED, _IS_CHECKED = "cutter IN ('standard', 'oversize')", "cutter IN ('close', 'free')"
Json = dict[str, Any]
Words = Mapping[str, str]

# patterns with what stands in their place, in this order
_CHECKED = {re.escape(_WAS_CHECKED): _IS_CHECKED}
_TIP = {"oversize_tip_diameter": "free_tip_diameter"}
_EDITION = {"revision": "edition"}
_REVISION = {"issued_document": "revision_document", "issue(?!d)": "revision"}


def upgrade() -> None:
    """Rename columns and values in the tables, then in the JSON that columns hold."""
    if op.get_bind().dialect.name == "sqlite":
        _in_sqlite()
    else:
        _in_postgresql()
    op.execute("UPDATE assembly SET kind = 'single_joint' WHERE kind = 'loose_joint'")
    _in_json("assembly", "spec_json", _of_a_kind)
    _in_json("project", "sections_json", lambda sections: [_renamed(each, _TIP) for each in sections])
    _in_json("project", "starts_json", lambda starts: [_with_cutter(each) for each in starts])
    _in_json("moulding", "spec_json", _with_cutter)
    _keep_the_stroke()


def _in_sqlite() -> None:
    _rebuild("section", _TIP)
    _rebuild("shop", _EDITION)
    _rebuild("issue", _REVISION)
    _rebuild("issued_document", _REVISION)
    for table in _OF_A_CUTTER:
        _rebuild(table, _CHECKED, {"cutter": _new_cutter()})


def _rebuild(table: str, words: Words, values: Words | None = None) -> None:
    """Make a SQLite table anew from its own text with other words, and put its rows back in.

    ``values`` are SQL for the columns whose values change. A number once handed out is not handed out again.
    """
    run = op.get_bind().exec_driver_sql  # the tables' own text: nothing in it is a parameter
    made = run(
        "SELECT sql FROM sqlite_schema WHERE tbl_name = ? AND sql IS NOT NULL ORDER BY type = 'table' DESC, rowid",
        (table,),
    ).scalars()
    text, *with_it = (_said(sql, words) for sql in made)
    now = _said(table, words)
    columns = run("SELECT name FROM pragma_table_info(?)", (table,)).scalars().all()
    last = run("SELECT seq FROM sqlite_sequence WHERE name = ?", (table,)).scalar()
    run(f"CREATE TEMP TABLE aside AS SELECT * FROM {table}")
    run(f"DROP TABLE {table}")
    run(text)
    chosen = ", ".join((values or {}).get(column, column) for column in columns)
    run(f"INSERT INTO {now} SELECT {chosen} FROM aside ORDER BY rowid")
    run("DROP TABLE aside")
    for sql in with_it:
        run(sql)
    if last is not None:
        run("DELETE FROM sqlite_sequence WHERE name = ?", (now,))
        run("INSERT INTO sqlite_sequence (name, seq) VALUES (?, ?)", (now, last))


def _said(text: str, words: Words) -> str:
    for old, new in words.items():
        text = re.sub(old, new, text)
    return text


def _new_cutter() -> str:
    return "CASE cutter " + " ".join(f"WHEN '{old}' THEN '{new}'" for old, new in _CUTTERS.items()) + " END"


def _in_postgresql() -> None:
    op.execute("ALTER TABLE section RENAME COLUMN oversize_tip_diameter TO free_tip_diameter")
    op.execute("ALTER TABLE shop RENAME COLUMN revision TO edition")
    op.execute("ALTER TABLE issue RENAME TO revision")
    op.execute("ALTER TABLE issued_document RENAME TO revision_document")
    op.execute("ALTER TABLE revision_document RENAME COLUMN issue_id TO revision_id")
    op.execute("ALTER SEQUENCE issue_id_seq RENAME TO revision_id_seq")
    for table, words in (("section", _TIP), ("shop", _EDITION), *((each, _REVISION) for each in _ISSUED)):
        _rename_constraints(table, words)
    _rename_triggers()
    _recut()


_ISSUED = ("revision", "revision_document")


def _rename_constraints(table: str, words: Words) -> None:
    named = "SELECT conname FROM pg_constraint WHERE conrelid = CAST(:name AS regclass)"
    for name in op.get_bind().execute(sa.text(named), {"name": table}).scalars().all():
        if _said(name, words) != name:
            op.execute(f"ALTER TABLE {table} RENAME CONSTRAINT {name} TO {_said(name, words)}")


def _rename_triggers() -> None:
    """Those that refuse a change keep what they do; the one of the numbers names its table, so it is made anew."""
    op.execute("ALTER TRIGGER issue_no_change ON revision RENAME TO revision_no_change")
    op.execute(
        "ALTER TRIGGER issued_document_no_change ON revision_document RENAME TO revision_document_no_change"
    )
    op.execute("DROP TRIGGER issue_in_turn ON revision")
    op.execute("DROP FUNCTION issue_in_turn()")
    op.execute(
        "CREATE FUNCTION revision_in_turn() RETURNS trigger LANGUAGE plpgsql AS "
        "$$ BEGIN IF NEW.number <> "
        "(SELECT coalesce(max(number), 0) + 1 FROM revision WHERE project_id = NEW.project_id) "
        "THEN RAISE EXCEPTION 'revisions are numbered one after the other'; END IF; RETURN NEW; END $$"
    )
    op.execute(
        "CREATE TRIGGER revision_in_turn BEFORE INSERT ON revision "
        "FOR EACH ROW EXECUTE FUNCTION revision_in_turn()"
    )


def _recut() -> None:
    """Other values in the column of cutters, while the triggers that refuse a change stand aside."""
    depth = "(scale = 'depth') = (cutter IS NOT NULL) AND (cutter IS NULL OR {})"
    for table in _OF_A_CUTTER:
        check = depth.format(_IS_CHECKED) if table == "calibration" else _IS_CHECKED
        op.execute(f"ALTER TABLE {table} DISABLE TRIGGER {table}_no_change")
        op.execute(f"ALTER TABLE {table} DROP CONSTRAINT ck_{table}_cutter")
        op.execute(f"UPDATE {table} SET cutter = {_new_cutter()}")
        op.execute(f"ALTER TABLE {table} ADD CONSTRAINT ck_{table}_cutter CHECK ({check})")
        op.execute(f"ALTER TABLE {table} ENABLE TRIGGER {table}_no_change")


def _keep_the_stroke() -> None:
    """A shop that has planned goes on with the stroke that was usual then, 85 mm, where it has none of its own."""
    planned = "SELECT (SELECT count(*) FROM project) + (SELECT count(*) FROM section)"
    if op.get_bind().execute(sa.text(planned)).scalar_one():
        _in_json("shop", "rules_json", lambda rules: {"stroke": 85} | rules)


def _in_json(table: str, column: str, changed: Callable[[Any], Any]) -> None:
    """Rewrite a column of JSON text; the text of a row that has nothing to change stays as it is."""
    bind, kept = op.get_bind(), sa.table(table, sa.column("id"), sa.column(column))
    rows = bind.execute(sa.select(kept.c.id, kept.c[column]).where(kept.c[column].is_not(None))).all()
    for number, text in rows:
        before = json.loads(text)
        after = changed(before)
        if after != before:
            new = json.dumps(after, ensure_ascii=False, separators=(",", ":"), allow_nan=False)
            bind.execute(sa.update(kept).where(kept.c.id == number).values({column: new}))


def _renamed(fields: Json, names: Words) -> Json:
    """The same fields in the same order, under other names."""
    return {names.get(name, name): value for name, value in fields.items()}


def _of_a_kind(fields: Json) -> Json:
    return fields | {"kind": "single_joint"} if fields["kind"] == "loose_joint" else fields


def _with_cutter(fields: Json) -> Json:
    return {name: _CUTTERS.get(value, value) if name == "cutter" else value for name, value in fields.items()}
