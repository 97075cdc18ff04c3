"""Orders as they were placed: numbered in turn, never changed. What came of them is in the ledger.

How far an order has come is worked out from what was received on its lines, and never stored.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from enum import StrEnum

from sqlalchemy import ColumnElement, func
from sqlmodel import Session, col, select

from domain.ordering.items import Item
from webapp.store.engine import now, today
from webapp.store.errors import AlreadyEnded, NotFound
from webapp.store.items import ensure_item, item_of
from webapp.store.rows import LARGEST_NUMBER, find, number_of
from webapp.store.stock_tables import (
    ItemRow,
    MovementRow,
    OrderEndRow,
    OrderLineRow,
    OrderProjectRow,
    PlacedOrderRow,
    SupplierRow,
)
from webapp.store.stock_values import OrderDraft
from webapp.store.tables import ProjectRow


class OrderStatus(StrEnum):
    """How far an order has come."""

    PLACED = "placed"
    PARTLY_RECEIVED = "partly received"
    RECEIVED = "received"
    CANCELLED = "cancelled"


@dataclass(frozen=True, slots=True)
class OrderLine:
    """Packs of one size. ``packs``, ``received``, ``to_come`` count packs.

    ``to_come`` is 0 once the order is cancelled.
    """

    id: int
    position: int
    item_id: int
    item: Item
    size: int
    packs: int
    pack_price: int
    article: str
    lead_days: int
    due: date
    received: int
    to_come: int

    def late(self, day: date) -> bool:
        """Whether something is still to come on ``day`` and was due before."""
        return self.to_come > 0 and day > self.due


@dataclass(frozen=True, slots=True)
class PlacedOrder:
    """An order to one supplier; ``projects`` names those it was for, by number, as they were called then."""

    number: int
    supplier_id: int
    supplier: str
    currency: str
    shipping: int
    placed_at: datetime
    note: str
    projects: Mapping[int, str]
    lines: tuple[OrderLine, ...]
    cancelled_at: datetime | None

    @property
    def status(self) -> OrderStatus:
        """How far it has come."""
        if self.cancelled_at is not None:
            return OrderStatus.CANCELLED
        if all(line.to_come == 0 for line in self.lines):
            return OrderStatus.RECEIVED
        started = any(line.received for line in self.lines)
        return OrderStatus.PARTLY_RECEIVED if started else OrderStatus.PLACED

    @property
    def goods(self) -> int:
        """What the packs cost."""
        return sum(line.packs * line.pack_price for line in self.lines)

    @property
    def total(self) -> int:
        """What the packs cost, and their shipping."""
        return self.goods + self.shipping

    def line(self, position: int) -> OrderLine:
        """The line at that position, 1 being the first. Raises NotFound."""
        for line in self.lines:
            if line.position == position:
                return line
        raise NotFound(f"line in order {self.number} with the number", position)

    def late(self, day: date) -> tuple[OrderLine, ...]:
        """The lines that are late on ``day``."""
        return tuple(line for line in self.lines if line.late(day))


def place_order(session: Session, draft: OrderDraft) -> int:
    """Keep the order for good, its lines due counted from today; its number, the next in turn.

    Raises NotFound for a supplier or a project that is not there.
    """
    supplier = find(session, SupplierRow, draft.supplier_id)
    names = {project_id: find(session, ProjectRow, project_id).name for project_id in draft.projects}
    day = today(session)
    last = session.exec(select(func.max(PlacedOrderRow.number))).one()
    order = PlacedOrderRow(
        number=(last or 0) + 1,
        supplier_id=draft.supplier_id,
        supplier_name=supplier.name,
        currency=draft.currency,
        shipping_minor=draft.shipping,
        note=draft.note,
        placed_at=now(session),
    )
    session.add(order)
    session.flush()
    order_id = number_of(order)
    session.add_all(
        OrderLineRow(
            order_id=order_id,
            position=position,
            item_id=ensure_item(session, line.item),
            size=line.size,
            packs=line.packs,
            price_minor=line.pack_price,
            article=line.article,
            lead_days=line.lead_days,
            due=day + timedelta(days=line.lead_days),
        )
        for position, line in enumerate(draft.lines, start=1)
    )
    session.add_all(
        OrderProjectRow(order_id=order_id, project_id=project_id, project_name=name)
        for project_id, name in names.items()
    )
    session.flush()
    return order.number


def cancel_order(session: Session, number: int) -> None:
    """What has not come by now never will. Raises NotFound, or AlreadyEnded where nothing is to come."""
    running_order(session, number)
    row = session.exec(select(PlacedOrderRow).where(PlacedOrderRow.number == number)).one()
    session.add(OrderEndRow(order_id=number_of(row), at=now(session)))
    session.flush()


def load_order(session: Session, number: int) -> PlacedOrder:
    """One order. Raises NotFound."""
    if not 0 < number <= LARGEST_NUMBER:
        raise NotFound("order", number)
    found = _orders(session, col(PlacedOrderRow.number) == number)
    if not found:
        raise NotFound("order", number)
    return found[0]


def running_order(session: Session, number: int) -> PlacedOrder:
    """An order of which something is still to come. Raises NotFound or AlreadyEnded."""
    order = load_order(session, number)
    if order.status in (OrderStatus.CANCELLED, OrderStatus.RECEIVED):
        raise AlreadyEnded(number, order.status.value)
    return order


def list_orders(
    session: Session, *, before: int = LARGEST_NUMBER, most: int = LARGEST_NUMBER
) -> tuple[PlacedOrder, ...]:
    """Orders, the newest first: at most so many of those before that number, or every one."""
    number = col(PlacedOrderRow.number)
    page = select(number).where(number < before).order_by(number.desc()).limit(most).subquery()
    return _orders(session, number.in_(select(page.c.number)))


def count_orders(session: Session) -> int:
    """How many orders have ever been placed."""
    return session.exec(select(func.count()).select_from(PlacedOrderRow)).one()


def list_running_orders(session: Session) -> tuple[PlacedOrder, ...]:
    """The orders of which something is still to come, the newest first."""
    running = {line.order_id for line, _ in _open_lines(session)}
    return _orders(session, col(PlacedOrderRow.id).in_(running)) if running else ()


def on_order(session: Session) -> dict[int, int]:
    """What is still to come of each item (by its number), in the item's own units."""
    coming: dict[int, int] = {}
    for line, received in _open_lines(session):
        coming[line.item_id] = coming.get(line.item_id, 0) + line.size * line.packs - received
    return coming


_RECEIVED = (
    select(func.coalesce(func.sum(MovementRow.on_hand), 0))
    .where(MovementRow.order_line_id == OrderLineRow.id)
    .correlate(OrderLineRow)
    .scalar_subquery()
)


def _open_lines(session: Session) -> Iterable[tuple[OrderLineRow, int]]:
    """Lines of which something is still to come, each with how many units have."""
    ended = select(OrderEndRow.order_id).where(OrderEndRow.order_id == OrderLineRow.order_id).exists()
    ordered = OrderLineRow.size * OrderLineRow.packs
    return session.exec(select(OrderLineRow, _RECEIVED).where(~ended, ordered > _RECEIVED)).all()


def _orders(session: Session, *among: ColumnElement[bool]) -> tuple[PlacedOrder, ...]:
    ids = select(PlacedOrderRow.id).where(*among)
    ends = {
        end.order_id: end.at for end in session.exec(select(OrderEndRow).where(col(OrderEndRow.order_id).in_(ids)))
    }
    lines: dict[int, list[OrderLine]] = {}
    for line, item, received in session.exec(
        select(OrderLineRow, ItemRow, _RECEIVED)
        .join(ItemRow, col(ItemRow.id) == OrderLineRow.item_id)
        .where(col(OrderLineRow.order_id).in_(ids))
        .order_by(col(OrderLineRow.position))
    ):
        lines.setdefault(line.order_id, []).append(_line(line, item, received, line.order_id in ends))
    projects: dict[int, dict[int, str]] = {}
    for project in session.exec(
        select(OrderProjectRow)
        .where(col(OrderProjectRow.order_id).in_(ids))
        .order_by(col(OrderProjectRow.project_id))
    ):
        projects.setdefault(project.order_id, {})[project.project_id] = project.project_name
    rows = session.exec(select(PlacedOrderRow).where(*among).order_by(col(PlacedOrderRow.number).desc()))
    return tuple(
        _order(row, projects.get(number_of(row), {}), lines.get(number_of(row), ()), ends.get(number_of(row)))
        for row in rows
    )


def _order(
    row: PlacedOrderRow, projects: Mapping[int, str], lines: Iterable[OrderLine], cancelled_at: datetime | None
) -> PlacedOrder:
    return PlacedOrder(
        number=row.number,
        supplier_id=row.supplier_id,
        supplier=row.supplier_name,
        currency=row.currency,
        shipping=row.shipping_minor,
        placed_at=row.placed_at,
        note=row.note,
        projects=projects,
        lines=tuple(lines),
        cancelled_at=cancelled_at,
    )


def _line(row: OrderLineRow, item: ItemRow, received: int, ended: bool) -> OrderLine:
    packs = received // row.size
    return OrderLine(
        id=number_of(row),
        position=row.position,
        item_id=row.item_id,
        item=item_of(item),
        size=row.size,
        packs=row.packs,
        pack_price=row.price_minor,
        article=row.article,
        lead_days=row.lead_days,
        due=row.due,
        received=packs,
        to_come=0 if ended else row.packs - packs,
    )
