"""Suppliers, dated prices, and orders: placed as shown, received in whole packs, numbered in turn."""

from __future__ import annotations

from datetime import date
from itertools import count

import pytest

from domain.lengths import Length
from domain.ordering.items import GLUE, Item
from domain.problems import BadInput
from domain.reading import read
from tests.factories import sending
from tests.webapp.store.store_samples import Clock, project
from webapp.store import Store, items, suppliers
from webapp.store.balances import balances
from webapp.store.errors import AlreadyEnded, NameTaken, NotFound, OverReceived, PlanMoved, StaleEdit
from webapp.store.orders import OrderStatus, PlacedOrder, list_orders, list_running_orders, load_order
from webapp.store.projects import create_project
from webapp.store.stock_edition import stock_edition
from webapp.store.stock_values import OfferTerms, OrderDraft, OrderLineDraft, Price, SupplierTerms
from webapp.usecases import placed_orders, stockroom
from webapp.usecases.booking import numbers, sent_before

KEY, PLUG = Item.key("14", 16), Item.plug("walnut", "14", 3)
NORTH = SupplierTerms(name="North", currency="EUR", shipping=690, minimum_order=2500)
TOKENS = (sending(f"a-form-with-an-order-{number}") for number in count())


@pytest.fixture
def shop(store: Store) -> Store:
    with store.writing() as session:
        suppliers.create_supplier(session, NORTH)
        create_project(session, project())
    return store


def draft(*lines: OrderLineDraft) -> OrderDraft:
    usual = (
        OrderLineDraft(item=KEY, size=100, packs=2, pack_price=1290, article="K14-16/100", lead_days=5),
        OrderLineDraft(item=GLUE, size=500, packs=1, pack_price=890, lead_days=2),
    )
    return OrderDraft(supplier_id=1, currency="EUR", shipping=690, lines=lines or usual, projects=(1,))


def place(store: Store, *drafts: OrderDraft) -> tuple[int, ...]:
    with store.reading() as session:
        seen = stock_edition(session)
    return placed_orders.place(store, next(TOKENS), seen, drafts or (draft(),))


def order(store: Store, number: int = 1) -> PlacedOrder:
    with store.reading() as session:
        return load_order(session, number)


def test_items_come_back_sorted_and_once(store: Store) -> None:
    with store.writing() as session:
        for item in (GLUE, PLUG, Item.key("14", 22), KEY):
            assert items.ensure_item(session, item) == items.ensure_item(session, item)
        session.expire_all()
        assert [each.item for each in items.list_items(session)] == [KEY, Item.key("14", 22), PLUG, GLUE]
        with pytest.raises(NameTaken, match="There is an item key 14 × 16 already"):
            items.create_item(session, Item.key("14", Length.from_mm(16)))
        assert items.set_minimum_stock(session, 1, 1, 250) == 2
        assert items.load_item(session, 1).minimum_stock == 250
        with pytest.raises(StaleEdit):
            items.set_minimum_stock(session, 1, 1, 300)
        with pytest.raises(BadInput):
            items.set_minimum_stock(session, 1, 2, -1)


def test_the_newest_price_not_after_the_day_counts(shop: Store) -> None:
    prices = [("2026-01-01", 1000), ("2026-03-01", 1200), ("2026-03-01", 1290), ("2026-06-01", 1400)]
    with shop.writing() as session:
        offer = suppliers.create_offer(session, KEY, 1, OfferTerms(size=100, article="K14-16/100", lead_days=5))
        for day, minor in prices:
            price = Price(minor=minor, currency="EUR", since=date.fromisoformat(day))
            assert suppliers.add_price(session, offer, price)
        assert not suppliers.add_price(session, offer, price)
    with shop.reading() as session:
        then = (("2025-12-31", None), ("2026-01-01", 1000), ("2026-03-02", 1290), ("2027-01-01", 1400))
        for day, expected in then:
            price_then = suppliers.load_offer(session, offer, date.fromisoformat(day)).price
            assert (price_then and price_then.minor) == expected
        assert [price.minor for price in suppliers.list_prices(session, offer)] == [1400, 1290, 1200, 1000]


def test_a_pack_is_withdrawn_and_offered_again(shop: Store) -> None:
    terms, day = OfferTerms(size=100), date(2026, 3, 2)
    with shop.writing() as session:
        offer = suppliers.create_offer(session, KEY, 1, terms)
        with pytest.raises(NameTaken, match="pack of 100 pcs of key 14 × 16 from North"):
            suppliers.create_offer(session, KEY, 1, terms)
        suppliers.withdraw_offer(session, offer, 1)
        assert suppliers.list_offers(session, day) == ()
        again = terms.model_copy(update={"lead_days": 9})
        assert suppliers.create_offer(session, KEY, 1, again) == offer
        assert [each.terms.lead_days for each in suppliers.list_offers(session, day)] == [9]


def test_wrong_terms_are_refused_by_name() -> None:
    with pytest.raises(BadInput) as refusal:
        read(SupplierTerms, {"name": "", "currency": "euro", "shipping": -1, "minimum_order": 1.5})
    assert {problem.path[0] for problem in refusal.value.problems} == {
        "name",
        "currency",
        "shipping",
        "minimum_order",
    }


def test_an_order_is_received_in_parts_then_wholly(shop: Store, clock: Clock) -> None:
    assert place(shop) == (1,)
    placed = order(shop)
    assert (placed.status, placed.goods, placed.total) == (OrderStatus.PLACED, 3470, 4160)
    assert placed.projects == {1: "Window seat"}
    assert [line.due for line in placed.lines] == [date(2026, 3, 7), date(2026, 3, 4)]
    stockroom.receive_order(shop, next(TOKENS), 1, {1: 1})
    assert order(shop).status is OrderStatus.PARTLY_RECEIVED
    with pytest.raises(OverReceived, match="Order 1 has 1 pack of key 14 × 16 still to come, so 2"):
        stockroom.receive_order(shop, next(TOKENS), 1, {2: 1, 1: 2})
    assert order(shop).lines[1].received == 0  # all of it or nothing
    with shop.reading() as session:
        assert [(each.on_hand, each.on_order) for each in balances(session)] == [(100, 100), (0, 500)]
    assert stockroom.stock_now(shop).late == ()
    clock.forward(days=3)
    late = stockroom.stock_now(shop).late
    assert [(each.order, each.supplier, each.line.item) for each in late] == [(1, "North", GLUE)]
    stockroom.receive_order(shop, next(TOKENS), 1, {1: 1, 2: 1})
    assert order(shop).status is OrderStatus.RECEIVED
    with pytest.raises(AlreadyEnded, match="Order 1 is received already"):
        placed_orders.cancel(shop, next(TOKENS), 1)


def test_a_cancelled_order_is_no_longer_on_order_and_keeps_what_came(shop: Store) -> None:
    place(shop)
    stockroom.receive_order(shop, next(TOKENS), 1, {1: 1})
    placed_orders.cancel(shop, next(TOKENS), 1)
    assert order(shop).status is OrderStatus.CANCELLED
    with pytest.raises(AlreadyEnded, match="Order 1 is cancelled already"):
        stockroom.receive_order(shop, next(TOKENS), 1, {1: 1})
    with shop.reading() as session:
        assert [(each.on_hand, each.on_order) for each in balances(session)] == [(100, 0), (0, 0)]
        assert list_running_orders(session) == ()


def test_orders_are_placed_as_shown_or_not_at_all(shop: Store) -> None:
    with shop.reading() as session:
        seen = stock_edition(session)
    stockroom.receive(shop, next(TOKENS), KEY, 1)
    token = next(TOKENS)
    with pytest.raises(PlanMoved, match="was not placed"):
        placed_orders.place(shop, token, seen, [draft()])
    assert sent_before(shop, token) is None
    with shop.reading() as session:
        seen = stock_edition(session)
    assert placed_orders.place(shop, token, seen, [draft(), draft()]) == (1, 2)
    assert placed_orders.place(shop, token, seen, [draft(), draft()]) == (1, 2)
    kept = sent_before(shop, token)
    assert kept is not None
    assert numbers(kept.outcome) == (1, 2)


def test_numbers_have_no_gap_where_an_order_fails(shop: Store) -> None:
    place(shop)
    with pytest.raises(NotFound):
        place(shop, draft(), draft().model_copy(update={"supplier_id": 9}))
    assert place(shop, draft(), draft()) == (2, 3)
    with shop.reading() as session:
        assert [each.number for each in list_orders(session)] == [3, 2, 1]
        assert [each.number for each in list_orders(session, before=3, most=1)] == [2]


def test_a_supplier_renamed_keeps_its_name_on_what_was_ordered(shop: Store) -> None:
    place(shop)
    with shop.writing() as session:
        suppliers.update_supplier(session, 1, 1, NORTH.model_copy(update={"name": "North & sons"}))
    assert order(shop).supplier == "North"
