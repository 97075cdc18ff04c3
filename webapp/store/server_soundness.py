"""Whether a server's database is ours to the last guard. Whether its pages are whole the server sees to itself.

A guard that stands in a file as two triggers, against a change and against a deletion, is one on a server. Tables
of others may stand beside ours.
"""

from __future__ import annotations

import re

from sqlalchemy import Connection

from webapp.store.soundness import MOST, Difference, How, golden_schema

_TABLES = "SELECT tablename FROM pg_tables WHERE schemaname = current_schema()"
_GUARDS = """
    SELECT relname, tgname, tgenabled = 'O' FROM pg_trigger JOIN pg_class ON pg_class.oid = tgrelid
    WHERE relnamespace = current_schema()::regnamespace AND NOT tgisinternal
"""
_CHECKS = """
    SELECT conrelid::regclass || '.' || conname FROM pg_constraint
    WHERE connamespace = current_schema()::regnamespace AND contype = 'c' AND convalidated
"""
_CHECK = re.compile(r"CONSTRAINT (ck_\w+) CHECK")


def faults(connection: Connection) -> tuple[str, ...]:
    """What is missing, out of force, or hung on a table of ours; nothing where all is as migrations made it."""
    run = connection.exec_driver_sql
    golden = golden_schema()
    tables = {name for kind, name in golden if kind == "table" and not name.startswith("sqlite_")}
    guards = {guard_on_server(name) for kind, name in golden if kind == "trigger"}
    standing = {name: on for table, name, on in run(_GUARDS).all() if table in tables}
    checks = {
        f"{name}.{check}"
        for (kind, name), text in golden.items()
        if kind == "table"
        for check in _CHECK.findall(text)
    }
    found = {each.replace('"', "") for each in run(_CHECKS).scalars()}
    odd = [
        *_odd("table", tables - set(run(_TABLES).scalars()), How.MISSING),
        *_odd("trigger", guards - standing.keys(), How.MISSING),
        *_odd("trigger", standing.keys() - guards, How.FOREIGN),
        *_odd("trigger", {name for name, on in standing.items() if name in guards and not on}, How.CHANGED),
        *_odd("check", checks - found, How.MISSING),
    ]
    return tuple(str(each) for each in odd[:MOST])


def guard_on_server(name: str) -> str:
    """What a file's trigger is called on a server.

    >>> guard_on_server("tick_no_delete"), guard_on_server("quote_in_turn")
    ('tick_no_change', 'quote_in_turn')
    """
    return re.sub(r"_no_(update|delete)$", "_no_change", name)


def _odd(kind: str, names: set[str], how: How) -> list[Difference]:
    return [Difference(kind, name, how) for name in sorted(names)]
