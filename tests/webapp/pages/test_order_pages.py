"""Placed orders: the list, what came, what was cancelled, and how they are handed on."""

from __future__ import annotations

import pytest

from tests.client import TestClient
from tests.webapp.pages.order_samples import KEY, Day, placed, supplier
from tests.webapp.pages.reading import errors, fields, main, soup, summary
from webapp.store import Store
from webapp.store.balances import balances
from webapp.store.orders import load_order


@pytest.fixture
def store(demo_by_day: Store) -> Store:
    return demo_by_day


@pytest.fixture
def order(store: Store) -> int:
    return placed(store, supplier(store), 1)


def received(store: Store, order: int) -> list[int]:
    with store.reading() as session:
        return [line.received for line in load_order(session, order).lines]


def on_hand(store: Store) -> int:
    with store.reading() as session:
        return next(balance.on_hand for balance in balances(session) if balance.item == KEY)


def test_no_orders_yet(client: TestClient) -> None:
    page = client.get("/orders")
    assert page.status_code == 200
    assert "Nothing has been ordered yet" in main(page)


def test_the_page_of_an_order(client: TestClient, order: int) -> None:
    page = client.get(f"/orders/{order}")
    words = main(page)
    assert "North, placed 2026-03-02 : placed" in words
    assert "key 14 × 16 2 0 2026-03-07 N-1416 100 pcs 12.90 EUR 25.80 EUR" in words
    # by hand: 2 × 12.90 + 9.90 + 3 × 6.40 = 54.90, and 6.90 shipping
    assert "Goods 54.90 EUR Shipping 6.90 EUR Total 61.80 EUR" in words
    assert fields(page)["packs-1"] == "2"
    assert soup(page).select_one('a[href="/projects/1"]') is not None


def test_what_came_is_booked_in_whole_packs(client: TestClient, store: Store, order: int) -> None:
    before = on_hand(store)
    sent = fields(client.get(f"/orders/{order}"))
    sent |= {"packs-1": "1", "packs-2": "", "packs-3": "0", "note": "note 77"}
    for _ in range(2):  # a double tap books once
        assert client.post(f"/orders/{order}/receive", data=sent).headers["location"] == f"/orders/{order}"
    assert received(store, order) == [1, 0, 0]
    assert on_hand(store) == before + 100
    page = client.get(f"/orders/{order}")
    assert "partly received" in main(page)
    assert fields(page)["packs-1"] == "1"


def test_all_of_it_comes_in_one_step(client: TestClient, store: Store, order: int) -> None:
    sent = fields(client.get(f"/orders/{order}")) | {"packs-1": "1", "all": "yes"}
    for _ in range(2):
        assert client.post(f"/orders/{order}/receive", data=sent).status_code == 303
    assert received(store, order) == [2, 1, 3]
    page = client.get(f"/orders/{order}")
    assert ": received" in main(page)
    assert not soup(page).select("main form")


@pytest.mark.parametrize(
    ("typed", "sentence"),
    [
        ("3", "only 2 packs are still to come"),
        ("1.5", "write whole packs, from 0 to 2"),
        ("-1", "write whole packs, from 0 to 2"),
        ("two", "write whole packs, from 0 to 2"),
        ("9" * 40, "write whole packs, from 0 to 2"),
    ],
)
def test_what_cannot_have_come_is_said_at_its_field(
    client: TestClient, store: Store, order: int, typed: str, sentence: str
) -> None:
    sent = fields(client.get(f"/orders/{order}")) | {"packs-1": typed, "packs-3": "1", "note": "kept"}
    page = client.post(f"/orders/{order}/receive", data=sent)
    assert page.status_code == 422
    assert errors(page) == {"packs-1": sentence}
    assert "Line 1, key 14 × 16" in summary(page)
    assert {"packs-1": typed, "packs-3": "1", "note": "kept"}.items() <= fields(page).items()
    assert received(store, order) == [0, 0, 0]


def test_nothing_that_came_is_nothing_to_book(client: TestClient, order: int) -> None:
    sent = fields(client.get(f"/orders/{order}")) | {"packs-1": "", "packs-2": "0", "packs-3": ""}
    page = client.post(f"/orders/{order}/receive", data=sent)
    assert page.status_code == 422
    assert "at least one pack" in errors(page)["packs-1"]


def test_an_order_that_has_ended_takes_no_more(client: TestClient, order: int) -> None:
    sent = fields(client.get(f"/orders/{order}"))
    cancelling = fields(client.get(f"/orders/{order}/cancel"))
    assert client.post(f"/orders/{order}/cancel", data=cancelling).status_code == 303
    page = client.post(f"/orders/{order}/receive", data=sent)
    assert page.status_code == 409
    assert f"Order {order} is cancelled already" in main(page)


def test_cancelling_asks_first_and_keeps_what_came(client: TestClient, store: Store, order: int) -> None:
    sent = fields(client.get(f"/orders/{order}")) | {"packs-1": "1", "packs-2": "", "packs-3": ""}
    client.post(f"/orders/{order}/receive", data=sent)
    asked = client.get(f"/orders/{order}/cancel")
    assert "key 14 × 16: 1 pack of 100" in main(asked)
    assert received(store, order) == [1, 0, 0]
    assert client.post(f"/orders/{order}/cancel", data=fields(asked)).status_code == 303
    page = client.get(f"/orders/{order}")
    assert ": cancelled 2026-03-02" in main(page)
    assert not soup(page).select("main form")
    assert client.get(f"/orders/{order}/cancel").headers["location"] == f"/orders/{order}"
    again = client.post(f"/orders/{order}/cancel", data=fields(asked) | {"token": "a" * 32})
    assert again.status_code == 409


def test_late_lines_are_named(client: TestClient, order: int, day: Day) -> None:
    day.later(5)  # the glue was due on the 4th, the short keys are due today
    page = client.get(f"/orders/{order}")
    assert [mark.find_parent("tr").th.text for mark in soup(page).select("td .late")] == ["glue"]  # type: ignore[union-attr]
    assert "Late glue: 3 packs due 2026-03-04" in main(page)
    assert soup(client.get("/orders")).select(".late")


def test_late_orders_stand_first(client: TestClient, store: Store, day: Day) -> None:
    north = supplier(store)
    numbers = [placed(store, north) for _ in range(2)]
    done = placed(store, north)
    client.post(f"/orders/{done}/receive", data={"token": "b" * 32, "all": "yes"})
    day.later(9)
    fresh = placed(store, north)
    shown = [int(tag.text) for tag in soup(client.get("/orders")).select("tbody th a")]
    assert shown == [*numbers[::-1], fresh, done]


def test_tables_and_paper(client: TestClient, order: int) -> None:
    xlsx, csv = (client.get(f"/orders/{order}/table.{ending}") for ending in ("xlsx", "csv"))
    assert xlsx.headers["content-disposition"] == f'attachment; filename="order-{order}.xlsx"'
    assert xlsx.content.startswith(b"PK")
    assert "key 14 × 16" in csv.content.decode("utf-8-sig")
    for paper in ("A4", "Letter"):
        pdf = client.get(f"/orders/{order}/print?paper={paper}")
        assert pdf.content.startswith(b"%PDF")
    assert client.get(f"/orders/{order}/print?paper=A0").status_code == 422
    assert client.get(f"/orders/{order}/table.ods").status_code == 404


@pytest.mark.parametrize("address", ["/orders/99", "/orders/0", "/orders/99/cancel", "/orders/99/print"])
def test_an_order_that_is_not_there(client: TestClient, address: str) -> None:
    assert client.get(address).status_code == 404


def test_a_letter_that_cannot_be_printed_is_named(client: TestClient, store: Store) -> None:
    order = placed(store, supplier(store, "木の店"))
    answer = client.get(f"/orders/{order}/print")
    assert answer.status_code == 422
    assert "U+6728" in main(answer)
    assert client.get(f"/orders/{order}").status_code == 200


@pytest.mark.parametrize(("currency", "total"), [("JPY", "6180 JPY"), ("KWD", "6.180 KWD"), ("EUR", "61.80 EUR")])
def test_money_is_written_as_its_currency_is(client: TestClient, store: Store, currency: str, total: str) -> None:
    order = placed(store, supplier(store, currency=currency), currency=currency)
    assert total in main(client.get(f"/orders/{order}"))
    assert total in main(client.get("/orders"))
