"""The cutting plan as a table: a row for every kind of bar or sheet that is cut alike."""

from __future__ import annotations

from domain.cut_list.stocked import Stocked
from domain.cutting.document import Cutting
from domain.lengths import Length, Units
from webapp.tables.table import Cell, Column, Kind, Table, length, lengths, texts
from webapp.wording.cutting_plan import ItemWords, cutting_words

HEADING = "Cutting plan"


def cutting_table(asked: Stocked, cutting: Cutting, units: Units) -> Table:
    """Every bar and sheet of the plan; then what is said of each wood, and what is in no plan."""
    words = cutting_words(asked, cutting, units)
    columns = (
        *texts("Wood", "From"),
        Column("How many", Kind.COUNT),
        *lengths(units, "Stock length", "Stock width"),
        *texts("Pieces in order", "Cuts in order"),
        *lengths(units, "Left over"),
        *texts("Keep", "Notes"),
    )
    rows: list[tuple[Cell, ...]] = []
    for item in words.items:
        rows += _bars(item, units)
        rows += _sheets(item, units)
        rows += [_said(item.item, said) for said in (*item.remarks, item.says, *item.missing) if said]
    return Table(HEADING, units, columns, tuple(rows))


def _bars(item: ItemWords, units: Units) -> list[tuple[Cell, ...]]:
    return [
        (
            item.item,
            item.stock or None,
            bar.times,
            _length(bar.laid.length, units),
            None,
            bar.pieces,
            None,
            _length(bar.laid.offcut, units),
            "yes" if bar.kept else "no",
            bar.lengths,
        )
        for bar in item.bars
    ]


def _sheets(item: ItemWords, units: Units) -> list[tuple[Cell, ...]]:
    return [
        (
            item.item,
            item.stock or None,
            sheet.times,
            *(_length(each, units) for each in sheet.size),
            sheet.pieces,
            " ".join(
                [*([sheet.trim] if sheet.trim else []), *(f"{cut.number}. {cut.says}" for cut in sheet.cuts)]
            ),
            None,
            "; ".join(sheet.kept) or None,
            None,
        )
        for sheet in item.sheets
    ]


def _said(item: str, said: str) -> tuple[Cell, ...]:
    return (item, *(None,) * 8, said)


def _length(value: Length, units: Units) -> float:
    return length(value.mm, units)
