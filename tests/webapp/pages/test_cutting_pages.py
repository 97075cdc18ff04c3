"""The cutting plan in the browser: drawn, typed, booked; and the same on every face."""

from __future__ import annotations

import csv
import io
import json
import re
from datetime import date
from typing import Any

import pytest

from domain.lengths import Length
from domain.ordering.items import Item
from tests.client import TestClient
from tests.factories import a_frame, a_project
from tests.webapp.pages.reading import main, soup
from tests.webapp.pages.sent_form_samples import form_on, post, with_texts
from tests.webapp.papers.paper_samples import text_of
from webapp.form.fields import Plain
from webapp.form.stock_lines import read_stock_lines, stock_lines
from webapp.site import urls
from webapp.store import Store, ledger
from webapp.store.balances import balances
from webapp.store.projects import create_project, load_project, update_stock
from webapp.store.stock_values import OfferTerms, Price, SupplierTerms
from webapp.store.suppliers import add_price, create_offer, create_supplier

ITEM = "ash 45 × 20"
STOCK = [
    {
        "item": ITEM,
        "trim": 6,
        "least_offcut": 200,
        "stock": [{"length": 2400, "price": 1130}, {"length": 980, "count": 2}],
    }
]
FRAME = a_frame(material="ash", quantity=2)


def made(store: Store, **fields: Any) -> int:
    with store.writing() as session:
        return create_project(session, a_project(FRAME, **fields))


def on_shelf(store: Store) -> dict[str, int]:
    with store.reading() as session:
        return {balance.item.name: balance.on_hand for balance in balances(session) if balance.item.is_wood}


def received(store: Store, *bars: tuple[float, int]) -> None:
    with store.writing() as session:
        for length, count in bars:
            ledger.receive(session, Item.bar("ash", 45, 20, length), count)


def test_the_plan_of_a_project_by_hand(client: TestClient, store: Store) -> None:
    number = made(store, stock=STOCK)
    page = client.get(urls.cutting(number))
    # 4 × 400 + 4 × 300 and kerfs of 3.2: two of them fit an offcut's 968, so one bar's 2388 is left to buy
    assert "Wood to buy for this plan: 11.30 EUR" in main(page)
    assert "2 bars, 11.30 EUR: proven to be the least." in main(page)
    assert len(soup(page).select("figure svg")) == 2
    assert f'href="{urls.draft(number, "cutting")}"' in page.text


def test_page_paper_tables_and_json_say_the_same(client: TestClient, store: Store) -> None:
    for units in ("mm", "in"):
        number = made(store, stock=STOCK, units=units, name=f"In {units}")
        page = main(client.get(urls.cutting(number)))
        paper = text_of(client.get(urls.draft(number, "cutting")).content)
        body = client.get(urls.cutting_table("csv", project=number)).content.decode("utf-8-sig")
        rows = list(csv.DictReader(io.StringIO(body)))
        exported = json.loads(client.get(urls.export(number)).text)
        told = client.post("/api/cutting", json=exported | {"currency": "EUR"}).json()["bars"][0]
        bars = [row for row in rows if row["How many"]]
        assert [(float(row["How many"]), row["Pieces in order"]) for row in bars] == [
            (bar["times"], ", ".join(mark if n == 1 else f"{mark} × {n}" for mark, n in bar["pieces"]))
            for bar in told["plan"]
        ]
        for row in bars:
            assert row["Pieces in order"] in page
            assert row["Pieces in order"] in re.sub(r"\s+", " ", paper)
        said = next(row["Notes"] for row in rows if "proven" in row["Notes"])
        assert said in page
        assert said in re.sub(r"\s+", " ", paper)


def test_a_wood_without_stock_and_a_part_too_long(client: TestClient, store: Store) -> None:
    bare = made(store)
    assert f"There is no stock of {ITEM}: give the lengths or sheets that it is cut from; 8 wait." in main(
        client.get(urls.cutting(bare))
    )
    short = made(store, stock=[{"stock": [{"length": 350}]}], name="Short stock")
    page = main(client.get(urls.cutting(short)))
    assert "A1, 4 off, cannot be cut: no stock is long enough; the shortest that would do is 400 mm." in page
    assert "4 bars: proven to be the least." in page


def test_several_projects_are_cut_together(client: TestClient, store: Store) -> None:
    one, other = made(store, stock=STOCK), made(store, stock=STOCK, name="Other room")
    page = client.get(urls.cutting_together(project=[one, other]))
    assert "1 A1" in main(page)
    assert "2 A1" in main(page)
    assert not soup(page).select(f'form[action="{urls.book_cut(one)}"]')
    assert client.get(urls.cutting_together()).status_code == 200


def test_what_a_wood_is_cut_from_is_typed(client: TestClient, store: Store) -> None:
    number = made(store)
    address = urls.cutting_stock(number)
    form = client.get(urls.cutting_stock(number, item=ITEM))
    typed = {"stock": "2400 at 11.30\n980, 2 on hand", "trim": "6", "least_offcut": "200"}
    answer = post(client, address, with_texts(form_on(form, address), typed))
    assert (answer.status_code, answer.headers["location"]) == (303, urls.cutting(number))
    with store.reading() as session:
        (wood,) = load_project(session, number).project.stock or ()
    assert [(each.length.mm, each.price, each.count) for each in wood.stock] == [
        (2400, 1130, None),
        (980, None, 2),
    ]
    assert (wood.item, wood.trim, wood.least_offcut) == (ITEM, Length.from_mm(6), Length.from_mm(200))
    # shown again as it can be typed; taken back by emptying it
    again = client.get(urls.cutting_stock(number, item=ITEM))
    assert dict(form_on(again, address))["stock"] == "2400 at 11.30\n980, 2 on hand"
    emptied = with_texts(form_on(again, address), {"stock": "", "trim": "", "least_offcut": "", "nested": ""})
    assert post(client, address, emptied).status_code == 303
    with store.reading() as session:
        assert not load_project(session, number).project.stock


@pytest.mark.parametrize(
    ("line", "why"),
    [
        ("wide", "not a length"),
        ("2400 at cheap", "price"),
        ("2400 × 1200", "needs one length"),
        ("0", "must be more than 0"),
        ("900, 0 on hand", "on hand must be 1"),
    ],
)
def test_a_line_that_is_none_is_named_and_nothing_is_lost(
    client: TestClient, store: Store, line: str, why: str
) -> None:
    number = made(store)
    address = urls.cutting_stock(number)
    form = form_on(client.get(urls.cutting_stock(number, item=ITEM)), address)
    answer = post(client, address, with_texts(form, {"stock": f"2400 at 11.30\n{line}"}))
    assert answer.status_code == 422
    said = main(answer)
    assert f"ine 2, “{line}”" in said
    assert why in said
    assert dict(form_on(answer, address))["stock"] == f"2400 at 11.30\n{line}"


def test_a_wood_that_the_project_has_not(client: TestClient, store: Store) -> None:
    number = made(store)
    assert client.get(urls.cutting_stock(number, item="teak 10 × 10")).status_code == 404


def test_lines_read_back_to_the_same_stock() -> None:
    for text, sheets in (
        ("96 1/2 in at 14.50, 3 on hand\n2400\n880 at 7", False),
        ("2440 × 1220 at 61.00\n700 × 300, 4 on hand", True),
    ):
        for plain in (Plain(currency="EUR"),):
            stock = [*read_stock_lines(text, plain, sheets=sheets)]
            assert [*read_stock_lines(stock_lines(stock, plain), plain, sheets=sheets)] == stock


KEEP = [{"item": ITEM, "trim": 6, "least_offcut": 200}]


def test_booked_as_cut_the_bars_leave_and_the_offcut_comes_back(client: TestClient, store: Store) -> None:
    number = made(store, stock=KEEP)
    received(store, (2400, 3))
    page = client.get(urls.cutting(number))
    # all eight and their kerfs are 2822.4: two bars of 2388 between the trims
    assert "From the stockroom: 2 × bar ash 45 × 20 × 2400." in main(page)
    answer = post(client, urls.book_cut(number), form_on(page, urls.book_cut(number)))
    assert answer.status_code == 303
    shelf = on_shelf(store)
    assert shelf["bar ash 45 × 20 × 2400"] == 1
    offcuts = {name: count for name, count in shelf.items() if not name.endswith("2400")}
    kept = re.search(r"Put back as offcuts: (.+?)\.", main(page))
    assert kept
    assert sorted(f"{count} × {name}" for name, count in offcuts.items()) == sorted(kept[1].split(", "))
    assert all(float(name.split(" × ")[-1]) >= 200 for name in offcuts)
    assert "Booked for this project already: 2 × bar ash 45 × 20 × 2400." in main(client.get(urls.cutting(number)))


def test_sent_twice_it_is_booked_once(client: TestClient, store: Store) -> None:
    number = made(store, stock=KEEP)
    received(store, (2400, 5))
    form = form_on(client.get(urls.cutting(number)), urls.book_cut(number))
    first, second = (post(client, urls.book_cut(number), form) for _ in range(2))
    assert first.headers["location"] == second.headers["location"]
    assert on_shelf(store)["bar ash 45 × 20 × 2400"] == 3


def test_a_plan_that_is_no_longer_so_is_refused_with_what_changed(client: TestClient, store: Store) -> None:
    number = made(store, stock=KEEP)
    received(store, (2400, 3))
    form = form_on(client.get(urls.cutting(number)), urls.book_cut(number))
    received(store, (1500, 1))
    before = on_shelf(store)
    answer = post(client, urls.book_cut(number), form)
    assert answer.status_code == 409
    assert f"Nothing was booked. What {ITEM} is cut from has changed." in main(answer)
    with store.writing() as session:
        project = load_project(session, number)
        from webapp.store.assemblies import update_assembly

        spec = project.assemblies[0]
        update_assembly(session, spec.id, spec.version, spec.spec.model_copy(update={"quantity": 3}))
    answer = post(client, urls.book_cut(number), form)
    assert f"The pieces of {ITEM} have changed." in main(answer)
    assert on_shelf(store) == before


def test_short_stock_is_cut_as_far_as_it_goes(client: TestClient, store: Store) -> None:
    number = made(store, stock=KEEP)
    received(store, (2400, 1))
    page = client.get(urls.cutting(number))
    assert "no stock that is long enough is left over for it" in main(page)
    answer = post(client, urls.book_cut(number), form_on(page, urls.book_cut(number)))
    assert answer.status_code == 303
    assert on_shelf(store)["bar ash 45 × 20 × 2400"] == 0


def test_what_the_plan_buys_must_have_come(client: TestClient, store: Store) -> None:
    number = made(store, stock=KEEP)
    bar = Item.bar("ash", 45, 20, 2400)
    with store.writing() as session:
        yard = create_supplier(session, SupplierTerms(name="Yard", currency="EUR"))
        offered = create_offer(session, bar, yard, OfferTerms(size=1))
        add_price(session, offered, Price(minor=1240, currency="EUR", since=date(2026, 1, 5)))
    received(store, (2400, 1))
    page = client.get(urls.cutting(number))
    assert "2 bars, 12.40 EUR: proven to be the least." in main(page)
    answer = post(client, urls.book_cut(number), form_on(page, urls.book_cut(number)))
    assert answer.status_code == 409
    assert "There are 1 pcs of bar ash 45 × 20 × 2400 on hand, so 2 pcs cannot be taken." in main(answer)
    assert "What the plan buys has to be booked in before it is booked as cut." in main(answer)
    assert on_shelf(store) == {"bar ash 45 × 20 × 2400": 1}
    received(store, (2400, 1))
    page = client.get(urls.cutting(number))
    assert post(client, urls.book_cut(number), form_on(page, urls.book_cut(number))).status_code == 303


def test_a_projects_own_wood_is_not_the_stockrooms(client: TestClient, store: Store) -> None:
    number = made(store, stock=STOCK)
    received(store, (2400, 3))
    page = client.get(urls.cutting(number))
    assert not soup(page).select(f'form[action="{urls.book_cut(number)}"]')
    with store.writing() as session:
        update_stock(session, number, load_project(session, number).head.version, None)
    assert soup(client.get(urls.cutting(number))).select(f'form[action="{urls.book_cut(number)}"]')
