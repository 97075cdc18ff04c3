"""What an order would come to in other ways: a supplier less, a key's length as a stack of others."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from domain.lengths import Length
from domain.ordering.items import Item, ItemKind
from domain.ordering.packs import plan_order
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
        spent[line.pack.item] = spent.get(line.pack.item, 0) + line.line_price
    keys = sorted(
        (each.item for each in plan.items if each.item.kind is ItemKind.KEY and each.item.name in spent),
        key=lambda item: -spent[item.name],
    )
    found = [_cheaper(plan, item, lengths.get(item.section, ())) for item in keys[:MOST_TRIED]]
    return OtherWays(
        suppliers=suppliers_weighed(plan.request, plan.order),
        replacements=tuple(each for each in found if each is not None),
        tried=len(keys[:MOST_TRIED]),
        not_tried=tuple(keys[MOST_TRIED:]),
    )


def _cheaper(plan: OrderPlan, item: Item, lengths: Sequence[Length]) -> Replacement | None:
    """The cheapest stack in the item's place, of lengths that the plan itself may have no need of."""
    stack = {Item.key(item.section, length).name for length in lengths}
    wanted = {pack.item for pack in plan.request.packs}
    packs = tuple(pack for pack in plan.offers.packs if pack.item in wanted | stack)
    terms = tuple(plan.offers.terms[name] for name in sorted({pack.supplier for pack in packs}))
    request = plan.request.model_copy(update={"packs": packs, "suppliers": terms})
    # more packs to fill a minimum order up with may make the order as it is cheaper: that is no stack's doing
    return next_cheaper(request, plan_order(request), item, lengths)
