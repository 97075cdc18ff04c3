"""A project as its file has it, to be cut: its parts from the stock that it names itself."""

from __future__ import annotations

from domain.cut_list.listing import Job, cut_list
from domain.cut_list.stocked import Stocked, stocked
from domain.cutting.request import BarItem, CuttingRequest, SheetItem, SheetStock
from domain.spec.project import Project
from domain.spec.rules import Rules
from domain.spec.wood import WoodStock, WoodsToCut, WoodToCut
from domain.takeoff.takeoff import Takeoff

CURRENCY = "EUR"
"""Of a project that names none, as of a cutting request."""


def asked_of_project(project: Project, takeoff: Takeoff, rules: Rules | None = None) -> Stocked:
    """A project's parts with the stock that it names; ``rules`` are those of a project without its own.

    Raises BadInput for more pieces than are planned in one go.
    """
    listed = cut_list([job_of_file(project, takeoff, rules)])
    return stocked(listed, [project.stock], project.currency or CURRENCY)


def job_of_file(project: Project, takeoff: Takeoff, rules: Rules | None = None) -> Job:
    """The project as it was taken off; an assembly that was not has no parts."""
    expansions = {each.expansion.mark: each.expansion for each in takeoff.assemblies}
    return Job(
        project.name,
        tuple((spec, expansions.get(spec.mark)) for spec in project.assemblies),
        project.rules or rules or Rules(),
        tuple((project.parts or {}).items()),
    )


def woods_of(request: CuttingRequest) -> WoodsToCut:
    """What every wood of a request is cut from, as a project says it; one without stock is left out."""
    items: tuple[BarItem | SheetItem, ...] = (*request.bars, *request.sheets)
    return tuple(_wood(item) for item in items if item.stock)


def _wood(item: BarItem | SheetItem) -> WoodToCut:
    nested = isinstance(item, BarItem) and item.nest_width is not None
    return WoodToCut(
        item=item.item,
        kerf=item.kerf,
        trim=item.trim,
        least_offcut=item.least_offcut,
        nested=True if nested else None,
        stock=tuple(
            WoodStock(
                length=each.length,
                width=each.width if isinstance(each, SheetStock) else None,
                price=each.price,
                count=each.count,
            )
            for each in item.stock
        ),
    )
