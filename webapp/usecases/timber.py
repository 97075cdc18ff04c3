"""Wood to buy for projects: what it measures, in what form it is bought, what it costs by the price list."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction

from domain.cut_list.priced import Bought, PricedWood
from domain.cut_list.timber import MaterialSum, by_material
from domain.lengths import Length
from domain.ordering.costs import UnitPrice, unit_prices
from webapp.store import Store
from webapp.store.engine import today
from webapp.store.shop import load_shop
from webapp.usecases.days_offers import days_offers_in
from webapp.usecases.projects import PlannedProject
from webapp.usecases.wood_needs import PlannedWood, planned_wood


@dataclass(frozen=True, slots=True)
class Timber:
    """The wood of projects. ``total`` is what has a price, in whole minor units of ``currency``, rounded once."""

    lines: tuple[PricedWood, ...]
    sums: tuple[MaterialSum, ...]
    currency: str
    total: int


def timber_of(store: Store, projects: Sequence[PlannedProject], mean_width: Length | None = None) -> Timber:
    """The wood of these projects, bought anew: what is on hand is not taken off. Raises BadInput."""
    woods = planned_wood(store, projects, bare_shelf=True).woods if projects else ()
    with store.reading() as session:
        currency = load_shop(session).currency
        prices = unit_prices(days_offers_in(session, today(session), currency).packs, {})
    lines = tuple(_priced(wood, prices, mean_width) for wood in woods)
    return Timber(
        lines=lines,
        sums=by_material(line.line for line in lines),
        currency=currency,
        total=round(sum((line.price for line in lines if line.price is not None), Fraction(0))),
    )


def _priced(wood: PlannedWood, prices: Mapping[str, UnitPrice], mean_width: Length | None) -> PricedWood:
    items = wood.wanted.items
    unpriced = tuple(item for item in items if item.name not in prices)
    price: Fraction | None = None
    if wood.own:
        price = None if wood.cost is None else Fraction(wood.cost)
    elif items and not unpriced and not wood.wanted.missing:
        price = sum((prices[item.name].each * quantity for item, quantity in items.items()), Fraction(0))
    return PricedWood(
        line=wood.line,
        bought=Bought(wood.wanted, wood.own, 0 if wood.plan is None else wood.plan.used),
        price=price,
        unpriced=unpriced,
        mean_width=mean_width,
    )
