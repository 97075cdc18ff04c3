"""Suppliers and offers over HTTP: typed, changed, dated, withdrawn; what is refused keeps what was typed."""

from __future__ import annotations

from datetime import date
from typing import Any

import pytest

from domain.lengths import Units
from tests.client import TestClient
from tests.webapp.pages.reading import errors, fields, main, soup, summary
from webapp.form.carried import new_token
from webapp.site import urls
from webapp.store import Store
from webapp.store.shop import load_shop, update_shop
from webapp.store.suppliers import list_offers, list_prices, list_suppliers, load_offer, load_supplier

NORTH = {"name": "North", "currency": "EUR", "shipping": "6,90", "minimum_order": "25"}
PACK = {
    "item": "key 14x16",
    "size": "100",
    "price": "12,90",
    "since": "2026-01-02",
    "article": "N-1416",
    "lead_days": "5",
}


def send(client: TestClient, address: str, **typed: str) -> Any:
    return client.post(address, data={"token": new_token(), **typed})


@pytest.fixture
def north(client: TestClient, store: Store) -> Store:
    """A supplier with one offer, both typed in."""
    assert send(client, urls.new_supplier(), **NORTH).headers["location"] == urls.supplier(1)
    assert send(client, urls.new_offer(1), **PACK).headers["location"] == f"{urls.supplier(1)}#offers"
    return store


def test_nobody_yet_leads_on(client: TestClient) -> None:
    links = {str(link["href"]) for link in soup(client.get(urls.suppliers())).select("main a")}
    assert {urls.new_supplier(), urls.import_offers()} <= links


def test_a_supplier_is_kept_as_typed(north: Store) -> None:
    with north.reading() as session:
        terms = load_supplier(session, 1).terms
        offer = load_offer(session, 1, date(2026, 2, 1))
    assert (terms.name, terms.shipping, terms.minimum_order, terms.currency) == ("North", 690, 2500, "EUR")
    assert (offer.item.name, offer.terms.size, offer.terms.article, offer.terms.lead_days) == (
        "key 14 × 16",
        100,
        "N-1416",
        5,
    )
    assert offer.price is not None
    assert (offer.price.minor, offer.price.currency, offer.price.since) == (1290, "EUR", date(2026, 1, 2))


def test_all_of_it_is_shown(client: TestClient, north: Store) -> None:
    page = main(client.get(urls.suppliers())).replace("\xa0", " ")
    assert "North 6.90 EUR 25.00 EUR 1" in page
    assert "key 14 × 16 12.90 EUR 100 pcs North 2026-01-02 N-1416 5 days" in page
    assert fields(client.get(urls.supplier(1)))["shipping"] == "6.90"
    assert fields(client.get(urls.new_offer(1, item="glue")))["item"] == "glue"


@pytest.mark.parametrize(
    ("typed", "places"),
    [
        ({"name": ""}, ["name"]),
        ({"currency": "euro"}, ["currency"]),
        ({"shipping": "dear"}, ["shipping"]),
        ({"shipping": "-1", "minimum_order": "1.999"}, ["shipping", "minimum_order"]),
        ({"shipping": "1000001"}, ["shipping"]),
        ({"name": "N" * 200}, ["name"]),
    ],
)
def test_a_supplier_that_is_refused(
    client: TestClient, store: Store, typed: dict[str, str], places: list[str]
) -> None:
    answer = send(client, urls.new_supplier(), **{**NORTH, **typed})
    assert answer.status_code == 422
    assert list(errors(answer)) == places
    assert {name: fields(answer)[name] for name in typed} == typed
    with store.reading() as session:
        assert list_suppliers(session) == ()


@pytest.mark.parametrize(
    ("typed", "places"),
    [
        ({"item": "screw 4 × 40"}, ["item"]),
        ({"size": "0"}, ["size"]),
        ({"size": "a box"}, ["size"]),
        ({"price": ""}, ["price"]),
        ({"price": "free", "since": "2.1.26"}, ["price", "since"]),
        ({"lead_days": "soon"}, ["lead_days"]),
        ({"lead_days": "1001"}, ["lead_days"]),
        ({"size": "100"}, ["size"]),
    ],
)
def test_an_offer_that_is_refused(
    client: TestClient, north: Store, typed: dict[str, str], places: list[str]
) -> None:
    answer = send(client, urls.new_offer(1), **{**PACK, **typed})
    assert answer.status_code == 422
    assert list(errors(answer)) == places
    assert {name: fields(answer)[name] for name in typed} == typed
    with north.reading() as session:
        assert len(list_offers(session, date(2100, 1, 1))) == 1


def test_a_name_that_is_taken(client: TestClient, north: Store) -> None:
    answer = send(client, urls.new_supplier(), **NORTH)
    assert answer.status_code == 422
    assert "There is a supplier North already" in summary(answer)


def test_two_who_edit_a_supplier(client: TestClient, north: Store) -> None:
    assert send(client, urls.supplier(1), **{**NORTH, "shipping": "7"}, version="1").status_code == 303
    answer = send(client, urls.supplier(1), **{**NORTH, "shipping": "8"}, version="1")
    assert answer.status_code == 409
    assert "Shipping: you have 8, now stored is 7.00" in summary(answer)
    kept = {name: str(value) for name, value in fields(answer).items()}
    assert kept["shipping"] == "8"
    assert client.post(urls.supplier(1), data=kept).status_code == 303


def test_two_who_edit_an_offer(client: TestClient, north: Store) -> None:
    assert send(client, urls.offer(1), article="A", lead_days="6 days", version="1").status_code == 303
    answer = send(client, urls.offer(1), article="B", lead_days="6", version="1")
    assert answer.status_code == 409
    assert "Article number: you have B, now stored is A" in summary(answer)
    assert send(client, urls.offer(1), article="B", lead_days="x", version="2").status_code == 422


def test_a_price_is_added_and_counts_from_its_day(client: TestClient, north: Store) -> None:
    later = {"price": "13.40", "since": "2999-01-01"}
    assert send(client, urls.price_offer(1), **later).headers["location"] == urls.offer(1)
    assert send(client, urls.price_offer(1), price="13", since="2026-02-01").status_code == 303
    with north.reading() as session:
        assert [price.minor for price in list_prices(session, 1)] == [1340, 1300, 1290]
    rows = [" ".join(row.get_text(" ").split()) for row in soup(client.get(urls.offer(1))).select("main tbody tr")]
    assert rows == [
        "2999-01-01 13.40 EUR from later",
        "2026-02-01 13.00 EUR counts today",
        "2026-01-02 12.90 EUR before",
    ]
    assert "13.40 EUR from 2999-01-01" in main(client.get(urls.suppliers()))
    answer = send(client, urls.price_offer(1), price="cheap", since="2026-02-30")
    assert answer.status_code == 422
    assert list(errors(answer)) == ["price", "since"]
    assert fields(answer)["price"] == "cheap"


def test_a_withdrawn_offer_keeps_its_prices_and_can_be_offered_again(client: TestClient, north: Store) -> None:
    assert send(client, urls.withdraw_offer(1), version="1").status_code == 303
    assert "No packs yet" in main(client.get(urls.supplier(1)))
    page = main(client.get(urls.offer(1)))
    assert "Withdrawn" in page
    assert "12.90 EUR" in page
    assert send(client, urls.new_offer(1), **PACK).status_code == 303
    assert "key 14 × 16" in main(client.get(urls.supplier(1)))


def test_each_form_books_once(client: TestClient, north: Store) -> None:
    for address, typed in (
        (urls.new_supplier(), {**NORTH, "name": "South"}),
        (urls.new_offer(1), {**PACK, "size": "250"}),
        (urls.price_offer(1), {"price": "9", "since": "2026-03-01"}),
    ):
        form = {"token": new_token(), **typed}
        assert {client.post(address, data=form).status_code for _ in range(3)} == {303}
    with north.reading() as session:
        assert len(list_suppliers(session)) == 2
        assert len(list_offers(session, date(2100, 1, 1))) == 2
        assert len(list_prices(session, 1)) == 2


# ISO 4217: the yen has no minor unit, the Kuwaiti dinar has three decimals
@pytest.mark.parametrize(
    ("currency", "price", "shown"), [("JPY", "1290", "1290 JPY"), ("KWD", "3,125", "3.125 KWD")]
)
def test_a_shop_that_counts_in_another_currency_and_in_inches(
    client: TestClient, store: Store, currency: str, price: str, shown: str
) -> None:
    with store.writing() as session:
        shop = load_shop(session)
        update_shop(session, shop.version, name="Ours", units=Units.INCH, currency=currency, rules=shop.rules)
    assert fields(client.get(urls.new_supplier()))["currency"] == currency
    send(client, urls.new_supplier(), name="East", currency=currency, shipping=price)
    send(client, urls.new_offer(1), **{**PACK, "price": price})
    page = main(client.get(urls.suppliers()))
    assert page.count(shown) == 2
    assert "key 14 × 16" in page
    assert "not used" not in page


def test_a_supplier_in_a_foreign_currency_is_named_as_not_used(client: TestClient, store: Store) -> None:
    send(client, urls.new_supplier(), name="Abroad", currency="usd", shipping="5")
    send(client, urls.new_offer(1), **PACK)
    assert "sells in USD, so it is not used: the shop counts in EUR" in main(client.get(urls.suppliers()))
    for address in (urls.suppliers(), urls.supplier(1), urls.offer(1), urls.stock_item(1)):
        assert "not used" in main(client.get(address)), address


@pytest.mark.parametrize(
    "address", ["/suppliers/99", "/suppliers/x", "/suppliers/99/offers", "/offers/99", "/offers/x"]
)
def test_what_is_not_there(client: TestClient, north: Store, address: str) -> None:
    assert client.get(address).status_code == 404


def test_the_part_that_htmx_takes_is_the_page_s_own(client: TestClient, north: Store) -> None:
    address = urls.supplier(1)
    typed = {**NORTH, "token": new_token(), "version": "1", "shipping": "dear"}
    whole = client.post(address, data=typed)
    part = client.post(address, data=typed, headers={"HX-Request": "true", "HX-Request-Type": "partial"})
    assert part.headers["HX-Reselect"] == "#main"
    assert without_token(part) == without_token(whole)


def without_token(answer: Any) -> str:
    tag = soup(answer).select_one("[name=token]")
    assert tag is not None
    return str(answer.text).replace(str(tag["value"]), "token")
