"""What the guides name exists: pages and their words, commands, addresses, variables, pictures, files."""

from __future__ import annotations

import re
from collections import Counter, deque
from collections.abc import Iterator
from pathlib import Path

import pytest
from bs4 import BeautifulSoup

from tests.client import TestClient
from tests.webapp.databases import Databases
from webapp.app import create_app
from webapp.site import urls
from webapp.site.door import Door
from webapp.site.network import Network
from webapp.terminal.cli import _parser
from webapp.usecases.demo import load_demo_in

ROOT = Path(__file__).parents[1]
DOCS = ROOT / "docs"
PICTURES = DOCS / "pictures"
GUIDE = sorted(DOCS.glob("*.md"))
EVERYTHING = [*ROOT.glob("*.md"), *DOCS.rglob("*.md")]
PORT = 8127
NAMED = ["h1", "h2", "h3", "a", "button", "summary", "label", "legend", "th", "dt"]
PAGES_ENOUGH = 3
"""Pages of one address that are read: of a shelf of items the first say it all."""


def read(*paths: Path) -> str:
    return "\n".join(path.read_text(encoding="utf-8") for path in paths)


def called(pattern: str) -> set[str]:
    """What the guides and the README name in such words."""
    return set(re.findall(pattern, read(*GUIDE, ROOT / "README.md"), re.MULTILINE))


@pytest.mark.parametrize("file", EVERYTHING, ids=lambda file: file.relative_to(ROOT).as_posix())
def test_every_link_leads_somewhere(file: Path) -> None:
    links = re.findall(r"\]\(([^)#]+)(?:#[^)]*)?\)", read(file))
    lost = [link for link in links if "://" not in link and not (file.parent / link).exists()]
    assert lost == []


def test_every_chapter_has_its_number_and_its_place_in_the_guide() -> None:
    listed = re.findall(r"^(\d+)\. \[([^\]]+)\]\(([^)]+)\)", read(DOCS / "README.md"), re.MULTILINE)
    chapters = {path.name for path in GUIDE} - {"README.md", "security.md"}
    assert [int(number) for number, _, _ in listed] == list(range(1, len(chapters) + 1))
    assert {file for _, _, file in listed} == chapters
    for number, called_so, file in listed:
        assert file.startswith(f"{number}-")
        assert read(DOCS / file).startswith(f"# {number}. {called_so}")


def test_every_page_of_the_menu_is_named_in_a_chapter(client: TestClient) -> None:
    page = BeautifulSoup(client.get(urls.project(1)).content, "lxml")
    menu = page.select('nav[aria-label="Main"] a, .site-footer a')
    sheets = page.select("nav.project-sheets a")
    pages = {" ".join(link.get_text(" ", strip=True).split()) for link in (*menu, *sheets)}
    assert len(menu) > 7
    assert len(sheets) > 9
    named = {word.casefold() for word in called(r"(?<![*\w])\*([^*\n]+)\*(?![*\w])")}
    assert {name for name in pages if name.casefold() not in named} == set()


def test_the_guide_shows_every_picture_that_is_made() -> None:
    shown = re.findall(r"!\[([^\]]+)\]\(pictures/([^)]+)\)", read(*GUIDE))
    assert {name for _, name in shown} == {path.name for path in PICTURES.iterdir()}
    assert all(told for told, _ in shown)
    assert sum(path.stat().st_size for path in PICTURES.iterdir()) < 3_000_000


def commands() -> set[str]:
    (choices,) = [action.choices for action in _parser()._actions if action.choices]
    return set(choices)


def test_every_command_is_in_the_guide_and_every_one_named_exists() -> None:
    assert called(r"(?:`|^|/|\\)dovetally ([a-z]+)\b") == commands()


def test_every_make_target_named_exists() -> None:
    targets = set(re.findall(r"^([a-z-]+):", read(ROOT / "Makefile"), re.MULTILINE))
    named = set(re.findall(r"`make ([a-z-]+)`", read(*EVERYTHING)))
    assert named <= targets
    assert {"run", "test"} <= named


def test_every_variable_named_is_read_somewhere() -> None:
    source = read(*(ROOT / "webapp").rglob("*.py"), *(ROOT / "tests").rglob("*.py"))
    named = set(re.findall(r"DOVETALLY_[A-Z_]+", read(*EVERYTHING)))
    assert named
    assert {name for name in named if f'"{name}"' not in source} == set()


@pytest.fixture(scope="module")
def client(databases: Databases, tmp_path_factory: pytest.TempPathFactory) -> Iterator[TestClient]:
    with databases.opened("demo", load_demo_in, tmp_path_factory.mktemp("docs") / "shop.db") as store:
        ours = f"http://localhost:{PORT}"
        app = create_app(store, port=PORT, door=Door(open=False))
        with TestClient(app, base_url=ours, headers={"Origin": ours}) as opened:
            _delete_an_assembly(opened, 2)
            yield opened


def _delete_an_assembly(client: TestClient, project: int) -> None:
    """So that something lies in the bin, and the project has a history."""
    page = BeautifulSoup(client.get(urls.project(project)).content, "lxml")
    lead = page.select_one("h2 a")
    assert lead is not None
    address = f"{lead['href']}/delete"
    page = BeautifulSoup(client.get(address).content, "lxml")
    fields = {str(each["name"]): str(each["value"]) for each in page.select("main input[type=hidden]")}
    assert client.post(address, data=fields, follow_redirects=False).status_code == 303


def buttons_while_devices_are_let_in(client: TestClient) -> set[str]:
    """What the page of devices offers while they may come in."""
    state = client.app.state  # type: ignore[attr-defined]
    state.network = Network(PORT)
    page = BeautifulSoup(client.get(urls.devices()).content, "lxml")
    state.network = None
    return {button.get_text(strip=True) for button in page.select("button")}


def test_every_address_of_the_interface_is_in_the_guide(client: TestClient) -> None:
    described = set(client.get("/api/openapi.json").json()["paths"])
    assert called(r"(?:POST|GET) (/api/[a-z.]+)") == described | {"/api/openapi.json"}


def words_on_pages(client: TestClient) -> set[str]:
    """Every heading, link, button, label and cell's heading on the pages that links lead to."""
    seen: Counter[str] = Counter()
    waiting = deque(["/"])
    asked, no_pages, found = set(), set(), set()
    while waiting:
        address = waiting.pop().split("#")[0]
        # the demo's place has the same pages, of which the shop's own are read first
        shape = re.sub(r"\d+", "1", address.removeprefix(urls.demo))
        kind = shape.split("?")[0]
        if address in asked or seen[shape] == PAGES_ENOUGH or kind in no_pages:
            continue
        asked.add(address)
        seen[shape] += 1
        answer = client.get(address)
        if not answer.headers.get("content-type", "").startswith("text/html"):
            # a paper, a table or a script: what it says is not on a page, and one of each is enough
            no_pages.add(kind)
            continue
        page = BeautifulSoup(answer.content, "lxml")
        for element in page.find_all(NAMED):
            # what stands in a template, until a script shows it, is text to be found too
            text = " ".join(str(each) for each in element.find_all(string=True))
            found.add(" ".join(text.replace("optional", "").split()).split(" (")[0])
        for link in page.select("a[href^='/']"):
            leads = str(link["href"])
            (waiting.appendleft if leads.startswith(urls.demo) else waiting.append)(leads)
    return found


def test_words_in_italics_stand_on_the_pages(client: TestClient) -> None:
    named = called(r"(?<![*\w])\*([^*\n]+)\*(?![*\w])")
    assert len(named) > 30
    assert named - words_on_pages(client) - buttons_while_devices_are_let_in(client) == set()
