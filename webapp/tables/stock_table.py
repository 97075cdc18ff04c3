"""The stockroom as a table: a row for every item, figures as numbers."""

from __future__ import annotations

from collections.abc import Iterable, Mapping

from domain.lengths import Units
from webapp.store.balances import Balance
from webapp.store.stages import StagedProject
from webapp.tables.table import Cell, Column, Kind, Table
from webapp.wording.amounts import counted
from webapp.wording.stockroom import project_name, shelf

_FIGURES = ("On hand", "Reserved", "Free", "On order", "Minimum", "Short")


def stock_table(balances: Iterable[Balance], projects: Mapping[int, StagedProject], units: Units) -> Table:
    """These items; wood is counted in what ``units`` say: m³ and m, or board feet and feet."""
    columns = (
        Column("Shelf", Kind.TEXT),
        Column("Item", Kind.TEXT),
        Column("Counted in", Kind.TEXT),
        *(Column(name, Kind.NUMBER) for name in _FIGURES),
        Column("Reserved by", Kind.TEXT),
    )
    return Table("Stockroom", units, columns, tuple(_cells(each, projects, units) for each in balances))


def _cells(balance: Balance, projects: Mapping[int, StagedProject], units: Units) -> tuple[Cell, ...]:
    unit = balance.item.unit
    figures = (
        balance.on_hand,
        balance.reserved,
        balance.free,
        balance.on_order,
        balance.minimum_stock,
        balance.short,
    )
    names = [project_name(number, projects) for number, claim in sorted(balance.claims.items()) if claim.reserved]
    return (
        shelf(balance.item),
        balance.item.name,
        counted(0, unit, units)[1],
        *(counted(figure, unit, units)[0] for figure in figures),
        ", ".join(names) or None,
    )
