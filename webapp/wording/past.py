"""What an edit did, in words: what was added, changed, taken away; what something in the bin is called.

Rows come as values, by their columns. Which of a form's fields changed is told by whoever knows the forms.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from domain.lengths import Units
from webapp.wording.exact import exact_words
from webapp.wording.job import about_words

Values = Mapping[str, Any]
"""A row by its columns: lengths as Lengths, what is kept as JSON as the domain reads it."""
MOST_FIELDS = 3
"""So many fields of one change are named; of others it is said how many."""
MOST_LETTERS = 60
"""A longer text is not laid beside what it was: that it changed is told."""
NONE = "none"
PLACE = "Place in the order"
_THINGS = {"shop": "Shop settings", "item": "Item", "moulding": "Moulding"}


@dataclass(frozen=True, slots=True)
class EditedField:
    """A field of a form that an edit changed, by its ``label`` there and both values in words, "" for none.

    ``of`` is what tells it from others of that label: its group, an item of a list, a mark.
    """

    label: str
    before: str = ""
    after: str = ""
    of: str = ""

    @property
    def words(self) -> str:
        """The change as it is told.

        >>> EditedField("Width", "45 mm", "50 mm", "Wood").words, EditedField("Name", "", "Lid").words
        ('Width (Wood) 45 mm → 50 mm', 'Name none → Lid')
        """
        label = f"{self.label} ({self.of})" if self.of else self.label
        sides = (self.before, self.after)
        if not any(sides) or any("\n" in side or len(side) > MOST_LETTERS for side in sides):
            return label
        return f"{label} {self.before or NONE} → {self.after or NONE}"


@dataclass(frozen=True, slots=True)
class RowChange:
    """What an edit did to a row of a table; ``before`` is None where it was new, ``after`` where it went."""

    table: str
    before: Values | None
    after: Values | None
    fields: tuple[EditedField, ...] = ()


def called(table: str, row: Values, units: Units) -> str:
    """What a row is: “Project Hall cabinet”, “Assembly B (Drawer)”."""
    match table:
        case "assembly":
            name = getattr(row.get("spec_json"), "name", None)
            return f"Assembly {row.get('mark', '')}" + (f" ({name})" if name else "")
        case "plug":
            return f"Plug of {row['material']}, {exact_words(row['height'], units)} high"
        case "offer":
            return f"Offer of packs of {row['size']}"
        case "section_length":
            return f"Length {exact_words(row['length'], units)}"
        case "photograph":
            caption = f" ({row['caption']})" if row["caption"] else ""
            return f"Photograph of {about_words(row['mark'])}{caption}"
        case "shop":
            return _THINGS[table]
        case _:
            return f"{_THINGS.get(table, table.replace('_', ' ').capitalize())} {row.get('name', '')}".strip()


def change_words(change: RowChange, units: Units) -> str:
    """What became of a row."""
    if change.before is None:
        return f"{called(change.table, change.after or {}, units)} added"
    if change.after is None:
        return f"{called(change.table, change.before, units)} deleted"
    name = called(change.table, change.after, units)
    if not change.fields:
        return f"{name} changed"
    told = ", ".join(field.words for field in change.fields[:MOST_FIELDS])
    more = f" and {len(change.fields) - MOST_FIELDS} more" if len(change.fields) > MOST_FIELDS else ""
    return f"{name}: {told}{more}"


def edit_words(changes: Sequence[tuple[RowChange, Units]]) -> tuple[str, ...]:
    """What an edit did, a sentence a row; rows that only made room for others are told once."""
    moved = [change for change, _ in changes if [field.label for field in change.fields] == [PLACE]]
    said = [change_words(change, units) for change, units in changes if change not in moved]
    if moved and not said:
        said.append("Order changed")
    return tuple(dict.fromkeys(said))
