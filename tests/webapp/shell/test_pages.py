"""The shell's own pages and files."""

from __future__ import annotations

import re

import pytest
from bs4 import BeautifulSoup

from tests.client import TestClient
from webapp.app import create_app
from webapp.site import urls
from webapp.site.rendering import STATIC, static_url


def test_home_is_the_list_of_projects(client: TestClient) -> None:
    answer = client.get("/", follow_redirects=False)
    assert (answer.status_code, answer.headers["Location"]) == (303, urls.projects())


def test_the_cautions_defer_to_manual_rules_and_practice(client: TestClient) -> None:
    page = BeautifulSoup(client.get(urls.cautions()).text, "html.parser").get_text(" ")
    page = " ".join(page.split())
    for words in ("manual", "rules where you work", "licensed practice", "A plan, not an instruction"):
        assert words in page
    for topic in ("Eyes:", "Ears:", "Disconnect before changing cutters", "Test pieces first", "air pressure"):
        assert topic in page


def test_each_citation_on_the_page_is_in_the_published_list(client: TestClient) -> None:
    published = (STATIC.parent / "shared/published/safety.md").read_text("utf-8")
    page = client.get(urls.cautions()).text
    cited = set(re.findall(r"1910\.\d+(?:\([a-z]\))?|\d{4}/\d+/EC|Z87\.1|ISO \d+-1", page))
    assert len(cited) >= 9
    assert [one for one in sorted(cited) if one not in published] == []


def test_the_current_place_is_marked(client: TestClient) -> None:
    page = BeautifulSoup(client.get(urls.cautions()).text, "html.parser")
    assert [link.text for link in page.select("nav [aria-current=page]")] == ["Cautions"]


def test_everything_the_page_loads_is_ours_and_there(client: TestClient) -> None:
    page = BeautifulSoup(client.get(urls.cautions()).text, "html.parser")
    loaded = [tag.get("src") or tag["href"] for tag in page.select("link[href], script[src], img[src]")]
    assert len(loaded) == 7
    for address in loaded:
        assert str(address).startswith("/static/")
        answer = client.get(str(address))
        assert answer.status_code == 200
        assert answer.headers["Cache-Control"] == "public, max-age=31536000, immutable"


def test_a_file_asked_for_by_an_old_mark_is_not_kept(client: TestClient) -> None:
    assert client.get("/static/base.css?v=old").headers["Cache-Control"] == "no-cache"
    assert static_url("base.css").startswith("/static/base.css?v=")


def test_htmx_stands_beside_its_licence() -> None:
    assert "Zero-Clause BSD" in (STATIC / "htmx-4.0.1.LICENSE.txt").read_text("utf-8")
    assert "4.0.1" in (STATIC / "htmx-4.0.1.min.js").read_text("utf-8")


@pytest.mark.parametrize("path", ["/docs", "/redoc", "/openapi.json"])
def test_pages_are_not_described_as_an_interface(client: TestClient, path: str) -> None:
    assert client.get(path).status_code == 404


def test_further_hosts_can_be_named() -> None:
    app = create_app(None, port=8123, also_hosts=["Workshop.local:8123"])  # type: ignore[arg-type]
    with TestClient(app, base_url="http://workshop.local:8123") as client:
        assert client.get("/cautions").status_code == 200
