"""An earlier order once more: the same packs, at the prices that count today."""

from __future__ import annotations

import hashlib
import json
from dataclasses import dataclass

from domain.reading import read
from webapp.store import Store
from webapp.store.engine import today
from webapp.store.orders import OrderLine, PlacedOrder, load_order
from webapp.store.stages import staged_projects
from webapp.store.stock_edition import StockEdition, stock_edition
from webapp.store.stock_values import OrderDraft
from webapp.store.suppliers import StoredOffer, find_offer, load_supplier


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
