"""What every repository does with a row: find it, take it for a change that is not stale, move it."""

from __future__ import annotations

from enum import StrEnum
from typing import Protocol, TypeVar

from sqlalchemy import ColumnElement, func
from sqlmodel import Session, col, select

from webapp.store.errors import NotFound, StaleEdit
from webapp.store.pattern_tables import PatternRow
from webapp.store.stock_tables import ItemRow, OfferRow, SupplierRow
from webapp.store.tables import AssemblyRow, PlugRow, ProjectRow, SectionRow, ShopRow

AnyRow = TypeVar(
    "AnyRow", ProjectRow, AssemblyRow, SectionRow, PlugRow, ShopRow, ItemRow, SupplierRow, OfferRow, PatternRow
)
PlacedRow = TypeVar("PlacedRow", AssemblyRow, SectionRow)
LARGEST_NUMBER = 2**31 - 1


class Step(StrEnum):
    """Which neighbour to change places with."""

    UP = "up"
    DOWN = "down"


def find(session: Session, table: type[AnyRow], number: int) -> AnyRow:
    """The row of that number. Raises NotFound, also for a number that no row can have."""
    row = session.get(table, number) if 0 < number <= LARGEST_NUMBER else None
    if row is None:
        raise NotFound(table.__name__.removesuffix("Row").lower(), number)
    return row


def claim(session: Session, table: type[AnyRow], number: int, version: int) -> AnyRow:
    """The row, its version raised, for a form that was opened at ``version``.

    Raises NotFound, or StaleEdit where the row has moved on since. There is one writer at a time, and
    comparing and raising are in one transaction with whatever the caller changes: no edit overwrites
    one that it has not seen.
    """
    row = find(session, table, number)
    if row.version != version:
        raise StaleEdit(table.__name__.removesuffix("Row").lower(), number, row.version)
    row.version += 1
    return row


class Numbered(Protocol):
    """A row whose number the database gives."""

    id: int | None


def number_of(row: Numbered) -> int:
    """The number of a row that is in the database."""
    assert row.id is not None
    return row.id


def next_position(session: Session, table: type[PlacedRow], *among: ColumnElement[bool]) -> int:
    """The position after the last of the rows ``among`` which a new one comes."""
    last = session.exec(select(func.max(table.position)).where(*among)).one()
    return 0 if last is None else last + 1


def change_places(session: Session, row: PlacedRow, step: Step, *among: ColumnElement[bool]) -> bool:
    """Swap the row with its neighbour among its like; False where it is the outermost already."""
    table = type(row)
    position = col(table.position)
    neighbours = select(table).where(*among)
    if step is Step.UP:
        neighbours = neighbours.where(position < row.position).order_by(position.desc())
    else:
        neighbours = neighbours.where(position > row.position).order_by(position)
    neighbour = session.exec(neighbours.limit(1)).first()
    if neighbour is None:
        return False
    row.position, neighbour.position = neighbour.position, row.position
    return True
