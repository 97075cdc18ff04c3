"""A new order: chosen, explained, placed exactly as shown, and placed once more later."""

from __future__ import annotations

import json
from copy import copy
from datetime import date
from pathlib import Path

import pytest
from bs4 import Tag
from httpx import Response

from domain.ordering.items import GLUE, Item
from domain.spec.job import Stage
from tests.client import TestClient
from tests.factories import a_frame, stored
from tests.terminal import dovetally
from tests.webapp.pages.order_samples import KEY, LONG, Day, demo_offers, keep, new_price, offer, placed, supplier
from tests.webapp.pages.reading import fields, main, soup
from webapp.store import Store, ledger
from webapp.store.balances import balances
from webapp.store.items import list_items
from webapp.store.orders import list_orders, load_order
from webapp.store.projects import list_projects
from webapp.store.stages import set_stage
from webapp.store.suppliers import list_offers, list_suppliers, load_offer, withdraw_offer
from webapp.usecases.ordering import order_plan

ALL = "/orders/new?project=1&project=2&project=3"


@pytest.fixture
def store(demo_by_day: Store) -> Store:
    demo_offers(demo_by_day)
    return demo_by_day


Sent = dict[str, str | list[str]]


def placing(page: Response) -> Sent:
    """The fields of the form that places what the page shows."""
    form = next(form for form in soup(page).select("form") if form.select("[name=plan]"))
    found: Sent = {"project": [str(tag["value"]) for tag in form.select("[name=project]")]}
    return found | {str(tag["name"]): str(tag["value"]) for tag in form.select("input:not([name=project])")}


def lines(page: Tag) -> list[list[str]]:
    return [
        [" ".join(cell.text.split()) for cell in row.select("th, td")]
        for row in page.select(".to-supplier tbody tr")
    ]


def test_the_demos_three_projects_by_hand(client: TestClient) -> None:
    """The figures are worked by hand in tests/domain/test_ordering_demo.py."""
    page = client.get(ALL)
    assert page.status_code == 200
    words = main(page)
    assert "1 order together 71.25 EUR Goods 66.35 EUR Shipping 4.90 EUR" in words
    bought = {(row[0], row[1], row[2], row[6]) for row in lines(soup(page))}
    assert bought == {
        ("glue", "1", "250 g", "4.80 EUR"),
        ("key 10 × 16", "1", "50 pcs", "5.50 EUR"),
        ("key 14 × 16", "1", "100 pcs", "12.60 EUR"),
        ("key 14 × 22", "1", "50 pcs", "7.70 EUR"),
        ("key 14 × 60", "1", "50 pcs", "14.85 EUR"),
        ("key 7 × 18", "1", "50 pcs", "5.50 EUR"),
        ("key 7 × 28", "1", "50 pcs", "7.15 EUR"),
        ("key 7 × 8", "1", "50 pcs", "3.85 EUR"),
        ("plug walnut 14 × 3", "1", "20 pcs", "4.40 EUR"),
    }
    assert "key 14 × 16 68 used + 2 tests + 4 spare = 74 pcs short 100 pcs bought, 26 left over" in words
    assert "glue 26 used = 26 g short 250 g bought, 224 left over" in words


def test_the_command_line_answers_the_same(client: TestClient, store: Store, tmp_path: Path) -> None:
    keep(store, KEY, on_hand=20, minimum=50)
    answer = client.get("/orders/new/request.json?project=1&project=2&project=3")
    file = tmp_path / "request.json"
    file.write_bytes(answer.content)
    run = dovetally("order", str(file), "--json")
    assert run.returncode == 0, run.stderr
    found = json.loads(run.stdout)
    page = soup(client.get(ALL))
    shown = {(row[0], int(row[1]), int(row[2].split()[0]), row[6]) for row in lines(page)}
    assert shown == {
        (line["item"], line["packs"], line["size"], f"{line['price'] / 100:.2f} EUR") for line in found["lines"]
    }
    assert f"{found['total'] / 100:.2f} EUR" in page.select(".totals dd")[0].text
    short = {item["item"]: item["short"] for item in found["items"]}
    assert short["key 14 × 16"] == 74 + 50 - 20


def test_ticking_a_project_brings_what_the_whole_page_shows(client: TestClient) -> None:
    for address in ("/orders/new", "/orders/new?project=2", ALL):
        whole = copy(soup(client.get(address)).select_one("#plan"))
        part = copy(soup(client.get(address, headers={"HX-Request": "true", "HX-Request-Type": "partial"})))
        assert whole is not None
        for tag in (*whole.select("[name=token]"), *part.select("[name=token]")):
            tag.decompose()
        assert whole.decode_contents().split() == part.decode().split()


def test_without_a_project_the_stock_is_filled_up(client: TestClient, store: Store) -> None:
    assert "Nothing is asked for" in main(client.get("/orders/new"))
    keep(store, KEY, on_hand=30, minimum=50)
    words = main(client.get("/orders/new"))
    assert "50 minimum stock − 30 on hand = 20 pcs short" in words
    keep(store, KEY, on_hand=20)
    assert "Nothing needs to be bought" in main(client.get("/orders/new"))


def test_what_is_reserved_for_others_is_bought_too(client: TestClient, store: Store) -> None:
    with store.writing() as session:
        head = next(head for head in list_projects(session) if head.id == 1)
        set_stage(session, 1, head.version, Stage.GOING_AHEAD)
        ledger.reserve(session, 1, {KEY: 54})
    words = main(client.get("/orders/new?project=3"))
    assert "54 reserved for others" in words
    assert "reserved for others" not in main(client.get("/orders/new?project=1"))


def test_what_was_used_already_is_not_bought_again(client: TestClient, store: Store) -> None:
    keep(store, KEY, on_hand=30)
    with store.writing() as session:
        ledger.use(session, 1, KEY, 30)
    assert "40 used + 1 test + 2 spare − 30 used already = 13 pcs short" in main(
        client.get("/orders/new?project=1")
    )
    keep(store, KEY, on_hand=1_000)
    with store.writing() as session:
        ledger.use(session, 1, KEY, 900)  # more than it ever needed: nothing is short, nothing is negative
    assert "− 43 used already − 100 on hand → nothing short" in main(client.get("/orders/new?project=1"))


def test_shared_set_ups_are_tested_once_and_said(client: TestClient, store: Store) -> None:
    with store.writing() as session:
        one, two = (stored(session, a_frame(), name=name) for name in ("One", "Two"))
    words = main(client.get(f"/orders/new?project={one}&project={two}"))
    assert "saved by sharing tests)" in words


def test_placed_exactly_as_shown_and_once(client: TestClient, store: Store) -> None:
    sent = placing(client.get(ALL))
    for _ in range(2):
        assert client.post("/orders", data=sent).headers["location"] == "/orders/1"
    with store.reading() as session:
        (order,) = [order for order in list_orders(session) if order.cancelled_at is None]
    assert (order.supplier, order.total) == ("Marram Fittings", 7125)
    assert set(order.projects) == {1, 2, 3}
    assert {line.item.name for line in order.lines} >= {"key 14 × 16", "glue", "plug walnut 14 × 3"}
    # all of it is on order now: the same question has no answer to place
    assert "Nothing needs to be bought" in main(client.get(ALL))


@pytest.mark.parametrize("what", ["price", "stock", "project", "order"])
def test_what_moved_meanwhile_is_not_placed(client: TestClient, store: Store, what: str) -> None:
    sent = placing(client.get(ALL))
    with store.writing() as session:
        if what == "stock":
            ledger.receive(session, KEY, 7)
        elif what == "project":
            head = next(head for head in list_projects(session) if head.id == 3)
            set_stage(session, 3, head.version, Stage.BUILT)
    if what == "price":
        with store.reading() as session:
            sold = next(o for o in list_offers(session, date(2026, 3, 2)) if o.item == KEY and o.terms.size == 100)
        new_price(store, sold.id, 1999, date(2026, 3, 2))
    elif what == "order":
        with store.reading() as session:
            north = list_suppliers(session)[0].id
        placed(store, north)
    answer = client.post("/orders", data=sent)
    assert answer.status_code == 409
    words = main(answer)
    said = {"price": "prices or offers", "stock": "the stock", "project": "projects", "order": "other orders"}[
        what
    ]
    assert f"Since this page was opened, {said}" in words
    with store.reading() as session:
        assert len([order for order in list_orders(session) if order.projects]) == 0
    again = placing(answer)
    assert again["plan"] != sent["plan"]
    assert client.post("/orders", data=again).status_code == 303


def test_what_has_nothing_to_do_with_it_does_not_stand_in_the_way(client: TestClient, store: Store) -> None:
    sent = placing(client.get(ALL))
    with store.writing() as session:
        stored(session, a_frame(), name="Something else")
    assert client.post("/orders", data=sent).status_code == 303


def test_a_new_day_with_new_prices_is_another_plan(client: TestClient, store: Store, day: Day) -> None:
    with store.reading() as session:
        sold = next(o for o in list_offers(session, date(2026, 3, 2)) if o.item == KEY and o.terms.size == 100)
    new_price(store, sold.id, 1999, date(2026, 3, 4))
    sent = placing(client.get(ALL))
    assert "12.60 EUR" in main(client.get(ALL))
    day.later(2)
    answer = client.post("/orders", data=sent)
    assert answer.status_code == 409
    assert "another day has begun" in main(answer)


def test_nothing_to_order_is_refused(client: TestClient) -> None:
    answer = client.post("/orders", data={"token": "c" * 32, "plan": "", "seen": "{"})
    assert answer.status_code == 422
    assert (
        client.post("/orders", data={"token": "c" * 32, "plan": "x", "seen": "[1]", "project": "1"}).status_code
        == 409
    )
    assert client.post("/orders", data={"token": "short"}).status_code == 422


def test_offers_that_cannot_be_used_are_named(client: TestClient, store: Store) -> None:
    abroad = supplier(store, "Overseas", currency="USD")
    offer(store, abroad, KEY, 100, 1, currency="USD")
    near = supplier(store, "Near")
    offer(store, near, LONG, 100, None)
    words = main(client.get(ALL))
    assert "key 14 × 16, 100 pcs from Overseas: priced in USD; orders are in EUR" in words
    assert "key 14 × 38, 100 pcs from Near: no price today" in words
    assert "71.25 EUR" in words


def test_what_nobody_sells_is_named_and_stops_nothing(client: TestClient, store: Store) -> None:
    keep(store, Item.key("99", 40), minimum=5)
    page = client.get(ALL)
    assert "key 99 × 40 , 5 pcs short: no pack of it is offered" in main(page)
    assert "71.25 EUR" in main(page)


def test_projects_that_are_gone_or_built_are_left_out(client: TestClient, store: Store) -> None:
    with store.writing() as session:
        head = next(head for head in list_projects(session) if head.id == 2)
        set_stage(session, 2, head.version, Stage.BUILT)
    page = client.get("/orders/new?project=2&project=77")
    assert "Projects 2, 77: built already, put away, or deleted" in main(page)
    assert not soup(page).select("#choose input[value='2']")
    assert client.get("/orders/new?project=x").status_code == 422


def test_an_assembly_that_clashes_is_named(client: TestClient, store: Store) -> None:
    with store.writing() as session:
        number = stored(session, a_frame(stock={"width": 400, "thickness": 20}), name="Clash")
    assert "the sizes of A clash" in main(client.get(f"/orders/new?project={number}"))


@pytest.mark.parametrize(("currency", "total"), [("JPY", "4270 JPY"), ("KWD", "4.270 KWD")])
def test_shops_of_other_currencies(
    tmp_path: Path, client: TestClient, store: Store, currency: str, total: str
) -> None:
    from webapp.store.shop import load_shop, update_shop

    with store.writing() as session:
        shop = load_shop(session)
        update_shop(session, shop.version, name=shop.name, units=shop.units, currency=currency, rules=shop.rules)
    north = supplier(store, "North", currency=currency, shipping=690, minimum_order=2500)
    offer(store, north, KEY, 100, 1790, currency=currency)
    keep(store, KEY, minimum=150)
    # by hand: 2 × 17.90 + 6.90
    assert total in main(client.get("/orders/new"))
    sent = placing(client.get("/orders/new"))
    assert client.post("/orders", data=sent).status_code == 303
    assert total in main(client.get("/orders"))


def test_an_earlier_order_at_todays_prices(client: TestClient, store: Store, day: Day) -> None:
    north = supplier(store, "North", shipping=590, minimum_order=9000)
    short, long = offer(store, north, KEY, 100, 1290, article="N-1416"), offer(store, north, LONG, 50, 990)
    offer(store, north, GLUE, 500, 700)
    number = placed(store, north, 1)
    new_price(store, short, 1400, date(2026, 3, 10))
    with store.writing() as session:
        withdraw_offer(session, long, load_offer(session, long, date(2026, 3, 2)).version)
    day.later(30)
    page = client.get(f"/orders/{number}/repeat")
    words = main(page)
    assert "key 14 × 16 2 100 pcs 12.90 EUR 14.00 EUR dearer 28.00 EUR" in words
    assert "key 14 × 38 in packs of 50 pcs is offered no longer" in words
    # by hand: 28.00 + 3 × 7.00 = 49.00, and 5.90 shipping
    assert "61.80 EUR 54.90 EUR" in words
    assert "The goods come to 49.00 EUR; North sends from 90.00 EUR on" in words
    sent = placing(client.get(f"/orders/{number}/repeat"))
    new_price(store, short, 1500, date(2026, 3, 12))
    refused = client.post(f"/orders/{number}/repeat", data=sent)
    assert refused.status_code == 409
    assert "Not placed" in main(refused)
    sent = placing(client.get(f"/orders/{number}/repeat"))
    for _ in range(2):
        assert client.post(f"/orders/{number}/repeat", data=sent).headers["location"] == f"/orders/{number + 1}"
    with store.reading() as session:
        again = load_order(session, number + 1)
    assert [(line.item, line.packs, line.pack_price) for line in again.lines] == [(KEY, 2, 1500), (GLUE, 3, 700)]
    assert set(again.projects) == {1}


def test_an_order_of_which_nothing_is_offered_cannot_be_repeated(client: TestClient, store: Store) -> None:
    number = placed(store, supplier(store, "North"))
    page = client.get(f"/orders/{number}/repeat")
    assert "Nothing of it can be bought from North today" in main(page)
    assert client.post(f"/orders/{number}/repeat", data={"token": "d" * 32}).status_code == 422
    assert client.get("/orders/99/repeat").status_code == 404


def test_the_whole_path(client: TestClient, store: Store) -> None:
    """From projects to the shelf: the plan, placed, received, and then nothing is short."""
    (number,) = {int(client.post("/orders", data=placing(client.get(ALL))).headers["location"].rsplit("/")[-1])}
    receiving = fields(client.get(f"/orders/{number}")) | {"all": "yes"}
    assert client.post(f"/orders/{number}/receive", data=receiving).status_code == 303
    plan = order_plan(store, [1, 2, 3])
    assert plan.order.lines == ()
    with store.reading() as session:
        held = {balance.item: balance.on_hand for balance in balances(session)}
        assert len(list_items(session)) >= 9
    assert held[KEY] == 100


def test_other_ways_are_weighed_when_asked_for(client: TestClient, store: Store) -> None:
    page = client.get("/orders/new/instead?project=1&project=2&project=3")
    words = main(page)
    # by hand: nobody but Marram sells all of it
    assert "Marram Fittings not everything could be bought" in words
    part = client.get("/orders/new/instead?project=1", headers={"HX-Request": "true"})
    assert "<html" not in part.text
    assert "Other ways" in part.text


def test_a_length_as_a_stack_of_others(client: TestClient, store: Store) -> None:
    """By hand: 14 × 38 has 22 + 16 = 38 in its place; no hold is lost."""
    north = supplier(store, "North")
    with store.writing() as session:
        for sold in list_offers(session, date(2026, 3, 2)):
            withdraw_offer(session, sold.id, sold.version)
    keep(store, LONG, minimum=10)
    offer(store, north, LONG, 10, 9_000)
    offer(store, north, Item.key("14", 22), 50, 400)
    offer(store, north, KEY, 50, 300)
    words = main(client.get("/orders/new/instead"))
    assert "key 14 × 38 key 14 × 22 and key 14 × 16 0 mm 7.00 EUR 83.00 EUR" in words
