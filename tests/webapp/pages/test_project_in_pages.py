"""A large project in pages: so many assemblies at once, every one on some page, led to from where it is named."""

from __future__ import annotations

from collections.abc import Callable

import pytest
from bs4 import Tag

from tests.client import TestClient
from tests.factories import a_frame, a_project
from tests.webapp.pages.reading import main, soup
from webapp.pages.projects import assembly_pages
from webapp.pages.projects.assembly_pages import AROUND
from webapp.site import urls
from webapp.store import Store, projects
from webapp.usecases.demo import load_demo_once

COUNT, LISTED, DRAWN = 11, 5, 2
SHEETS = [urls.schedule, urls.setting_out, urls.assembly_sheet]
MARKS = [f"M{number}" for number in range(1, COUNT + 1)]


@pytest.fixture(autouse=True)
def few_on_a_page(monkeypatch: pytest.MonkeyPatch) -> None:
    for module in ("projects", "schedule", "setting_out", "assembly_sheet"):
        name, most = ("LISTED", LISTED) if module == "projects" else ("DRAWN", DRAWN)
        monkeypatch.setattr(f"webapp.pages.projects.{module}.{name}", most)


@pytest.fixture
def project_id(store: Store) -> int:
    load_demo_once(store)
    with store.writing() as session:
        return projects.create_project(session, a_project(*(a_frame(mark) for mark in MARKS)))


def pages(client: TestClient, address: str) -> list[str]:
    """The addresses of the pages that are led to."""
    return [str(link["href"]) for link in soup(client.get(address)).select('nav[aria-label^="Pages"] a')]


def sections(client: TestClient, address: str) -> list[str]:
    """The marks of the assemblies on a page."""
    ids = [str(each["id"]) for each in soup(client.get(address)).select(".schedule-assembly")]
    return [each.removeprefix("assembly-") for each in ids]


def rows(client: TestClient, address: str) -> list[Tag]:
    return soup(client.get(address)).select(".assembly")


def test_every_assembly_is_on_one_page_of_the_schedule(client: TestClient, project_id: int) -> None:
    first = urls.schedule(project_id)
    assert f"Assemblies 1 to {DRAWN} of {COUNT}" in main(client.get(first))
    assert pages(client, first)[0] == first
    assert len(pages(client, first)) == 1 + AROUND + 1
    shown = []
    for place in range(0, COUNT, DRAWN):
        shown += sections(client, urls.schedule(project_id, of=MARKS[place]))
    assert shown == MARKS


@pytest.mark.parametrize("address", SHEETS[1:])
def test_other_sheets_have_the_same_pages(
    client: TestClient, project_id: int, address: Callable[..., str]
) -> None:
    last = address(project_id, of=MARKS[-1])
    assert f"Assemblies {COUNT} to {COUNT} of {COUNT}" in main(client.get(last))
    assert sections(client, last) == MARKS[-1:]
    assert pages(client, last)[-1] == last


def test_the_project_lists_its_assemblies_in_pages_and_counts_them_all(
    client: TestClient, project_id: int
) -> None:
    first = client.get(urls.project(project_id))
    assert f"Assemblies 1 to {LISTED} of {COUNT}" in main(first)
    listed = [row for address in pages(client, urls.project(project_id)) for row in rows(client, address)]
    heads = [row.select_one("h2 a") for row in listed]
    assert [head.get_text().split(" ")[0] for head in heads if head] == MARKS
    # the totals are the whole project's, on every page
    every = [soup(client.get(address)) for address in pages(client, urls.project(project_id))]
    assert len({str(page.select_one(".project-totals")) for page in every}) == 1


def test_only_the_ends_of_the_project_cannot_be_moved_on(client: TestClient, project_id: int) -> None:
    every = [row for address in pages(client, urls.project(project_id)) for row in rows(client, address)]
    ways = [[str(button["value"]) for button in row.select("button[name=step]")] for row in every]
    assert ways == [["down"], *[["up", "down"]] * (COUNT - 2), ["up"]]


def test_what_is_moved_or_copied_is_led_back_to_where_it_is_now(client: TestClient, project_id: int) -> None:
    row = rows(client, urls.project(project_id))[-1]
    form, token = row.select_one("form"), row.select_one("input[name=token]")
    assert form is not None
    assert token is not None
    moved = client.post(str(form["action"]), data={"token": str(token["value"]), "step": "down"})
    assert moved.status_code == 303
    there = soup(client.get(moved.headers["location"]))
    assert there.select_one("#" + moved.headers["location"].partition("#")[2]) is not None
    here = there.select_one('nav[aria-label^="Pages"] a[aria-current]')
    assert here is not None
    assert here["href"] == urls.project(project_id, of="M5")


@pytest.mark.parametrize("address", [urls.project, *SHEETS])
def test_one_goes_to_an_assembly_by_its_mark(
    client: TestClient, project_id: int, address: Callable[..., str]
) -> None:
    there = client.get(address(project_id, of="m8"))
    assert "M8" in main(there)
    assert "M1 ·" not in main(there)
    none = client.get(address(project_id, of="Z9"))
    assert "No assembly has the mark Z9" in main(none)
    assert "M1 ·" in main(none)


def test_a_label_leads_to_its_part_wherever_it_is(client: TestClient, project_id: int) -> None:
    part = str(soup(client.get(urls.schedule(project_id, of="M7"))).select("tr[id]")[1]["id"]).removeprefix(
        "part-"
    )
    led = client.get(urls.parts_from("", project_id) + part)
    assert led.status_code == 303
    assert led.headers["location"] == urls.schedule(project_id, of="M7", at=f"part-{part}")
    assert soup(client.get(led.headers["location"])).find(id=f"part-{part}") is not None
    gone = client.get(urls.parts_from("", project_id) + "Z1")
    assert gone.headers["location"] == urls.schedule(project_id)


def test_parts_on_the_schedule_lead_to_their_own_page_of_the_setting_out_sheet(
    client: TestClient, project_id: int
) -> None:
    row = soup(client.get(urls.schedule(project_id, of="M9"))).select("tr[id] a")[-1]
    page, _, place = str(row["href"]).partition("#")
    assert soup(client.get(page)).find(id=place) is not None


def test_a_project_that_fits_is_shown_whole(client: TestClient, store: Store) -> None:
    load_demo_once(store)
    with store.writing() as session:
        number = projects.create_project(session, a_project(a_frame("A"), a_frame("B")))
    whole = client.get(urls.schedule(number))
    assert "Assemblies 1 to" not in main(whole)
    assert client.get(urls.schedule(number, of="B")).text == whole.text


def test_no_page_leads_to_more_than_a_handful_of_others() -> None:
    assert assembly_pages.DRAWN <= 10
    assert assembly_pages.LISTED <= 50
