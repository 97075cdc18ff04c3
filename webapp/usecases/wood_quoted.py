"""Wood as a quote has it: what the shop sells as items, and the rest under the name of the parts list."""

from __future__ import annotations

from collections.abc import Iterable

from domain.quoting.materials import Material
from domain.quoting.of_file import of_own_stock, without_stock
from webapp.usecases.wood_needs import PlannedWood


def not_of_the_shop(woods: Iterable[PlannedWood]) -> tuple[Material, ...]:
    """Every wood, or what is left over of it, that is no item of the shop."""
    return tuple(found for wood in woods if (found := _not_of_the_shop(wood)) is not None)


def _not_of_the_shop(wood: PlannedWood) -> Material | None:
    group, missing = wood.line.group, wood.wanted.missing
    if wood.own:
        return of_own_stock(group, 0 if wood.plan is None else wood.plan.used, wood.cost, missing)
    return without_stock(group.item, missing) if missing else None
