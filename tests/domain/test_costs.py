"""What consumables cost: exact, rounded once, and parts that add up."""

from __future__ import annotations

from fractions import Fraction
from math import ceil, floor

from hypothesis import given
from hypothesis import strategies as st

from domain.ordering.costs import apportion, costs, unit_prices
from domain.ordering.request import Pack

# put together, not searched for: to search for fractions of such a range takes a busy computer too long
AMOUNT = st.builds(
    lambda whole, over, under: whole + Fraction(over % under, under),
    st.integers(0, 9_999),
    st.integers(0, 996),
    st.integers(1, 997),
)
AMOUNTS = st.lists(AMOUNT, min_size=1, max_size=12)


def pack(item: str, size: int, price: int, supplier: str = "North") -> Pack:
    return Pack(item=item, supplier=supplier, size=size, price=price)


def test_one_piece_costs_what_it_costs_in_the_cheapest_pack() -> None:
    small, large, dear = pack("a", 50, 700), pack("a", 200, 2400), pack("a", 25, 500, "South")
    prices = unit_prices([small, dear, large], {"a": 13, "b": 9})
    assert (prices["a"].each, prices["a"].pack) == (12, large)
    assert (prices["b"].each, prices["b"].pack) == (9, None)


def test_of_equal_prices_the_smaller_pack_then_the_supplier_by_name() -> None:
    packs = [pack("a", 200, 2400), pack("a", 100, 1200, "South"), pack("a", 100, 1200)]
    for order in (packs, packs[::-1]):
        assert unit_prices(order, {})["a"].pack == packs[2]


def test_a_project_by_hand() -> None:
    # 3 packs of 7 for 10.00: 142.857... a piece; A: 4 × = 571.43, B: 4 ×, tests and spares: 3 × = 428.57
    prices = unit_prices([pack("key", 7, 1000)], {"plug": 22})
    found = costs({"A": {"key": 4, "plug": 2}, "B": {"key": 4}, "Tests": {"key": 3}}, prices)
    # 11 × 1000/7 + 44 = 1615.43 -> 1615; floors 615 + 571 + 428 = 1614, and 428.57 has the largest remainder
    assert [part.cost for part in found.parts] == [615, 571, 429]
    assert found.total == 1615
    assert [(line.item, line.cost) for line in found.parts[0].lines] == [("key", 571), ("plug", 44)]


def test_half_a_unit_goes_to_the_even_one() -> None:
    prices = unit_prices([pack("glue", 2, 1)], {})
    assert [costs({"A": {"glue": grams}}, prices).total for grams in (1, 3, 5)] == [0, 2, 2]


def test_what_has_no_price_is_named_and_costs_nothing() -> None:
    found = costs({"A": {"x": 3, "y": 0}, "B": {"x": 1, "z": 2}}, unit_prices([], {"z": 5}))
    assert (found.unpriced, found.priced, found.total) == (("x",), ("z",), 10)


@given(AMOUNTS)
def test_shares_add_up_and_none_is_off_by_a_whole_unit(exact: list[Fraction]) -> None:
    whole = sum(exact, Fraction(0))
    for total in {floor(whole), ceil(whole), round(whole)}:
        shares = apportion(total, exact)
        assert sum(shares) == total
        assert all(floor(amount) <= share <= ceil(amount) for share, amount in zip(shares, exact, strict=True))


@given(st.lists(AMOUNTS, min_size=1, max_size=5), st.integers(1, 997), st.integers(0, 10_000))
def test_lines_parts_and_project_add_up(amounts: list[list[Fraction]], size: int, price: int) -> None:
    parts = {str(n): {f"i{m}": amount for m, amount in enumerate(each)} for n, each in enumerate(amounts)}
    found = costs(parts, unit_prices([pack(f"i{n}", size, price) for n in range(12)], {}))
    exact = sum((line.exact for part in found.parts for line in part.lines), Fraction(0))
    assert found.total == round(exact)
    for part in found.parts:
        for line in part.lines:
            assert abs(line.cost - line.exact) < 1
