"""Why so many of an item: from what projects need to what must be bought, and the request that it makes."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

from domain.ordering.items import Item
from domain.ordering.request import (
    MOST_SUPPLIERS,
    NeedLine,
    OrderRequest,
    Pack,
    Supplier,
    check_order_request,
    short_of,
)
from domain.problems import BadInput
from domain.reading import read


@dataclass(frozen=True, slots=True)
class ItemPlan:
    """Why so many of an item, in its own units.

    ``saved`` are test keys that shared set-ups make needless, ``taken`` what was booked used for these
    projects already, ``reserved`` what is reserved for others.
    """

    item: Item
    used: int = 0
    tests: int = 0
    saved: int = 0
    spare: int = 0
    taken: int = 0
    minimum: int = 0
    reserved: int = 0
    on_hand: int = 0
    on_order: int = 0

    @property
    def need(self) -> int:
        """What the chosen projects still need."""
        return max(0, self.used + self.tests + self.spare - self.taken)

    @property
    def short(self) -> int:
        """What must be bought; what others have reserved is a need like any other."""
        return short_of(self.need + self.reserved, self.minimum, self.on_hand, self.on_order)


def order_request(
    items: Sequence[ItemPlan], packs: Iterable[Pack], terms: Mapping[str, Supplier], currency: str
) -> OrderRequest:
    """The request for these items, of what is on offer; ``terms`` are the suppliers' by name.

    Of more suppliers than can be weighed, those with the most packs of these items are. Raises BadInput.
    """
    wanted = {each.item.name for each in items}
    offered = [pack for pack in packs if pack.item in wanted]
    sold = Counter(pack.supplier for pack in offered)
    weighed = sorted(sold, key=lambda name: (-sold[name], name))[:MOST_SUPPLIERS]
    request = read(
        OrderRequest,
        {
            "currency": currency,
            "needs": tuple(
                NeedLine(item=each.item.name, count=number)
                for each in items
                for number in (each.need, each.reserved)
                if number
            ),
            "on_hand": {each.item.name: each.on_hand for each in items if each.on_hand},
            "on_order": {each.item.name: each.on_order for each in items if each.on_order},
            "minimum_stock": {each.item.name: each.minimum for each in items if each.minimum},
            "packs": tuple(pack for pack in offered if pack.supplier in weighed),
            "suppliers": tuple(terms[name] for name in sorted(weighed)),
        },
    )
    problems = tuple(check_order_request(request))
    if problems:
        raise BadInput(problems)
    return request
