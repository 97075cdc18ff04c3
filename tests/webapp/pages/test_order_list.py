"""The list of orders page by page: none twice, none left out, and what is still to come at once."""

from __future__ import annotations

import re

import pytest

from tests.client import TestClient
from tests.webapp.pages.order_samples import placed, supplier
from tests.webapp.pages.reading import main, soup
from webapp.store import Store
from webapp.store.orders import cancel_order
from webapp.usecases import placed_orders


@pytest.fixture
def store(demo_by_day: Store) -> Store:
    return demo_by_day


def numbers(client: TestClient, address: str) -> list[int]:
    rows = soup(client.get(address)).select("main tbody th a")
    return [int(row.text) for row in rows]


def test_pages_hold_every_order_once(client: TestClient, store: Store, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(placed_orders, "PAGE", 3)
    north = supplier(store)
    orders = [placed(store, north, 1) for _ in range(8)]
    running = {orders[1], orders[6]}
    with store.writing() as session:
        for order in orders:
            if order not in running:
                cancel_order(session, order)
    address, pages = "/orders", []
    while address:
        page = client.get(address)
        pages.append(numbers(client, address))
        assert f"{len(pages[-1])} of 8 orders" in main(page)
        older = re.search(r'href="(/orders\?before=\d+)"', page.text)
        address = older[1] if older else ""
    # by hand: the newest three and what runs, which comes first; then three by three without it
    assert pages == [[7, 2, 8, 6], [5, 4, 3], [1]]
    assert "the newest, and everything that is still to come" in main(client.get("/orders"))
    assert soup(client.get("/orders?before=3")).select_one('main a[href="/orders"]') is not None


def test_a_short_list_has_no_pages(client: TestClient, store: Store) -> None:
    placed(store, supplier(store), 1)
    page = client.get("/orders")
    assert numbers(client, "/orders") == [1]
    assert "of 1 orders" not in main(page)
    assert "Older orders" not in main(page)
