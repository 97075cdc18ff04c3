"""Pages that would keep people waiting: the work comes first, as a job, and then the page as it always is."""

from __future__ import annotations

import re
from collections.abc import Iterator
from datetime import date

import pytest
from httpx import Response

from domain.ordering.items import Item
from tests.client import TestClient
from tests.factories import a_frame, a_project, stored
from tests.webapp.pages.reading import main, soup
from tests.webapp.pages.work_under_way import BY_SCRIPT, end_all, ended
from webapp.form.carried import new_token
from webapp.pages.shop import jobs as job_pages
from webapp.site import urls
from webapp.store import Store, projects
from webapp.store.orders import count_orders
from webapp.store.stock_values import OfferTerms, Price, SupplierTerms
from webapp.store.suppliers import add_price, create_offer, create_supplier
from webapp.usecases import cutting_plans, set_ups, takeoffs
from webapp.usecases import projects as planning
from webapp.usecases.demo import load_demo_once
from webapp.usecases.kept import Kept


@pytest.fixture(autouse=True)
def nothing_is_kept(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(takeoffs, "_PLANS", Kept(100))
    monkeypatch.setattr(cutting_plans, "_PLANS", Kept(100))
    monkeypatch.setattr(set_ups, "_SHEETS", Kept(8))


@pytest.fixture(autouse=True)
def nobody_waits(monkeypatch: pytest.MonkeyPatch, client: TestClient) -> Iterator[None]:
    monkeypatch.setattr(job_pages, "SOON", 0.0)
    yield
    end_all(client)


@pytest.fixture
def project_id(store: Store) -> int:
    load_demo_once(store)
    with store.writing() as session:
        return projects.create_project(session, a_project(a_frame("A"), a_frame("B")))


@pytest.fixture
def ash(store: Store) -> Store:
    """A shop with a frame of ash, bars of ash on the shelf and for sale, and keys that nobody sells."""
    bar = Item.bar("ash", 45, 20, 1650)
    with store.writing() as session:
        stored(session, a_frame(material="ash", stock={"width": 45, "thickness": 20}), name="One")
        seller = create_supplier(session, SupplierTerms(name="Fenwick", currency="EUR"))
        sold = create_offer(session, bar, seller, OfferTerms(size=1))
        add_price(session, sold, Price(minor=1275, currency="EUR", since=date(2026, 1, 1)))
    return store


@pytest.fixture
def planning_takes_long(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(planning, "PLANNED_SOON", 0)


@pytest.fixture
def cutting_takes_long(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(cutting_plans, "FEW_BARS", 0)
    monkeypatch.setattr(cutting_plans, "FEW_SHEETS", 0)


def through(client: TestClient, address: str) -> Response:
    """The page at the address, asked for until no work comes before it."""
    for _ in range(5):
        answer: Response = client.get(address)
        if answer.status_code != 303:
            return answer
        job = answer.headers["location"]
        assert job.startswith("/work/")
        assert ended(client, job).headers["HX-Redirect"] == address
    raise AssertionError(answer.headers["location"])


@pytest.mark.usefixtures("planning_takes_long")
def test_assemblies_are_planned_first_and_once(client: TestClient, project_id: int) -> None:
    begun = client.get(urls.project(project_id))
    page = client.get(begun.headers["location"])
    assert "Planning 2 assemblies" in main(page)
    links = {str(link["href"]) for link in soup(page).select("main a")}
    assert urls.projects() in links
    shown = through(client, urls.project(project_id))
    assert shown.status_code == 200
    # everything that is planned from them is there at once
    for address in (urls.schedule, urls.parts, urls.set_ups, urls.keys):
        assert client.get(address(project_id)).status_code == 200


@pytest.mark.usefixtures("planning_takes_long")
def test_several_projects_are_one_piece_of_work(client: TestClient, store: Store, project_id: int) -> None:
    with store.writing() as session:
        other = projects.create_project(session, a_project(a_frame("C", width=311.0)))
    begun = client.get(urls.set_ups_together(project=[project_id, other]))
    assert "Planning 3 assemblies" in main(client.get(begun.headers["location"]))
    assert through(client, urls.set_ups_together(project=[project_id, other])).status_code == 200


@pytest.mark.usefixtures("cutting_takes_long")
def test_cutting_plans_come_first_where_a_page_rests_on_them(client: TestClient, ash: Store) -> None:
    pages = [urls.cutting(1), urls.timber(1), urls.costs(1), urls.project_stock(1)]
    begun = [client.get(page) for page in pages]
    assert [answer.status_code for answer in begun] == [303] * len(pages)
    assert "Cutting plan of ash 45 × 20" in main(client.get(begun[0].headers["location"]))
    # two plans: from what is there, and from a bare shelf
    through(client, pages[0])
    through(client, pages[1])
    assert [client.get(page).status_code for page in pages] == [200] * len(pages)


@pytest.mark.usefixtures("cutting_takes_long")
def test_an_order_is_placed_only_as_somebody_saw_it(client: TestClient, ash: Store) -> None:
    page = through(client, urls.new_order(project=[1]))
    form = soup(page).select_one('form[action="/orders"]')
    assert form is not None
    sent = {str(each["name"]): str(each.get("value", "")) for each in form.select("input[name]")}
    cutting_plans._PLANS = Kept(100)
    late = client.post(urls.orders(), data=sent)
    assert late.status_code == 303
    led = ended(client, late.headers["location"])
    assert led.headers["HX-Redirect"] == urls.new_order(project=[1])
    with ash.reading() as session:
        assert count_orders(session) == 0
    placed = client.post(urls.orders(), data=sent)
    assert placed.headers["location"].startswith("/orders")


@pytest.mark.usefixtures("cutting_takes_long")
def test_the_plan_of_an_order_being_chosen_leads_its_script_to_the_work(client: TestClient, ash: Store) -> None:
    part = client.get(urls.new_order(project=[1]), headers=BY_SCRIPT)
    assert part.status_code == 204
    assert ended(client, part.headers["HX-Redirect"]).headers["HX-Redirect"] == urls.new_order(project=[1])


def test_a_large_set_up_sheet_comes_first(
    client: TestClient, project_id: int, monkeypatch: pytest.MonkeyPatch
) -> None:
    at_once = main(client.get(urls.set_ups(project_id)))
    monkeypatch.setattr(set_ups, "SOON", 0)
    together = urls.set_ups_together(project=[project_id])
    first = client.get(together)
    assert "Set-up sheet" in main(client.get(first.headers["location"]))
    shown = main(through(client, together))
    steps = re.findall(r"Set-up \d+", at_once)
    assert steps
    assert re.findall(r"Set-up \d+", shown) == steps
    assert client.get(urls.shop(project_id)).status_code == 200


def test_work_that_is_done_soon_shows_no_page_of_its_own(
    client: TestClient, ash: Store, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(cutting_plans, "FEW_BARS", 0)
    monkeypatch.setattr(job_pages, "SOON", 60.0)
    first = client.get(urls.cutting(1))
    assert (first.status_code, first.headers["location"]) == (303, urls.cutting(1))
    assert client.get(urls.cutting(1)).status_code == 200


@pytest.mark.usefixtures("cutting_takes_long")
def test_what_is_stopped_is_begun_again_where_it_was_asked_for(client: TestClient, ash: Store) -> None:
    job = client.get(urls.cutting(1)).headers["location"]
    client.post(f"{job}/end")
    page = client.get(job)
    assert "Stopped" in main(page)
    links = [str(link["href"]) for link in soup(page).select("main a")]
    assert links == [urls.project(1), urls.cutting(1)]


def test_too_many_assemblies_together_are_refused_in_words(
    client: TestClient, project_id: int, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(planning, "MOST_ASSEMBLIES", 3)
    refused = client.get(urls.set_ups_together(project=[project_id, 1]))
    assert refused.status_code == 422
    assert "choose fewer, so that they have 3 at most" in main(refused)


@pytest.mark.usefixtures("cutting_takes_long")
def test_a_cutting_plan_on_paper_is_set_apart(client: TestClient, ash: Store) -> None:
    through(client, urls.cutting(1))
    begun = client.get(urls.draft(1, "cutting"))
    assert "Cutting plan, draft" in main(client.get(begun.headers["location"]))
    paper = client.get(ended(client, begun.headers["location"]).headers["HX-Redirect"])
    assert paper.content.startswith(b"%PDF")


@pytest.mark.usefixtures("planning_takes_long", "cutting_takes_long")
def test_a_quote_is_reckoned_once_its_work_is_done(client: TestClient, ash: Store) -> None:
    shown = main(through(client, urls.project_quote(1)))
    assert "bar ash 45 × 20 × 1650" in shown
    assert "There is no price yet" in shown


@pytest.mark.usefixtures("planning_takes_long")
def test_a_quote_that_is_sent_while_its_work_is_not_done_leads_back_to_it(client: TestClient, ash: Store) -> None:
    first = client.post(
        urls.issue_quote(1), data={"token": new_token(), "number": "1", "mark": "-", "paper": "A4"}
    )
    assert first.status_code == 303
    assert ended(client, first.headers["location"]).headers["HX-Redirect"] == urls.project_quote(1)
