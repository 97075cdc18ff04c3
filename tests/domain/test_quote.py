"""A quote: worked by hand, against decimal arithmetic, and what it refuses to add up."""

from __future__ import annotations

from decimal import ROUND_HALF_UP, Decimal
from fractions import Fraction
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from domain.ordering.costs import unit_prices
from domain.ordering.items import GLUE, Item
from domain.ordering.request import Pack
from domain.problems import BadInput
from domain.quoting.asked import asked_lines
from domain.quoting.document import quote_document
from domain.quoting.materials import Material, PricedBy, Sort, materials_of, not_taken, with_typed
from domain.quoting.missing import Missing
from domain.quoting.of_file import basis_of_file
from domain.quoting.reckoning import Basis, Minutes, Reckoning, WorkKind, reckon, settle
from domain.quoting.rounding import exact, half_up, percent_of
from domain.reading import read
from domain.spec.project import read_project
from domain.spec.quote import QuoteTerms, ShopTerms, TypedPrice, terms_document
from domain.spec.rules import Rules
from domain.takeoff.build import take_off
from tests.factories import a_frame, a_project
from webapp.usecases.demo import demo_catalogue

KEY = Item.key("13", 18)
PACKS = (
    Pack(item="key 13 × 18", supplier="North", size=100, price=1290),
    Pack(item="glue", supplier="South", size=750, price=820),
)
ASH = Material("ash 45 × 24", Sort.WOOD, Fraction(12), "pcs")


def basis(**fields: Any) -> Basis:
    bought = materials_of({KEY: 38, GLUE: 118}, unit_prices(PACKS, {}))
    minutes = Minutes(Fraction(63, 2), Fraction(16), Fraction(39, 4), None, "too few ticks to compare")
    return Basis(**{"currency": "EUR", "materials": (ASH, *bought), "minutes": minutes, "assemblies": 1, **fields})


BAR = {"length": 2100, "price": 1420}
SAID: dict[str, Any] = {
    "rate": 4850,
    "margin": 17.5,
    "tax": {"name": "Sales tax", "rate": 8.25},
    "discount": 3,
    "work": [{"text": "Sanding and oiling", "minutes": 90}],
    "lines": [{"text": "Hinges", "count": 4, "price": 320}, {"text": "Delivery", "price": 4500}],
    "prices": [{"item": "ash 45 × 24", "price": 8650, "quantity": 12}],
}


def reckoned(shop: ShopTerms | None = None, basis: Basis = basis(), **fields: Any) -> Reckoning:  # noqa: B008
    said = {name: value for name, value in (SAID | fields).items() if value is not None}
    return reckon(basis, settle(read(QuoteTerms, said), shop or ShopTerms()))


def codes(reckoning: Reckoning) -> list[object]:
    return [problem.code for problem in reckoning.missing]


def test_a_quote_worked_by_hand() -> None:
    """Every amount in cents, rounded by itself, an exact half up.

    Materials: keys 38 × 12.90/100 = 4.902, glue 118 × 8.20/750 = 1.29013; together 6.19213, so 6.19, of which
    4.90 and 1.29; ash 86.50 for all of it. 92.69.
    Work at 48.50 an hour: setting up 31.5 min = 25.4625, 25.46; milling 16 min = 12.9333, 12.93; driving 9.75 min
    = 7.88125, 7.88; sanding 90 min = 72.75. 119.02.
    Cost 211.71. Margin 17.5 % = 37.04925, 37.05. Own lines 4 × 3.20 + 45.00 = 57.80. 306.56.
    Discount 3 % = 9.1968, 9.20; net 297.36. Tax 8.25 % = 24.5322, 24.53. Total 321.89.
    """
    found = reckoned()
    assert [each.cost for each in found.materials] == [8650, 490, 129]
    assert [each.cost for each in found.work] == [2546, 1293, 788, 7275]
    assert (found.material_cost, found.work_cost, found.cost) == (9269, 11902, 21171)
    assert (found.margin, found.own_sum, found.before_discount) == (3705, 5780, 30656)
    assert (found.discount, found.net, found.tax, found.total) == (920, 29736, 2453, 32189)
    assert found.missing == ()


def test_the_customer_sees_lines_that_add_up_and_no_cost() -> None:
    """In detail the price of materials and work, 248.76, lies on its lines in proportion to their cost.

    Exact shares × 1.175, in cents: 10163.75, 575.75, 151.575, 2991.55, 1519.275, 925.9, 8548.125; their whole
    parts sum to 24872, so the four with the largest remainders go up: .9, .75, .75, .575.
    """
    detailed = [line.amount for line in asked_lines(reckoned(depth="detailed"))]
    assert detailed == [10164, 576, 152, 2991, 1519, 926, 8548, 1280, 4500]
    assert sum(detailed) == 30656
    summed = asked_lines(reckoned(depth="summed"))
    assert [(line.of is None, line.amount) for line in summed] == [(True, 24876), (False, 1280), (False, 4500)]


def test_what_the_shop_usually_asks_stands_where_the_project_says_nothing() -> None:
    usual = read(ShopTerms, {"rate": 5200, "margin": 11, "tax": {"name": "VAT", "rate": 19}, "depth": "detailed"})
    found = settle(read(QuoteTerms, {"rate": 4900, "discount": 2}), usual)
    assert (found.rate, found.margin, found.depth.value, found.valid_days) == (4900, 11, "detailed", 30)
    assert found.tax is not None
    assert (found.tax.name, found.discount) == ("VAT", 2)
    # 0 is said, and is not the same as nothing said
    assert settle(read(QuoteTerms, {"rate": 0, "margin": 0}), usual).rate == 0
    assert settle(read(QuoteTerms, {"rate": 0, "margin": 0}), usual).margin == 0


@pytest.mark.parametrize(
    ("without", "code"), [("rate", Missing.RATE), ("margin", Missing.MARGIN), ("tax", Missing.TAX)]
)
def test_what_nobody_said_is_asked_for_and_there_is_no_total(without: str, code: Missing) -> None:
    found = reckoned(None, basis(), **{without: None})
    assert codes(found) == [code]
    assert found.total is None
    assert quote_document(found, "Reading room", None)["asked"] == []


def test_an_item_without_a_price_is_named_and_never_counted_as_nothing() -> None:
    found = reckoned(prices=None)
    assert codes(found) == [Missing.PRICE]
    assert str(found.missing[0]).startswith("quote.prices: 'ash 45 × 24': no price is known of it; enter an offer")
    assert "type what all of it costs (12 pcs)" in found.missing[0].text()
    assert (found.material_cost, found.cost, found.margin, found.total) == (None, None, None, None)
    assert found.work_cost == 11902  # what is known is told


def test_a_price_typed_for_another_quantity_counts_no_longer() -> None:
    found = reckoned(prices=[{"item": "Ash 45 x 24", "price": 8650, "quantity": 11}])
    assert codes(found) == [Missing.OTHER_QUANTITY]
    assert "was typed for 11 pcs, and it takes 12 by now" in found.missing[0].text()
    # without a quantity it goes for whatever the project takes, in a file that is one thing with the project
    assert reckoned(prices=[{"item": "Ash 45 x 24", "price": 8650}]).total == 32189


def test_a_price_of_what_is_not_taken_is_not_passed_over() -> None:
    prices = [*SAID["prices"], {"item": "ash 54 × 24", "price": 100}]
    assert codes(reckoned(prices=prices)) == [Missing.NOT_TAKEN]
    typed = (TypedPrice(item="ash 54 × 24", price=100), TypedPrice(item="glue", price=100))
    assert not_taken(basis().materials, typed) == ("ash 54 × 24",)


def test_a_price_typed_by_hand_goes_before_an_offer_and_nothing_may_be_its_price() -> None:
    (ash, key, glue) = with_typed(basis().materials, [TypedPrice(item="glue", price=0)])
    assert (ash.cost, key.priced_by, glue.cost, glue.priced_by) == (None, PricedBy.OFFER, 0, PricedBy.HAND)


def test_minutes_as_ticked_stand_for_setting_up_and_milling_together() -> None:
    """Ticked 41.256 min: said and charged as 41.26 min, at 48.50 an hour 33.35 (33.3518); driving is planned."""
    minutes = Minutes(Fraction(63, 2), Fraction(16), Fraction(39, 4), exact(41.256))
    found = reckoned(basis=basis(minutes=minutes), minutes="ticked")
    assert [(each.name, each.minutes, each.cost) for each in found.work] == [
        (WorkKind.AT_THE_MACHINE, exact(41.26), 3335),
        (WorkKind.DRIVING, exact(9.75), 788),
        ("Sanding and oiling", 90, 7275),
    ]
    assert found.total is not None


def test_minutes_that_were_not_ticked_are_no_minutes_of_nothing() -> None:
    found = reckoned(minutes="ticked")
    assert codes(found) == [Missing.NOT_TICKED]
    assert "too few ticks to compare" in found.missing[0].text()
    assert found.total is None


def test_assemblies_that_clash_and_projects_of_nothing_have_no_price() -> None:
    assert codes(reckoned(basis=basis(clashes=("B",)))) == [Missing.CLASH]
    assert codes(reckoned(basis=basis(assemblies=0))) == [Missing.NOTHING]
    assert reckoned(basis=basis(clashes=("B",))).total is None


@pytest.mark.parametrize(
    "fields",
    [
        {"rate": -1},
        {"margin": -0.5},
        {"discount": 101},
        {"tax": {"name": "Sales tax", "rate": -8}},
        {"tax": {"name": " ", "rate": 8}},
        {"work": [{"text": "Sanding", "minutes": 0}]},
        {"lines": [{"text": "Hinges", "count": -4, "price": 320}]},
        {"lines": [{"text": "Hinges", "price": -320}]},
        {"lines": [{"text": "Hinges", "price": 3.2}]},
        {"prices": [{"item": "glue", "price": -1}]},
        {"valid_days": 0},
        {"lines": [{"text": "Hinges", "price": 320}] * 201},
        {"markup": 3},
    ],
)
def test_nothing_of_it_is_negative_or_made_up(fields: dict[str, Any]) -> None:
    with pytest.raises(BadInput):
        read(QuoteTerms, fields)


amounts = st.integers(0, 10**7)
shares = st.decimals(0, 100, places=3, allow_nan=False).map(float)


@given(
    st.lists(st.tuples(amounts, st.decimals("0.01", 3000, places=2).map(float)), max_size=5),
    amounts,
    shares,
    shares,
    shares,
    st.sampled_from(["summed", "detailed"]),
)
def test_amounts_are_what_decimal_arithmetic_makes_of_them(
    lines: list[tuple[int, float]], rate: int, margin: float, discount: float, tax: float, depth: str
) -> None:
    """The same by Python's decimal: ROUND_HALF_UP is the rule of the regulation named in rounding.py."""

    def cents(amount: Decimal) -> Decimal:
        return amount.quantize(Decimal(1), ROUND_HALF_UP)

    materials = tuple(
        Material(f"wood {place}", Sort.WOOD, Fraction(1), "pcs", cost, PricedBy.OFFER)
        for place, (cost, _) in enumerate(lines)
    )
    found = reckoned(
        basis=Basis("EUR", materials, Minutes(), 1),
        rate=rate,
        margin=margin,
        discount=discount,
        tax={"name": "Sales tax", "rate": tax},
        work=[{"text": f"work {place}", "minutes": minutes} for place, (_, minutes) in enumerate(lines)],
        lines=[{"text": "Hinges", "count": minutes, "price": cost} for cost, minutes in lines],
        prices=None,
        depth=depth,
    )
    work = sum((cents(Decimal(repr(minutes)) * rate / 60) for _, minutes in lines), Decimal(0))
    cost = work + sum(cost for cost, _ in lines)
    put_on = cents(cost * Decimal(repr(margin)) / 100)
    own = sum((cents(Decimal(repr(minutes)) * cost) for cost, minutes in lines), Decimal(0))
    before = cost + put_on + own
    net = before - cents(before * Decimal(repr(discount)) / 100)
    assert (found.cost, found.margin, found.net) == (cost, put_on, net)
    assert found.total == net + cents(net * Decimal(repr(tax)) / 100)
    asked = asked_lines(found)
    assert sum(line.amount for line in asked) == found.before_discount
    assert all(line.amount >= 0 for line in asked)


@given(st.fractions(0, 10**9))
def test_half_up_is_decimals_half_up(amount: Fraction) -> None:
    assert abs(half_up(amount) - amount) <= Fraction(1, 2)
    assert half_up(Fraction(2 * int(amount) + 1, 2)) == int(amount) + 1
    assert percent_of(Fraction(50), 2 * int(amount) + 1) == int(amount) + 1


def test_a_file_alone_can_be_quoted_and_says_what_it_lacks() -> None:
    """A frame of 400 by 300 outside from bars of 2100 at 14.20: 1400 mm in all, one bar."""
    project = a_project(a_frame(material="ash"), stock=[{"item": "ash 45 × 20", "stock": [BAR]}])
    takeoff = take_off(project, demo_catalogue(), Rules())
    found = basis_of_file(project, takeoff)
    wood = found.materials[0]
    assert (wood.name, wood.quantity, wood.cost, wood.priced_by) == ("ash 45 × 20", 1, 1420, PricedBy.OWN_STOCK)
    unpriced = [each.name for each in found.materials if each.cost is None]
    assert unpriced == [each.name for each in found.materials[1:]]
    assert unpriced[-1] == "glue"
    said = {"rate": 4850, "margin": 10, "tax": {"name": "None charged", "rate": 0}}
    bare = reckon(found, settle(read(QuoteTerms, said), ShopTerms()))
    assert codes(bare) == [Missing.PRICE] * len(unpriced)
    prices = [{"item": item, "price": 100 * place} for place, item in enumerate(unpriced)]
    whole = reckon(found, settle(read(QuoteTerms, said | {"prices": prices}), ShopTerms()))
    assert whole.material_cost == 1420 + sum(100 * place for place in range(len(unpriced)))
    assert whole.total is not None


def test_a_bar_in_hand_has_no_price_until_somebody_types_one() -> None:
    project = a_project(a_frame(material="ash"), stock=[{"item": "ash 45 × 20", "stock": [{"length": 2100}]}])
    (wood, *_) = basis_of_file(project, take_off(project, demo_catalogue(), Rules())).materials
    assert (wood.name, wood.quantity, wood.cost) == ("ash 45 × 20", 4, None)


def test_a_project_file_keeps_its_terms() -> None:
    project = read_project({"format": "dovetally-project", "version": 1, "name": "Reading room", "quote": SAID})
    assert project.quote is not None
    assert terms_document(project.quote) == {
        **SAID,
        "margin": 17.5,
        "discount": 3.0,
        "work": [{"text": "Sanding and oiling", "minutes": 90.0}],
        "lines": [
            {"text": "Hinges", "count": 4.0, "price": 320},
            {"text": "Delivery", "count": 1, "price": 4500},
        ],
        "prices": [{"item": "ash 45 × 24", "price": 8650, "quantity": 12.0}],
    }
    assert read(QuoteTerms, terms_document(project.quote)) == project.quote
