"""What a project's keys, plugs, glue and wood cost: today, on the day it was last wanted, in whole packs."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import date
from fractions import Fraction

from domain.ordering.costs import Costs, UnitPrice, costs, unit_prices
from domain.ordering.item_plan import ItemPlan, order_request
from domain.ordering.items import GLUE, Item
from domain.ordering.needs import project_needs
from domain.ordering.order import Order
from domain.ordering.packs import plan_order
from domain.takeoff.counting import count
from domain.takeoff.takeoff import Totals
from webapp.store import Store
from webapp.store.engine import today
from webapp.store.stages import ProjectDay, last_day
from webapp.usecases.days_offers import days_offers_in
from webapp.usecases.ordering import job_of
from webapp.usecases.projects import PlannedProject, Prices, plan_soon
from webapp.usecases.wood_needs import wood_needs

SHARED = "Tests and spares"
"""The part of a project's cost that is no assembly's own; glue is rounded up to whole grams in it."""

WOOD = "Wood"
"""The part of a project's cost that is its wood: bars and sheets are cut for all assemblies together."""


@dataclass(frozen=True, slots=True)
class Change:
    """What one piece of an item cost on an earlier day, and what it costs today."""

    item: str
    quantity: Fraction
    then: UnitPrice
    now: UnitPrice


@dataclass(frozen=True, slots=True)
class Repeat:
    """The project at the prices of an earlier day and of today, for the items that had a price on both.

    ``then`` and ``now`` are sums in minor units; ``left_out`` names the items without a price on both days.
    """

    when: ProjectDay
    then: int
    now: int
    changes: tuple[Change, ...]
    left_out: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class ProjectCosts:
    """A project's costs on ``day``. ``repeat`` is None before it first went ahead or was issued.

    ``woodless`` are woods of the parts list of which nothing is kept or offered, in a shop that keeps some.
    """

    project: PlannedProject
    day: date
    currency: str
    costs: Costs
    units: Mapping[str, str]
    repeat: Repeat | None
    whole_packs: Order
    woodless: tuple[str, ...]


def project_costs(store: Store, project_id: int) -> ProjectCosts:
    """What the project costs. Raises NotFound, Unreadable or TakesLong."""
    project = plan_soon(store, project_id)
    currency = project.bench.prices.currency
    with store.reading() as session:
        day, when = today(session), last_day(session, project_id)
        now = days_offers_in(session, day, currency)
        # what was offered then may have been withdrawn since
        then = None if when is None else days_offers_in(session, when.day, currency, withdrawn=True)
    needed = wood_needs(store, (project,), bare_shelf=True)
    wood = needed.items
    parts = _parts(project, wood)
    items = {item for quantities in parts.values() for item in quantities}
    named = {part: {item.name: number for item, number in wanted.items()} for part, wanted in parts.items()}
    keys = {item: need.total for item, need in project_needs(job_of(project)).items()}
    bare_shelf = [ItemPlan(item, used=count) for item, count in {**keys, **wood}.items()]
    of_one = prices_of_one(items, project.bench.prices)
    repeat = None
    if when is not None and then is not None:
        repeat = _repeat(when, named, unit_prices(then.packs, {}), unit_prices(now.packs, {}))
    return ProjectCosts(
        project=project,
        day=day,
        currency=currency,
        costs=costs(named, unit_prices(now.packs, of_one)),
        units={item.name: item.unit for item in items},
        repeat=repeat,
        whole_packs=plan_order(order_request(bare_shelf, now.packs, now.terms, currency)),
        woodless=needed.unmet,
    )


def _parts(project: PlannedProject, wood: Mapping[Item, int]) -> dict[str, dict[Item, Fraction]]:
    """What each assembly uses, what the project needs beyond, and the wood that all are cut from."""
    used = {
        f"{each.stored.spec.mark} · {each.takeoff.expansion.name}": _used(count([each.takeoff], project.rules))
        for each in project.assemblies
        if each.takeoff is not None
    }
    beyond = {item: Fraction(need.total) for item, need in project_needs(job_of(project)).items()}
    for quantities in used.values():
        for item, number in quantities.items():
            # the sum of an assembly's grams may stand a rounding error above the project's
            beyond[item] = max(Fraction(0), beyond.get(item, Fraction(0)) - number)
    of_wood = {WOOD: {item: Fraction(count) for item, count in wood.items()}} if wood else {}
    return {**used, SHARED: {item: number for item, number in beyond.items() if number}, **of_wood}


def _used(totals: Totals) -> dict[Item, Fraction]:
    keys = {Item.key(key.section, key.length): Fraction(key.used) for key in totals.keys}
    plugs = {Item.plug(plug.material, plug.section, plug.height): Fraction(plug.used) for plug in totals.plugs}
    glue = {GLUE: Fraction(totals.glue_grams)} if totals.glue_grams else {}
    return keys | plugs | glue


def prices_of_one(items: Iterable[Item], prices: Prices) -> dict[str, int]:
    """The catalogue's prices of one, by the item's name, where it has them."""
    known: dict[str, int] = {}
    for item in items:
        if item.size is None or item.is_wood:
            continue
        price = (
            prices.plugs.get((item.material, item.size.mm))
            if item.material
            else prices.keys.get((item.section, item.size.mm))
        )
        if price is not None:
            known[item.name] = price
    return known


def _in_all(parts: Mapping[str, Mapping[str, Fraction]]) -> dict[str, Fraction]:
    total: defaultdict[str, Fraction] = defaultdict(Fraction)
    for quantities in parts.values():
        for item, number in quantities.items():
            total[item] += number
    return dict(total)


def _repeat(
    when: ProjectDay,
    parts: Mapping[str, Mapping[str, Fraction]],
    then: Mapping[str, UnitPrice],
    now: Mapping[str, UnitPrice],
) -> Repeat:
    whole = _in_all(parts)
    both = {item: number for item, number in whole.items() if item in then and item in now}
    return Repeat(
        when=when,
        then=costs({"": both}, then).total,
        now=costs({"": both}, now).total,
        changes=tuple(Change(item, number, then[item], now[item]) for item, number in both.items()),
        left_out=tuple(item for item in whole if item not in both),
    )
