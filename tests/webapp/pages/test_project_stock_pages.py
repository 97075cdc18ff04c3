"""A project and the stock over HTTP: going ahead, used, brought back, built, planned again."""

from __future__ import annotations

from typing import Any

import pytest

from domain.ordering.items import Item
from domain.spec.job import Stage
from tests.client import TestClient
from tests.webapp.pages.reading import errors, main, soup
from webapp.form.carried import new_token
from webapp.site import urls
from webapp.store import Store
from webapp.store.balances import Claim, claims_of
from webapp.store.ledger import receive, reserve
from webapp.store.projects import load_project
from webapp.usecases.project_stock import ProjectStock, needs_of, project_stock
from webapp.usecases.projects import plan

ONE = 1


def stock(store: Store, project_id: int = ONE) -> ProjectStock:
    return project_stock(store, project_id)


def claims(store: Store, project_id: int = ONE) -> dict[Item, Claim]:
    with store.reading() as session:
        return claims_of(session, project_id)


def press(client: TestClient, button: str, address: str = urls.project_stock(ONE)) -> Any:
    """Press a button of the page that stands in a form of its own."""
    form = next(form for form in soup(client.get(address)).select("main form") if button in form.text)
    hidden = {str(tag["name"]): str(tag["value"]) for tag in form.select("input")}
    return client.post(str(form["action"]), data=hidden)


def fill(client: TestClient, booking: str, quantities: dict[str, str], **changes: str) -> Any:
    """Send a booking form with these quantities, by the item's name; the others as they are filled in."""
    address = urls.book_project(ONE, booking)
    form = soup(client.get(address)).select_one(".project-booking")
    assert form is not None
    sent = {str(tag["name"]): str(tag.get("value", "")) for tag in form.select("input")}
    for name, text in list(sent.items()):
        if name.startswith("item.") and text in quantities:
            sent[name.replace("item", "quantity")] = quantities[text]
    return client.post(address, data={**sent, **changes})


@pytest.fixture
def stocked(demo_store: Store) -> Store:
    """The demo, with ten of everything that its first project needs beyond need."""
    with demo_store.writing() as session:
        for item, quantity in needs_of(plan(demo_store, ONE)).items():
            receive(session, item, quantity + 10)
    return demo_store


def test_a_planned_project_says_what_would_be_short(client: TestClient, demo_store: Store) -> None:
    page = main(client.get(urls.project_stock(ONE)))
    assert f"{len(stock(demo_store).lines)} items would be short" in page
    links = {str(link["href"]) for link in soup(client.get(urls.project(ONE))).select("main a")}
    assert urls.project_stock(ONE) in links


def test_needs_are_those_of_the_list_of_keys(demo_store: Store) -> None:
    project = plan(demo_store, ONE)
    needs, totals = needs_of(project), project.totals
    assert all(needs[Item.key(key.section, key.length)] == key.total for key in totals.keys)
    assert needs[Item.key(totals.keys[0].section, totals.keys[0].length)] > 0


def test_going_ahead_reserves_all_it_needs(client: TestClient, stocked: Store) -> None:
    assert press(client, "Go ahead").headers["location"] == urls.project_stock(ONE)
    now = stock(stocked)
    assert now.stage is Stage.GOING_AHEAD
    assert {item: claim.reserved for item, claim in claims(stocked).items()} == now.needs
    assert "everything it still needs is there" in main(client.get(urls.project_stock(ONE)))


def test_used_in_part_brought_back_and_built(client: TestClient, stocked: Store) -> None:
    press(client, "Go ahead")
    first, second = list(stock(stocked).needs)[:2]
    needs = stock(stocked).needs
    answer = fill(client, "used", {first.name: "3", second.name: "2"}, note="first evening")
    assert answer.headers["location"] == f"{urls.project_stock(ONE)}?booked=used"
    assert "What was used is booked" in main(client.get(answer.headers["location"]))
    assert claims(stocked)[first] == Claim(needs[first], 3, needs[first] - 3)

    assert fill(client, "returned", {first.name: "1"}).status_code == 303
    assert claims(stocked)[first] == Claim(needs[first], 2, needs[first] - 2)

    # filled in is what is still reserved; of the second, one fewer was used
    left = needs[second] - 2
    assert fill(client, "built", {second.name: str(left - 1)}).status_code == 303
    now = stock(stocked)
    assert now.stage is Stage.BUILT
    assert claims(stocked)[first] == Claim(0, needs[first], 0)
    assert claims(stocked)[second] == Claim(0, needs[second] - 1, 0)
    balances = {line.item: line.balance for line in now.lines}
    there = (balances[first], balances[second])
    assert [balance and balance.on_hand for balance in there] == [10, 11]


def test_back_to_planned_lets_go_and_keeps_what_was_used(client: TestClient, stocked: Store) -> None:
    press(client, "Go ahead")
    first = next(iter(stock(stocked).needs))
    fill(client, "used", {first.name: "3"})
    assert press(client, "Back to planned").status_code == 303
    assert stock(stocked).stage is Stage.PLANNED
    assert claims(stocked)[first] == Claim(0, 3, 0)
    assert all(claim.reserved == 0 for claim in claims(stocked).values())


def test_needs_that_changed_are_told_and_reserved_anew(client: TestClient, stocked: Store) -> None:
    press(client, "Go ahead")
    assert stock(stocked).moved == ()
    first, needed = next(iter(stock(stocked).needs.items()))
    with stocked.writing() as session:
        reserve(session, ONE, {**stock(stocked).needs, first: needed - 12})
    assert f"{first.name}: needs 12 pcs more than reserved" in main(client.get(urls.project_stock(ONE))).replace(
        "\xa0", " "
    )
    assert press(client, "Reserve anew").status_code == 303
    assert stock(stocked).moved == ()


def test_the_stage_is_never_shown_stale(client: TestClient, stocked: Store) -> None:
    for button, words in (
        ("Go ahead", "Going ahead:"),
        ("Back to planned", "Planned:"),
        ("Go ahead", "Going ahead:"),
    ):
        press(client, button)
        assert words in main(client.get(urls.project_stock(ONE)))


def test_what_another_had_reserved_is_told_when_it_was_used(client: TestClient, stocked: Store) -> None:
    press(client, "Go ahead")
    first, needed = next(iter(stock(stocked).needs.items()))
    with stocked.writing() as session:
        reserve(session, 2, {first: needed + 10})
    answer = fill(client, "used", {first.name: "4"})
    told = main(client.get(answer.headers["location"])).replace("\xa0", " ")
    assert f"{first.name}: 4 pcs short for Keepsake box" in told


@pytest.mark.parametrize(
    ("booking", "text", "status", "words"),
    [
        ("used", "1000", 409, "1000 pcs cannot be taken"),
        ("used", "three", 422, "not a whole number"),
        ("used", "", 422, "enter at least one"),
        ("used", "1000001", 422, "at most"),
        ("built", "1000", 409, "1000 pcs cannot be taken"),
    ],
)
def test_a_refusal_stands_at_its_line_and_books_nothing(
    client: TestClient, stocked: Store, booking: str, text: str, status: int, words: str
) -> None:
    press(client, "Go ahead")
    before = claims(stocked)
    first, second = list(stock(stocked).needs)[:2]
    others = {} if not text else {second.name: "1"}
    answer = fill(client, booking, {first.name: text, **others}, note="as typed")
    assert answer.status_code == status
    place = "quantity-0"
    assert list(errors(answer)) == [place]
    assert words in errors(answer)[place]
    typed = {str(tag["name"]): str(tag.get("value", "")) for tag in soup(answer).select(".project-booking input")}
    assert typed["quantity.0"] == text
    assert typed["note"] == "as typed"
    assert claims(stocked) == before
    assert stock(stocked).stage is Stage.GOING_AHEAD


def test_more_back_than_was_used(client: TestClient, stocked: Store) -> None:
    press(client, "Go ahead")
    first = next(iter(stock(stocked).needs))
    fill(client, "used", {first.name: "3"})
    answer = fill(client, "returned", {first.name: "4"})
    assert answer.status_code == 409
    assert "has used 3 pcs" in errors(answer)["quantity-0"]


def test_a_project_that_was_changed_meanwhile(client: TestClient, stocked: Store) -> None:
    old = {"token": new_token(), "version": "99", "edition": str(stock(stocked).edition)}
    for address in (urls.go_ahead(ONE), urls.back_to_planned(ONE)):
        answer = client.post(address, data=old)
        assert answer.status_code == 409
        assert "Changed meanwhile" in main(answer)
    assert stock(stocked).stage is Stage.PLANNED
    with stocked.reading() as session:
        version = load_project(session, ONE).head.version
    answer = client.post(urls.go_ahead(ONE), data={"token": new_token(), "version": str(version), "edition": "0"})
    assert answer.status_code == 409
    press(client, "Go ahead")
    first = next(iter(stock(stocked).needs))
    answer = fill(client, "built", {first.name: "1"}, version="1")
    assert answer.status_code == 409
    typed = {str(tag["name"]): str(tag.get("value", "")) for tag in soup(answer).select(".project-booking input")}
    assert typed["quantity.0"] == "1"
    assert client.post(urls.book_project(ONE, "built"), data=typed).status_code == 303


def test_each_form_books_once(client: TestClient, stocked: Store) -> None:
    press(client, "Go ahead")
    first = next(iter(stock(stocked).needs))
    token = new_token()
    for _ in range(3):
        assert fill(client, "used", {first.name: "2"}, token=token).status_code == 303
    assert claims(stocked)[first].used == 2


@pytest.mark.parametrize("address", ["/projects/99/stock", "/projects/1/stock/stolen", "/projects/99/stock/used"])
def test_what_is_not_there(client: TestClient, demo_store: Store, address: str) -> None:
    assert client.get(address).status_code == 404
