"""The page Timber: what the demo's wood measures, in what form it is bought, and what it costs."""

from __future__ import annotations

import csv
import io
from datetime import date
from typing import Any

import pytest
from pypdf import PdfReader

from domain.lengths import Units
from domain.ordering.items import Item
from tests.client import TestClient
from tests.factories import a_frame, stored
from tests.webapp.pages.reading import main, soup
from webapp.site import urls
from webapp.store import Store, ledger
from webapp.store.shop import load_shop, update_shop
from webapp.store.stock_values import OfferTerms, Price, SupplierTerms
from webapp.store.suppliers import add_price, create_offer, create_supplier
from webapp.usecases.costs import project_costs
from webapp.usecases.ordering import order_plan
from webapp.usecases.project_stock import project_stock


def offer(store: Store, item: Item, size: int, price: int) -> None:
    with store.writing() as session:
        number = create_offer(session, item, 1, OfferTerms(size=size))
        add_price(session, number, Price(minor=price, currency="EUR", since=date(2026, 1, 1)))


def rows(client: TestClient, address: str) -> dict[str, list[str]]:
    """The table's rows by their wood."""
    found = {}
    for row in soup(client.get(address)).select("#timber-to-buy tbody tr"):
        cells = [" ".join(cell.get_text(" ").split()) for cell in row.select("th, td")]
        found[cells[0]] = cells[1:]
    return found


@pytest.fixture
def shop(store: Store) -> Store:
    """A shop with a project of one frame and a supplier."""
    with store.writing() as session:
        stored(session, a_frame(), name="One")
        create_supplier(session, SupplierTerms(name="Fenwick", currency="EUR"))
    return store


ASH: dict[str, Any] = {"material": "ash", "stock": {"width": 45, "thickness": 20}}
LONG, SHORT, BOARD = Item.bar("ash", 45, 20, 1650), Item.bar("ash", 45, 20, 720), Item.board("Ash", 27)


@pytest.fixture
def ash(store: Store) -> Store:
    """A shop with a frame of ash, 400 × 300 of 45 × 20, in two projects, and a supplier."""
    with store.writing() as session:
        for name in ("One", "Two"):
            stored(session, a_frame(**ASH), name=name)
        create_supplier(session, SupplierTerms(name="Fenwick", currency="EUR"))
    return store


def test_wood_that_nobody_sells_is_measured_and_named(client: TestClient, shop: Store) -> None:
    # 2 · 400 + 2 · 300 = 1400 mm; · 45 · 20 = 1260 cm³; · 1.15 = 1449 cm³ = 0.614 bd ft
    assert rows(client, urls.timber(1)) == {
        "wood 45 × 20": [
            "4",
            "1.40",
            "0.0013",
            "0.0014",
            "0.61",
            "",
            "nothing kept or offered to cut it from",
            "",
            "no price",
        ]
    }
    page = " ".join(main(client.get(urls.timber(1))).split())
    assert "Without a price, and not in the sum: wood 45 × 20." in page
    assert "Waste: 15 %." in page


def test_bars_of_the_plan_at_their_price(client: TestClient, ash: Store) -> None:
    offer(ash, LONG, 1, 1275)
    with ash.writing() as session:
        ledger.receive(session, SHORT, 4)
    # 1400 and three kerfs out of one bar; what lies there is not taken off
    assert rows(client, urls.timber(1))["ash 45 × 20"][-3:] == ["1 × bar ash 45 × 20 × 1650", "", "12.75 EUR"]
    both = client.get(urls.timber_together(project=[1, 2]))
    assert "2 × bar ash 45 × 20 × 1650" in " ".join(main(both).split())
    assert "25.50 EUR" in main(both)


def test_boards_of_the_material_with_waste(client: TestClient, ash: Store) -> None:
    offer(ash, BOARD, 10_000, 1190)
    # 140 · 4.5 · 2.7 · 1.15 = 1956.15 cm³ at 0.119 a cm³ = 232.8 minor units
    row = rows(client, urls.timber(1, width="100"))["ash 45 × 20"]
    # strips of 45 and a kerf of 3.2: two in a board of 100, 1400 · 1.15 / 2 = 805 mm
    assert row[-3:] == ["0.001957 m³ of board Ash 27", "0.80 m", "2.33 EUR"]
    assert rows(client, urls.timber(1, width="40"))["ash 45 × 20"][-2] == "wider than 40 mm"


@pytest.mark.parametrize(
    ("width", "words"), [("wide", "needs a length"), ("0", "more than 0"), ("-3", "more than 0")]
)
def test_a_mean_width_that_is_none_is_told(client: TestClient, ash: Store, width: str, words: str) -> None:
    answer = client.get(urls.timber(1, width=width))
    assert answer.status_code == 200
    assert words in main(answer)
    assert soup(answer).select_one("#mean-width")["value"] == width  # type: ignore[index]


def test_the_table_has_the_figures_as_numbers(client: TestClient, ash: Store) -> None:
    offer(ash, BOARD, 10_000, 1190)
    text = client.get(urls.timber_table("csv", project=[1, 2])).text.removeprefix("\ufeff")
    (row,) = csv.DictReader(io.StringIO(text))
    assert (row["Wood"], row["Pieces"], row["Net (m³)"]) == ("ash 45 × 20", "8", "0.00252")
    assert float(row["With waste (bd ft)"]) == pytest.approx(2 * 1449 / 2359.737216, abs=1e-6)
    assert float(row["Price (EUR)"]) == 4.66
    assert client.get(urls.timber_table("xlsx", project=1)).status_code == 200
    assert client.get(urls.timber_table("pdf", project=1)).status_code == 404
    assert client.get(urls.timber_table("csv")).status_code == 404


# --- the order, the costs, the stock ---------------------------------------------------------------


def test_a_shop_without_wood_orders_and_reckons_as_ever(ash: Store) -> None:
    assert not [each for each in order_plan(ash, [1, 2]).items if each.item.is_wood]
    assert "Wood" not in {part.name for part in project_costs(ash, 1).costs.parts}
    assert not [line for line in project_stock(ash, 1).lines if line.item.is_wood]


def test_the_order_buys_what_the_plan_takes_and_is_not_there(ash: Store) -> None:
    def wood() -> dict[Item, tuple[int, int, int]]:
        return {each.item: (each.used, each.on_hand, each.short) for each in order_plan(ash, [1, 2]).items}

    offer(ash, LONG, 1, 1275)
    with ash.writing() as session:
        ledger.receive(session, LONG, 1)
    # a frame of 1400 mm and its kerfs out of one length each: one lies there
    assert wood()[LONG] == (2, 1, 1)
    assert LONG.name in {line.pack.item for line in order_plan(ash, [1, 2]).order.lines}
    with ash.writing() as session:
        ledger.receive(session, SHORT, 2)
    # 400 and 300 with a kerf lie in 720: two offcuts make the second frame
    assert (wood()[LONG], wood()[SHORT]) == ((1, 1, 0), (2, 2, 0))
    assert LONG.name not in {line.pack.item for line in order_plan(ash, [1, 2]).order.lines}


def test_boards_are_ordered_in_whole_packs(ash: Store) -> None:
    offer(ash, BOARD, 1_000, 130)
    offer(ash, BOARD, 10_000, 1190)
    plan = order_plan(ash, [1])
    (wood,) = [each for each in plan.items if each.item.is_wood]
    assert (wood.item, wood.used) == (BOARD, 1957)
    assert [(line.pack.size, line.packs) for line in plan.order.lines if line.pack.item == BOARD.name] == [
        (1_000, 2)
    ]


def test_the_costs_have_the_wood_beside_keys_and_glue(client: TestClient, ash: Store) -> None:
    offer(ash, BOARD, 10_000, 1190)
    costs = project_costs(ash, 1)
    (part,) = [part for part in costs.costs.parts if part.name == "Wood"]
    # 1957 cm³ at 0.119
    assert [(line.item, line.quantity, line.cost) for line in part.lines] == [("board Ash 27", 1957, 233)]
    assert costs.costs.total == sum(each.cost for each in costs.costs.parts)
    page = " ".join(main(client.get(urls.costs(1))).split())
    assert "board Ash 27 0.001957 m³ 1190.00 a m³ Fenwick, 11.90 EUR for 0.01 m³ 2.33 EUR" in page


def test_wood_that_a_shop_with_wood_cannot_get_is_named(client: TestClient, ash: Store) -> None:
    offer(ash, Item.board("oak", 27), 10_000, 1190)
    assert project_costs(ash, 1).woodless == ("ash 45 × 20",)
    order = " ".join(main(client.get(urls.new_order(project=1))).split())
    assert "No wood is kept or offered for ash 45 × 20: not in this order." in order


def test_a_project_that_goes_ahead_reserves_its_wood(client: TestClient, ash: Store) -> None:
    with ash.writing() as session:
        ledger.receive(session, LONG, 3)
    stock = project_stock(ash, 1)
    assert {line.item: line.needs for line in stock.lines if line.item.is_wood} == {LONG: 1}
    with ash.writing() as session:
        ledger.reserve(session, 1, stock.needs)
        ledger.use(session, 1, LONG, 1)
    # carried out, it needs what it needed
    assert project_stock(ash, 1).needs == stock.needs
    assert main(client.get(urls.project_stock(1)))


def test_what_is_reserved_is_what_was_shown(client: TestClient, ash: Store) -> None:
    """An offcut that comes in meanwhile changes the plan: the page is shown again, and nothing is reserved."""
    offer(ash, LONG, 1, 1275)
    form = soup(client.get(urls.project_stock(1))).select_one(f"form[action='{urls.go_ahead(1)}']")
    assert form is not None
    typed = {str(each["name"]): str(each["value"]) for each in form.select("input[type=hidden]")}
    with ash.writing() as session:
        ledger.receive(session, SHORT, 2)
    assert client.post(urls.go_ahead(1), data=typed).status_code == 409
    assert {line.claim.reserved for line in project_stock(ash, 1).lines} == {0}


def test_wood_that_a_project_names_itself_is_no_item_of_the_shop(client: TestClient, store: Store) -> None:
    own = [{"item": "ash 45 × 20", "stock": [{"length": 950, "price": 640}]}]
    with store.writing() as session:
        stored(session, a_frame(**ASH), name="One", stock=own)
        create_supplier(session, SupplierTerms(name="Fenwick", currency="EUR"))
    offer(store, LONG, 1, 1275)
    # 400 and 300 with a kerf lie in 950, twice
    row = rows(client, urls.timber(1))["ash 45 × 20"]
    assert row[-3:] == ["2 lengths or sheets of the project’s own stock", "", "12.80 EUR"]
    assert not [each for each in order_plan(store, [1]).items if each.item.is_wood]
    assert project_costs(store, 1).woodless == ()


def printed(client: TestClient, address: str) -> tuple[str, float]:
    """A paper's text with its spaces folded, and its width in points."""
    answer = client.get(address)
    assert (answer.status_code, answer.headers["content-type"]) == (200, "application/pdf")
    pages = PdfReader(io.BytesIO(answer.content)).pages
    text = " ".join(" ".join(page.extract_text() for page in pages).split())
    return text, float(pages[0].mediabox.width)


def test_the_wood_is_printed_with_the_page_s_own_words(client: TestClient, ash: Store) -> None:
    offer(ash, BOARD, 10_000, 9000)
    for page, paper in (
        (urls.timber(1, width="160"), urls.timber_paper(project=1, width="160")),
        (urls.timber_together(project=[1, 2]), urls.timber_paper(project=[1, 2])),
    ):
        shown = soup(client.get(page))
        assert [link.text for link in shown.select(f"a[href='{paper.replace('&', '&')}']")] == ["PDF"]
        text, width = printed(client, paper)
        assert width == pytest.approx(595.28, abs=0.1)  # ISO 216: 210 mm
        for item, cells in rows(client, page).items():
            assert item in text
            assert [cell for cell in cells if cell.replace("\xa0", " ") not in text] == []
        heads = [" ".join(head.text.split()) for head in shown.select("#timber-to-buy thead th")]
        named = [head for head in heads if head != "Boards" or "width=" in page]
        assert [head for head in named if head not in text] == []
    assert client.get(urls.timber_paper()).status_code == 404
    assert client.get(urls.timber_paper(project=1, paper="A3")).status_code == 422


def test_an_inch_project_is_told_in_feet_and_no_metric_volume(client: TestClient, store: Store) -> None:
    with store.writing() as session:
        shop = load_shop(session)
        update_shop(session, shop.version, name="Ours", units=Units.INCH, currency="USD", rules=shop.rules)
        number = stored(session, a_frame(**ASH), name="One", units="in")
    # 2 · 400 + 2 · 300 = 1400 mm; · 45 · 20 = 1260 cm³ = 0.534 bd ft; · 1.15 = 1449 cm³ = 0.614 bd ft = 0.0512 ft³
    page = soup(client.get(urls.timber(number)))
    heads = [" ".join(head.text.split()) for head in page.select("#timber-to-buy thead th")]
    assert heads[2:7] == ["Length, ft", "Net, bd ft", "With waste, bd ft", "With waste, ft³", "Faces, ft²"]
    (cells,) = rows(client, urls.timber(number)).values()
    assert cells[1:4] == ["4.59", "0.53", "0.61"]
    assert cells[4] == "0.05"
    text, width = printed(client, urls.timber_paper(project=number))
    assert width == pytest.approx(612)  # ANSI/ASME Y14.1: 8.5 in
    assert "m³" not in page.get_text() + text
    table = list(
        csv.reader(io.StringIO(client.get(urls.timber_table("csv", project=number)).content.decode("utf-8-sig")))
    )
    assert "With waste (ft³)" in table[0]
    assert not any("m³" in cell for row in table for cell in row)
