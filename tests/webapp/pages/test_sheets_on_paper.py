"""Every sheet that is a page has its PDF, which says what the page says, on either paper, in either units."""

from __future__ import annotations

import csv
import io
import subprocess
from collections.abc import Iterator
from datetime import date
from pathlib import Path
from typing import Any

import pytest
from sqlmodel import Session

from domain.lengths import Units
from domain.ordering.items import GLUE, Item
from tests.client import TestClient
from tests.factories import a_frame, an_impossible_joint, stored
from tests.webapp.databases import Databases, sections
from tests.webapp.pages.order_samples import KEY, Day
from tests.webapp.pages.reading import soup
from tests.webapp.papers.paper_samples import pdftotext, size_of, text_of
from tests.webapp.tables.exports_samples import read_csv, read_xlsx
from webapp.papers.kinds import Paper
from webapp.site import urls
from webapp.site.urls import Address
from webapp.store import Store, ledger
from webapp.store.items import ensure_item, set_minimum_stock
from webapp.store.shop import load_shop, update_shop
from webapp.store.stock_values import OfferTerms, Price, SupplierTerms
from webapp.store.suppliers import add_price, create_offer, create_supplier

ASH: dict[str, Any] = {"material": "ash", "stock": {"width": 83, "thickness": 21}, "width": 517, "height": 409}
BAR, BOARD = Item.bar("ash", 83, 21, 2150), Item.board("cherry", 27)
CLIMATE = {"from": {"moisture": 9}, "to": {"temperature": 21, "humidity": 61}, "other_to": {"moisture": 7.5}}
PAIR = [1, 2]
SHEETS: dict[str, tuple[str, str]] = {
    "set-ups": (urls.set_ups_together(project=PAIR), urls.set_ups_paper(project=PAIR)),
    "cutting": (urls.cutting_together(project=PAIR), urls.cutting_paper(project=PAIR)),
    "movement": (urls.movement(1), urls.draft(1, "movement")),
    "costs": (urls.costs(1), urls.costs_paper(1)),
    "order plan": (urls.new_order(project=PAIR), urls.order_plan_paper(project=PAIR)),
    "stockroom": (urls.stockroom(), urls.stockroom_paper()),
    "stock that is short": (urls.stockroom(show="short"), urls.stockroom_paper(show="short")),
}


WORDS = ", ".join(
    (
        "main table:not(details table, .set-up-cautions table) :is(th, td)",
        "main dl.totals dd",
        ".why-sum, .why-end",
        "#cutting :is(h2, h3, dd)",
    )
)


@pytest.fixture(params=Units, ids=str)
def units(request: pytest.FixtureRequest) -> Units:
    return Units(request.param)


@pytest.fixture
def store(file: Path, databases: Databases, day: Day, units: Units) -> Iterator[Store]:
    made = metric if units is Units.MM else imperial
    with databases.opened(f"sheets on paper, {units}", made, file, day) as opened:
        yield opened


def metric(session: Session) -> None:
    furnished(session, Units.MM)


def imperial(session: Session) -> None:
    furnished(session, Units.INCH)


def furnished(session: Session, units: Units) -> None:
    """A shop that keeps and buys keys and wood, and two projects, the first with a climate."""
    sections(session)
    shop = load_shop(session)
    update_shop(session, shop.version, name="Fernhollow Joinery", units=units, currency="EUR", rules=shop.rules)
    stored(session, a_frame("A", **ASH), name="Landing picture", units=units.value, climate=CLIMATE)
    stored(session, a_frame("A", **ASH, quantity=2), an_impossible_joint("B"), name="Attic mirror")
    terms = SupplierTerms(name="Northway Fittings", currency="EUR", shipping=590, minimum_order=3100)
    north = create_supplier(session, terms)
    for item, size, price in ((KEY, 40, 930), (GLUE, 450, 710), (BAR, 1, 2170), (BOARD, 31_000, 5230)):
        number = create_offer(session, item, north, OfferTerms(size=size, article="NF-7", lead_days=6))
        add_price(session, number, Price(minor=price, currency="EUR", since=date(2026, 1, 1)))
    for item, count in ((KEY, 13), (BOARD, 47_000)):
        ledger.receive(session, item, count)
    set_minimum_stock(session, ensure_item(session, BOARD), 1, 61_000)
    ledger.reserve(session, 1, {KEY: 9})


def plain(text: str) -> str:
    return " ".join(text.split())


def cells(page: Any) -> list[str]:
    """What stands in the tables of a page that are printed, cell by cell, in the marked sums and the bars."""
    printed = [cell for cell in page.select(WORDS) if not cell.select("input, .no-print, svg")]
    return [text for cell in printed if (text := plain(cell.get_text(" ")))]


def in_order(document: bytes) -> str:
    """The words of a PDF in the order in which they were set, without spaces: a cell's lines stay together."""
    run = subprocess.run([pdftotext(), "-q", "-raw", "-", "-"], input=document, capture_output=True, check=True)
    return "".join(run.stdout.decode().split())


def test_a_sheet_has_one_pdf_button_and_its_paper_the_page_s_figures(
    client: TestClient, store: Store, units: Units
) -> None:
    lost = {}
    for name, (page, paper) in SHEETS.items():
        shown, answer = soup(client.get(page)), client.get(paper)
        buttons = shown.select(f'main .actions a.button[href="{paper}"]')
        assert [link.get_text() for link in buttons] == ["PDF"], name
        assert answer.headers["content-type"] == "application/pdf"
        usual = Paper.A4 if units is Units.MM else Paper.LETTER
        ((width, height),) = size_of(answer.content)
        assert (width, height) == pytest.approx((usual.width, usual.height), abs=0.1)
        said, told = in_order(answer.content), cells(shown)
        assert len(told) > 8, name
        lost[name] = [cell for cell in told if "".join(cell.split()) not in said]
        assert "Fernhollow" in said
    assert lost == {name: [] for name in SHEETS}


def test_the_other_paper_and_the_same_bytes(client: TestClient, store: Store, units: Units) -> None:
    other = Paper.LETTER if units is Units.MM else Paper.A4
    for name, (_, paper) in SHEETS.items():
        asked = f"{paper}{'&' if '?' in paper else '?'}paper={other.label}"
        body = client.get(asked).content
        ((width, height),) = size_of(body)
        assert (width, height) == pytest.approx((other.width, other.height), abs=0.1), name
        assert client.get(asked).content == body
        assert client.get(f"{asked[: asked.rindex('=')]}=A3").status_code == 422


def test_wood_is_counted_in_the_reader_s_units(client: TestClient, store: Store, units: Units) -> None:
    # by hand: 47 000 cm³ are 0.047 m³, and 47 000 / 2359.737216 = 19.92 bd ft
    own, other = ("0.047 m³", "bd ft") if units is Units.MM else ("19.92 bd ft", "m³")
    for name in ("costs", "order plan", "stockroom"):
        page, paper = SHEETS[name]
        said = plain(soup(client.get(page)).get_text(" ")) + text_of(client.get(paper).content)
        assert other not in said, name
    assert own in plain(soup(client.get(urls.stockroom())).get_text(" "))
    table = client.get(urls.stockroom_table("csv")).content.decode("utf-8-sig")
    (board,) = [row for row in csv.DictReader(io.StringIO(table)) if row["Item"] == BOARD.name]
    assert (board["On hand"], board["Counted in"]) == tuple(own.split(" ", 1))


@pytest.mark.parametrize(
    ("address", "values", "query"),
    [
        (urls.costs_table, (1,), {}),
        (urls.order_plan_table, (), {"project": PAIR}),
        (urls.stockroom_table, (), {"show": "short"}),
    ],
)
def test_a_list_is_a_table_too(
    client: TestClient, store: Store, address: Address, values: tuple[int, ...], query: dict[str, Any]
) -> None:
    lines = read_csv(client.get(address(*values, "csv", **query)).content)
    rows = read_xlsx(client.get(address(*values, "xlsx", **query)).content)
    assert [str(cell) for cell in rows[0]] == lines[0]
    assert len(rows) == len(lines) > 1
    assert client.get(address(*values, "ods", **query)).status_code == 404


def test_the_costs_table_adds_up_to_the_page_s_sum(client: TestClient, store: Store) -> None:
    text = client.get(urls.costs_table(1, "csv")).content.decode("utf-8-sig")
    total = sum(float(row["Cost (EUR)"] or 0) for row in csv.DictReader(io.StringIO(text)))
    said = soup(client.get(urls.costs(1))).select("dl.totals dd")[-1].get_text()
    assert f"{total:.2f} EUR" == plain(said)


def test_the_names_of_several_carry_the_numbers_of_their_marks(client: TestClient, store: Store) -> None:
    for paper in (urls.cutting_paper(project=PAIR), urls.parts_paper(project=PAIR)):
        said = text_of(client.get(paper).content)
        assert "1 Landing picture, 2 Attic mirror" in said
        assert "2 A1" in said


def test_a_day_later_the_papers_say_so(client: TestClient, store: Store, day: Day) -> None:
    day.later(1)
    assert date(2026, 3, 3).isoformat() in text_of(client.get(urls.stockroom_paper()).content)
