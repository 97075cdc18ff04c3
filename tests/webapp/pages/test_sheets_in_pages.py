"""Set-up sheet and parts list of a large project in pages: every row on one of them, the totals on each."""

from __future__ import annotations

import re

import pytest

from tests.client import TestClient
from tests.factories import a_frame, a_project
from tests.webapp.pages.reading import main, soup
from webapp.pages.machine import set_up_pages
from webapp.pages.timber import parts_list
from webapp.site import urls
from webapp.store import Store, projects
from webapp.usecases import advised
from webapp.usecases.demo import load_demo_once

MARKS = [f"M{number}" for number in range(1, 8)]
ROWS = 6


@pytest.fixture(autouse=True)
def few_on_a_page(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(set_up_pages, "ROWS", ROWS)
    monkeypatch.setattr(set_up_pages, "SET_UPS", 3)
    monkeypatch.setattr(parts_list, "LISTED", 3)


@pytest.fixture
def project_id(store: Store) -> int:
    """Frames of two thicknesses: a set-up has more rows than a page."""
    load_demo_once(store)
    frames = [
        a_frame(mark, width=310 + 10 * place, stock={"width": 45, "thickness": 20 if place < 5 else 31})
        for place, mark in enumerate(MARKS)
    ]
    with store.writing() as session:
        return projects.create_project(session, a_project(*frames))


def pages(client: TestClient, address: str) -> list[str]:
    """The addresses of every page, found by going on to the next until there is none."""
    found = [address]
    while True:
        links = soup(client.get(found[-1])).select('nav[aria-label^="Pages"] a')
        here = next(place for place, link in enumerate(links) if link.get("aria-current"))
        if here == len(links) - 1:
            return found
        found.append(str(links[here + 1]["href"]))


def set_up_rows(client: TestClient, address: str) -> list[tuple[str, str]]:
    """The set-up and the words of every row of pieces on a page."""
    return [
        (str(block["id"]), " ".join(row.get_text(" ").split()))
        for block in soup(client.get(address)).select("article.set-up")
        for row in block.select("tbody tr")
    ]


def test_every_row_of_every_set_up_is_on_one_page(
    client: TestClient, project_id: int, monkeypatch: pytest.MonkeyPatch
) -> None:
    first = urls.set_ups(project_id)
    paged = pages(client, first)
    shown = [set_up_rows(client, address) for address in paged]
    assert len(paged) > 3
    assert all(0 < len(rows) <= ROWS for rows in shown)
    totals = {str(soup(client.get(address)).select_one(".set-up-sums")) for address in paged}
    assert len(totals) == 1
    assert "Rows 1 to 6 of" in main(client.get(first))
    monkeypatch.setattr(set_up_pages, "ROWS", 1000)
    monkeypatch.setattr(set_up_pages, "SET_UPS", 1000)
    # of several projects the same page is made anew
    together = urls.set_ups_together(project=project_id)
    assert [row for rows in shown for row in rows] == set_up_rows(client, together)
    assert not soup(client.get(together)).select('nav[aria-label^="Pages"]')


def test_a_set_up_is_found_by_its_number(client: TestClient, project_id: int) -> None:
    last = str(soup(client.get(pages(client, urls.set_ups(project_id))[-1])).select("article.set-up")[-1]["id"])
    number = last.removeprefix("set-up-")
    asked = urls.set_ups(project_id, of=number)
    assert last in {str(block["id"]) for block in soup(client.get(asked)).select("article.set-up")}
    for wrong in ("99", "1-77", "x"):
        page = main(client.get(urls.set_ups(project_id, of=wrong)))
        assert f"No set-up has the number {wrong}" in page
    together = soup(client.get(urls.set_ups_together(project=[project_id], of=number)))
    assert last in {str(block["id"]) for block in together.select("article.set-up")}


def test_every_part_is_on_one_page_and_the_sums_on_each(client: TestClient, project_id: int) -> None:
    paged = pages(client, urls.parts(project_id))
    assert len(paged) == 3
    bodies = [soup(client.get(address)) for address in paged]
    marks = [[cell.get_text() for cell in body.select("#parts-to-cut tbody th.nowrap")] for body in bodies]
    assert {re.sub(r"\d$", "", mark) for mark in marks[0]} == {"M1", "M2", "M3"}
    assert len({mark for page in marks for mark in page}) == sum(map(len, marks)) == 2 * len(MARKS)
    sums = {str(body.select_one("section[aria-labelledby='sums-title']")) for body in bodies}
    assert len(sums) == 1
    # by hand: five frames of the one section and two of the other, four pieces each
    (words,) = sums
    assert "20 pieces" in words
    assert "8 pieces" in words
    found = client.get(urls.parts(project_id, part="M72"), follow_redirects=False)
    assert found.headers["location"] == urls.parts(project_id, of="M7", at="part-M72")


def test_advice_of_many_joints_is_worked_out_apart(
    client: TestClient, store: Store, project_id: int, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(advised, "ADVISED_SOON", 0)
    narrow = a_frame("N", stock={"width": 20, "thickness": 11})
    with store.writing() as session:
        number = projects.create_project(session, a_project(narrow, a_frame("O")))
    asked = urls.table(number, "schedule", "csv")
    answer = client.get(asked, follow_redirects=False)
    # led to the work's page, or back here where it was done within a moment
    assert answer.status_code == 303
