"""What an order would come to in other ways: a supplier less, a key's length as a stack of others."""

from __future__ import annotations

from dataclasses import dataclass

from domain.lengths import Length
from domain.ordering.items import Item, ItemKind
from domain.ordering.replacing import Replacement, next_cheaper
from domain.ordering.why import SupplierWeighed, suppliers_weighed
from webapp.store import Store
from webapp.store.catalogue import list_sections
from webapp.usecases.ordering import OrderPlan

MOST_TRIED = 12
"""Keys for which stacks are tried: those that cost most."""


@dataclass(frozen=True, slots=True)
class OtherWays:
    """Suppliers weighed, replacements that are cheaper, and the keys that were not tried for one."""

    suppliers: tuple[SupplierWeighed, ...]
    replacements: tuple[Replacement, ...]
    tried: int
    not_tried: tuple[Item, ...]


def other_ways(store: Store, plan: OrderPlan) -> OtherWays:
    """Other ways for the plan, with the lengths that the shop's catalogue has."""
    with store.reading() as session:
        lengths: dict[str, tuple[Length, ...]] = {
            each.section.name: tuple(each.section.lengths) for each in list_sections(session)
        }
    spent: dict[str, int] = {}
    for line in plan.order.lines:
        spent[line.item] = spent.get(line.item, 0) + line.price
    keys = sorted(
        (each.item for each in plan.items if each.item.kind is ItemKind.KEY and each.item.name in spent),
        key=lambda item: -spent[item.name],
    )
    found = (
        next_cheaper(plan.request, plan.order, item, lengths.get(item.section, ())) for item in keys[:MOST_TRIED]
    )
    return OtherWays(
        suppliers=suppliers_weighed(plan.request, plan.order),
        replacements=tuple(each for each in found if each is not None),
        tried=len(keys[:MOST_TRIED]),
        not_tried=tuple(keys[MOST_TRIED:]),
    )
