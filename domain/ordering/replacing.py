"""The next cheaper choice: one key length replaced by a stack of the section's other stock lengths.

A stack is never longer than the key that it replaces, so no slot gets deeper; the hold falls by what it
is shorter. Common practice (no source): a stack that gives up more than a tenth of the length is not
offered, and two to four keys are as many as one drives into a slot.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import combinations_with_replacement

from domain.lengths import Length
from domain.ordering.items import Item, ItemKind
from domain.ordering.order import Order
from domain.ordering.packs import plan_order
from domain.ordering.request import NeedLine, OrderRequest

LEAST_SHARE = 0.9
MOST_KEYS = 4
MOST_TRIED = 12
"""Stacks tried for an item: those that lose least hold, then of fewest keys."""


@dataclass(frozen=True, slots=True)
class Replacement:
    """A stack in place of an item, longest key first; ``total`` is the whole order's, ``saving`` what it saves.

    ``shorter_by`` is what the stack is shorter than the key: the hold falls by as much.
    """

    item: Item
    stack: tuple[Item, ...]
    total: int
    saving: int
    shorter_by: Length


def next_cheaper(request: OrderRequest, order: Order, item: Item, lengths: Sequence[Length]) -> Replacement | None:
    """The cheapest replacement of a key that lowers the order's total, or None.

    ``order`` is the request's; ``lengths`` are the stock lengths of the key's section. What the item is
    short of is moved over to the stack's keys; what is on hand or on order of it stays where it is.
    Of equal totals the stack that loses least hold counts.
    """
    short = {each.item: each.short for each in order.items}.get(item.name, 0)
    unmet = {each.item for each in order.unmet}
    if item.kind is not ItemKind.KEY or not short or item.name in unmet:
        return None
    best: Replacement | None = None
    for stack, shorter_by in list(_stacks(item, lengths))[:MOST_TRIED]:
        planned = plan_order(_moved_over(request, item.name, short, stack))
        if {each.item for each in planned.unmet} <= unmet and planned.total < (best or order).total:
            best = Replacement(item, stack, planned.total, order.total - planned.total, shorter_by)
    return best


def _stacks(item: Item, lengths: Sequence[Length]) -> Iterator[tuple[tuple[Item, ...], Length]]:
    """Stacks with what they are shorter by: those that lose least, then those of fewest keys."""
    assert item.size is not None
    size = item.size.nm
    others = sorted({length.nm for length in lengths} - {size}, reverse=True)
    fitting = []
    for number in range(2, MOST_KEYS + 1):
        for stack in combinations_with_replacement(others, number):
            if LEAST_SHARE * size <= sum(stack) <= size:
                fitting.append((size - sum(stack), number, stack))
    for loss, _, stack in sorted(fitting):
        yield tuple(Item.key(item.section, Length(nm)) for nm in stack), Length(loss)


def _moved_over(request: OrderRequest, name: str, short: int, stack: tuple[Item, ...]) -> OrderRequest:
    """The request with the item no longer short, and its stack needed as often as it was."""
    covered = dict(request.on_order)
    covered[name] = covered.get(name, 0) + short
    more = tuple(NeedLine(item=item.name, count=number * short) for item, number in Counter(stack).items())
    return request.model_copy(update={"needs": (*request.needs, *more), "on_order": covered})
