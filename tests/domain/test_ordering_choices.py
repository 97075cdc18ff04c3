"""Why so many, and what would be cheaper: worked by hand."""

from __future__ import annotations

from fractions import Fraction
from typing import Any

from domain.lengths import Length
from domain.ordering.items import GLUE, Item
from domain.ordering.needs import Need
from domain.ordering.packs import plan_order
from domain.ordering.replacing import Replacement, next_cheaper
from domain.ordering.request import OrderRequest, read_order_request
from domain.ordering.why import suppliers_weighed, why_each
from tests.domain.test_ordering_packs import document, needs, pack

KEY16, KEY22, KEY38, KEY60 = (Item.key("14", length) for length in (16, 22, 38, 60))
LENGTHS = [Length.from_mm(length) for length in (16, 22, 38, 60)]


def asked(**more: Any) -> OrderRequest:
    return read_order_request(document(**more))


def cheaper(item: Item, **more: Any) -> Replacement | None:
    request = asked(**more)
    return next_cheaper(request, plan_order(request), item, LENGTHS)


def of(item: Item, size: int, price: int, supplier: str = "North") -> Any:
    return pack(size, price, supplier, item.name)


def test_a_long_key_is_replaced_by_the_stack_that_is_as_long() -> None:
    # 40 of 60: a fifty at 20.00. 38 + 22 is as long: 8.00 + 6.00; 38 + 16 are 8.00 + 7.00
    packs = [of(KEY60, 50, 2000), of(KEY38, 50, 800), of(KEY22, 50, 600), of(KEY16, 50, 700)]
    found = cheaper(KEY60, needs=needs(40, KEY60.name), packs=packs)
    assert found == Replacement(KEY60, (KEY38, KEY22), 1400, 600, Length(0))


def test_the_hold_that_is_lost_is_told() -> None:
    # 22 + 16 + 16 = 54 is nine tenths of 60; 22s and 16s are there already but for these
    packs = [of(KEY60, 50, 2000), of(KEY22, 50, 600), of(KEY16, 100, 700)]
    found = cheaper(KEY60, needs=needs(40, KEY60.name), packs=packs)
    assert found == Replacement(KEY60, (KEY22, KEY16, KEY16), 1300, 700, Length.from_mm(6))


def test_nothing_is_offered_that_saves_nothing() -> None:
    packs = [of(KEY60, 50, 2000), of(KEY38, 50, 1200), of(KEY22, 50, 800)]
    assert cheaper(KEY60, needs=needs(40, KEY60.name), packs=packs) is None


def test_only_keys_that_are_short_and_sold_are_replaced() -> None:
    packs = [of(KEY38, 50, 1), of(KEY22, 50, 1)]
    assert cheaper(KEY60, needs=needs(40, KEY60.name), packs=packs) is None
    assert cheaper(KEY60, needs=needs(0, KEY60.name), packs=[*packs, of(KEY60, 50, 2000)]) is None
    assert cheaper(GLUE, needs=needs(5, "glue"), packs=[of(GLUE, 250, 480)]) is None


def test_why_an_item_is_bought_as_often_as_it_is() -> None:
    packs = [of(KEY16, 50, 700), of(KEY16, 100, 1290)]
    request = asked(
        needs=needs(100, KEY16.name), packs=packs, on_hand={KEY16.name: 10}, minimum_stock={KEY16.name: 50}
    )
    (why,) = why_each(request, plan_order(request), {KEY16.name: Need(70, 4, 6)}, {KEY16.name: 20})
    assert (why.need.total, why.reserved, why.minimum_stock, why.on_hand, why.on_order) == (80, 20, 50, 10, 0)
    # 80 + 20 + 50 − 10 = 140: a hundred and a fifty, 19.90; two hundreds would be 25.80
    assert (why.short, why.bought, why.left_over, why.fills) == (140, 150, 10, False)
    assert [(each.pack.size, each.per_hundred, each.bought) for each in why.offers] == [
        (100, Fraction(1290), 1),
        (50, Fraction(1400), 1),
    ]


def test_an_item_bought_to_reach_a_minimum_says_so() -> None:
    packs = [of(KEY16, 100, 900), of(KEY22, 10, 100)]
    suppliers = [{"name": "North", "minimum_order": 1000}]
    request = asked(needs=needs(80, KEY16.name), packs=packs, suppliers=suppliers)
    reckoned = why_each(request, plan_order(request), {}, {})
    assert [(why.item, why.need.used, why.fills) for why in reckoned] == [
        (KEY16.name, 80, False),
        (KEY22.name, 0, True),
    ]


def test_what_a_supplier_is_worth() -> None:
    # North has both for 9.00 + 10.00 + 2.00; without it South has one of them only
    packs = [of(KEY16, 100, 900), of(KEY16, 100, 950, "South"), of(KEY22, 100, 1000)]
    suppliers = [{"name": "North", "shipping": 200, "minimum_order": 500}]
    both = needs(50, KEY16.name) + needs(50, KEY22.name)
    request = asked(needs=both, packs=packs, suppliers=suppliers)
    (north,) = suppliers_weighed(request, plan_order(request))
    assert (north.supplier, north.goods, north.shipping, north.minimum_order) == ("North", 1900, 200, 500)
    assert north.without is None
    one = asked(needs=needs(50, KEY16.name), packs=packs)
    (north,) = suppliers_weighed(one, plan_order(one))
    assert north.without == 950
