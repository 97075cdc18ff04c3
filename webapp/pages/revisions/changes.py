"""What changed between two states of a project, as one reads it: assemblies, joints, parts, what to buy."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass

from domain.lengths import Units
from domain.takeoff.comparison import NOTES, AssemblyDifference, Difference, FieldChange, State
from webapp.pages.revisions.change_rows import ChangeRow, field_rows, price_rows
from webapp.usecases.revisions import Compared
from webapp.wording.problems import clash_text


@dataclass(frozen=True, slots=True)
class ThingRow:
    """Joints, parts or sections that changed alike, by their marks; no ``fields`` where they came or went.

    ``notes`` are what is said of them before and after, where that changed.
    """

    marks: tuple[str, ...]
    state: State
    fields: tuple[ChangeRow, ...]
    notes: ChangeRow | None


@dataclass(frozen=True, slots=True)
class AssemblyRow:
    """An assembly that changed: its own fields and notes, its joints, its parts."""

    mark: str
    state: State
    fields: tuple[ChangeRow, ...]
    notes: ChangeRow | None
    joints: tuple[ThingRow, ...]
    parts: tuple[ThingRow, ...]


@dataclass(frozen=True, slots=True)
class Changes:
    """A comparison as it is shown; ``joints`` counts marks by what became of them.

    ``clashes`` are assemblies that cannot be taken off now.
    """

    same: bool
    joints: tuple[tuple[State, int], ...]
    head: tuple[ChangeRow, ...]
    assemblies: tuple[AssemblyRow, ...]
    buy: tuple[ChangeRow, ...]
    sections: tuple[ThingRow, ...]
    rules: tuple[ChangeRow, ...]
    prices: tuple[ChangeRow, ...]
    clashes: tuple[str, ...]


def changes_of(compared: Compared) -> Changes:
    """A comparison as rows."""
    units, found = compared.units, compared.comparison
    counts = [
        ChangeRow(f"{word}{change.item}", str(change.before), str(change.after))
        for word, changes in (("key ", found.takeoff.keys), ("plug ", found.takeoff.plugs))
        for change in changes
    ]
    glue = field_rows([found.takeoff.glue] if found.takeoff.glue else [], units)
    states = Counter(joint.state for assembly in found.takeoff.assemblies for joint in assembly.joints)
    return Changes(
        same=found.same and not compared.clashes,
        joints=tuple((state, states[state]) for state in State if states[state]),
        head=field_rows(found.head, units),
        assemblies=tuple(_assembly(assembly, units) for assembly in found.takeoff.assemblies),
        buy=(*counts, *glue),
        sections=_things(found.sections, units),
        rules=field_rows(found.rules, units),
        prices=price_rows(found.prices),
        clashes=tuple(f"{mark}: {clash_text(why, units)}" for mark, why in compared.clashes.items()),
    )


def _assembly(found: AssemblyDifference, units: Units) -> AssemblyRow:
    fields, notes = _with_notes(found.fields, units)
    joints, parts = _things(found.joints, units), _things(found.parts, units)
    return AssemblyRow(found.mark, found.state, fields, notes, joints, parts)


def _things(differences: Sequence[Difference], units: Units) -> tuple[ThingRow, ...]:
    """The differences, those that changed in just the same way together."""
    alike: dict[tuple[State, tuple[FieldChange, ...]], list[str]] = {}
    for each in differences:
        alike.setdefault((each.state, each.fields), []).append(each.mark)
    return tuple(
        ThingRow(tuple(marks), state, *_with_notes(fields, units)) for (state, fields), marks in alike.items()
    )


def _with_notes(changes: Sequence[FieldChange], units: Units) -> tuple[tuple[ChangeRow, ...], ChangeRow | None]:
    """Short fields as rows, and the notes, which are sentences, by themselves."""
    rows = field_rows((change for change in changes if change.name != NOTES), units)
    notes = field_rows((change for change in changes if change.name == NOTES), units)
    if not notes:
        return rows, None
    return rows, notes[0]
