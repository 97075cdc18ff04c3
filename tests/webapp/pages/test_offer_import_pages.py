"""Offers out and in as CSV: what is exported comes back the same, and nothing is taken that was not shown."""

from __future__ import annotations

import csv
import io
import time
from datetime import date
from typing import Any

import pytest

from domain.ordering.items import GLUE, Item
from domain.problems import BadInput
from tests.client import TestClient
from tests.webapp.pages.reading import fields, main, soup, summary
from tests.webapp.tables.exports_samples import ATTACKS
from webapp.form.carried import new_token
from webapp.site import urls
from webapp.store import Store
from webapp.store.items import list_items
from webapp.store.shop import load_shop, update_shop
from webapp.store.stock_values import OfferTerms, Price, SupplierTerms
from webapp.store.suppliers import (
    add_price,
    create_offer,
    create_supplier,
    list_offers,
    list_prices,
    list_suppliers,
    withdraw_offer,
)
from webapp.usecases.offer_file import Column
from webapp.usecases.offer_import import preview_offers

HEAD = "item,supplier,pack size,price,currency,price since,article number,lead days,minimum stock\n"
GOOD = (
    HEAD
    + "key 14 × 16,North,100,12.90,EUR,2026-01-02,N-1416,5,50\n"
    + "key 14 × 16,North,250,29.00,EUR,2026-01-02,N-1416L,5,\n"
    + "glue,South & Sons,750,9,EUR,2026-01-02,,,\n"
)


def look(client: TestClient, text: str) -> Any:
    return client.post(urls.import_offers(), files={"document": (None, text)})


def confirm(client: TestClient, preview: Any, **changes: str) -> Any:
    form = {**fields(preview), **changes}
    return client.post(urls.confirm_offers(), files={name: (None, value) for name, value in form.items()})


def take(client: TestClient, text: str) -> None:
    answer = confirm(client, look(client, text))
    assert (answer.status_code, answer.headers.get("location")) == (303, urls.suppliers()), main(answer)


def offers(store: Store) -> list[tuple[str, str, int, str, int, str]]:
    with store.reading() as session:
        return [
            (
                offer.item.name,
                offer.supplier,
                offer.terms.size,
                offer.terms.article,
                offer.terms.lead_days,
                f"{offer.price.minor} {offer.price.currency} {offer.price.since}" if offer.price else "",
            )
            for offer in list_offers(session, date(2100, 1, 1))
        ]


def changes(client: TestClient, text: str) -> list[list[str]]:
    """What the preview says of each line."""
    rows = soup(look(client, text)).select("main tbody tr")
    return [[" ".join(span.text.split()) for span in row.select(".claim")] for row in rows]


def test_a_look_says_what_each_line_would_do_and_stores_nothing(client: TestClient, store: Store) -> None:
    page = look(client, GOOD)
    assert page.status_code == 200
    assert changes(client, GOOD) == [
        [
            "new supplier: North",
            "new item: key 14 × 16",
            "new offer: 12.90 EUR from 2026-01-02",
            "minimum stock: 0 → 50",
        ],
        ["new offer: 29.00 EUR from 2026-01-02"],
        ["new supplier: South & Sons", "new item: glue", "new offer: 9.00 EUR from 2026-01-02"],
    ]
    assert "Take all 3 lines" in main(page)
    assert offers(store) == []
    with store.reading() as session:
        assert list_items(session) == ()
        assert list_suppliers(session) == ()


def test_what_was_shown_is_taken_once(client: TestClient, store: Store) -> None:
    page = look(client, GOOD)
    for _ in range(3):
        assert confirm(client, page).status_code == 303
    assert offers(store) == [
        ("key 14 × 16", "North", 100, "N-1416", 5, "1290 EUR 2026-01-02"),
        ("key 14 × 16", "North", 250, "N-1416L", 5, "2900 EUR 2026-01-02"),
        ("glue", "South & Sons", 750, "", 0, "900 EUR 2026-01-02"),
    ]
    with store.reading() as session:
        assert {each.item: each.minimum_stock for each in list_items(session)} == {
            Item.key("14", 16): 50,
            GLUE: 0,
        }


def test_the_same_file_again_has_nothing_to_take(client: TestClient) -> None:
    take(client, GOOD)
    page = look(client, GOOD)
    assert "3 say nothing new" in main(page)
    assert soup(page).select("main button") == []


def test_an_export_reads_back_the_same(client: TestClient, store: Store) -> None:
    take(client, GOOD)
    answer = client.get(urls.export_offers())
    assert answer.headers["content-type"].startswith("text/csv")
    assert answer.headers["content-disposition"] == 'attachment; filename="offers.csv"'
    rows = list(csv.reader(io.StringIO(answer.content.decode("utf-8-sig"), newline="")))
    assert rows[0] == list(Column)
    assert rows[1] == ["key 14 × 16", "North", "100", "12.90", "EUR", "2026-01-02", "N-1416", "5", "50"]
    page = client.post(urls.import_offers(), files={"file": ("offers.csv", answer.content)})
    assert "All of it stands already" in main(page)


def test_a_changed_price_is_added_and_the_old_one_stays(client: TestClient, store: Store) -> None:
    take(client, GOOD)
    newer = "item;supplier;pack size;price;price since\nkey 14x16;North;100;13,40;2026-05-01\n"
    assert changes(client, newer) == [["new price: 12.90 EUR → 13.40 EUR from 2026-05-01"]]
    take(client, newer)
    with store.reading() as session:
        assert [(price.minor, price.since.isoformat()) for price in list_prices(session, 1)] == [
            (1340, "2026-05-01"),
            (1290, "2026-01-02"),
        ]
    # what the file does not say stays as it was
    assert offers(store)[0] == ("key 14 × 16", "North", 100, "N-1416", 5, "1340 EUR 2026-05-01")


def test_terms_minimum_stock_and_a_withdrawn_offer(client: TestClient, store: Store) -> None:
    take(client, GOOD)
    with store.writing() as session:
        withdraw_offer(session, 3, 1)
    text = HEAD + "key 14 × 16,North,100,12.90,,2026-01-02,N-new,9,60\nglue,South & Sons,750,9,,2026-01-02,,4,\n"
    assert changes(client, text) == [
        ["article number: N-1416 → N-new", "lead time: 5 days → 9 days", "minimum stock: 50 → 60"],
        ["offer that can be had again: pack of 750", "lead time: 0 days → 4 days"],
    ]
    take(client, text)
    assert offers(store)[0][3:5] == ("N-new", 9)
    assert offers(store)[2] == ("glue", "South & Sons", 750, "", 4, "900 EUR 2026-01-02")
    with store.reading() as session:
        assert len(list_prices(session, 3)) == 1


def test_bad_lines_are_named_and_the_good_ones_may_be_taken(client: TestClient, store: Store) -> None:
    text = GOOD + "screw,North,0,free,EUR,31.1.26,,soon,\nkey 7 × 8,North,50\n"
    page = look(client, text)
    words = main(page)
    assert "3 lines can be taken, 2 lines cannot" in words
    for place in ("line 5, item", "line 5, pack size", "line 5, price", "line 5, lead days", "line 6, price"):
        assert place in words
    assert "Take the 3 good lines, leave the rest" in words
    assert confirm(client, page).status_code == 303
    assert len(offers(store)) == 3


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("", "choose a CSV file"),
        ("name,cost\nkey,1\n", "line 1: 'name'"),
        ('item,supplier,pack size,price\n"key', "this is no CSV"),
    ],
)
def test_what_is_no_such_file_is_kept_in_the_field(client: TestClient, text: str, words: str) -> None:
    answer = look(client, text)
    assert answer.status_code == 422
    assert words in summary(answer)
    assert fields(answer)["document"] == text.strip()


def test_only_bad_lines_can_not_be_taken(client: TestClient) -> None:
    page = look(client, HEAD + "screw,North,1,1,,,,,\n")
    assert "Mend the lines" in main(page)
    assert soup(page).select("main button") == []


@pytest.mark.parametrize(("price", "words"), [("1000001", "line 2, "), ("9999999999999", "line 2, price")])
def test_a_price_beyond_all_bounds_is_a_bad_line(client: TestClient, price: str, words: str) -> None:
    page = look(client, HEAD + f"glue,North,1,{price},,,,,\n")
    assert page.status_code == 200
    assert words in main(page)


def test_a_catalogue_that_moved_is_shown_anew_and_nothing_is_taken(client: TestClient, store: Store) -> None:
    page = look(client, GOOD)
    take(client, HEAD + "key 14 × 16,North,100,11,EUR,2026-01-02,,,\n")
    answer = confirm(client, page)
    assert answer.status_code == 409
    assert "Changed meanwhile" in summary(answer)
    assert "11.00 EUR → 12.90 EUR" in main(answer)
    assert len(offers(store)) == 1
    assert confirm(client, answer).status_code == 303
    assert len(offers(store)) == 3


def test_a_file_that_was_tampered_with_is_not_what_was_shown(client: TestClient, store: Store) -> None:
    page = look(client, GOOD)
    answer = confirm(client, page, document=GOOD.replace("12.90", "1.29"))
    assert answer.status_code == 409
    assert offers(store) == []
    assert confirm(client, page, token="x").status_code == 422
    assert offers(store) == []


# ISO 4217: the yen has no minor unit, the Kuwaiti dinar has three decimals
@pytest.mark.parametrize(("currency", "price", "minor"), [("JPY", "1290", 1290), ("KWD", "3.125", 3125)])
def test_a_shop_that_counts_in_another_currency(
    client: TestClient, store: Store, currency: str, price: str, minor: int
) -> None:
    with store.writing() as session:
        shop = load_shop(session)
        update_shop(session, shop.version, name="Ours", units=shop.units, currency=currency, rules=shop.rules)
    text = f"item,supplier,pack size,price,price since\nglue,North,750,{price},2026-01-02\n"
    take(client, text)
    assert offers(store)[0][5] == f"{minor} {currency} 2026-01-02"
    exported = client.get(urls.export_offers()).content
    assert f'"{price}","{currency}"' in exported.decode("utf-8-sig")
    page = client.post(urls.import_offers(), files={"file": ("offers.csv", exported)})
    assert "All of it stands already" in main(page)


def test_a_price_in_a_foreign_currency_is_kept_and_named_as_not_used(client: TestClient, store: Store) -> None:
    text = HEAD + "glue,Abroad,750,9,USD,2026-01-02,,,\n"
    page = look(client, text)
    assert "1 line has its price in another currency than EUR" in main(page)
    take(client, text)
    assert offers(store)[0][5] == "900 USD 2026-01-02"
    for address in (urls.suppliers(), urls.supplier(1), urls.offer(1), urls.stock_item(1)):
        assert "the shop counts in EUR" in main(client.get(address)), address


def test_attack_cells_go_out_harmless_and_come_back_as_they_were(client: TestClient, store: Store) -> None:
    """What a spreadsheet would run (OWASP, "CSV Injection") in suppliers' names and article numbers."""
    kept: list[str] = []
    with store.writing() as session:
        for index, words in enumerate(ATTACKS):
            article = " ".join(words.split())[:60].strip()
            try:
                terms = OfferTerms(size=index + 1, article=article)
                supplier = SupplierTerms(name=f"{article} {index}", currency="EUR")
            except ValueError:
                continue  # what no form takes either: nothing, or a control character
            number = create_offer(session, GLUE, create_supplier(session, supplier), terms)
            add_price(session, number, Price(minor=100, currency="EUR", since=date(2026, 1, 2)))
            kept.append(article)
    assert len(kept) > 40
    exported = client.get(urls.export_offers()).content
    for row in csv.reader(io.StringIO(exported.decode("utf-8-sig"), newline="")):
        assert not any(cell[:1] in {"=", "+", "-", "@", "＝", "＋"} for cell in row), row
    page = client.post(urls.import_offers(), files={"file": ("offers.csv", exported)})
    assert page.status_code == 200
    assert "All of it stands already" in main(page)
    assert f"{len(kept)} say nothing new" in main(page)


def test_a_thousand_lines_are_taken_in_reasonable_time(client: TestClient, store: Store) -> None:
    rows = "".join(
        f"key {section} × {length},North,{size},1,,2026-01-{1 + size % 28:02d},,,\n"
        for section in range(1, 11)
        for length in range(1, 11)
        for size in range(1, 11)
    )
    begin = time.perf_counter()
    take(client, HEAD + rows)
    page = look(client, HEAD + rows)
    # generous, for a shared machine
    assert time.perf_counter() - begin < 60
    assert "1000 say nothing new" in main(page)


def test_too_long_a_file(store: Store) -> None:
    with pytest.raises(BadInput):
        preview_offers(store, b"x" * 2_000_001)


def test_without_a_token_nothing_is_taken(client: TestClient, store: Store) -> None:
    assert confirm(client, look(client, GOOD), token=new_token()).status_code == 303
    assert len(offers(store)) == 3
