"""What the cutting plan is told of the stockroom's wood: what lies there, what can be bought, and for what."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date
from pathlib import Path

import pytest

from domain.cutting.request import BarStock, SheetStock
from domain.lengths import Length
from domain.ordering.items import Item
from tests.factories import a_frame, stored
from tests.webapp.databases import Databases, sections
from webapp.store import Store, ledger
from webapp.store.items import list_items
from webapp.store.stock_values import OfferTerms, Price, SupplierTerms
from webapp.store.suppliers import add_price, create_offer, create_supplier
from webapp.usecases.wood_stock import WoodStock, wood_stock_in

LONG, SHORT = Item.bar("ash", 45, 24, 2310), Item.bar("Ash", 24, 45, 870)
SHEET = Item.sheet("birch plywood", 18, 2440, 1220)
ASH, PLY = "ash 45 × 24", "birch plywood 18"


@pytest.fixture
def store(tmp_path: Path, databases: Databases) -> Iterator[Store]:
    """A shop with two projects and a supplier that sells in EUR, another in SEK."""
    with databases.opened("sections", sections, tmp_path / "shop.db") as opened:
        with opened.writing() as session:
            for name in ("One", "Two"):
                stored(session, a_frame(), name=name)
            for name, currency in (("North", "EUR"), ("South", "EUR"), ("Ålund", "SEK")):
                create_supplier(session, SupplierTerms(name=name, currency=currency))
        yield opened


def offer(store: Store, item: Item, supplier: int, size: int, price: int, currency: str = "EUR") -> None:
    with store.writing() as session:
        number = create_offer(session, item, supplier, OfferTerms(size=size))
        add_price(session, number, Price(minor=price, currency=currency, since=date(2026, 1, 1)))


def stock(store: Store, *names: str, projects: tuple[int, ...] = ()) -> WoodStock:
    with store.reading() as session:
        return wood_stock_in(session, names, projects)


def bar(length: int, price: int | None = None, count: int | None = None) -> BarStock:
    return BarStock(length=Length.from_mm(length), price=price, count=count)


def test_what_lies_there_has_a_count_and_what_is_sold_a_price(store: Store) -> None:
    with store.writing() as session:
        ledger.receive(session, LONG, 4)
        ledger.receive(session, SHORT, 1)
        ledger.receive(session, SHEET, 2)
        ledger.receive(session, Item.board("ash", 45), 90_000)
    offer(store, LONG, 1, 1, 1460)
    offer(store, SHEET, 2, 5, 24_001)
    found = stock(store, ASH, PLY, "oak 45 × 24", "no wood at all")
    assert found.currency == "EUR"
    assert found.bars == {ASH: (bar(870, count=1), bar(2310, count=4), bar(2310, 1460))}
    assert found.items == {ASH: (SHORT, LONG, LONG), PLY: (SHEET, SHEET)}
    size = {"length": Length.from_mm(2440), "width": Length.from_mm(1220)}
    # 240.01 / 5 = 48.002
    assert found.sheets == {PLY: (SheetStock(**size, count=2), SheetStock(**size, price=4800))}


def test_the_least_price_of_one_in_the_shop_s_currency_counts(store: Store) -> None:
    offer(store, LONG, 1, 1, 1460)
    offer(store, LONG, 2, 10, 13_905)
    offer(store, LONG, 3, 1, 1, "SEK")
    # 139.05 / 10 = 13.905, half to even 13.90
    assert stock(store, "ASH 24 x 45").bars == {"ASH 24 x 45": (bar(2310, 1390),)}


def test_what_is_reserved_for_others_is_not_there(store: Store) -> None:
    with store.writing() as session:
        ledger.receive(session, LONG, 5)
        ledger.reserve(session, 1, {LONG: 3})
    assert stock(store, ASH).bars == {ASH: (bar(2310, count=2),)}
    assert stock(store, ASH, projects=(1,)).bars == {ASH: (bar(2310, count=5),)}
    assert stock(store, ASH, projects=(2,)).bars == {ASH: (bar(2310, count=2),)}
    with store.writing() as session:
        ledger.use(session, 2, LONG, 4)
    assert stock(store, ASH).bars == {}


def test_what_a_project_has_used_is_still_what_it_is_cut_from(store: Store) -> None:
    with store.writing() as session:
        ledger.receive(session, LONG, 5)
        ledger.reserve(session, 1, {LONG: 3})
        ledger.use(session, 1, LONG, 2)
    assert stock(store, ASH, projects=(1,)).bars == {ASH: (bar(2310, count=5),)}
    assert stock(store, ASH).bars == {ASH: (bar(2310, count=2),)}


def test_wood_is_kept_with_all_its_sizes(store: Store) -> None:
    kept = [LONG, SHORT, SHEET, Item.board("ash", 27), Item.strip("ash", 30, 15)]
    with store.writing() as session:
        for item in kept:
            ledger.receive(session, item, 3)
    with store.reading() as session:
        assert [each.item for each in list_items(session) if each.item.is_wood] == sorted(
            kept, key=lambda item: item.order
        )
