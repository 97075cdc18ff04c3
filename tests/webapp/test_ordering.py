"""The order's request from the store: what it takes from where, and what its fingerprint stands for."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date
from pathlib import Path

import pytest

from domain.ordering.item_plan import ItemPlan
from domain.ordering.items import Item
from domain.ordering.request import read_order_request
from tests.factories import a_frame, stored
from tests.webapp.databases import Databases, sections
from webapp.store import Store, ledger
from webapp.store.items import ensure_item, load_item, set_minimum_stock
from webapp.store.stock_edition import stock_edition
from webapp.store.stock_values import OfferTerms, Price, SupplierTerms
from webapp.store.suppliers import add_price, create_offer, create_supplier
from webapp.usecases.ordering import edition_text, order_plan, what_changed

KEY = Item.key("14", 16)


@pytest.fixture
def store(tmp_path: Path, databases: Databases) -> Iterator[Store]:
    """Two projects of one frame each; one supplier of the key they take."""
    with databases.opened("sections", sections, tmp_path / "shop.db") as opened:
        with opened.writing() as session:
            for name in ("One", "Two"):
                stored(session, a_frame(), name=name)
            terms = SupplierTerms(name="North", currency="EUR", shipping=690, minimum_order=2500)
            number = create_offer(
                session, KEY, create_supplier(session, terms), OfferTerms(size=50, article="N-1", lead_days=4)
            )
            add_price(session, number, Price(minor=600, currency="EUR", since=date(2026, 1, 1)))
        yield opened


def test_the_request_says_where_everything_comes_from(store: Store) -> None:
    with store.writing() as session:
        ledger.receive(session, KEY, 7)
        item = load_item(session, ensure_item(session, KEY))
        set_minimum_stock(session, item.id, item.version, 20)
    plan = order_plan(store, [1, 2])
    (key,) = [each for each in plan.items if each.item == KEY]
    # a frame: 8 used; one cutter in one wood, tested once for both frames (1, not 2); 1 spare each (5 % of 8)
    assert key == ItemPlan(KEY, used=16, tests=1, saved=1, spare=2, minimum=20, on_hand=7)
    assert key.short == 16 + 1 + 2 + 20 - 7
    document = plan.request.model_dump(mode="json", exclude_none=True)
    assert read_order_request(document) == plan.request
    assert document["on_hand"] == {"key 14 × 16": 7}
    # one pack of 50 would do; five reach the minimum order of 25.00
    (draft,) = plan.drafts
    assert [(line.packs, line.pack_price, line.lead_days, line.article) for line in draft.lines] == [
        (5, 600, 4, "N-1")
    ]
    assert (plan.order.total, draft.shipping, draft.projects) == (3690, 690, (1, 2))


def test_a_fingerprint_stands_for_what_the_plan_rests_on(store: Store) -> None:
    before = order_plan(store, [1])
    assert order_plan(store, [1]).fingerprint == before.fingerprint
    assert order_plan(store, [2]).fingerprint != before.fingerprint
    assert order_plan(store, [1, 1]).fingerprint == before.fingerprint
    with store.writing() as session:
        ledger.receive(session, KEY, 1)
    assert order_plan(store, [1]).fingerprint != before.fingerprint


def test_what_changed_is_named(store: Store) -> None:
    with store.reading() as session:
        before = edition_text(stock_edition(session))
    with store.writing() as session:
        ledger.receive(session, KEY, 1)
        stored(session, a_frame(), name="Three")
    with store.reading() as session:
        now = stock_edition(session)
    assert what_changed(before, now) == ("the stock", "projects")
    assert what_changed(edition_text(now), now) == ()


@pytest.mark.parametrize("seen", ["", "{", "[]", "1", "null", "{}", "[" * 100_000, '"x"'])
def test_what_no_page_sent_is_no_edition(store: Store, seen: str) -> None:
    with store.reading() as session:
        assert what_changed(seen, stock_edition(session)) == ()


def test_more_suppliers_than_can_be_weighed_are_said(store: Store) -> None:
    with store.writing() as session:
        for number in range(20):
            supplier = create_supplier(session, SupplierTerms(name=f"S{number}", currency="EUR"))
            offered = create_offer(session, KEY, supplier, OfferTerms(size=10))
            add_price(session, offered, Price(minor=100, currency="EUR", since=date(2026, 1, 1)))
            if number == 19:
                add_price(
                    session,
                    create_offer(session, KEY, supplier, OfferTerms(size=20)),
                    Price(minor=150, currency="EUR", since=date(2026, 1, 1)),
                )
    # 16 used, 1 test, 2 spare: a pack of 20 at 1.50, not two of 10 at 1.00
    plan = order_plan(store, [1, 2])
    # S19 has two offers, the others one each; of those the last by name is left out
    assert plan.not_weighed == ("S9",)
    assert {line.pack.supplier for line in plan.order.lines} == {"S19"}
