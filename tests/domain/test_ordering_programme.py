"""Orders where minimums bind: against every way there is, within its limits, and no sooner than needed."""

from __future__ import annotations

import subprocess
import sys
from itertools import product
from random import Random

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from domain.ordering import covering, packs, programme
from domain.ordering.market import Market
from domain.ordering.order import Doubt, Order
from domain.ordering.packs import plan_order
from domain.ordering.request import NeedLine, OrderRequest, Pack, Supplier

PACK = st.builds(
    Pack,
    item=st.sampled_from(["key", "plug"]),
    supplier=st.sampled_from(["East", "North"]),
    size=st.integers(1, 9),
    price=st.integers(1, 40),
)
REQUEST = st.builds(
    lambda key, plug, offers, east, north: OrderRequest(
        currency="EUR",
        needs=(NeedLine(item="key", count=key), NeedLine(item="plug", count=plug)),
        packs=tuple(offers),
        suppliers=(
            Supplier(name="East", shipping=east[0], minimum_order=east[1]),
            Supplier(name="North", shipping=north[0], minimum_order=north[1]),
        ),
    ),
    st.integers(0, 12),
    st.integers(0, 12),
    st.lists(PACK, min_size=1, max_size=4),
    st.tuples(st.integers(0, 9), st.integers(0, 60)),
    st.tuples(st.integers(0, 9), st.integers(0, 60)),
)


def least(request: OrderRequest) -> tuple[int, int, int]:
    """Cost, packs and left over of the best of all orders, by trying every one in whole numbers."""
    shorts = {
        item: short for item, short in request.shorts().items() if any(p.item == item for p in request.packs)
    }
    terms = {each.name: each for each in request.suppliers}
    most = [
        max(-(-shorts.get(pack.item, 0) // pack.size), -(-terms[pack.supplier].minimum_order // pack.price))
        for pack in request.packs
    ]
    best = None
    for numbers in product(*(range(each + 1) for each in most)):
        taken = [(pack, number) for pack, number in zip(request.packs, numbers, strict=True) if number]
        bought, goods = dict.fromkeys(shorts, 0), dict.fromkeys((pack.supplier for pack, _ in taken), 0)
        for pack, number in taken:
            bought[pack.item] = bought.get(pack.item, 0) + number * pack.size
            goods[pack.supplier] += number * pack.price
        if any(bought[item] < short for item, short in shorts.items()):
            continue
        if any(worth < terms[name].minimum_order for name, worth in goods.items()):
            continue
        cost = sum(goods.values()) + sum(terms[name].shipping for name in goods)
        left = sum(number - shorts.get(item, 0) for item, number in bought.items())
        aims = cost, sum(numbers), left
        best = aims if best is None else min(best, aims)
    assert best is not None
    return best


def ways(request: OrderRequest) -> int:
    minimums = {each.name: each.minimum_order for each in request.suppliers}
    count = 1
    for pack in request.packs:
        count *= 1 + max(12 // pack.size + 1, minimums[pack.supplier] // pack.price + 1)
    return count


def aims(order: Order) -> tuple[int, int, int]:
    return order.total, order.packs, order.left_over


@given(REQUEST.filter(lambda request: ways(request) <= 5_000))
@settings(max_examples=150, deadline=None)
def test_every_other_order_is_worse(request: OrderRequest) -> None:
    order = plan_order(request)
    assert order.proven
    assert aims(order) == least(request)


def tells_packs_apart(request: OrderRequest) -> bool:
    """Of two offers that are alike the order's lines do not say which is which."""
    return len(set(request.packs)) == len(request.packs)


@given(REQUEST.filter(lambda request: ways(request) <= 5_000 and tells_packs_apart(request)))
@settings(max_examples=60, deadline=None)
def test_the_solver_by_itself_finds_it_too(request: OrderRequest) -> None:
    market = Market(request)
    known = market.filled(tuple((demand.choices[0].index, demand.amount) for demand in market.demands))
    numbers, doubt = programme.best_order(market, known)
    weight = market.weigh(numbers)
    assert doubt is None
    assert market.covers(numbers)
    assert weight == Market(request).weigh(packs_of(request))


def packs_of(request: OrderRequest) -> tuple[tuple[int, int], ...]:
    """The packs of the planned order, by the market's numbers."""
    market = Market(request)
    order = plan_order(request)
    left = {line.pack: line.packs for line in order.lines}
    return tuple((index, left.pop(pack)) for index, pack in enumerate(market.packs) if pack in left)


def one_item(short: int, offers: list[tuple[int, int]], minimum: int = 0) -> OrderRequest:
    return OrderRequest(
        currency="EUR",
        needs=(NeedLine(item="key", count=short),),
        packs=tuple(Pack(item="key", supplier="North", size=size, price=price) for size, price in offers),
        suppliers=(Supplier(name="North", shipping=490, minimum_order=minimum),),
    )


NEARLY_EQUAL = [(1009, 10091), (997, 9972), (1003, 10033), (991, 9913)]


@pytest.mark.parametrize(
    "request_",
    [
        one_item(1_000_000, [(7, 71), (11, 111), (13, 131)]),
        one_item(1_234_567, NEARLY_EQUAL),
        one_item(20_011, NEARLY_EQUAL, 400_001),
    ],
    ids=["a million", "nearly equal rates", "a minimum of twice as much"],
)
def test_large_numbers_are_settled(request_: OrderRequest) -> None:
    order = plan_order(request_)
    assert order.proven
    assert order.total - order.shipping >= request_.suppliers[0].minimum_order
    assert order.items[0].bought >= order.items[0].short


def many_alike() -> OrderRequest:
    """A hundred packs of one item at one rate, of even sizes, for an odd number: covers without end."""
    rng = Random("alike")
    sizes = [2 * rng.randint(25_000, 50_000) for _ in range(100)]
    return one_item(7_200_001, [(size, 10 * size) for size in sizes])


def test_covers_without_end_are_given_up_and_an_order_still_comes(monkeypatch: pytest.MonkeyPatch) -> None:
    request = many_alike()
    (demand,) = Market(request).demands
    cover = covering.cheapest_cover(demand.choices, demand.amount)
    assert cover is not None
    assert not cover.proven
    monkeypatch.setattr(programme, "MOST_WORK", (10_000, 10_000, 10_000))
    order = plan_order(request)
    assert order.doubt == Doubt.CHEAPER
    assert order.items[0].bought >= 7_200_001


@pytest.mark.parametrize(
    ("work", "doubt"),
    [((0, 0, 0), Doubt.CHEAPER), ((200_000, 0, 0), Doubt.FEWER_PACKS)],
)
def test_at_the_limit_the_best_known_comes_with_its_doubt(
    work: tuple[int, int, int], doubt: Doubt, monkeypatch: pytest.MonkeyPatch
) -> None:
    rng = Random("hard")
    request = OrderRequest(
        currency="EUR",
        needs=tuple(NeedLine(item=f"key {number}", count=rng.randint(1, 400)) for number in range(6)),
        packs=tuple(
            Pack(item=f"key {number}", supplier=supplier, size=size, price=size * rng.randint(7, 40))
            for number in range(6)
            for supplier, size in (("East", 50), ("North", 20), ("North", 250))
        ),
        suppliers=(
            Supplier(name="East", shipping=490, minimum_order=150_001),
            Supplier(name="North", shipping=690, minimum_order=223_457),
        ),
    )
    whole = plan_order(request)
    monkeypatch.setattr(programme, "MOST_WORK", work)
    order = plan_order(request)
    assert (order.doubt, order.proven) == (doubt, False)
    assert aims(order) >= aims(whole)
    assert all(item.bought >= item.short for item in order.items)


def test_more_branches_than_are_tried_are_left_to_the_solver(monkeypatch: pytest.MonkeyPatch) -> None:
    request = one_item(137, [(100, 1290), (50, 700)], 1_500)
    whole = plan_order(request)
    monkeypatch.setattr(packs, "MOST_COVERS", 0)
    assert plan_order(request) == whole


def test_ordinary_orders_never_load_the_solver() -> None:
    script = (
        "import sys, webapp.app\n"
        "from domain.ordering.packs import plan_order\n"
        "from domain.ordering.request import *\n"
        "plan_order(OrderRequest(currency='EUR', needs=(NeedLine(item='key', count=137),),"
        " packs=(Pack(item='key', supplier='North', size=100, price=1290),)))\n"
        "sys.exit('highspy' in sys.modules)"
    )
    assert subprocess.run([sys.executable, "-c", script], check=False).returncode == 0
