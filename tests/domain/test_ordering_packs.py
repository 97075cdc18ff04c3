"""The cheapest order, worked by hand, and what must hold of every order."""

from __future__ import annotations

from collections import Counter
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from domain.ordering.order import Order, order_document
from domain.ordering.packs import plan_order
from domain.ordering.request import OrderRequest, read_order_request
from domain.problems import BadInput, path_text

KEY = "key 14 × 16"
Json = dict[str, Any]


def document(**more: Any) -> Json:
    return {
        "format": "dovetally-order-request",
        "version": 1,
        "currency": "EUR",
        "needs": [{"item": KEY, "count": 137}],
        "packs": [pack(100, 1290)],
    } | more


def pack(size: int, price: int, supplier: str = "North", item: str = KEY) -> Json:
    return {"item": item, "supplier": supplier, "size": size, "price": price}


def ordered(**more: Any) -> Order:
    return plan_order(read_order_request(document(**more)))


def lines(order: Order) -> list[tuple[str, int, int, int]]:
    """supplier, size, packs, price."""
    return [(line.pack.supplier, line.pack.size, line.packs, line.line_price) for line in order.lines]


def needs(count: int, item: str = KEY) -> list[Json]:
    return [{"item": item, "count": count}]


def test_the_contracts_example() -> None:
    # 137 + 50 − 20 = 167 short: two hundreds, 33 left over; 25.80 reaches 25.00; 6.90 for shipping
    order = ordered(
        on_hand={KEY: 20},
        minimum_stock={KEY: 50},
        suppliers=[{"name": "North", "shipping": 690, "minimum_order": 2500}],
    )
    assert order_document(order) == {
        "format": "dovetally-order",
        "version": 1,
        "proven": True,
        "total": 3270,
        "shipping": 690,
        "lines": [{"item": KEY, "supplier": "North", "size": 100, "packs": 2, "price": 2580}],
        "items": [{"item": KEY, "short": 167, "bought": 200, "left_over": 33}],
        "unmet": [],
    }


def test_an_article_number_goes_through() -> None:
    order = ordered(packs=[pack(100, 1290) | {"article": "N-16"}])
    assert order_document(order)["lines"][0]["article"] == "N-16"


@pytest.mark.parametrize(
    ("short", "packs", "expected"),
    [
        # one of 250 at 25.00 is less than three of 100 at 9.00
        (201, [pack(100, 900), pack(250, 2500)], [("North", 250, 1, 2500)]),
        # equal cost: one pack rather than two
        (200, [pack(100, 1000), pack(200, 2000)], [("North", 200, 1, 2000)]),
        # equal cost and packs: the one that leaves least over
        (90, [pack(100, 1000), pack(120, 1000)], [("North", 100, 1, 1000)]),
        # 3 × 7 = 21 at 15; 2 × 7 + 6 = 20 at 14
        (20, [pack(7, 5), pack(6, 4)], [("North", 6, 1, 4), ("North", 7, 2, 10)]),
        (0, [pack(100, 900)], []),
        # a million pieces: 999 × 1001 + 2 × 500 is 999,999; so a thousandth 1001
        (1_000_000, [pack(1001, 1000), pack(500, 501)], [("North", 500, 1, 501), ("North", 1001, 999, 999_000)]),
    ],
)
def test_packs_of_one_item(short: int, packs: list[Json], expected: list[tuple[str, int, int, int]]) -> None:
    order = ordered(needs=needs(short), packs=packs)
    assert lines(order) == expected
    assert order.total == sum(line.line_price for line in order.lines)


def test_two_small_orders_cost_two_shippings() -> None:
    # South has the second item for 1.00 less, but asks 2.00 for shipping
    other = "key 14 × 22"
    packs = [pack(100, 900), pack(100, 1000, item=other), pack(100, 900, "South", other)]
    suppliers = [{"name": "North", "shipping": 200}, {"name": "South", "shipping": 200}]
    both = needs(50) + needs(50, other)
    order = ordered(needs=both, packs=packs, suppliers=suppliers)
    assert (order.total, order.shipping, {line.pack.supplier for line in order.lines}) == (2100, 200, {"North"})
    # at 0.50 it is worth it
    suppliers[1]["shipping"] = 50
    order = ordered(needs=both, packs=packs, suppliers=suppliers)
    assert (order.total, order.shipping) == (2050, 250)


@pytest.mark.parametrize(
    ("minimum", "expected"),
    [
        (900, [("North", 100, 1, 900)]),
        # the hundred at 9.00 would need another pack; two fifties reach it
        (1000, [("North", 50, 2, 1000)]),
        # a hundred and a fifty are 14.00, with another fifty 19.00; two hundreds 18.00
        (1700, [("North", 100, 2, 1800)]),
        # South's hundred at 19.00 is now the cheapest
        (2000, [("South", 100, 1, 1900)]),
    ],
)
def test_more_is_bought_to_reach_a_minimum_order(minimum: int, expected: list[tuple[str, int, int, int]]) -> None:
    order = ordered(
        needs=needs(80),
        packs=[pack(100, 900), pack(50, 500), pack(100, 1900, "South")],
        suppliers=[{"name": "North", "minimum_order": minimum}],
    )
    assert lines(order) == expected


def test_shipping_does_not_count_towards_the_minimum_order() -> None:
    order = ordered(needs=needs(80), suppliers=[{"name": "North", "shipping": 500, "minimum_order": 1500}])
    assert (lines(order), order.total) == ([("North", 100, 2, 2580)], 3080)


def test_an_item_that_is_not_short_may_fill_the_order() -> None:
    # 9.00 + 1.00 = 10.00; a second hundred would make it 18.00
    other = "plug walnut 14 × 3"
    order = ordered(
        needs=needs(80),
        packs=[pack(100, 900), pack(5, 100, item=other)],
        suppliers=[{"name": "North", "minimum_order": 1000}],
    )
    assert order.total == 1000
    assert [(item.item, item.short, item.bought, item.left_over) for item in order.items] == [
        (KEY, 80, 100, 20),
        (other, 0, 5, 5),
    ]


def test_what_is_covered_stands_in_the_order_with_nothing_bought() -> None:
    order = ordered(on_hand={KEY: 100}, on_order={KEY: 37})
    assert [(item.short, item.bought) for item in order.items] == [(0, 0)]
    assert (order.lines, order.total) == ((), 0)


def test_an_item_with_a_minimum_stock_counts_without_a_need() -> None:
    order = ordered(needs=[], minimum_stock={KEY: 30}, on_hand={KEY: 10})
    assert [(item.short, item.bought) for item in order.items] == [(20, 100)]


def name_of(supplier: Any) -> str:
    return str(supplier["name"])


def test_lines_of_one_item_are_added_up() -> None:
    order = ordered(needs=needs(60) + needs(60))
    assert [(item.short, item.bought) for item in order.items] == [(120, 200)]


def test_what_nobody_sells_does_not_stop_the_rest() -> None:
    order = ordered(
        needs=needs(10) + needs(3, "brass screw") + needs(5, "sample"),
        packs=[pack(100, 1290), pack(1, 0, "East", "sample")],
        suppliers=[{"name": "East", "minimum_order": 100}],
    )
    assert [(unmet.item, unmet.why) for unmet in order.unmet] == [
        ("brass screw", "no pack of it is offered"),
        (
            "sample",
            "it is offered only by East, whose minimum order cannot be reached with packs that cost nothing",
        ),
    ]
    assert [(item.item, item.bought, item.left_over) for item in order.items] == [
        ("brass screw", 0, 0),
        (KEY, 100, 90),
        ("sample", 0, 0),
    ]


# what must hold of every order

ITEMS = ["glue", KEY, "key 14 × 22", "plug ash 7 × 3"]
SELLERS = ["East", "North", "South"]
PACKS = st.builds(
    pack,
    st.integers(1, 60),
    st.integers(0, 900),
    st.sampled_from(SELLERS),
    st.sampled_from(ITEMS),
)
COUNTS = st.dictionaries(st.sampled_from(ITEMS), st.integers(0, 90), max_size=3)
REQUESTS = st.fixed_dictionaries(
    {
        "needs": st.lists(
            st.fixed_dictionaries({"item": st.sampled_from(ITEMS), "count": st.integers(0, 200)}), max_size=4
        ),
        "packs": st.lists(PACKS, max_size=8),
        "on_hand": COUNTS,
        "on_order": COUNTS,
        "minimum_stock": COUNTS,
        "suppliers": st.lists(
            st.fixed_dictionaries(
                {
                    "name": st.sampled_from(SELLERS),
                    "shipping": st.integers(0, 500),
                    "minimum_order": st.integers(0, 2000),
                }
            ),
            unique_by=name_of,
        ),
    }
)


@given(REQUESTS)
@settings(max_examples=150, deadline=None)
def test_an_order_adds_up_and_is_never_short(given_request: Json) -> None:
    request = read_order_request(document(**given_request))
    order = plan_order(request)
    terms = {supplier.name: supplier for supplier in request.suppliers}
    unmet = {each.item for each in order.unmet}
    bought: Counter[str] = Counter()
    goods: Counter[str] = Counter()
    for line in order.lines:
        bought[line.pack.item] += line.packs * line.pack.size
        goods[line.pack.supplier] += line.line_price
    for item in order.items:
        assert item.bought == bought[item.item]
        assert item.short == request.shorts().get(item.item, 0)
        assert item.item in unmet or item.bought >= item.short
    assert set(request.shorts()) <= {item.item for item in order.items}
    assert all(worth >= terms[name].minimum_order for name, worth in goods.items() if name in terms)
    assert order.shipping == sum(terms[name].shipping for name in goods if name in terms)
    assert order.total == sum(goods.values()) + order.shipping


@given(REQUESTS, st.randoms(use_true_random=False))
@settings(max_examples=80, deadline=None)
def test_the_order_of_the_lists_does_not_matter(given_request: Json, chance: Any) -> None:
    shuffled = {}
    for field, value in given_request.items():
        entries = list(value.items()) if isinstance(value, dict) else list(value)
        chance.shuffle(entries)
        shuffled[field] = dict(entries) if isinstance(value, dict) else entries
    assert ordered(**shuffled) == ordered(**given_request)


@given(REQUESTS, st.sampled_from(ITEMS), st.integers(1, 100))
@settings(max_examples=80, deadline=None)
def test_more_on_hand_never_costs_more(given_request: Json, item: str, more: int) -> None:
    on_hand = dict(given_request["on_hand"])
    on_hand[item] = on_hand.get(item, 0) + more
    assert ordered(**given_request | {"on_hand": on_hand}).total <= ordered(**given_request).total


@given(REQUESTS, PACKS)
@settings(max_examples=80, deadline=None)
def test_one_offer_more_never_costs_more_where_all_is_sold(given_request: Json, offer: Json) -> None:
    before = ordered(**given_request)
    if before.unmet:
        return
    assert ordered(**given_request | {"packs": [*given_request["packs"], offer]}).total <= before.total


# what is refused


def refused(**more: Any) -> dict[str, str]:
    with pytest.raises(BadInput) as refusal:
        read_order_request(document(**more))
    return {path_text(problem.path): problem.text() for problem in refusal.value.problems}


@pytest.mark.parametrize(
    ("change", "path", "allowed"),
    [
        ({"format": "dovetally-order"}, "format", 'must be "dovetally-order-request"'),
        ({"version": 2}, "version", "must be 1"),
        ({"curency": "EUR"}, "curency", "is not a field here; check the spelling"),
        ({"currency": "Euro"}, "currency", "must match ^[A-Z]{3}$"),
        ({"needs": needs(-1)}, "needs[0].count", "must be 0 or more"),
        ({"needs": needs(10**9)}, "needs[0].count", "must be 100000000 or less"),
        ({"needs": needs(1, " ")}, "needs[0].item", "must not be empty"),
        ({"needs": [{"item": KEY, "count": 1.5}]}, "needs[0].count", "must be a whole number"),
        ({"needs": [{"item": KEY, "count": True}]}, "needs[0].count", "must be a whole number"),
        ({"on_hand": {KEY: -3}}, f"on_hand.{KEY}", "must be 0 or more"),
        (
            {"on_hand": {KEY: 1, f" {KEY}": 2}},
            f"on_hand.{KEY}",
            "this item stands there twice; keep one",
        ),
        ({"packs": [pack(0, 10)]}, "packs[0].size", "must be 1 or more"),
        ({"packs": [pack(1, -10)]}, "packs[0].price", "must be 0 or more"),
        ({"packs": [pack(1, 1)] * 101}, "packs", "has 101 packs; offer at most 100 of one item"),
        (
            {"suppliers": [{"name": "North"}, {"name": "North"}]},
            "suppliers[1].name",
            "is used already by suppliers[0]; use another",
        ),
    ],
)
def test_what_is_wrong_is_named(change: Json, path: str, allowed: str) -> None:
    assert refused(**change) == {path: allowed}


@pytest.mark.parametrize("given_document", [None, 3, [], "text"])
def test_what_is_no_object_is_refused(given_document: object) -> None:
    with pytest.raises(BadInput):
        read_order_request(given_document)


def test_a_file_without_its_version_is_refused() -> None:
    bare = {name: value for name, value in document().items() if name != "version"}
    with pytest.raises(BadInput, match="version: 'missing': is needed"):
        read_order_request(bare)


def test_a_pack_that_stands_twice_is_one_that_can_be_bought_from_either_line() -> None:
    order = ordered(needs=needs(150), packs=[pack(100, 1290), pack(100, 1190)])
    assert lines(order) == [("North", 100, 2, 2380)]


def test_a_request_is_a_value() -> None:
    assert read_order_request(document()) == OrderRequest.model_validate(document())
