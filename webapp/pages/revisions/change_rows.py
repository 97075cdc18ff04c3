"""What changed between two snapshots, as rows that one reads: field, before, after."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from domain.lengths import Mm, Units, format_fine, format_length
from domain.takeoff.comparison import FieldChange, Measure, Value
from webapp.usecases.snapshots import PriceChange
from webapp.wording.figures import as_set, listed
from webapp.wording.money import format_money

NONE = "none"


@dataclass(frozen=True, slots=True)
class ChangeRow:
    """A change in words."""

    name: str
    before: str
    after: str


def field_rows(changes: Iterable[FieldChange], units: Units) -> tuple[ChangeRow, ...]:
    """Changed fields, lengths in ``units``; to the last figure where rounding would hide the change."""
    return tuple(_row(change, units) for change in changes)


def price_rows(changes: Iterable[PriceChange]) -> tuple[ChangeRow, ...]:
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
    Measure.MINUTES: " min",
    Measure.SECONDS: " s",
}


def _money(price: tuple[int, str] | None) -> str:
    return NONE if price is None else format_money(*price)
