"""Of which things every earlier state is kept, and of which tables each of them is made.

A thing is a row with a number and all rows that go with it: those of tables that refer to it, or to one of its
rows, and are deleted with it (ON DELETE CASCADE). A new table of that sort comes along without a line here; a
new kind of thing needs one in ``KINDS``.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from functools import cache
from typing import Any

import sqlalchemy as sa
from sqlalchemy import Column, Table

from webapp.store import (  # noqa: F401  all tables
    machine_tables,
    pattern_tables,
    photograph_tables,
    stock_tables,
    tables,
)
from webapp.store.tables import Row

ASIDE = frozenset({"version", "updated", "edition"})
"""Columns that count and date changes: they make no state of their own, and never go back."""


@dataclass(frozen=True, slots=True)
class Kind:
    """One kind of thing: the table of its head, and what of it stays out of its states.

    ``aside`` are columns that other things rest on, such as a project's stage, which the ledger goes by: they are
    kept, but do not come back with an earlier state. ``out_of_bin`` is what such a column comes back as.
    ``plans`` is whether the shop plans with it, so that its editions rise.
    """

    name: str
    table: Table
    aside: frozenset[str] = frozenset()
    out_of_bin: Mapping[str, Mapping[str, str]] = field(default_factory=dict)
    plans: bool = False

    @property
    def apart(self) -> frozenset[str]:
        """Every column that makes no state."""
        return ASIDE | self.aside


def table_of(row: type[Row]) -> Table:
    """The table of a class of rows."""
    made: Table = row.__table__  # type: ignore[attr-defined]
    return made


KINDS: Mapping[str, Kind] = {
    kind.name: kind
    for kind in (
        Kind(
            "project",
            table_of(tables.ProjectRow),
            frozenset({"stage", "put_away_at"}),
            # what it had reserved became free as it was deleted
            {"stage": {"going_ahead": "planned"}},
        ),
        Kind("section", table_of(tables.SectionRow), plans=True),
        Kind("plug", table_of(tables.PlugRow), plans=True),
        Kind("shop", table_of(tables.ShopRow), plans=True),
        Kind("item", table_of(stock_tables.ItemRow)),
        Kind("supplier", table_of(stock_tables.SupplierRow)),
        Kind("offer", table_of(stock_tables.OfferRow)),
        Kind("moulding", table_of(machine_tables.MouldingRow)),
        Kind("pattern", table_of(pattern_tables.PatternRow)),
    )
}
BINNED_PARTS = frozenset({"assembly"})
"""Tables of rows within a thing that go into the bin by themselves."""


@dataclass(frozen=True, slots=True)
class Part:
    """A table of a kind of thing; ``link`` is its column that refers to ``parent``, None in the head's own."""

    table: Table
    parent: Table | None = None
    link: Column[Any] | None = None

    @property
    def name(self) -> str:
        """What the table is called."""
        return self.table.name

    @property
    def keys(self) -> tuple[str, ...]:
        """The columns that tell its rows apart."""
        return tuple(column.name for column in self.table.primary_key)

    @property
    def files(self) -> frozenset[str]:
        """The columns that hold bytes, such as a photograph."""
        return frozenset(
            column.name for column in self.table.columns if isinstance(column.type, sa.types.LargeBinary)
        )


@cache
def parts_of(kind: str) -> tuple[Part, ...]:
    """The tables that a kind of thing is made of, its head first, each before those that refer to it."""
    return tuple(_parts(Part(KINDS[kind].table)))


def _parts(part: Part) -> Iterator[Part]:
    yield part
    for table in Row.metadata.sorted_tables:
        for reference in table.foreign_keys:
            if reference.column.table is part.table and reference.ondelete == "CASCADE":
                yield from _parts(Part(table, part.table, reference.parent))


@cache
def belongs() -> Mapping[str, tuple[str, Part]]:
    """The kind that each table belongs to, and its part there, by the table's name."""
    return {part.name: (kind, part) for kind in KINDS for part in parts_of(kind)}


@cache
def plain(table: Table) -> sa.TableClause:
    """The table with columns of plain numbers, text and bytes: rows as the database has them."""
    return sa.table(table.name, *(sa.column(column.name, _plain_type(column)) for column in table.columns))


def _plain_type(column: Column[Any]) -> sa.types.TypeEngine[Any]:
    kind = column.type
    if isinstance(kind, sa.types.TypeDecorator):
        return kind.impl if isinstance(kind.impl, sa.types.TypeEngine) else kind.impl()
    return kind
