"""Wood to buy as a table: a row for every wood, figures as numbers."""

from __future__ import annotations

from fractions import Fraction

from domain.cut_list.priced import PricedWood
from domain.lengths import Units
from domain.timber.measures import BOARD_FOOT, CUBIC_METRE, FOOT
from webapp.tables.table import Cell, Column, Kind, Table, money
from webapp.usecases.timber import Timber
from webapp.wording.timber import timber_row

HEADING = "Timber"
_PLACES = 6
"""Decimals: a cm³ of a m³."""
_VOLUMES = ("Net", "With waste", "With waste")
_IN_CM = {"m³": Fraction(CUBIC_METRE), "bd ft": BOARD_FOOT, "ft³": 12 * BOARD_FOOT}
"""Measures of volume, in cm³."""


def _measures(units: Units) -> tuple[str, str, str]:
    """What the three volumes are said in; board feet are sold by in either system."""
    return ("m³", "m³", "bd ft") if units is Units.MM else ("bd ft", "bd ft", "ft³")


def timber_table(timber: Timber, units: Units) -> Table:
    """Every wood of these projects; lengths in m or ft, faces in m² or ft²."""
    metric = units is Units.MM
    columns = (
        Column("Wood", Kind.TEXT),
        Column("Material", Kind.TEXT),
        Column("Pieces", Kind.COUNT),
        Column("Length", Kind.NUMBER, "m" if metric else "ft"),
        *(Column(name, Kind.NUMBER, measure) for name, measure in zip(_VOLUMES, _measures(units), strict=True)),
        Column("Faces", Kind.NUMBER, "m²" if metric else "ft²"),
        Column("Bought as", Kind.TEXT),
        Column("Boards of the mean width", Kind.TEXT),
        Column("Price", Kind.NUMBER, timber.currency),
        Column("Price missing", Kind.TEXT),
    )
    return Table(HEADING, units, columns, tuple(_cells(wood, timber.currency, units) for wood in timber.lines))


def _cells(wood: PricedWood, currency: str, units: Units) -> tuple[Cell, ...]:
    words, measured = timber_row(wood, currency, units), wood.line.measured
    foot = FOOT / 1000
    each, face = (Fraction(1), Fraction(1)) if units is Units.MM else (foot, foot**2)
    price = None if wood.price is None else money(round(wood.price), currency)
    return (
        words.item,
        wood.line.material,
        words.pieces,
        _number(measured.length / 1000 / each),
        *(
            None if volume is None else _number(volume / _IN_CM[measure])
            for volume, measure in zip(
                (measured.net, measured.gross, measured.gross), _measures(units), strict=True
            )
        ),
        _number(measured.area / face),
        words.bought or None,
        words.boards or None,
        price,
        None if words.is_priced else words.price,
    )


def _number(value: Fraction) -> float:
    return float(round(value, _PLACES))
