"""An ordering plan as rows of text: what goes to each supplier, and why so many of each item."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from fractions import Fraction

from domain.lengths import Units
from domain.ordering.item_plan import ItemPlan
from domain.ordering.needs import Need
from domain.ordering.why import Why, why_each
from webapp.store.stock_values import OrderDraft
from webapp.usecases.ordering import OrderPlan
from webapp.wording.amounts import amount, priced_by
from webapp.wording.money import format_money


@dataclass(frozen=True, slots=True)
class SupplierRow:
    """What goes to one supplier; ``minimum`` is the sentence on its minimum order, "" where it has none."""

    name: str
    lines: tuple[LineRow, ...]
    goods: str
    shipping: str
    total: str
    minimum: str


@dataclass(frozen=True, slots=True)
class LineRow:
    """Packs of one size of an item."""

    item: str
    article: str
    packs: int
    size: str
    pieces: str
    price: str
    sum: str


@dataclass(frozen=True, slots=True)
class WhyRow:
    """An item with the figures that make it short, what is bought, and every offer weighed.

    ``terms`` are words and signed figures that add up to ``short``; ``fills`` is true where it is bought only
    to reach a minimum order; ``unmet`` says why it cannot be bought.
    """

    item: str
    unit: str
    short: int
    bought: int
    left_over: int
    terms: tuple[tuple[str, int], ...]
    covered: bool
    fills: bool
    offers: tuple[OfferRow, ...]
    unmet: str


@dataclass(frozen=True, slots=True)
class OfferRow:
    """An offer by itself: packs that would cover what is short, what they cost, what would be left over.

    ``hundred`` is what a hundred pieces or grams of it cost, ``chosen`` how many packs of it the plan buys.
    """

    supplier: str
    size: str
    price: str
    hundred: str
    packs: int
    cost: str
    left_over: int
    chosen: int


def supplier_rows(plan: OrderPlan, units: Units) -> tuple[SupplierRow, ...]:
    """One for each order that placing the plan makes; wood in the shop's ``units``."""
    names = {supplier.id: name for name, supplier in plan.offers.suppliers.items()}
    return tuple(_supplier(draft, names[draft.supplier_id], plan, units) for draft in plan.drafts)


def _supplier(draft: OrderDraft, name: str, plan: OrderPlan, units: Units) -> SupplierRow:
    currency = draft.currency
    goods = sum(line.packs * line.pack_price for line in draft.lines)
    least = plan.offers.suppliers[name].terms.minimum_order
    return SupplierRow(
        name=name,
        lines=tuple(
            LineRow(
                item=line.item.name,
                article=line.article,
                packs=line.packs,
                size=amount(line.size, line.item.unit, units),
                pieces=amount(line.packs * line.size, line.item.unit, units),
                price=format_money(line.pack_price, currency),
                sum=format_money(line.packs * line.pack_price, currency),
            )
            for line in draft.lines
        ),
        goods=format_money(goods, currency),
        shipping=format_money(draft.shipping, currency),
        total=format_money(goods + draft.shipping, currency),
        minimum=f"reaches its minimum order of {format_money(least, currency)}" if least else "",
    )


def why_rows(plan: OrderPlan, units: Units) -> tuple[WhyRow, ...]:
    """One for each item, those that are short first."""
    unmet = {each.item: each.why for each in plan.order.unmet}
    needs = {each.item.name: Need(each.used, each.tests, each.spare) for each in plan.items}
    reserved = {each.item.name: each.reserved for each in plan.items}
    whys = {each.item: each for each in why_each(plan.request, plan.order, needs, reserved)}
    rows = [
        WhyRow(
            item=each.item.name,
            unit=each.item.unit,
            short=each.short,
            bought=why.bought if why else 0,
            left_over=why.left_over if why else 0,
            terms=tuple(_terms(each)),
            covered=each.short == 0,
            fills=why is not None and why.fills,
            offers=tuple(_offers(each, why, plan.offers.currency, units)) if why else (),
            unmet=unmet.get(each.item.name, ""),
        )
        for each in plan.items
        # an item that was all used already is not asked for
        for why in (whys.get(each.item.name),)
    ]
    return tuple(sorted(rows, key=lambda row: row.covered))


def _terms(item: ItemPlan) -> Iterator[tuple[str, int]]:
    saved = f" ({item.saved} saved by sharing tests)" if item.saved else ""
    for words, figure in (
        ("used", item.used),
        (f"{'test' if item.tests == 1 else 'tests'}{saved}", item.tests),
        ("spare", item.spare),
        ("used already", item.need - item.used - item.tests - item.spare),
        ("minimum stock", item.minimum),
        ("reserved for others", item.reserved),
        ("on hand", -item.on_hand),
        ("on order", -item.on_order),
    ):
        if figure:
            yield words, figure


def _hundred(price: Fraction, unit: str, currency: str, units: Units) -> str:
    """What a hundred cost; of boards what a m³ or board foot costs, of strips a m or foot."""
    measured = priced_by(unit, units)
    if measured is None:
        return format_money(round(price), currency)
    whole, count = measured
    return f"{format_money(round(price * count / 100), currency)} a {whole}"


def _offers(item: ItemPlan, why: Why, currency: str, units: Units) -> Iterator[OfferRow]:
    for offer in why.offers:
        pack = offer.pack
        packs = -(-item.short // pack.size)
        yield OfferRow(
            supplier=pack.supplier,
            size=amount(pack.size, item.item.unit, units),
            price=format_money(pack.price, currency),
            hundred=_hundred(offer.per_hundred, item.item.unit, currency, units),
            packs=packs,
            cost=format_money(packs * pack.price, currency),
            left_over=packs * pack.size - item.short,
            chosen=offer.bought,
        )
