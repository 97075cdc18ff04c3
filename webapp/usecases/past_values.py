"""Rows that were kept, as values: lengths as lengths, what is kept as JSON as the domain reads it."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from contextlib import suppress
from functools import partial
from typing import Any

from domain.lengths import Length
from webapp.store import specs
from webapp.store.columns import LengthColumn
from webapp.store.errors import Unreadable
from webapp.store.past_kinds import belongs
from webapp.store.past_lines import Line

Read = Callable[[object, str], Any]
_READ: Mapping[tuple[str, str], Read] = {
    ("project", "sections_json"): specs.read_sections,
    ("project", "rules_json"): partial(specs.read_rules, "project"),
    ("project", "keys_json"): specs.read_choices,
    ("project", "starts_json"): specs.read_starts,
    ("project", "climate_json"): specs.read_climate,
    ("project", "stock_json"): specs.read_woods,
    ("project", "parts_json"): specs.read_changes,
    ("project", "quote_json"): specs.read_terms,
    ("project", "notes_json"): specs.read_notes,
    ("shop", "rules_json"): partial(specs.read_rules, "shop"),
    ("shop", "quote_json"): lambda key, text: specs.read_shop_terms(text),
    ("moulding", "spec_json"): specs.read_moulding,
    ("pattern", "document_json"): specs.read_pattern,
}


def values_of(table: str, line: Line) -> dict[str, Any]:
    """The row's columns as values. One that cannot be read any more, of an earlier version say, is left out."""
    columns = belongs()[table][1].table.columns
    found: dict[str, Any] = {}
    for name in line.keys() & set(columns.keys()):
        with suppress(Unreadable):
            found[name] = None if line[name] is None else _value(table, name, line)
    return found


def _value(table: str, name: str, line: Line) -> Any:
    value = line[name]
    if isinstance(belongs()[table][1].table.columns[name].type, LengthColumn):
        return Length(value)
    if (table, name) == ("assembly", "spec_json"):
        return specs.read_assembly(line["id"], line["kind"], value)
    reader = _READ.get((table, name))
    return value if reader is None else reader(line["id"], value)
