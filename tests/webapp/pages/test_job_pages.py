"""Papers that take long, from the browser: a page that tells how far they are, a button, and what came of them."""

from __future__ import annotations

import re
import time
from collections.abc import Iterator

import pytest

from tests.client import TestClient
from tests.factories import a_frame, a_project
from tests.webapp.pages.reading import fields, main, soup
from tests.webapp.pages.work_under_way import BY_SCRIPT, end_all, ended
from webapp.papers.kinds import ISSUED, DocumentKind
from webapp.site import urls
from webapp.store import Store, projects
from webapp.store.projects import ProjectHead, load_project
from webapp.usecases import long_papers, revisions
from webapp.usecases.demo import load_demo_once


@pytest.fixture(autouse=True)
def everything_takes_long(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(long_papers, "LONG", 0.0)


@pytest.fixture(autouse=True)
def nothing_left(client: TestClient) -> Iterator[None]:
    yield
    end_all(client)


@pytest.fixture
def project_id(store: Store) -> int:
    load_demo_once(store)
    with store.writing() as session:
        return projects.create_project(session, a_project(a_frame()))


def sent(client: TestClient, project_id: int) -> dict[str, str]:
    """The form that issues, as it stands on the page."""
    return {name: str(value) for name, value in fields(client.get(urls.revisions(project_id))).items()}


def test_a_draft_leads_to_its_page_and_then_to_the_paper(client: TestClient, project_id: int) -> None:
    begun = client.get(urls.draft(project_id, DocumentKind.STRIPS.value, paper="Letter"))
    assert begun.status_code == 303
    page = begun.headers["location"]
    shown = client.get(page)
    assert shown.status_code == 200
    assert "Marking strips, draft" in main(shown)
    if "hx-trigger" in shown.text:
        # without script the page asks by itself
        assert '<noscript><meta http-equiv="refresh" content="2"></noscript>' in shown.text
    over = ended(client, page)
    assert over.status_code == 204
    paper = client.get(over.headers["HX-Redirect"])
    assert paper.headers["content-type"] == "application/pdf"
    assert (
        paper.headers["content-disposition"] == f'inline; filename="project-{project_id}-draft-strips-letter.pdf"'
    )
    assert paper.content.startswith(b"%PDF-")
    # back on the page one is not led away again
    link = soup(client.get(page)).select_one("#job a")
    assert link is not None
    assert link["href"] == over.headers["HX-Redirect"]


def test_the_same_draft_is_set_once(client: TestClient, project_id: int) -> None:
    draft = urls.draft(project_id, DocumentKind.SCHEDULE.value)
    assert client.get(draft).headers["location"] == client.get(draft).headers["location"]
    other = client.get(urls.draft(project_id, DocumentKind.KEYS.value))
    assert other.headers["location"] != client.get(draft).headers["location"]


def test_a_revision_is_whole_once_it_is_done(client: TestClient, store: Store, project_id: int) -> None:
    form = sent(client, project_id)
    begun = client.post(urls.revisions(project_id), data=form)
    assert begun.status_code == 303
    # the same form, sent twice, waits for the same work
    assert client.post(urls.revisions(project_id), data=form).headers["location"] == begun.headers["location"]
    over = ended(client, begun.headers["location"])
    assert over.headers["HX-Redirect"] == urls.revision(project_id, 1)
    kept = revisions.load_revision(store, project_id, 1)
    assert sorted(document.kind for document in kept.documents) == sorted(kind.value for kind in ISSUED)
    # and is told the first result once that is stored
    assert client.post(urls.revisions(project_id), data=form).headers["location"] == urls.revision(project_id, 1)


def test_stopped_on_the_way_there_is_no_revision(client: TestClient, store: Store, project_id: int) -> None:
    form = sent(client, project_id)
    page = client.post(urls.revisions(project_id), data=form).headers["location"]
    button = soup(client.get(page)).select_one("#job form")
    assert button is not None
    assert client.post(str(button["action"])).headers["location"] == page
    told = main(client.get(page))
    assert "It was stopped before it was done. Nothing was saved." in told
    assert revisions.revisions_of(store, project_id).heads == ()
    # the form is as good as before
    page = client.post(urls.revisions(project_id), data=form).headers["location"]
    assert ended(client, page).headers["HX-Redirect"] == urls.revision(project_id, 1)


def test_what_was_changed_meanwhile_is_not_issued(client: TestClient, store: Store, project_id: int) -> None:
    form = sent(client, project_id)
    page = client.post(urls.revisions(project_id), data=form).headers["location"]
    with store.writing() as session:
        whole = load_project(session, project_id)
        head: ProjectHead = whole.head
        projects.update_head(
            session, project_id, head.version, name="Renamed", customer=None, units=head.units, currency=None
        )
    told = ended(client, page)
    assert told.status_code == 200
    assert long_papers.MOVED_ON.split(".")[0] in " ".join(told.text.split()).replace("&#39;", "'")
    assert revisions.revisions_of(store, project_id).heads == ()


def test_how_far_a_revision_is_is_told_in_documents(client: TestClient, project_id: int) -> None:
    page = client.post(urls.revisions(project_id), data=sent(client, project_id)).headers["location"]
    seen = set()
    for _ in range(2_400):
        told = client.get(page, headers=BY_SCRIPT)
        if told.status_code != 200:
            break
        seen |= {int(done) for done in re.findall(r'<progress value="(\d+)" max="8"', told.text)}
        time.sleep(0.02)
    assert seen <= set(range(8))
    assert len(seen) > 1


def test_a_job_that_is_nowhere_says_so(client: TestClient) -> None:
    for address in (urls.job("nothing"), urls.job_result("nothing")):
        answer = client.get(address)
        assert answer.status_code == 404
        assert "This work is over" in answer.text
