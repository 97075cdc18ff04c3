"""The ledger: every movement of stock is booked once and stays. Balances are its sums.

Reality comes first: on hand never goes below nothing, but what one project has reserved another may
use. A project's claim on an item is always max(0, needed − used), whatever is booked for it.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime

from sqlalchemy import func
from sqlmodel import Session, col, select

from domain.ordering.items import Item
from webapp.store.balances import NO_CLAIM, Claim, claim_of, claims_of, shelf_of
from webapp.store.columns import choice_in
from webapp.store.engine import now
from webapp.store.errors import NotEnough, NotUsed, OverReceived, StaleCount
from webapp.store.items import ensure_item, item_of
from webapp.store.orders import running_order
from webapp.store.rows import LARGEST_NUMBER, number_of
from webapp.store.stock_tables import ItemRow, MovementRow, OrderLineRow, PlacedOrderRow
from webapp.store.stock_values import MovementKind, check_quantity, remark

PAGE = 100


@dataclass(frozen=True, slots=True)
class Movement:
    """An entry of the ledger: by how much it changed what is on hand, reserved and needed.

    ``project_id`` may be that of a project that is gone by now; ``order`` is an order's number.
    """

    number: int
    item: Item
    kind: MovementKind
    on_hand: int
    reserved: int
    needed: int
    project_id: int | None
    order: int | None
    counted: int | None
    note: str
    at: datetime


def receive(session: Session, item: Item, quantity: int, note: str = "") -> int:
    """Book in what came without an order; the movement's number. Raises BadInput."""
    check_quantity(("quantity",), quantity, item=item)
    return _book(session, ensure_item(session, item), MovementKind.RECEIVED, on_hand=quantity, note=note)


def receive_packs(session: Session, order: int, position: int, packs: int, note: str = "") -> int:
    """Book in whole packs of a line of an order; the movement's number.

    Raises NotFound, AlreadyEnded, OverReceived or BadInput.
    """
    check_quantity(("packs",), packs)
    line = running_order(session, order).line(position)
    if packs > line.to_come:
        raise OverReceived(order, line.item.name, line.to_come, packs)
    return _book(
        session,
        line.item_id,
        MovementKind.RECEIVED,
        on_hand=packs * line.size,
        order_line_id=line.id,
        note=note,
    )


def use(session: Session, project_id: int, item: Item, quantity: int, note: str = "") -> int:
    """Book out for a project, and take it off the project's claim; the movement's number.

    Raises NotEnough or BadInput.
    """
    check_quantity(("quantity",), quantity, item=item)
    item_id = ensure_item(session, item)
    shelf = shelf_of(session, item_id)
    if quantity > shelf.on_hand:
        raise NotEnough(item.name, item.unit, shelf.on_hand, quantity)
    claim = claim_of(session, item_id, project_id)
    return _book(
        session,
        item_id,
        MovementKind.USED,
        on_hand=-quantity,
        reserved=_due(claim.needed, claim.used + quantity) - claim.reserved,
        project_id=project_id,
        note=note,
    )


def give_back(session: Session, project_id: int, item: Item, quantity: int, note: str = "") -> int:
    """Book in what a project did not need after all, and claim it anew as far as the project needs it.

    Returns the movement's number. Raises NotUsed or BadInput.
    """
    check_quantity(("quantity",), quantity, item=item)
    item_id = ensure_item(session, item)
    claim = claim_of(session, item_id, project_id)
    if quantity > claim.used:
        raise NotUsed(item.name, item.unit, claim.used, quantity)
    return _book(
        session,
        item_id,
        MovementKind.RETURNED,
        on_hand=quantity,
        reserved=_due(claim.needed, claim.used - quantity) - claim.reserved,
        project_id=project_id,
        note=note,
    )


def count(session: Session, item: Item, counted: int, seen: int, note: str = "") -> int:
    """Book what a count found, by someone who saw the item's balance at movement ``seen``.

    Returns the movement's number, also where the count agrees. Raises StaleCount where the item was
    booked in or out since, or BadInput.
    """
    check_quantity(("counted",), counted, item=item, least=0)
    item_id = ensure_item(session, item)
    shelf = shelf_of(session, item_id)
    if seen != shelf.last:
        raise StaleCount(item.name, item.unit, shelf.on_hand, shelf.last)
    change = counted - shelf.on_hand
    return _book(session, item_id, MovementKind.COUNTED, on_hand=change, counted=counted, note=note)


def adjust(session: Session, item: Item, change: int, note: str) -> int:
    """Book a change with the reason for it; the movement's number. Raises NotEnough or BadInput."""
    check_quantity(("change",), abs(change), item=item)
    item_id = ensure_item(session, item)
    shelf = shelf_of(session, item_id)
    if shelf.on_hand + change < 0:
        raise NotEnough(item.name, item.unit, shelf.on_hand, -change)
    return _book(session, item_id, MovementKind.ADJUSTED, on_hand=change, note=note)


def reserve(session: Session, project_id: int, needs: Mapping[Item, int]) -> tuple[int, ...]:
    """Bring the project's claims to what it needs; what is not in ``needs`` it needs no more.

    Returns the movements' numbers, none where nothing changes. Raises BadInput.
    """
    for item, quantity in needs.items():
        check_quantity((item.name,), quantity, item=item, least=0)
    known = claims_of(session, project_id)
    booked = []
    for item in sorted({*known, *needs}, key=lambda each: each.order):
        claim, needed = known.get(item, NO_CLAIM), needs.get(item, 0)
        if needed != claim.needed:
            booked.append(_claim(session, project_id, item, claim, needed))
    return tuple(booked)


def release(session: Session, project_id: int) -> tuple[int, ...]:
    """Let go of everything the project has reserved; the movements' numbers."""
    return reserve(session, project_id, {})


def list_movements(
    session: Session,
    *,
    item_id: int | None = None,
    project_id: int | None = None,
    before: int | None = None,
    most: int = PAGE,
) -> tuple[Movement, ...]:
    """Movements, the newest first: of an item, of a project, before the movement of that number."""
    query = (
        select(MovementRow, ItemRow, PlacedOrderRow.number)
        .join(ItemRow, col(ItemRow.id) == MovementRow.item_id)
        .join(OrderLineRow, col(OrderLineRow.id) == MovementRow.order_line_id, isouter=True)
        .join(PlacedOrderRow, col(PlacedOrderRow.id) == OrderLineRow.order_id, isouter=True)
    )
    if item_id is not None:
        query = query.where(MovementRow.item_id == min(item_id, LARGEST_NUMBER))
    if project_id is not None:
        query = query.where(MovementRow.project_id == min(project_id, LARGEST_NUMBER))
    if before is not None:
        query = query.where(col(MovementRow.id) < min(before, LARGEST_NUMBER))
    rows = session.exec(query.order_by(col(MovementRow.id).desc()).limit(most))
    return tuple(_movement(row, item, order) for row, item, order in rows)


def _due(needed: int, used: int) -> int:
    return max(0, needed - used)


def _claim(session: Session, project_id: int, item: Item, claim: Claim, needed: int) -> int:
    more = needed > claim.needed
    return _book(
        session,
        ensure_item(session, item),
        MovementKind.RESERVED if more else MovementKind.RELEASED,
        needed=needed - claim.needed,
        reserved=_due(needed, claim.used) - claim.reserved,
        project_id=project_id,
    )


def _book(
    session: Session,
    item_id: int,
    kind: MovementKind,
    *,
    on_hand: int = 0,
    reserved: int = 0,
    needed: int = 0,
    project_id: int | None = None,
    order_line_id: int | None = None,
    counted: int | None = None,
    note: str = "",
) -> int:
    row = MovementRow(
        item_id=item_id,
        kind=kind.value,
        on_hand=on_hand,
        reserved=reserved,
        needed=needed,
        project_id=project_id,
        order_line_id=order_line_id,
        counted=counted,
        note=remark(note),
        at=now(session),
    )
    session.add(row)
    session.flush()
    return number_of(row)


def _movement(row: MovementRow, item: ItemRow, order: int | None) -> Movement:
    return Movement(
        number=number_of(row),
        item=item_of(item),
        kind=choice_in(MovementKind, row.kind),
        on_hand=row.on_hand,
        reserved=row.reserved,
        needed=row.needed,
        project_id=row.project_id,
        order=order,
        counted=row.counted,
        note=row.note,
        at=row.at,
    )


@dataclass(frozen=True, slots=True)
class LedgerPage:
    """Entries of one item, the newest first, each with what was on hand after it.

    ``older`` is what the next page is asked for with: the entries before that movement; None at the end.
    """

    entries: tuple[tuple[Movement, int], ...]
    older: int | None


def item_ledger(session: Session, item_id: int, before: int | None = None) -> LedgerPage:
    """A page of the item's ledger, from the newest entry or from ``before`` that movement."""
    movements = list_movements(session, item_id=item_id, before=before, most=PAGE + 1)
    shown = movements[:PAGE]
    if not shown:
        return LedgerPage((), None)
    after = _on_hand_up_to(session, item_id, shown[0].number)
    entries = []
    for movement in shown:
        entries.append((movement, after))
        after -= movement.on_hand
    return LedgerPage(tuple(entries), shown[-1].number if len(movements) > PAGE else None)


def counts_since(session: Session, moment: datetime) -> dict[int, Movement]:
    """The newest count of each item (by its number) that was counted at ``moment`` or later."""
    rows = session.exec(
        select(MovementRow.item_id, func.max(MovementRow.id))
        .where(MovementRow.kind == MovementKind.COUNTED.value, col(MovementRow.at) >= moment)
        .group_by(col(MovementRow.item_id))
    )
    return {
        item_id: movement
        for item_id, number in rows
        if number is not None
        for movement in list_movements(session, item_id=item_id, before=number + 1, most=1)
    }


def find_movement(session: Session, item_id: int, number: int) -> Movement | None:
    """The item's movement of that number, where it has it."""
    if not 0 < number < LARGEST_NUMBER:
        return None
    found = list_movements(session, item_id=item_id, before=number + 1, most=1)
    return found[0] if found and found[0].number == number else None


def _on_hand_up_to(session: Session, item_id: int, number: int) -> int:
    total = select(func.sum(MovementRow.on_hand)).where(
        MovementRow.item_id == item_id, col(MovementRow.id) <= number
    )
    return session.exec(total).one() or 0
