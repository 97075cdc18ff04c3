"""What a project costs as a table: a row for every item of every part, figures as numbers."""

from __future__ import annotations

from domain.ordering.costs import CostLine
from webapp.tables.table import Cell, Column, Kind, Table, money
from webapp.usecases.costs import ProjectCosts
from webapp.wording.amounts import counted
from webapp.wording.costs import NO_PRICE
from webapp.wording.unit_price import each_text, source_text


def costs_table(found: ProjectCosts) -> Table:
    """The costs by assembly, tests and spares, and wood; their sum is the project's."""
    columns = (
        Column("For", Kind.TEXT),
        Column("Item", Kind.TEXT),
        Column("Quantity", Kind.NUMBER),
        Column("Counted in", Kind.TEXT),
        Column("Each", Kind.TEXT, found.currency),
        Column("At the price of", Kind.TEXT),
        Column("Cost", Kind.NUMBER, found.currency),
    )
    rows = [(part.name, *_cells(line, found)) for part in found.costs.parts for line in part.lines]
    return Table("Costs", found.project.head.units, columns, tuple(rows))


def _cells(line: CostLine, found: ProjectCosts) -> tuple[Cell, ...]:
    unit, units = found.units[line.item], found.project.head.units
    figure, said_in = counted(line.quantity, unit, units)
    if line.price is None:
        return (line.item, figure, said_in, None, NO_PRICE, None)
    return (
        line.item,
        figure,
        said_in,
        each_text(line.price, found.currency, unit, units),
        source_text(line.price, found.currency, unit, units),
        money(line.cost, found.currency),
    )
