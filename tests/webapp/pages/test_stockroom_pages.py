"""The stockroom's pages over HTTP: what is booked is shown, what is refused keeps what was typed."""

from __future__ import annotations

from datetime import UTC, datetime

import pytest
from bs4 import BeautifulSoup

from domain.lengths import Units
from domain.ordering.items import GLUE, Item
from tests.client import TestClient
from tests.webapp.pages.reading import errors, main, soup, summary
from webapp.form.carried import new_token
from webapp.site import urls
from webapp.store import Store
from webapp.store.balances import Balance, balances
from webapp.store.items import create_item
from webapp.store.ledger import PAGE, adjust, receive, reserve
from webapp.store.shop import load_shop, update_shop
from webapp.wording.exact import parse_count

KEY = Item.key("14", 16)
PLUG = Item.plug("walnut", "14", 3)


@pytest.fixture
def shelf(demo_store: Store) -> Store:
    """The demo with three items: 40 keys, of which projects 1 and 2 have reserved 30 and 20; a plug; glue."""
    with demo_store.writing() as session:
        receive(session, KEY, 40, "opening stock")
        reserve(session, 1, {KEY: 30})
        reserve(session, 2, {KEY: 20})
        create_item(session, PLUG)
        create_item(session, GLUE, 500)
    return demo_store


def balance(store: Store, item: Item = KEY) -> Balance:
    with store.reading() as session:
        return next(each for each in balances(session) if each.item == item)


def post(client: TestClient, store: Store, booking: str, **fields: str):  # type: ignore[no-untyped-def]
    """Send one of the item's forms as the page has it, with these fields (by their last word) filled in."""
    page = client.get(urls.stock_item(balance(store).item_id))
    form = soup(page).select_one(f"#book-{booking}")
    assert form is not None
    hidden = {str(tag["name"]): str(tag["value"]) for tag in form.select("input[type=hidden]")}
    typed = {f"{booking}.{name}": text for name, text in fields.items()}
    return client.post(str(form["action"]), data={**hidden, **typed})


def cells(client: TestClient, address: str, row: str) -> list[str]:
    """The cells of the table's row that begins with these words."""
    for tag in soup(client.get(address)).select("main tr"):
        found = [" ".join(cell.get_text(" ").split()) for cell in tag.select("th, td")]
        if found[0].startswith(row):
            return found
    raise AssertionError(f"no row {row!r} at {address}")


# --- the list


def test_an_empty_stockroom_leads_on(client: TestClient, store: Store) -> None:
    page = client.get("/stockroom")
    assert "The catalogue has no key sections yet" in main(page)
    links = {str(link["href"]) for link in soup(page).select("main a")}
    assert {urls.catalogue(), urls.projects(), urls.import_offers()} <= links
    assert "nothing to count" in main(client.get("/stockroom/count"))


def test_the_catalogue_s_sizes_become_items_once(client: TestClient, demo_store: Store) -> None:
    form = {"token": new_token()}
    for _ in range(2):
        assert client.post("/stockroom/from-catalogue", data=form).headers["location"] == "/stockroom"
    with demo_store.reading() as session:
        names = [each.item.name for each in balances(session)]
    # 17 keys in four sections, two plugs for each section, glue
    assert len(names) == 17 + 2 * 4 + 1
    assert names[0] == "key 7 × 8"
    assert names[-1] == "glue"
    assert "sizes of the catalogue" not in main(client.get("/stockroom"))


def test_a_row_says_what_there_is_and_whose_it_is(client: TestClient, shelf: Store) -> None:
    row = cells(client, "/stockroom", "key 14")
    assert row == [
        "key 14 × 16",
        "short 10 pcs",
        "40 pcs",
        "50",
        "30 Hall cabinet 20 Keepsake box",
        "0",
        "",
        "",
    ]
    glue = cells(client, "/stockroom", "glue")
    assert (glue[1], glue[-1]) == ("short 500 g", "500")
    links = {link.text: link["href"] for link in soup(client.get("/stockroom")).select("main td a")}
    assert links == {"Hall cabinet": "/projects/1/stock", "Keepsake box": "/projects/2/stock"}


@pytest.mark.parametrize(
    ("show", "names"),
    [
        ("", ["key 14 × 16", "plug walnut 14 × 3", "glue"]),
        ("plug", ["plug walnut 14 × 3"]),
        ("short", ["key 14 × 16", "glue"]),
        ("nonsense", []),
    ],
)
def test_items_of_one_sort(client: TestClient, shelf: Store, show: str, names: list[str]) -> None:
    page = client.get(urls.stockroom(show=show))
    assert [tag.text for tag in soup(page).select("main tbody th[scope=row]")] == names


def test_names_stay_in_millimetres_in_an_inch_shop(client: TestClient, shelf: Store) -> None:
    with shelf.writing() as session:
        shop = load_shop(session)
        update_shop(session, shop.version, name="Ours", units=Units.INCH, currency="USD", rules=shop.rules)
    assert "key 14 × 16" in main(client.get("/stockroom"))


# --- one item


def test_every_booking_arrives_and_is_told(client: TestClient, shelf: Store) -> None:
    for booking, fields, on_hand, words in (
        ("received", {"quantity": "12 pcs", "note": "a gift"}, 52, "Received, +12 pcs"),
        ("used", {"quantity": "2", "project": "1"}, 50, "Used, −2 pcs, for Hall cabinet"),
        ("used", {"quantity": "3"}, 47, "Adjusted, −3 pcs"),
        ("counted", {"quantity": "45"}, 45, "Counted 45, −2 pcs"),
        ("counted", {"quantity": "45"}, 45, "Counted 45, as expected"),
        ("adjusted", {"quantity": "-5", "note": "wet"}, 40, "Adjusted, −5 pcs"),
    ):
        answer = post(client, shelf, booking, **fields)
        assert answer.status_code == 303, main(answer)
        assert balance(shelf).on_hand == on_hand
        assert words in " ".join(main(client.get(answer.headers["location"])).split())
    assert balance(shelf).claims[1].reserved == 28
    assert post(client, shelf, "minimum", quantity="25").status_code == 303
    assert balance(shelf).minimum_stock == 25
    assert "used for no project" in main(client.get(urls.stock_item(1)))


@pytest.mark.parametrize(
    ("booking", "fields", "status", "place", "words"),
    [
        ("received", {"quantity": "a few"}, 422, "received-quantity", "not a whole number"),
        ("received", {"quantity": ""}, 422, "received-quantity", "needs a whole number"),
        ("received", {"quantity": "0"}, 422, "received-quantity", "must not be 0"),
        ("received", {"quantity": "1000001"}, 422, "received-quantity", "from 1 to 1 000 000"),
        ("used", {"quantity": "41", "project": "1"}, 409, "used-quantity", "there are 40 pcs of key 14 × 16"),
        ("used", {"quantity": "41"}, 409, "used-quantity", "41 pcs cannot be taken"),
        ("used", {"quantity": "1", "project": "x"}, 422, "used-project", "choose a project"),
        ("adjusted", {"quantity": "-41", "note": "gone"}, 409, "adjusted-quantity", "there are 40 pcs"),
        ("adjusted", {"quantity": "-4"}, 422, "adjusted-note", "say why"),
        ("counted", {"quantity": "-1"}, 422, "counted-quantity", "not a whole number"),
        ("minimum", {"quantity": "1.5"}, 422, "minimum-quantity", "not a whole number"),
    ],
)
def test_a_refusal_stands_at_its_field_and_keeps_what_was_typed(
    client: TestClient,
    shelf: Store,
    booking: str,
    fields: dict[str, str],
    status: int,
    place: str,
    words: str,
) -> None:
    before = balance(shelf)
    answer = post(client, shelf, booking, **fields)
    assert answer.status_code == status
    assert list(errors(answer)) == [place]
    assert words in errors(answer)[place]
    assert words in summary(answer) or words[0].upper() + words[1:] in summary(answer)
    field = soup(answer).select_one(f"#f-{booking}-quantity")
    assert field is not None
    assert field["value"] == fields["quantity"]
    assert balance(shelf) == before


def test_a_count_that_was_overtaken_is_told_and_counted_again(client: TestClient, shelf: Store) -> None:
    page = client.get(urls.stock_item(1))
    form = soup(page).select_one("#book-counted")
    assert form is not None
    hidden = {str(tag["name"]): str(tag["value"]) for tag in form.select("input[type=hidden]")}
    with shelf.writing() as session:
        adjust(session, KEY, -1, "dropped")
    answer = client.post("/stockroom/items/1/counted", data={**hidden, "counted.quantity": "40"})
    assert answer.status_code == 409
    assert "there should be 39 pcs now" in errors(answer)["counted-quantity"]
    again = soup(answer).select_one("#book-counted")
    assert again is not None
    sent = {str(tag["name"]): str(tag.get("value", "")) for tag in again.select("input")}
    assert sent["counted.quantity"] == "40"
    assert client.post("/stockroom/items/1/counted", data=sent).status_code == 303
    assert balance(shelf).on_hand == 40


def test_two_minimum_stocks_at_once(client: TestClient, shelf: Store) -> None:
    for token, text, status in ((new_token(), "10", 303), (new_token(), "20", 409)):
        answer = client.post(
            "/stockroom/items/1/minimum", data={"token": token, "version": "1", "minimum.quantity": text}
        )
        assert answer.status_code == status
    assert "Keep at least: you have 20, now stored is 10" in summary(answer)


def test_a_form_sent_five_times_books_once(client: TestClient, shelf: Store) -> None:
    form = {"token": new_token(), "received.quantity": "7"}
    places = {client.post("/stockroom/items/1/received", data=form).headers["location"] for _ in range(5)}
    assert len(places) == 1
    assert balance(shelf).on_hand == 47


def test_using_what_another_has_reserved_says_who_is_short(client: TestClient, shelf: Store) -> None:
    answer = post(client, shelf, "used", quantity="25", project="2")
    page = main(client.get(answer.headers["location"]))
    # 20 were reserved by project 2 itself, so 30 stay reserved by project 1 and 15 are there
    assert "15 pcs are short for Hall cabinet" in page.replace("\xa0", " ")


def ledger_rows(page: BeautifulSoup) -> list[list[str]]:
    return [
        [" ".join(cell.text.split()) for cell in row.select("td, th")] for row in page.select(".ledger tbody tr")
    ]


def test_the_ledger_has_a_running_balance_and_pages(client: TestClient, shelf: Store) -> None:
    with shelf.writing() as session:
        for _ in range(PAGE):
            receive(session, KEY, 1)
    first = soup(client.get(urls.stock_item(1)))
    rows = ledger_rows(first)
    assert len(rows) == PAGE
    assert [row[3] for row in rows[:3]] == ["140 pcs", "139 pcs", "138 pcs"]
    older = first.select_one("a:-soup-contains('Older entries')")
    assert older is not None
    rows = ledger_rows(soup(client.get(str(older["href"]))))
    assert [(row[1], row[2], row[3], row[4], row[5]) for row in rows] == [
        ("Reserved", "", "40 pcs", "+20", "Keepsake box"),
        ("Reserved", "", "40 pcs", "+30", "Hall cabinet"),
        ("Received", "+40", "40 pcs", "", ""),
    ]


@pytest.mark.parametrize("address", ["/stockroom/items/99", "/stockroom/count/99", "/stockroom/items/x"])
def test_an_item_that_is_not_there(client: TestClient, shelf: Store, address: str) -> None:
    assert client.get(address).status_code == 404


def test_a_booking_that_is_none(client: TestClient, shelf: Store) -> None:
    assert client.post("/stockroom/items/1/stolen", data={"token": new_token()}).status_code == 404


# --- the stock count


def count(client: TestClient, item_id: int, text: str):  # type: ignore[no-untyped-def]
    form = soup(client.get(urls.count_item(item_id))).select_one(".count-form")
    assert form is not None
    hidden = {str(tag["name"]): str(tag["value"]) for tag in form.select("input[type=hidden]")}
    return client.post(urls.count_item(item_id), data={**hidden, "counted.quantity": text})


def test_a_count_is_not_led_and_says_afterwards_what_differed(client: TestClient, shelf: Store) -> None:
    page = client.get("/stockroom/count/1")
    field = soup(page).select_one("#f-counted-quantity")
    assert field is not None
    assert field["value"] == ""
    assert "40" not in main(page)
    answer = count(client, 1, "37")
    assert answer.headers["location"].startswith("/stockroom/count/2?")
    told = main(client.get(answer.headers["location"])).replace("\xa0", " ")
    assert "key 14 × 16: 37 pcs, saved. 40 were expected: 3 fewer." in told
    assert "1 of 3 counted today" in told


def test_a_count_goes_round_and_is_taken_up_where_it_was_left(client: TestClient, shelf: Store) -> None:
    assert count(client, 2, "5").headers["location"].startswith("/stockroom/count/3?")
    assert count(client, 3, "800").headers["location"].startswith("/stockroom/count/1?")
    assert "Go on with key 14 × 16" in main(client.get("/stockroom/count"))
    last = count(client, 1, "40").headers["location"]
    assert last.startswith("/stockroom/count?")
    told = main(client.get(last))
    assert "3 of 3 counted today" in told
    assert "As expected" in told
    assert "Everything was counted today" in told


def test_yesterday_s_count_is_yesterday_s(tmp_path, client: TestClient, shelf: Store) -> None:  # type: ignore[no-untyped-def]
    count(client, 1, "40")
    later = Store.open(tmp_path / "shop.db", clock=lambda: datetime(2100, 1, 2, 12, tzinfo=UTC))
    client.app.state.store = later  # type: ignore[attr-defined]
    assert "0 of 3 counted today" in main(client.get("/stockroom/count"))
    later.close()


@pytest.mark.parametrize(("text", "status"), [("", 422), ("many", 422)])
def test_a_count_that_is_none_stays_in_the_field(client: TestClient, shelf: Store, text: str, status: int) -> None:
    answer = count(client, 1, text)
    assert answer.status_code == status
    assert "whole number" in errors(answer)["counted-quantity"]
    field = soup(answer).select_one("#f-counted-quantity")
    assert field is not None
    assert field["value"] == text


def test_an_item_booked_while_it_was_counted(client: TestClient, shelf: Store) -> None:
    stale = {"token": new_token(), "version": "0", "counted.quantity": "40"}
    answer = client.post("/stockroom/count/1", data=stale)
    assert answer.status_code == 409
    assert "there should be 40 pcs now" in errors(answer)["counted-quantity"]
    fields = {str(tag["name"]): str(tag.get("value", "")) for tag in soup(answer).select(".count-form input")}
    assert fields["counted.quantity"] == "40"
    assert client.post("/stockroom/count/1", data=fields).status_code == 303


def test_the_packs_on_offer_are_steps_of_the_count(client: TestClient, shelf: Store) -> None:
    client.post("/suppliers/new", data={"token": new_token(), "name": "North", "currency": "EUR"})
    offer = {"token": new_token(), "item": KEY.name, "size": "100", "price": "9", "since": "2020-01-01"}
    assert client.post("/suppliers/1/offers", data=offer).status_code == 303
    steps = [tag["data-step"] for tag in soup(client.get("/stockroom/count/1")).select("[data-step]")]
    assert steps == ["-10", "-1", "1", "10", "100"]


@pytest.mark.parametrize(
    ("text", "number"), [("12", 12), ("1 200 pcs", 1200), ("750 g", 750), ("−3", -3), ("+4", 4), (" 0 ", 0)]
)
def test_whole_numbers_as_people_write_them(text: str, number: int) -> None:
    assert parse_count(text, signed=True) == number


@pytest.mark.parametrize("text", ["", "1.5", "1,5", "1e3", "--1", "²", "1" * 10])
def test_what_is_no_whole_number(text: str) -> None:
    with pytest.raises(ValueError, match="whole number"):
        parse_count(text, signed=True)


# max(0, reserved + minimum − on hand − on order), by hand
@pytest.mark.parametrize(
    ("minimum", "on_hand", "on_order", "short"), [(0, 0, 0, 0), (50, 20, 0, 30), (50, 20, 40, 0), (0, 9, 9, 0)]
)
def test_what_is_short(minimum: int, on_hand: int, on_order: int, short: int) -> None:
    assert Balance(1, 1, KEY, minimum, on_hand, on_order, {}, 0).short == short
