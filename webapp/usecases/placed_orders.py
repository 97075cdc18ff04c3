"""Orders placed exactly as they were shown: the book of them, cancelled, and asked at today's prices."""

from __future__ import annotations

import hashlib
import json
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date

from sqlmodel import Session

from domain.lengths import Units
from domain.problems import BadInput, Problem
from domain.reading import read
from webapp.store import Store
from webapp.store.engine import today
from webapp.store.errors import PlanMoved
from webapp.store.orders import (
    OrderLine,
    PlacedOrder,
    cancel_order,
    count_orders,
    list_orders,
    list_running_orders,
    load_order,
    place_order,
)
from webapp.store.rows import LARGEST_NUMBER
from webapp.store.shop import load_shop
from webapp.store.stages import StagedProject, staged_projects
from webapp.store.stock_edition import StockEdition, stock_edition
from webapp.store.stock_values import OrderDraft
from webapp.store.suppliers import StoredOffer, find_offer, load_supplier
from webapp.store.tokens import Sending
from webapp.usecases.booking import Numbers, book_once
from webapp.wording.problems import InputProblem


def place(store: Store, sent: Sending, seen: StockEdition, drafts: Sequence[OrderDraft]) -> Numbers:
    """Place one order for each draft, once for each form sent; the orders' numbers.

    ``seen`` is the edition that the drafts were worked out in. Raises PlanMoved where anything they
    rest on has changed since, NotFound, or BadInput where there is nothing to order.
    """
    if not drafts:
        raise BadInput([Problem.of(("orders",), "nothing", InputProblem.NOTHING_TO_ORDER)])

    def act(session: Session) -> list[int]:
        if stock_edition(session) != seen:
            raise PlanMoved
        return [place_order(session, draft) for draft in drafts]

    return book_once(store, sent, act)


def cancel(store: Store, sent: Sending, order: int) -> None:
    """What has not come by now never will. Raises NotFound, or AlreadyEnded."""

    def act(session: Session) -> tuple[int]:
        cancel_order(session, order)
        return (order,)

    book_once(store, sent, act)


@dataclass(frozen=True, slots=True)
class OrderSheet:
    """An order on a day, the shop's name and units, and the projects that stand, by number."""

    day: date
    order: PlacedOrder
    shop: str
    units: Units
    projects: Mapping[int, StagedProject]


def order_sheet(store: Store, number: int) -> OrderSheet:
    """One order. Raises NotFound."""
    with store.reading() as session:
        shop = load_shop(session)
        order = load_order(session, number)
        return OrderSheet(today(session), order, shop.name, shop.units, staged_projects(session))


PAGE = 100
"""Orders that are read on one page of the book."""


@dataclass(frozen=True, slots=True)
class OrderBook:
    """A page of the book on a day, of ``count`` orders in all; ``older`` pages on, None on the last page."""

    day: date
    orders: tuple[PlacedOrder, ...]
    count: int
    older: int | None


def order_book(store: Store, before: int | None = None) -> OrderBook:
    """The newest orders and all that something is still to come of; or those ``before`` a number that are over.

    Late ones come first, the longest first; then what is still to come; then the rest.
    """
    with store.reading() as session:
        day, count = today(session), count_orders(session)
        running = {order.number: order for order in list_running_orders(session)}
        # one more than is shown tells whether there are older ones
        found = list_orders(session, before=LARGEST_NUMBER if before is None else before, most=PAGE + 1)
    page = {order.number: order for order in found[:PAGE]}
    if before is None:
        page |= running
    else:
        page = {number: order for number, order in page.items() if number not in running}
    orders = tuple(sorted(page.values(), key=lambda order: _urgency(order, day)))
    return OrderBook(day, orders, count, found[PAGE - 1].number if len(found) > PAGE else None)


def _urgency(order: PlacedOrder, day: date) -> tuple[int, date, int]:
    late = order.late(day)
    if late:
        return 0, min(line.due for line in late), -order.number
    open_lines = any(line.to_come for line in order.lines)
    return (1 if open_lines else 2), day, -order.number


@dataclass(frozen=True, slots=True)
class RepeatedLine:
    """A line of the earlier order and today's price of one pack; None, with the reason, where it cannot be had."""

    line: OrderLine
    pack_price: int | None
    why_not: str = ""

    @property
    def sum(self) -> int:
        """What its packs cost today."""
        return self.line.packs * (self.pack_price or 0)


@dataclass(frozen=True, slots=True)
class Repeated:
    """The order as it was, its lines today, and the order that placing it makes; None where nothing is left.

    ``least`` is the supplier's minimum order.
    """

    order: PlacedOrder
    edition: StockEdition
    lines: tuple[RepeatedLine, ...]
    least: int
    draft: OrderDraft | None

    @property
    def goods(self) -> int:
        """What can be had, at today's prices."""
        return sum(line.sum for line in self.lines)

    @property
    def total(self) -> int:
        """With shipping, where there is anything to ship."""
        return self.goods + (self.draft.shipping if self.draft else 0)

    @property
    def fingerprint(self) -> str:
        """The same text for the same order."""
        if self.draft is None:
            return ""
        lines = [
            [line.item.name, line.size, line.packs, line.pack_price, line.article, line.lead_days]
            for line in self.draft.lines
        ]
        whole = [self.draft.model_dump(exclude={"lines"}), lines]
        return hashlib.sha256(json.dumps(whole, sort_keys=True).encode()).hexdigest()


def repeated(store: Store, number: int) -> Repeated:
    """The order of that number, as it would be placed today. Raises NotFound."""
    with store.reading() as session:
        edition, day, order = stock_edition(session), today(session), load_order(session, number)
        terms = load_supplier(session, order.supplier_id).terms
        standing = staged_projects(session)
        found = [(line, find_offer(session, line.item, order.supplier_id, line.size, day)) for line in order.lines]
    lines = tuple(_line(line, offer, order.currency) for line, offer in found)
    wanted = [
        {
            "item": line.item,
            "size": line.size,
            "packs": line.packs,
            "pack_price": again.pack_price,
            "article": offer.terms.article,
            "lead_days": offer.terms.lead_days,
        }
        for (line, offer), again in zip(found, lines, strict=True)
        if offer is not None and again.pack_price is not None
    ]
    draft = None
    if wanted:
        draft = read(
            OrderDraft,
            {
                "supplier_id": order.supplier_id,
                "currency": order.currency,
                "shipping": terms.shipping if terms.currency == order.currency else order.shipping,
                "lines": wanted,
                "projects": tuple(project for project in order.projects if project in standing),
                "note": order.note,
            },
        )
    return Repeated(order, edition, lines, terms.minimum_order, draft)


def _line(line: OrderLine, offer: StoredOffer | None, currency: str) -> RepeatedLine:
    if offer is None or offer.withdrawn:
        return RepeatedLine(line, None, "is offered no longer")
    if offer.price is None:
        return RepeatedLine(line, None, "has no price today")
    if offer.price.currency != currency:
        return RepeatedLine(line, None, f"is priced in {offer.price.currency} today")
    return RepeatedLine(line, offer.price.minor)
