"""The list of projects: searched, in one state, sorted, by pages, those put away apart; a state changed; notes."""

from __future__ import annotations

from datetime import timedelta

import pytest

from domain.spec.job import Stage
from tests.client import TestClient
from tests.webapp.pages.reading import main, soup
from tests.webapp.pages.sent_form_samples import form_on, post, with_texts
from tests.webapp.store.store_samples import joint, project
from webapp.site import urls
from webapp.store import Store, job_notes, projects, stages
from webapp.store.engine import today
from webapp.usecases.project_list import PAGE


def made(
    store: Store, name: str, customer: str | None = None, stage: Stage = Stage.PLANNED, due: int | None = None
) -> int:
    with store.writing() as session:
        day = None if due is None else (today(session) + timedelta(days=due)).isoformat()
        spec = project(joint("R7")).model_copy(
            update={"name": name, "customer": customer, "state": stage, "due": day}
        )
        return projects.create_project(session, spec)


def names(client: TestClient, **asked: str) -> list[str]:
    page = client.get(urls.projects(**asked))
    assert page.status_code == 200
    return [cell.get_text(strip=True) for cell in soup(page).select("#project-list tbody th")]


@pytest.fixture
def shop(client: TestClient, store: Store) -> dict[str, int]:
    return {
        name: made(store, name, customer, stage, due)
        for name, customer, stage, due in (
            ("Stair gate 10", "Ilse Brandt", Stage.ASKED, None),
            ("Stair gate 9", "Åse Lund", Stage.PLANNED, -2),
            ("Clock case", "Ilse Brandt", Stage.BUILT, -9),
            ("Tea tray", None, Stage.DELIVERED, -9),
            ("Wall shelf", "Övertorneå kommun", Stage.PLANNED, 0),
        )
    }


@pytest.mark.parametrize(
    ("words", "found"),
    [
        ("gate", ["Stair gate 9", "Stair gate 10"]),
        ("BRANDT", ["Clock case", "Stair gate 10"]),
        ("brandt clock", ["Clock case"]),
        ("åSE", ["Stair gate 9"]),
        ("övertorneå", ["Wall shelf"]),
        ("r7", ["Clock case", "Stair gate 9", "Stair gate 10", "Tea tray", "Wall shelf"]),
        ("hinges", ["Tea tray"]),
        ("veneer", ["Clock case"]),
        ("mahogany", []),
        ("%", []),
    ],
)
def test_names_customers_marks_and_notes_are_found(
    client: TestClient, store: Store, shop: dict[str, int], words: str, found: list[str]
) -> None:
    with store.writing() as session:
        job_notes.set_note(session, shop["Tea tray"], 1, "", "The brass HINGES are here")
        job_notes.set_note(session, shop["Clock case"], 1, "R7-J1", "under veneer")
    assert names(client, find=words, sort="name") == found


def test_a_list_goes_by_what_is_asked(client: TestClient, shop: dict[str, int]) -> None:
    assert names(client) == list(reversed(shop))
    assert names(client, sort="name") == ["Clock case", "Stair gate 9", "Stair gate 10", "Tea tray", "Wall shelf"]
    assert names(client, sort="due")[:3] == ["Stair gate 9", "Wall shelf", "Stair gate 10"]
    assert names(client, sort="state")[0] == "Stair gate 9"
    assert names(client, sort="customer")[-1] == "Tea tray"
    assert names(client, sort="nonsense", state="nonsense") == list(reversed(shop))
    assert names(client, state="planned", sort="name") == ["Stair gate 9", "Wall shelf"]


def test_what_is_late_is_said_in_words(client: TestClient, shop: dict[str, int]) -> None:
    rows = {
        row.th.get_text(strip=True): row.get_text(" ", strip=True)
        for row in soup(client.get(urls.projects())).select("tbody tr")
        if row.th
    }
    assert "2 days overdue" in rows["Stair gate 9"]
    assert "9 days overdue" in rows["Clock case"]
    assert "overdue" not in rows["Tea tray"]
    assert ", today" in rows["Wall shelf"]
    assert "2 days overdue" in main(client.get(urls.project(shop["Stair gate 9"])))


def test_a_long_list_comes_in_pages_that_can_be_kept(client: TestClient, store: Store) -> None:
    for number in range(PAGE + 3):
        made(store, f"Frame {number + 1}")
    first = client.get(urls.projects(sort="name"))
    assert f"{PAGE + 3} projects" in main(first)
    assert "Page 1 of 2" in main(first)
    after = soup(first).select_one(".pages a")
    assert after is not None
    assert names(client, sort="name", page="2") == ["Frame 51", "Frame 52", "Frame 53"]
    assert client.get(str(after["href"])).text.count("<tr>") == 4
    assert names(client, sort="name", page="99") == names(client, sort="name", page="2")


def test_what_htmx_swaps_in_is_what_the_page_shows(client: TestClient, shop: dict[str, int]) -> None:
    asked = urls.projects(find="gate", sort="name")
    whole = soup(client.get(asked)).select_one("#project-list")
    part = client.get(asked, headers={"HX-Request": "true"})
    assert whole is not None
    assert soup(part).get_text(" ", strip=True) == whole.get_text(" ", strip=True)


def test_a_project_is_put_away_and_brought_back(client: TestClient, store: Store, shop: dict[str, int]) -> None:
    number = shop["Tea tray"]
    page = client.get(urls.project(number))
    post(client, urls.put_away(number), form_on(page, urls.put_away(number)))
    assert "Tea tray" not in names(client)
    assert names(client, away="yes") == ["Tea tray"]
    assert "Tea tray" not in client.get(urls.set_ups_together()).text
    page = client.get(urls.project(number))
    assert "Put away on" in main(page)
    post(client, urls.bring_back(number), form_on(page, urls.bring_back(number)))
    assert "Tea tray" in names(client)


def test_a_project_put_away_is_no_longer_ordered_for(
    client: TestClient, store: Store, shop: dict[str, int]
) -> None:
    number = shop["Wall shelf"]
    assert "Wall shelf" in client.get(urls.new_order()).text
    with store.writing() as session:
        stages.put_away(session, number, 1)
    assert "Wall shelf" not in client.get(urls.new_order()).text
    assert "put away, or deleted" in main(client.get(urls.new_order(project=[number])))


def test_equal_names_are_told_apart_where_projects_are_chosen(client: TestClient, store: Store) -> None:
    for customer in ("Ilse Brandt", "Åse Lund"):
        made(store, "Frame", customer, due=3)
    for address in (urls.new_order(), urls.set_ups_together(), urls.cutting_together()):
        words = main(client.get(address))
        assert "for Ilse Brandt, planned, due" in words
        assert "for Åse Lund, planned, due" in words


def sent_state(client: TestClient, number: int, **texts: str) -> str:
    page = client.get(urls.project(number))
    fields = with_texts(form_on(page, urls.project_state(number)), texts)
    answer = post(client, urls.project_state(number), fields)
    return str(answer.headers.get("location", f"{answer.status_code}: {main(answer)}"))


def test_a_state_and_a_day_are_changed_on_the_project(client: TestClient, shop: dict[str, int]) -> None:
    number = shop["Stair gate 10"]
    assert sent_state(client, number, stage="planned", due="2026-12-18") == urls.project(number)
    assert "Due 2026-12-18" in main(client.get(urls.project(number)))
    assert sent_state(client, number, stage="going_ahead") == urls.project_stock(number)
    assert "State: Planned" in main(client.get(urls.project(number)))  # until it is booked
    assert sent_state(client, number, stage="built") == urls.book_project(number, "built")
    assert sent_state(client, number, due="18.12.2026").startswith("422")
    assert sent_state(client, number, due="2026-02-30").startswith("422")
    assert sent_state(client, number, stage="delivered", due="") == urls.project(number)
    assert names(client, state="delivered") == ["Stair gate 10", "Tea tray"]


def test_a_project_that_leaves_going_ahead_lets_go_of_its_claims(client: TestClient, store: Store) -> None:
    number = made(store, "Frame")
    page = client.get(urls.project_stock(number))
    if not soup(page).select(f'form[action="{urls.go_ahead(number)}"]'):
        pytest.skip("it needs nothing")
    post(client, urls.go_ahead(number), form_on(page, urls.go_ahead(number)))
    assert "Put it away" not in main(client.get(urls.project(number)))
    assert sent_state(client, number, stage="asked") == urls.project(number)
    assert "Asked: nothing is reserved" in main(client.get(urls.project_stock(number)))


def test_a_note_is_written_at_a_joint_and_seen_where_it_helps(client: TestClient, store: Store) -> None:
    number = made(store, "Frame")
    for mark, note in (("", "Deliver by lorry"), ("R7", "Oak from the loft"), ("R7-J1", "Dry fit,\nthen glue")):
        page = client.get(urls.project_note(number, mark=mark))
        fields = with_texts(form_on(page, urls.project_note(number)), {"note": note})
        assert post(client, urls.project_note(number), fields).status_code == 303
    for note in ("Deliver by lorry", "Oak from the loft", "Dry fit,\nthen glue"):
        assert note in soup(client.get(urls.project(number))).get_text()
    schedule = soup(client.get(urls.schedule(number)))
    assert schedule.select_one("#joint-R7-J1 .noted").get_text() == "Dry fit,\nthen glue"  # type: ignore[union-attr]
    page = client.get(urls.project_note(number, mark="R7-J1"))
    stale = form_on(page, urls.project_note(number))
    fields = with_texts(stale, {"note": ""})
    post(client, urls.project_note(number), fields)
    assert "Dry fit" not in client.get(urls.schedule(number)).text
    for token, note, status in (("0" * 32, "later", 409), ("1" * 32, "漆", 422)):
        other = with_texts(stale, {"token": token, "note": note})
        assert post(client, urls.project_note(number), other).status_code == status
