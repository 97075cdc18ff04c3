"""Balances: sums of the ledger, never stored."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

from sqlalchemy import ColumnElement, func
from sqlmodel import Session, col, select

from domain.ordering.items import Item
from webapp.store.items import item_of, list_items
from webapp.store.orders import on_order
from webapp.store.stock_tables import ItemRow, MovementRow
from webapp.store.stock_values import MovementKind

_OF_CLAIMS = (MovementKind.RESERVED, MovementKind.RELEASED)


@dataclass(frozen=True, slots=True)
class Claim:
    """What a project needs of an item, what it has used, and what of the rest is reserved for it.

    ``reserved`` is always max(0, needed − used); ``needed`` is 0 unless the project is going ahead.
    """

    needed: int = 0
    used: int = 0
    reserved: int = 0


NO_CLAIM = Claim()


@dataclass(slots=True)
class Stock:
    """What there is of an item, and each project's claim, by the project's number.

    ``last`` is the number of the newest movement that was about what is on hand; 0 before the first.
    """

    on_hand: int = 0
    last: int = 0
    claims: dict[int, Claim] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class Balance:
    """An item in the stockroom, in its own units."""

    item_id: int
    version: int
    item: Item
    minimum_stock: int
    on_hand: int
    on_order: int
    claims: Mapping[int, Claim]
    last: int

    @property
    def reserved(self) -> int:
        """Reserved for all projects together; it may be more than is on hand."""
        return sum(claim.reserved for claim in self.claims.values())

    @property
    def free(self) -> int:
        """On hand and nobody's."""
        return max(0, self.on_hand - self.reserved)

    @property
    def missing(self) -> int:
        """Reserved and not on hand."""
        return max(0, self.reserved - self.on_hand)


def balances(session: Session) -> tuple[Balance, ...]:
    """Every item's balance, in the items' own order."""
    stocks, coming = _stocks(session), on_order(session)
    return tuple(
        Balance(
            item_id=stored.id,
            version=stored.version,
            item=stored.item,
            minimum_stock=stored.minimum_stock,
            on_hand=stock.on_hand,
            on_order=coming.get(stored.id, 0),
            claims=stock.claims,
            last=stock.last,
        )
        for stored in list_items(session)
        for stock in (stocks.get(stored.id, Stock()),)
    )


def stock_of(session: Session, item_id: int) -> Stock:
    """What there is of one item."""
    return _stocks(session, col(MovementRow.item_id) == item_id).get(item_id, Stock())


def claims_of(session: Session, project_id: int) -> dict[Item, Claim]:
    """What the project needs, has used and has reserved, item by item."""
    stocks = _stocks(session, col(MovementRow.project_id) == project_id)
    rows = session.exec(select(ItemRow).where(col(ItemRow.id).in_(stocks)))
    found = {item_of(row): stocks[row.id].claims[project_id] for row in rows if row.id is not None}
    return {item: found[item] for item in sorted(found, key=lambda item: item.order)}


def _stocks(session: Session, *among: ColumnElement[bool]) -> dict[int, Stock]:
    """One pass over the index that has all of it."""
    sums = session.exec(
        select(  # type: ignore[call-overload]
            MovementRow.item_id,
            MovementRow.project_id,
            MovementRow.kind,
            func.sum(MovementRow.on_hand),
            func.sum(MovementRow.reserved),
            func.sum(MovementRow.needed),
            func.max(MovementRow.id),
        )
        .where(*among)
        .group_by(MovementRow.item_id, MovementRow.project_id, MovementRow.kind)
    )
    stocks: dict[int, Stock] = {}
    for item_id, project_id, kind, on_hand, reserved, needed, last in sums:
        stock = stocks.setdefault(item_id, Stock())
        stock.on_hand += on_hand
        if kind not in _OF_CLAIMS:
            stock.last = max(stock.last, last)
        if project_id is not None:
            claim = stock.claims.get(project_id, NO_CLAIM)
            stock.claims[project_id] = Claim(
                claim.needed + needed, claim.used - on_hand, claim.reserved + reserved
            )
    return stocks
