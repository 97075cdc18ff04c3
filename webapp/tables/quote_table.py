"""A quote's reckoning as a table: a row for every amount, money as numbers."""

from __future__ import annotations

from domain.lengths import Units
from domain.quoting.reckoning import Reckoning
from webapp.tables.table import Cell, Column, Kind, Table, money
from webapp.wording.quote import reckoning_words

HEADING = "Reckoning of the quote"


def quote_table(reckoning: Reckoning, units: Units) -> Table:
    """Materials and work, then the way from cost to price; an amount that is not known is an empty cell."""
    currency, words = reckoning.currency, reckoning_words(reckoning, units)
    columns = (
        Column("Part", Kind.TEXT),
        Column("What", Kind.TEXT),
        Column("How much", Kind.TEXT),
        Column("How it is reckoned", Kind.TEXT),
        Column("Amount", Kind.NUMBER, currency),
        Column("Missing", Kind.TEXT),
    )

    def number(minor: int | None) -> Cell:
        return None if minor is None else money(minor, currency)

    rows: list[tuple[Cell, ...]] = [
        (part.name, line.what, line.quantity.replace("\xa0", " "), line.why, number(line.minor), None)
        for part in words.parts
        for line in part.lines
    ]
    rows += [
        ("From cost to price", each.what, None, each.why or None, number(each.minor), None) for each in words.sums
    ]
    rows += [("Missing", each.what, None, None, None, each.says) for each in words.missing]
    return Table(HEADING, units, columns, tuple(rows))
