"""What an edit did, in words: what was added, changed, taken away; what something in the bin is called."""

from __future__ import annotations

import json
from collections.abc import Iterator, Mapping, Sequence
from typing import Any

Line = Mapping[str, Any]
MOST_FIELDS = 3
"""So many fields of one change are named; of others it is said how many."""

_COLUMNS = {
    "name": "name",
    "customer": "customer",
    "units": "units",
    "currency": "currency",
    "sections_json": "its own sections",
    "rules_json": "rules",
    "keys_json": "choices of keys",
    "starts_json": "its own starts",
    "climate_json": "climate",
    "stock_json": "what it is cut from",
    "parts_json": "parts list",
    "quote_json": "quote",
    "due": "day it is due",
    "note": "note",
    "notes_json": "notes",
    "price_minor": "price",
    "position": "place in the order",
    "stock_from": "stock from",
    "minimum_stock": "minimum",
    "shipping_minor": "what sending costs",
    "minimum_order_minor": "least order",
    "lead_days": "days until it comes",
    "document_json": "what it holds",
    "withdrawn": "whether it can be had",
}
_THINGS = {"shop": "Shop settings", "item": "Item", "moulding": "Moulding", "photograph": "Photograph"}
_UNSAID = frozenset({"version", "updated", "edition", "id", "stage", "put_away_at", "kind", "created"})


def called(table: str, line: Line) -> str:
    """What a row is: “Project Hall cabinet”, “Assembly B (Drawer)”."""
    match table:
        case "assembly":
            name = json.loads(line["spec_json"]).get("name") if "spec_json" in line else None
            return f"Assembly {line.get('mark', '')}" + (f" ({name})" if name else "")
        case "plug":
            return f"Plug of {line['material']}, {line['height'] / 1_000_000:g} mm high"
        case "offer":
            return f"Offer of packs of {line['size']}"
        case "shop":
            return _THINGS["shop"]
        case "section_length":
            return f"Length {line['length'] / 1_000_000:g} mm"
        case "photograph":
            return f"Photograph {line['caption']}".strip()
        case _:
            return f"{_THINGS.get(table, table.replace('_', ' ').capitalize())} {line.get('name', '')}".strip()


def change_words(table: str, before: Line | None, after: Line | None) -> str:
    """What became of a row."""
    if before is None:
        return f"{called(table, after or {})} added"
    if after is None:
        return f"{called(table, before)} deleted"
    fields = list(_fields(before, after))
    if not fields:
        return f"{called(table, after)} changed"
    told = ", ".join(fields[:MOST_FIELDS])
    more = f" and {len(fields) - MOST_FIELDS} more" if len(fields) > MOST_FIELDS else ""
    return f"{called(table, after)}: {told}{more}"


def edit_words(changes: Sequence[tuple[str, Line | None, Line | None]]) -> tuple[str, ...]:
    """What an edit did, a sentence a row; rows that only made room for others are told once."""
    moved = [
        change
        for change in changes
        if change[1] and change[2] and _differing(change[1], change[2]) == {"position"}
    ]
    said = [change_words(*change) for change in changes if change not in moved]
    if moved and not said:
        said.append("Order changed")
    return tuple(dict.fromkeys(said))


def _differing(before: Line, after: Line) -> set[str]:
    names = before.keys() | after.keys()
    return {name for name in names if name not in _UNSAID and before.get(name) != after.get(name)}


def _fields(before: Line, after: Line) -> Iterator[str]:
    for name in sorted(_differing(before, after)):
        if name == "spec_json":
            yield from _spec_fields(json.loads(before[name]), json.loads(after[name]))
        elif name in {"name", "customer", "mark", "currency", "due", "material"}:
            yield f"{_COLUMNS.get(name, name)} {_value(before.get(name))} → {_value(after.get(name))}"
        else:
            yield _COLUMNS.get(name, name.removesuffix("_json").replace("_", " "))


def _spec_fields(before: Any, after: Any, path: str = "") -> Iterator[str]:
    """The fields of a spec that differ, with both values where they are short."""
    if isinstance(before, dict) and isinstance(after, dict):
        for name in sorted(before.keys() | after.keys()):
            if before.get(name) != after.get(name):
                inner = f"{path} {name.replace('_', ' ')}".strip()
                yield from _spec_fields(before.get(name), after.get(name), inner)
    elif isinstance(before, list | dict) or isinstance(after, list | dict):
        yield path
    else:
        yield f"{path} {_value(before)} → {_value(after)}"


def _value(value: Any) -> str:
    return "none" if value in (None, "") else f"{value:g}" if isinstance(value, float) else str(value)
