"""What changed between two states of a project, as one reads it: assemblies, joints, parts, what to buy.

Each change is a row of field, before, after.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from domain.lengths import Mm, Units, format_fine, format_length
from domain.takeoff.comparison import NOTES, AssemblyDifference, Difference, FieldChange, Measure, State, Value
from webapp.usecases.revisions import Compared
from webapp.usecases.snapshots import PriceChange
from webapp.wording.figures import as_set, listed
from webapp.wording.money import format_money
from webapp.wording.problems import clash_text

NONE = "none"


@dataclass(frozen=True, slots=True)
class ChangeRow:
    """A change in words."""

    name: str
    before: str
    after: str


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
        for word, changes in (
            ("key ", found.takeoff.keys),
            ("plug ", found.takeoff.plugs),
            ("", found.takeoff.fastenings),
        )
        for change in changes
    ]
    glue = _field_rows([found.takeoff.glue] if found.takeoff.glue else [], units)
    states = Counter(joint.state for assembly in found.takeoff.assemblies for joint in assembly.joints)
    return Changes(
        same=found.same and not compared.clashes,
        joints=tuple((state, states[state]) for state in State if states[state]),
        head=_field_rows(found.head, units),
        assemblies=tuple(_assembly(assembly, units) for assembly in found.takeoff.assemblies),
        buy=(*counts, *glue),
        sections=_things(found.sections, units),
        rules=_field_rows(found.rules, units),
        prices=_price_rows(found.prices),
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
    rows = _field_rows((change for change in changes if change.name != NOTES), units)
    notes = _field_rows((change for change in changes if change.name == NOTES), units)
    if not notes:
        return rows, None
    return rows, notes[0]


def _field_rows(changes: Iterable[FieldChange], units: Units) -> tuple[ChangeRow, ...]:
    """Changed fields, lengths in ``units``; to the last figure where rounding would hide the change."""
    return tuple(_row(change, units) for change in changes)


def _price_rows(changes: Iterable[PriceChange]) -> tuple[ChangeRow, ...]:
    """Changed prices of one piece."""
    return tuple(ChangeRow(change.item, _money(change.before), _money(change.after)) for change in changes)


def _row(change: FieldChange, units: Units) -> ChangeRow:
    before, after = (_text(value, change.measure, units) for value in (change.before, change.after))
    if before == after:
        before, after = (_exact(value, change.measure) for value in (change.before, change.after))
    return ChangeRow(change.name, before, after)


def _text(value: Value, measure: Measure, units: Units) -> str:
    if value is None or value == ():
        return NONE
    if isinstance(value, tuple):
        return listed(as_set(Mm(each), units) for each in value)
    if isinstance(value, str):
        return value
    match measure:
        case Measure.LENGTH:
            return format_length(value, units)
        case Measure.FINE:
            return format_fine(value, units)
        case Measure.GRAMS:
            return f"{value:.0f} g"
        case _:
            return _exact(value, measure)


def _exact(value: Value, measure: Measure) -> str:
    if isinstance(value, tuple):
        return ", ".join(f"{each:.9g}" for each in value) + " mm"
    if value is None or isinstance(value, str):
        return value or NONE
    match measure:
        case Measure.SHARE:
            return f"{round(value * 100, 3):g} %"
        case Measure.COUNT:
            return str(value)
        case Measure.YES_NO:
            return "yes" if value else "no"
        case _:
            return f"{value:.9g}{_UNIT[measure]}"


_UNIT = {
    Measure.LENGTH: " mm",
    Measure.FINE: " mm",
    Measure.ANGLE: "°",
    Measure.GRAMS: " g",
    Measure.KILOGRAMS: " kg",
    Measure.MINUTES: " min",
    Measure.SECONDS: " s",
}


def _money(price: tuple[int, str] | None) -> str:
    return NONE if price is None else format_money(*price)
