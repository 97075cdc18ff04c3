"""Every failure is told in words, as a page, as a message for htmx, and as JSON under /api."""

from __future__ import annotations

import logging

import pytest
from bs4 import BeautifulSoup

from tests.client import TestClient
from tests.webapp.shell.conftest import FROM_US, Raise
from webapp.site.failures import USUAL
from webapp.store import errors

HTMX = {"HX-Request": "true", "HX-Request-Type": "partial"}


@pytest.mark.parametrize("status", sorted(USUAL))
def test_a_failure_is_a_whole_page(client: TestClient, status: int) -> None:
    answer = client.get(f"/dummy/fail/{status}")
    page = BeautifulSoup(answer.text, "html.parser")
    assert answer.status_code == status
    assert page.title is not None
    assert page.title.text == f"{USUAL[status].title} – Dovetally"
    assert USUAL[status].sentence in page.get_text()
    assert answer.headers["Vary"] == "HX-Request, Accept-Encoding"


@pytest.mark.parametrize("status", sorted(USUAL))
def test_for_htmx_it_is_a_message_in_its_own_place(client: TestClient, status: int) -> None:
    answer = client.get(f"/dummy/fail/{status}", headers=HTMX)
    fragment = BeautifulSoup(answer.text, "html.parser")
    assert answer.status_code == status
    assert fragment.find("html") is None
    assert USUAL[status].sentence in fragment.get_text()
    assert answer.headers["HX-Retarget"] == "#messages"
    assert answer.headers["HX-Push-Url"] == "false"


@pytest.mark.parametrize("status", sorted(USUAL))
def test_under_api_it_is_json(client: TestClient, status: int) -> None:
    answer = client.get(f"/api/dummy/fail/{status}")
    assert answer.status_code == status
    assert answer.json() == {"error": USUAL[status].sentence, "problems": []}


def test_wrong_method_says_so(client: TestClient) -> None:
    answer = client.post("/cautions", headers=FROM_US)
    assert answer.status_code == 405
    assert answer.headers["Allow"] == "GET"
    assert USUAL[405].title in answer.text


@pytest.mark.parametrize("row", ["0", "-1", "x", "9007199254740993", "9" * 40, "1.5", "a%00b"])
def test_an_impossible_row_is_an_address_that_does_not_exist(client: TestClient, row: str) -> None:
    assert client.get(f"/dummy/rows/{row}").status_code == 404


def test_bad_input_names_place_value_and_remedy(client: TestClient) -> None:
    page = client.get("/dummy/bad")
    assert page.status_code == 422
    assert "assemblies[0].width" in page.text
    assert "&lt;wide&gt;" in page.text
    assert client.get("/api/dummy/bad").json()["problems"] == [
        {"path": "assemblies[0].width", "value": "'<wide>'", "allowed": "write a length such as 400"}
    ]


@pytest.mark.parametrize("path", ["/dummy/crash", "/api/dummy/crash"])
@pytest.mark.parametrize("headers", [{}, HTMX])
def test_a_crash_is_logged_and_shows_no_traceback(
    client: TestClient, caplog: pytest.LogCaptureFixture, path: str, headers: dict[str, str]
) -> None:
    answer = client.get(path, headers=headers)
    assert answer.status_code == 500
    assert "This is a fault of the program" in answer.text
    assert "secret detail" not in answer.text
    assert "Traceback" not in answer.text
    assert "secret detail" in caplog.text


STORE_FAILURES = [
    (errors.Busy(), 503, "2"),
    (errors.ReadOnly(), 503, "60"),
    (errors.NothingWritten(errors.Damaged("row 3 missing")), 503, None),
    (errors.DiskFull(), 507, "60"),
    (errors.Damaged(), 500, None),
    (errors.NotFound("project", 7), 404, None),
    (errors.StaleEdit("assembly", 7, 3), 409, None),
    (errors.MarkTaken("A"), 409, None),
    (errors.NameTaken("section", "14"), 409, None),
]


@pytest.mark.parametrize(("error", "status", "retry_after"), STORE_FAILURES)
@pytest.mark.parametrize("headers", [{}, HTMX])
def test_a_store_error_keeps_its_own_sentence(
    raising: tuple[TestClient, Raise],
    error: errors.StoreError,
    status: int,
    retry_after: str | None,
    headers: dict[str, str],
    caplog: pytest.LogCaptureFixture,
) -> None:
    client, raise_it = raising
    answer = client.get(raise_it(error), headers=headers)
    assert answer.status_code == status
    assert str(error) in BeautifulSoup(answer.text, "html.parser").get_text()
    assert answer.headers.get("Retry-After") == retry_after
    assert bool(caplog.record_tuples) == (status == 500)
    assert all(level == logging.ERROR for _, level, _ in caplog.record_tuples)
