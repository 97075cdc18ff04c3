"""What a project file takes, by itself: without a store nothing is on offer but what the caller lends."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from fractions import Fraction

from domain.cut_list.listing import Group, cut_list
from domain.cut_list.of_file import CURRENCY, asked_of_project, job_of_file
from domain.cut_list.part import Sort as WoodSort
from domain.cutting.plan import BarPlan, SheetPlan
from domain.cutting.request import is_priced
from domain.machine.set_ups import Source
from domain.machine.work_time import WorkTime, work_time
from domain.ordering.costs import UnitPrice
from domain.ordering.items import Item
from domain.ordering.needs import Job, project_needs
from domain.quoting.materials import Material, PricedBy, Sort, materials_of
from domain.quoting.reckoning import Basis, Minutes
from domain.quoting.rounding import exact
from domain.spec.project import Project
from domain.spec.rules import Rules
from domain.takeoff.takeoff import Takeoff

NO_TICKS = "a project file has no ticks"


@dataclass(frozen=True, slots=True)
class Wood:
    """The wood of a project: ``materials`` that are nobody's items, and items that are bought, with how many."""

    materials: tuple[Material, ...]
    items: Mapping[Item, int] = field(default_factory=dict)


def basis_of_file(
    project: Project,
    takeoff: Takeoff,
    rules: Rules | None = None,
    prices: Mapping[str, UnitPrice] | None = None,
    currency: str | None = None,
    wood: Wood | None = None,
) -> Basis:
    """What the project takes. ``rules``, ``prices`` by item and ``currency`` are lent to one without its own.

    Wood costs what the stock that the project names costs by its cutting plan; of other wood no price is known,
    but for what whoever lends has found of ``wood`` already.
    Raises BadInput for more pieces than are planned in one go.
    """
    used = project.rules or rules or Rules()
    needs = project_needs(Job(project.name, takeoff.assemblies, used))
    woods = Wood(_wood(project, takeoff, used)) if wood is None else wood
    bought = materials_of({**{item: need.total for item, need in needs.items()}, **woods.items}, prices or {})
    return Basis(
        currency=project.currency or currency or CURRENCY,
        materials=(*woods.materials, *bought),
        minutes=planned_minutes(work_time(Source("1", takeoff, used)), NO_TICKS),
        assemblies=len(project.assemblies),
        not_made=sum(joint.joint.quantity for joint in takeoff.refused),
    )


def planned_minutes(time: WorkTime, why: str) -> Minutes:
    """The planned minutes, of which nothing was ticked, and ``why``."""
    return Minutes(exact(time.set_up), exact(time.milling), exact(time.driving), None, why)


def of_own_stock(group: Group, used: int, cost: int | None, missing: int) -> Material:
    """A wood cut from stock of the project's own; without a price, or with pieces left over, it has no cost."""
    if cost is None or missing:
        return without_stock(group.item, group.pieces)
    return Material(group.item, Sort.WOOD, Fraction(used), "pcs", cost, PricedBy.OWN_STOCK)


def without_stock(item: str, pieces: int) -> Material:
    """So many pieces of a wood of which nothing is kept or offered."""
    return Material(item, Sort.WOOD, Fraction(pieces), "pcs")


def _wood(project: Project, takeoff: Takeoff, rules: Rules) -> tuple[Material, ...]:
    """The parts list, wood by wood."""
    # the solver is loaded where there is something to plan
    from domain.cutting.document import plan_cutting

    asked = asked_of_project(project, takeoff, rules).request
    bars = tuple(item for item in asked.bars if item.stock)
    sheets = tuple(item for item in asked.sheets if item.stock)
    plans: dict[tuple[WoodSort, str], tuple[BarPlan | SheetPlan, bool]] = {}
    if bars or sheets:
        cutting = plan_cutting(asked.model_copy(update={"bars": bars, "sheets": sheets}))
        for bar, plan in zip(bars, cutting.bars, strict=True):
            plans[WoodSort.BAR, bar.item] = plan, is_priced(bar.stock)
        for sheet, laid in zip(sheets, cutting.sheets, strict=True):
            plans[WoodSort.SHEET, sheet.item] = laid, is_priced(sheet.stock)
    groups = cut_list([job_of_file(project, takeoff, rules)]).groups
    return tuple(_of_plan(group, *plans.get((group.sort, group.item), (None, False))) for group in groups)


def _of_plan(group: Group, plan: BarPlan | SheetPlan | None, priced: bool) -> Material:
    if plan is None:
        return without_stock(group.item, group.pieces)
    return of_own_stock(group, plan.used, plan.cost if priced else None, sum(each.count for each in plan.unplaced))
