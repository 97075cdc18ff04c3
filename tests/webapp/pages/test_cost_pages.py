"""What a project costs: by assembly, then and today, in whole packs, in other currencies."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date
from pathlib import Path

import pytest

from domain.ordering.items import GLUE
from tests.client import TestClient
from tests.factories import a_frame, stored
from tests.webapp.databases import Databases, sections
from tests.webapp.pages.order_samples import KEY, Day, new_price, offer, supplier
from tests.webapp.pages.reading import main, soup
from webapp.store import Store, ledger
from webapp.store.shop import load_shop, update_shop
from webapp.usecases.costs import project_costs


@pytest.fixture
def store(file: Path, databases: Databases, day: Day) -> Iterator[Store]:
    """The demo's sections in a shop without suppliers, and a project of two frames."""
    with databases.opened("sections by day", sections, file, day) as opened:
        with opened.writing() as session:
            stored(session, a_frame("A"), a_frame("B", quantity=3))
        yield opened


def test_by_hand(client: TestClient, store: Store) -> None:
    # four corners, two slots each, one 16 key a slot: A uses 8, B 24; one test for both, spares 2 (5 % of 32)
    offer(store, supplier(store, shipping=590), KEY, 7, 1000)
    offer(store, supplier(store, "Dear"), KEY, 5, 999)
    page = client.get("/projects/1/costs")
    words = main(page)
    # 35 × 10.00 / 7 = 50.00; parts 11.43, 34.29 and 4.29, the cent that rounding makes taken off the last
    # what is paid comes first, then what of it goes into this job
    whole = "Bought in whole packs today, without 1 that cannot be bought 55.90 EUR"
    assert words.index(whole) < words.index("Its share of those packs 50.00 EUR")
    assert "the rest of the packs stays on the shelf" in words
    assert [tag.text for tag in soup(page).select(".part-head td")] == ["11.43 EUR", "34.29 EUR", "4.28 EUR"]
    assert "key 14 × 16 24 pcs 1.4286 North, 10.00 EUR for 7 pcs 34.29 EUR" in words
    assert "No price is known of glue." in words
    # five packs of seven, and shipping: nothing is left over
    assert "In whole packs" in words


def test_without_any_price_all_is_named(client: TestClient) -> None:
    words = main(client.get("/projects/1/costs"))
    assert "No price is known of key 14 × 16, glue" in words
    assert "Nothing of it can be bought" in words
    assert "has not gone ahead and was not issued yet" in words


def test_the_catalogues_price_of_one_where_nobody_offers_packs(demo_by_day: Store) -> None:
    found = project_costs(demo_by_day, 1)
    lines = [line for part in found.costs.parts for line in part.lines if line.item == "key 14 × 16"]
    assert lines
    assert all(line.price is not None for line in lines)
    assert found.costs.total == sum(part.cost for part in found.costs.parts)


def test_made_again_at_todays_prices(client: TestClient, store: Store, day: Day) -> None:
    north = supplier(store)
    sold = offer(store, north, KEY, 100, 1200)
    with store.writing() as session:
        ledger.reserve(session, 1, {KEY: 35})
    offer(store, north, GLUE, 500, 600, since=date(2026, 4, 1))
    new_price(store, sold, 1500, date(2026, 4, 1))
    day.later(60)
    words = main(client.get("/projects/1/costs"))
    # 35 × 0.12 = 4.20 then, 35 × 0.15 = 5.25 today; glue had no price then
    assert "Last went ahead on 2026-03-02: 4.20 EUR then, 5.25 EUR today, 1.05 EUR more" in words
    assert "Without glue" in words
    assert "key 14 × 16 35 pcs 0.1200 0.1500 dearer" in words


def test_the_day_it_was_last_issued_counts_where_that_is_later(client: TestClient, store: Store, day: Day) -> None:
    sold = offer(store, supplier(store), KEY, 100, 1200)
    with store.writing() as session:
        ledger.reserve(session, 1, {KEY: 35})
    new_price(store, sold, 1100, date(2026, 3, 20))
    day.later(30)
    page = soup(client.get("/projects/1/revisions"))
    form = page.select_one("form")
    assert form is not None
    sent = {str(tag["name"]): str(tag["value"]) for tag in form.select("input[type=hidden]")} | {"paper": "A4"}
    assert client.post("/projects/1/revisions", data=sent).status_code == 303
    words = main(client.get("/projects/1/costs"))
    assert "Last issued as revision 1, on 2026-04-01: 3.85 EUR then, 3.85 EUR today." in words


@pytest.mark.parametrize(("currency", "total"), [("JPY", "5000 JPY"), ("KWD", "5.000 KWD")])
def test_other_currencies(client: TestClient, store: Store, currency: str, total: str) -> None:
    with store.writing() as session:
        shop = load_shop(session)
        update_shop(session, shop.version, name="Mitre", units=shop.units, currency=currency, rules=shop.rules)
    offer(store, supplier(store, currency=currency), KEY, 7, 1000, currency=currency)
    assert total in main(client.get("/projects/1/costs"))


def test_an_empty_project_and_none(client: TestClient, store: Store) -> None:
    with store.writing() as session:
        number = stored(session)
    assert "Nothing is needed yet" in main(client.get(f"/projects/{number}/costs"))
    assert client.get("/projects/99/costs").status_code == 404
