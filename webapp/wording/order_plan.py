"""An ordering plan in words: what goes to each supplier, and why so many of each item."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction

from domain.lengths import Units
from domain.ordering.item_plan import ItemPlan
from domain.ordering.needs import Need
from domain.ordering.order import Order
from domain.ordering.request import OrderRequest
from domain.ordering.why import Why, why_each
from webapp.wording.amounts import amount, bare_amount, priced_by
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
class Term:
    """A figure of a sum with its sign and its word: "24 used", "− 10 on hand"."""

    sign: str
    figure: str
    words: str


@dataclass(frozen=True, slots=True)
class WhyRow:
    """An item with the figures that make it short, what is bought, and every offer weighed.

    ``terms`` add up to ``short``; ``fills`` is true where it is bought only to reach a minimum order; ``unmet``
    says why it cannot be bought. A figure that is nothing is "".
    """

    item: str
    terms: tuple[Term, ...]
    short: str
    bought: str
    left_over: str
    fills: bool
    offers: tuple[OfferRow, ...]
    unmet: str

    @property
    def sum(self) -> str:
        """The terms and what they come to: "24 used − 10 on hand = 14 pcs short"."""
        terms = " ".join(f"{term.sign} {term.figure} {term.words}".lstrip() for term in self.terms)
        return f"{terms} {f'= {self.short} short' if self.short else '→ nothing short'}"

    @property
    def end(self) -> str:
        """What is bought of it and what will be left over, or that it is not to be had."""
        if not self.bought:
            return "not to be had" if self.unmet else ""
        fills = ", to reach a minimum order" if self.fills else ""
        return f"{self.bought} bought, {self.left_over} left over{fills}"


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
    left_over: str
    chosen: int


FOR_STOCK = "For the stockroom"


def woodless_text(items: Sequence[str]) -> str:
    """The woods that nothing is kept or offered of; "" for none."""
    return f"No wood is kept or offered for {', '.join(items)}: not in this order." if items else ""


def clash_text(project: str, marks: Sequence[str]) -> str:
    """The assemblies of a project that are not counted."""
    not_counted = "it is" if len(marks) == 1 else "they are"
    return f"{project}: the sizes of {', '.join(marks)} clash, so {not_counted} not counted."


def why_rows(
    items: Sequence[ItemPlan], request: OrderRequest, order: Order, currency: str, units: Units
) -> tuple[WhyRow, ...]:
    """One for each item, those that are short first; wood in the shop's ``units``."""
    unmet = {each.item: each.why for each in order.unmet}
    needs = {each.item.name: Need(each.used, each.tests, each.spare) for each in items}
    reserved = {each.item.name: each.reserved for each in items}
    whys: Mapping[str, Why] = {each.item: each for each in why_each(request, order, needs, reserved)}
    rows = [
        # an item that was all used already is not asked for
        _why(each, whys.get(each.item.name), unmet.get(each.item.name, ""), currency, units)
        for each in items
    ]
    return tuple(sorted(rows, key=lambda row: not row.short))


def _why(item: ItemPlan, why: Why | None, unmet: str, currency: str, units: Units) -> WhyRow:
    unit = item.item.unit
    return WhyRow(
        item=item.item.name,
        terms=tuple(_terms(item, units)),
        short=amount(item.short, unit, units) if item.short else "",
        bought=amount(why.bought, unit, units) if why and why.bought else "",
        left_over=bare_amount(why.left_over if why else 0, unit, units),
        fills=why is not None and why.fills,
        offers=tuple(_offers(item, why, currency, units)) if why else (),
        unmet=unmet,
    )


def _terms(item: ItemPlan, units: Units) -> Iterator[Term]:
    saved = f" ({item.saved} saved by sharing tests)" if item.saved else ""
    first = True
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
            sign = "−" if figure < 0 else "" if first else "+"
            yield Term(sign, bare_amount(abs(figure), item.item.unit, units), words)
            first = False


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
            left_over=bare_amount(packs * pack.size - item.short, item.item.unit, units),
            chosen=offer.bought,
        )
