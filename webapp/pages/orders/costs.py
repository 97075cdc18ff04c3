"""What a project's consumables cost: by assembly, repeated today, bought in whole packs."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date
from fractions import Fraction

from fastapi import APIRouter, Request
from fastapi.responses import HTMLResponse

from domain.lengths import Units
from domain.ordering.costs import CostLine, UnitPrice
from domain.ordering.order import Order
from webapp.site import urls
from webapp.site.incoming import RowId
from webapp.site.rendering import render
from webapp.store.projects import ProjectHead
from webapp.usecases.costs import WOOD, ProjectCosts, Repeat, project_costs
from webapp.wording.amounts import amount
from webapp.wording.money import format_money
from webapp.wording.unit_price import each_text, source_text

router = APIRouter(include_in_schema=False)


@dataclass(frozen=True, slots=True)
class LineRow:
    """An item of a part; ``each`` and ``cost`` are "" where no price is known."""

    item: str
    quantity: str
    each: str
    source: str
    cost: str


@dataclass(frozen=True, slots=True)
class PartRow:
    """A part with its lines."""

    name: str
    cost: str
    lines: tuple[LineRow, ...]


@dataclass(frozen=True, slots=True)
class ChangeRow:
    """An item's price of one, then and today."""

    item: str
    quantity: str
    then: str
    now: str
    direction: str


@dataclass(frozen=True, slots=True)
class CostsPage:
    """A project's costs by part; ``of_one`` where a price is of one piece and not a share of a pack.

    ``repeat`` compares with the day it was first made, ``packs`` is what whole packs come to.
    """

    head: ProjectHead
    day: date
    currency: str
    total: int
    parts: tuple[PartRow, ...]
    unpriced: tuple[str, ...]
    of_one: bool
    clashes: tuple[str, ...]
    repeat: Repeat | None
    changes: tuple[ChangeRow, ...]
    packs: Order
    has_wood: bool
    units_of: Mapping[str, str]


@router.get(urls.costs)
def show(request: Request, project_id: RowId) -> HTMLResponse:
    """The costs page."""
    found = project_costs(request.app.state.store, project_id)
    return render(
        request,
        "orders/costs.html",
        CostsPage(
            head=found.project.head,
            day=found.day,
            currency=found.currency,
            total=found.costs.total,
            parts=tuple(
                PartRow(
                    part.name,
                    format_money(part.cost, found.currency),
                    tuple(_line(line, found) for line in part.lines),
                )
                for part in found.costs.parts
                if part.lines
            ),
            unpriced=(*found.costs.unpriced, *found.woodless),
            of_one=any(line.price and not line.price.pack for part in found.costs.parts for line in part.lines),
            clashes=tuple(each.stored.spec.mark for each in found.project.assemblies if each.takeoff is None),
            repeat=found.repeat,
            changes=_changes(found.repeat, found) if found.repeat else (),
            packs=found.whole_packs,
            has_wood=any(part.name == WOOD for part in found.costs.parts),
            units_of=found.units,
        ),
        units=found.project.head.units,
    )


def _line(line: CostLine, costs: ProjectCosts) -> LineRow:
    quantity = _quantity(line.quantity, costs.units[line.item], costs.project.head.units)
    if line.price is None:
        return LineRow(line.item, quantity, "", "", "")
    unit, units = costs.units[line.item], costs.project.head.units
    return LineRow(
        line.item,
        quantity,
        each_text(line.price, costs.currency, unit, units),
        source_text(line.price, costs.currency, unit, units),
        format_money(line.cost, costs.currency),
    )


def _changes(repeat: Repeat, costs: ProjectCosts) -> tuple[ChangeRow, ...]:
    units = costs.project.head.units
    return tuple(
        ChangeRow(
            change.item,
            _quantity(change.quantity, costs.units[change.item], units),
            each_text(change.then, costs.currency, costs.units[change.item], units),
            each_text(change.now, costs.currency, costs.units[change.item], units),
            _direction(change.then, change.now),
        )
        for change in repeat.changes
    )


def _direction(then: UnitPrice, now: UnitPrice) -> str:
    if then.each == now.each:
        return "same"
    return "dearer" if now.each > then.each else "cheaper"


def _quantity(quantity: Fraction, unit: str, units: Units) -> str:
    """Pieces whole, grams to a tenth, wood as its amounts are said."""
    if unit not in {"pcs", "g"}:
        return amount(round(quantity), unit, units)
    number = str(quantity) if quantity.denominator == 1 else f"{float(quantity):.1f}"
    return f"{number}\xa0{unit}"
