"""What wood projects take of the stockroom and of what is for sale: by their cutting plan, else as boards."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field
from typing import TYPE_CHECKING

from domain.cut_list.listing import CutList, Group, cut_list
from domain.cut_list.of_file import job_of_file
from domain.cut_list.part import Sort
from domain.cut_list.stocked import ShopStock, stocked
from domain.cut_list.timber import TimberLine, timber_lines
from domain.cut_list.wanted import BoughtAs, Wanted, wanted, whole_needs
from domain.cutting.plan import BarPlan, SheetPlan
from domain.cutting.request import CuttingRequest, Stock, is_priced
from domain.ordering.items import Item
from domain.spec.project import Project
from domain.spec.rules import Rules
from domain.spec.wood import WoodsToCut
from domain.takeoff.takeoff import Takeoff
from webapp.store import Store
from webapp.store.items import has_wood, list_items
from webapp.store.projects import load_project
from webapp.usecases.cutting_plans import plan_now, plan_soon
from webapp.usecases.parts_list import parts_list
from webapp.usecases.projects import PlannedProject
from webapp.usecases.wood_stock import wood_stock_in

if TYPE_CHECKING:
    from domain.cutting.document import Cutting

Plans = Mapping[tuple[Sort, str], BarPlan | SheetPlan]


@dataclass(frozen=True, slots=True)
class PlannedWood:
    """A wood of the projects: what it takes of the stockroom or the yard, and how it is cut.

    ``plan`` is None where there is nothing to cut it from. ``own`` is true where it is cut from stock that a
    project names itself, which is no item of the shop: ``cost`` is what that costs, None where it has no price.
    """

    wanted: Wanted
    plan: BarPlan | SheetPlan | None
    own: bool
    cost: int | None

    @property
    def line(self) -> TimberLine:
        """The wood, measured."""
        return self.wanted.line


@dataclass(frozen=True, slots=True)
class WoodNeeds:
    """The wood of projects together, wood by wood, and what they take of each item in all."""

    woods: tuple[PlannedWood, ...] = ()
    items: Mapping[Item, int] = field(default_factory=dict)

    @property
    def unmet(self) -> tuple[str, ...]:
        """Woods of which nothing, or not enough, is kept or offered, as the parts list calls them."""
        return tuple(wood.line.group.item for wood in self.woods if wood.wanted.missing and not wood.own)


def wood_needs(store: Store, projects: Sequence[PlannedProject], *, bare_shelf: bool = False) -> WoodNeeds:
    """The wood that these projects take together; none, at once, for a shop that keeps no wood.

    ``bare_shelf``: as if nothing were on hand of what can be bought. Raises BadInput for more pieces than are
    planned in one go, TakesLong where their cutting plan is to be found first.
    """
    with store.reading() as session:
        if not projects or not has_wood(session):
            return WoodNeeds()
    return planned_wood(store, projects, bare_shelf=bare_shelf)


def planned_wood(store: Store, projects: Sequence[PlannedProject], *, bare_shelf: bool = False) -> WoodNeeds:
    """The same, also for a shop that keeps none."""
    with store.reading() as session:
        own = [load_project(session, project.head.id).project.stock for project in projects]
    numbers = frozenset(project.head.id for project in projects)
    wastes = [project.rules.waste for project in projects]
    return _planned_wood(store, parts_list(projects), own, wastes, numbers, bare_shelf, plan_soon)


def wood_of_document(store: Store, project: Project, takeoff: Takeoff, rules: Rules) -> WoodNeeds:
    """The wood of a project that is not stored, from its own stock or what the shop sells, however long it takes.

    ``rules`` are those of a project without its own. Raises BadInput for more pieces than are planned in one go.
    """
    listed, used = cut_list([job_of_file(project, takeoff, rules)]), project.rules or rules
    return _planned_wood(store, listed, [project.stock], [used.waste], frozenset(), True, plan_now)


def _planned_wood(
    store: Store,
    listed: CutList,
    own: Sequence[WoodsToCut | None],
    wastes: Sequence[float],
    numbers: frozenset[int],
    bare_shelf: bool,
    plan: Callable[[CuttingRequest], Cutting],
) -> WoodNeeds:
    with store.reading() as session:
        kept = tuple(stored.item for stored in list_items(session) if stored.item.is_wood)
        shop = wood_stock_in(session, [group.item for group in listed.groups], numbers)
    stock = shop.items
    asked = stocked(listed, own, shop.currency, ShopStock(shop.bars, shop.sheets))
    request, items = _from_bare_shelf(asked.request, stock, asked.shops) if bare_shelf else (asked.request, stock)
    stocks = {
        **{(Sort.BAR, item.item): item.stock for item in request.bars},
        **{(Sort.SHEET, item.item): item.stock for item in request.sheets},
    }
    plans = _plans(request, plan)
    lines = timber_lines(listed, wastes)
    woods = tuple(
        _planned(line, plans.get(key), stocks.get(key, ()), items, kept, own=line.group.item not in asked.shops)
        for line in lines
        for key in (_key(line.group),)
    )
    return WoodNeeds(woods, whole_needs(wood.wanted for wood in woods))


def _planned(
    line: TimberLine,
    plan: BarPlan | SheetPlan | None,
    stock: Sequence[Stock],
    items: Mapping[str, tuple[Item, ...]],
    kept: Sequence[Item],
    *,
    own: bool,
) -> PlannedWood:
    if own:
        missing = 0 if plan is None else sum(each.count for each in plan.unplaced)
        cost = plan.cost if plan is not None and is_priced(stock) else None
        return PlannedWood(Wanted(line, BoughtAs.NOTHING, {}, missing), plan, own, cost)
    return PlannedWood(wanted(line, plan, items.get(line.group.item, ()), kept), plan, own, None)


def _plans(request: CuttingRequest, plan: Callable[[CuttingRequest], Cutting]) -> Plans:
    stocked = request.model_copy(
        update={
            "bars": tuple(item for item in request.bars if item.stock),
            "sheets": tuple(item for item in request.sheets if item.stock),
        }
    )
    cutting = plan(stocked)
    return {
        **{(Sort.BAR, each.item): each for each in cutting.bars},
        **{(Sort.SHEET, each.item): each for each in cutting.sheets},
    }


def _key(group: Group) -> tuple[Sort, str]:
    return group.sort, group.item


def _from_bare_shelf(
    request: CuttingRequest, items: Mapping[str, tuple[Item, ...]], shops: frozenset[str]
) -> tuple[CuttingRequest, Mapping[str, tuple[Item, ...]]]:
    """The request without what is on hand, where the same wood can be bought; the items of its stock likewise."""
    kept = dict(items)

    def bought(name: str, stock: Sequence[Stock]) -> tuple[Stock, ...]:
        if name not in shops or not is_priced(stock):
            return tuple(stock)
        pairs = [pair for pair in zip(stock, items[name], strict=True) if pair[0].price is not None]
        kept[name] = tuple(item for _, item in pairs)
        return tuple(each for each, _ in pairs)

    bars = [item.model_copy(update={"stock": bought(item.item, item.stock)}) for item in request.bars]
    sheets = [item.model_copy(update={"stock": bought(item.item, item.stock)}) for item in request.sheets]
    return request.model_copy(update={"bars": tuple(bars), "sheets": tuple(sheets)}), kept
