"""Balances: sums of the ledger, never stored."""

from __future__ import annotations

from collections.abc import Container, Iterator, Mapping
from dataclasses import dataclass

from sqlalchemy import ColumnElement, case, func
from sqlmodel import Session, col, select

from domain.ordering.items import Item
from domain.ordering.request import short_of
from webapp.store.items import item_of, list_items
from webapp.store.orders import on_order
from webapp.store.rows import number_of
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


@dataclass(frozen=True, slots=True)
class Shelf:
    """What there is of an item.

    ``last`` is the number of the newest movement that was about what is on hand; 0 before the first.
    """

    on_hand: int = 0
    last: int = 0


EMPTY = Shelf()


@dataclass(frozen=True, slots=True)
class Balance:
    """An item in the stockroom, in its own units.

    ``claims`` are those of the projects that are going ahead, by number; ``last`` is the shelf's.
    """

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

    def free_for(self, projects: Container[int]) -> int:
        """On hand, and reserved for no other than these projects."""
        others = sum(claim.reserved for number, claim in self.claims.items() if number not in projects)
        return max(0, self.on_hand - others)

    @property
    def missing(self) -> int:
        """Reserved and not on hand."""
        return max(0, self.reserved - self.on_hand)

    @property
    def short(self) -> int:
        """What is missing for what is reserved and for the minimum stock."""
        return short_of(self.reserved, self.minimum_stock, self.on_hand, self.on_order)


def balances(session: Session) -> tuple[Balance, ...]:
    """Every item's balance, in the items' own order."""
    shelves, coming = _shelves(session), on_order(session)
    claims: dict[int, dict[int, Claim]] = {}
    for item_id, project_id, claim in _claims(session, running=True):
        claims.setdefault(item_id, {})[project_id] = claim
    return tuple(
        Balance(
            item_id=stored.id,
            version=stored.version,
            item=stored.item,
            minimum_stock=stored.minimum_stock,
            on_hand=shelf.on_hand,
            on_order=coming.get(stored.id, 0),
            claims=claims.get(stored.id, {}),
            last=shelf.last,
        )
        for stored in list_items(session)
        for shelf in (shelves.get(stored.id, EMPTY),)
    )


def shelf_of(session: Session, item_id: int) -> Shelf:
    """What there is of one item."""
    return _shelves(session, col(MovementRow.item_id) == item_id).get(item_id, EMPTY)


def claim_of(session: Session, item_id: int, project_id: int) -> Claim:
    """What a project needs, has used and has reserved of one item."""
    of_both = (col(MovementRow.item_id) == item_id, col(MovementRow.project_id) == project_id)
    return next((claim for _, _, claim in _claims(session, *of_both)), NO_CLAIM)


def claims_of(session: Session, project_id: int) -> dict[Item, Claim]:
    """What the project needs, has used and has reserved, item by item."""
    claims = {item_id: claim for item_id, _, claim in _claims(session, col(MovementRow.project_id) == project_id)}
    rows = session.exec(select(ItemRow).where(col(ItemRow.id).in_(claims)))
    found = {item_of(row): claims[number_of(row)] for row in rows}
    return {item: found[item] for item in sorted(found, key=lambda item: item.order)}


# Both sums are read from one index alone; grouping in the database leaves few rows to fetch.


def _shelves(session: Session, *among: ColumnElement[bool]) -> dict[int, Shelf]:
    about_the_shelf = case((col(MovementRow.kind).not_in(_OF_CLAIMS), col(MovementRow.id)), else_=0)
    sums = session.exec(
        select(MovementRow.item_id, func.sum(MovementRow.on_hand), func.max(about_the_shelf))
        .where(*among)
        .group_by(col(MovementRow.item_id))
    )
    return {item_id: Shelf(on_hand, last) for item_id, on_hand, last in sums}


def _claims(
    session: Session, *among: ColumnElement[bool], running: bool = False
) -> Iterator[tuple[int, int, Claim]]:
    """Items and projects by number, with the claim of the one on the other; ``running``: where one is needed."""
    needed = func.sum(MovementRow.needed)
    sums = (
        select(  # type: ignore[call-overload]
            MovementRow.item_id,
            MovementRow.project_id,
            needed,
            func.sum(MovementRow.on_hand),
            func.sum(MovementRow.reserved),
        )
        .where(col(MovementRow.project_id).is_not(None), *among)
        .group_by(col(MovementRow.item_id), col(MovementRow.project_id))
    )
    for item_id, project_id, need, on_hand, reserved in session.execute(
        sums.having(needed > 0) if running else sums
    ):
        yield item_id, project_id, Claim(need, -on_hand, reserved)
