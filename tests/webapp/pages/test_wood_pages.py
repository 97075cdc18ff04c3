"""Wood in the stockroom's pages: put in by its sizes, booked in its own units, offered out and in as CSV."""

from __future__ import annotations

from datetime import date

import pytest
from httpx import Response

from domain.lengths import Units
from domain.ordering.items import Item
from tests.client import TestClient
from tests.factories import a_frame, stored
from tests.webapp.pages.reading import errors, main, soup
from webapp.site import urls
from webapp.store import Store
from webapp.store.balances import balances
from webapp.store.ledger import receive
from webapp.store.shop import load_shop, update_shop
from webapp.store.stock_values import SupplierTerms
from webapp.store.suppliers import create_supplier, list_offers

BAR = {"kind": "bar", "material": "plum", "thickness": "22", "width": "52", "length": "1950"}
BOARD = Item.board("ash", 27)


def send(client: TestClient, page: str, form: str = "main form", **typed: str) -> Response:
    """Fill in the page's form, over what stands in it, and send it."""
    tag = soup(client.get(page)).select_one(form)
    assert tag is not None
    hidden = {str(each["name"]): str(each["value"]) for each in tag.select("input[type=hidden]")}
    answer: Response = client.post(str(tag["action"]), data={**hidden, **typed})
    return answer


def on_hand(store: Store) -> dict[str, int]:
    with store.reading() as session:
        return {each.item.name: each.on_hand for each in balances(session) if each.item.is_wood}


def in_inches(store: Store) -> None:
    with store.writing() as session:
        shop = load_shop(session)
        update_shop(session, shop.version, name="Ours", units=Units.INCH, currency="USD", rules=shop.rules)


@pytest.mark.parametrize(
    ("typed", "name", "count"),
    [
        ({**BAR, "quantity": "3"}, "bar plum 52 × 22 × 1950", 3),
        ({**BAR, "width": "22", "thickness": "52"}, "bar plum 52 × 22 × 1950", 0),
        ({**BAR, "kind": "sheet", "material": " birch  plywood "}, "sheet birch plywood 22 × 1950 × 52", 0),
        ({"kind": "board", "material": "ash", "thickness": "27", "quantity": "0,12 m³"}, "board ash 27", 120_000),
        ({"kind": "board", "material": "ash", "thickness": "27", "quantity": "5 bd ft"}, "board ash 27", 11_799),
        (
            {"kind": "strip", "material": "ash", "thickness": "15", "width": "30", "quantity": "12.5 m"},
            "strip ash 30 × 15",
            12_500,
        ),
    ],
)
def test_wood_is_put_in_by_its_sizes(
    client: TestClient, store: Store, typed: dict[str, str], name: str, count: int
) -> None:
    answer = send(client, urls.new_wood(), **typed)
    assert answer.status_code == 303, main(answer)
    assert on_hand(store) == {name: count}
    page = client.get(answer.headers["location"])
    assert name in main(page)
    assert ("Received, +" in main(page)) == bool(count)


@pytest.mark.parametrize(
    ("typed", "place", "words"),
    [
        ({**BAR, "length": ""}, "length", "needs a length"),
        ({**BAR, "kind": "strip"}, "length", "leave it empty"),
        ({**BAR, "kind": "board", "length": ""}, "width", "leave it empty"),
        ({**BAR, "kind": "screw"}, "kind", "choose"),
        ({**BAR, "material": ""}, "material", "say which wood"),
        ({**BAR, "material": "plum 9 × 4"}, "material", "without sizes"),
        ({**BAR, "material": "plum 4 x"}, "material", "without sizes"),
        ({**BAR, "thickness": "0"}, "thickness", "more than 0"),
        ({**BAR, "quantity": "0.5 m³"}, "quantity", "whole number"),
        ({**BAR, "quantity": "2000000"}, "quantity", "1 000 000"),
    ],
)
def test_what_is_no_wood_is_told_at_its_field(
    client: TestClient, store: Store, typed: dict[str, str], place: str, words: str
) -> None:
    answer = send(client, urls.new_wood(), **typed)
    assert answer.status_code == 422
    assert words in errors(answer)[place]
    assert on_hand(store) == {}


def test_an_inch_shop_types_inches_and_sees_board_feet(client: TestClient, store: Store) -> None:
    in_inches(store)
    typed = {"kind": "board", "material": "ash", "thickness": "1 1/8", "quantity": "100 bd ft"}
    page = client.get(send(client, urls.new_wood(), **typed).headers["location"])
    # 100 × 2359.737216 cm³, kept in whole cm³
    assert on_hand(store) == {"board ash 28.575": 235_974}
    assert "On hand 100 bd ft" in " ".join(main(page).split())


def test_volumes_are_booked_in_any_unit_and_shown_in_cubic_metres(client: TestClient, store: Store) -> None:
    with store.writing() as session:
        receive(session, BOARD, 250_000)
    for booking, quantity, left in (
        ("received", "0.1 m³", 350_000),
        ("used", "50000", 300_000),
        ("counted", "0,29 m3", 290_000),
        ("adjusted", "-0.04 m³", 250_000),
    ):
        texts = {f"{booking}.quantity": quantity, f"{booking}.note": "wet", f"{booking}.project": ""}
        answer = send(client, urls.stock_item(1), f"#book-{booking}", **texts)
        assert answer.status_code == 303, main(answer)
        assert on_hand(store) == {"board ash 27": left}
    page = " ".join(main(client.get(urls.stock_item(1))).split())
    assert "On hand 0.25 m³" in page
    assert "−0.04" in page
    row = " ".join(main(client.get(urls.stockroom(show="board"))).split())
    assert "Boards, ash board ash 27 0.25 m³" in row
    count = send(client, urls.count_item(1), **{"counted.quantity": "0.26 m³"})
    assert count.status_code == 303
    assert "0.26 m³, saved" in " ".join(main(client.get(count.headers["location"])).split())


def test_offers_of_wood_go_out_and_come_in_the_same(client: TestClient, store: Store) -> None:
    send(client, urls.new_supplier(), name="Fenwick", currency="EUR", shipping="0", minimum_order="0")
    for item, size, price in (
        ("bar plum 52 x 22 x 1950", "1", "9.35"),
        ("sheet birch plywood 18 × 2440 × 1220", "5", "231.00"),
        ("board ash 27", "1000000", "1190.00"),
        ("strip ash 30 × 15", "2400", "4.10"),
    ):
        answer = send(client, urls.new_offer(1), item=item, size=size, price=price, since="2026-01-02")
        assert answer.status_code == 303, main(answer)
    exported = client.get(urls.export_offers()).content
    preview = client.post(urls.import_offers(), files={"file": ("offers.csv", exported, "text/csv")})
    assert "4 say nothing new" in " ".join(main(preview).split())
    assert "1 m³" in main(client.get(urls.suppliers()))


def test_an_inch_shop_offers_orders_and_costs_boards_by_the_board_foot(client: TestClient, store: Store) -> None:
    in_inches(store)
    with store.writing() as session:
        supplier = create_supplier(session, SupplierTerms(name="Fenwick", currency="USD"))
        project = stored(session, a_frame(material="ash"), name="One", units="in")
    page = urls.new_offer(supplier)
    terms = {"item": "board ash 27", "price": "210", "since": "2026-01-01"}
    assert "needs" in main(send(client, page, **terms, size="a stack"))
    answer = send(client, page, **terms, size="25 bd ft")
    assert answer.status_code == 303, main(answer)
    # 25 · 2359.737216 cm³, kept in whole cm³
    assert balances_of_offers(store) == {"board ash 27": 58_993}
    for address in (urls.costs(project), urls.new_order(project=project), urls.supplier(supplier)):
        words = main(client.get(address))
        assert "25 bd ft" in words, address
        assert "m³" not in words, address
    # 210 for 25
    assert "8.40 a bd ft" in main(client.get(urls.costs(project)))


def balances_of_offers(store: Store) -> dict[str, int]:
    with store.reading() as session:
        return {offer.item.name: offer.terms.size for offer in list_offers(session, date(2026, 1, 2))}
