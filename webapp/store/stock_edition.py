"""What an ordering plan rests on, as a few figures: where they are the same, nothing has changed."""

from __future__ import annotations

from dataclasses import dataclass

from sqlalchemy import func
from sqlmodel import Session, col, select

from webapp.store.stock_tables import (
    ItemRow,
    MovementRow,
    OfferPriceRow,
    OfferRow,
    OrderEndRow,
    PlacedOrderRow,
    SupplierRow,
)
from webapp.store.tables import ProjectRow, ShopRow


@dataclass(frozen=True, slots=True)
class StockEdition:
    """The newest of everything that is only added to, and the versions of everything that is edited."""

    movement: int
    price: int
    order: int
    cancelled: int
    items: int
    suppliers: int
    offers: int
    projects: tuple[int, int, int]
    shop: tuple[int, int]


def stock_edition(session: Session) -> StockEdition:
    """The edition now. Prices that begin on a later day are not seen coming: the day is the caller's."""
    shop = session.exec(select(ShopRow.version, ShopRow.edition)).one()
    return StockEdition(
        movement=_whole(session, func.max(MovementRow.id)),
        price=_whole(session, func.max(OfferPriceRow.id)),
        order=_whole(session, func.max(PlacedOrderRow.number)),
        cancelled=_whole(session, func.count(col(OrderEndRow.order_id))),
        items=_whole(session, func.sum(ItemRow.version)),
        suppliers=_whole(session, func.sum(SupplierRow.version)),
        offers=_whole(session, func.sum(OfferRow.version)),
        projects=(
            _whole(session, func.max(ProjectRow.id)),
            _whole(session, func.count(col(ProjectRow.id))),
            _whole(session, func.sum(ProjectRow.version)),
        ),
        shop=(shop[0], shop[1]),
    )


def _whole(session: Session, figure: object) -> int:
    return session.exec(select(figure)).one() or 0  # type: ignore[call-overload]
